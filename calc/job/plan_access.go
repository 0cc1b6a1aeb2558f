package job

import (
	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// AccessPlan is how much air a tool has on its way to a bolt or a plug.
type AccessPlan struct {
	What    string `json:"what"` // id of the bolt or plug
	Tool    string `json:"tool"` // id of the one that has most air; a plug brings its own
	Gap     out    `json:"gap"`
	Wanted  out    `json:"wanted"`
	Against string `json:"against"`
	At      point  `json:"at"`

	Disputed []string `json:"disputed"`
}

// toolAir is how much air a socket wants on its way: 0.03 in. From memory.
const toolAir = 0.03 * units.Inch

// access looks whether bolts and plugs can be reached past the tubes.
func (s *scene) access(tubes []laid) []AccessPlan {
	plans := []AccessPlan{}
	if len(tubes) == 0 {
		return plans
	}
	for _, k := range s.job.Banks {
		move, placed := s.frames[k.ID]
		if !placed {
			continue
		}
		for _, b := range k.Bolts {
			if !b.X.Known || !b.Y.Known || !k.Thickness.Known {
				continue
			}
			var best *AccessPlan
			seat := move.Point(geom.Vec{X: b.X.V.MM(), Y: b.Y.V.MM(), Z: k.Thickness.V.MM()})
			for _, tool := range s.job.Tools {
				if !tool.OD.Known || !tool.Length.Known {
					continue
				}
				if a := toolGap(b.ID, tool.ID, seat, move.Dir(geom.Vec{Z: 1}), tool.Length.V, tool.OD.V, tubes); a != nil && (best == nil || a.Gap > best.Gap) {
					best = a
				}
			}
			if best != nil {
				plans = append(plans, *best)
			}
		}
		for _, p := range k.Plugs {
			if !p.At.Known || !p.Out.Known || !p.OD.Known || !p.Withdraw.Known {
				continue
			}
			if a := toolGap(p.ID, "", move.Point(p.At.V), move.Dir(p.Out.V), p.Withdraw.V, p.OD.V, tubes); a != nil {
				plans = append(plans, *a)
			}
		}
	}
	return plans
}

// toolGap returns the tube that comes nearest to a tool on its way along an axis.
func toolGap(what, tool string, seat, axis geom.Vec, length, od units.Length, tubes []laid) *AccessPlan {
	way, err := clear.Cylinder(seat, axis, length, od/2)
	if err != nil {
		return nil
	}
	var best *AccessPlan
	for _, t := range tubes {
		r := clear.To(t.path, clear.Body{Sets: []clear.Set{way}}, clear.Options{})
		if r.Beyond || best != nil && out(r.Gap.MM()) >= best.Gap {
			continue
		}
		best = &AccessPlan{what, tool, out(r.Gap.MM()), out(toolAir.MM()), t.tube.ID, point(r.A.Surface), []string{}}
	}
	return best
}
