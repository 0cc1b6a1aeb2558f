package job

import (
	"slices"

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

// aside are kinds of neighbours that are no hindrance to a tool: they come off or are
// opened first, or the car is off the ground. Own choice.
var aside = []string{"plug boot", "bonnet", "ground", "scrub line"}

// obstacles are what a tool may run into on its way: tubes, and neighbours that stay
// where they are.
type obstacles struct {
	tubes []laid
	fixed []thing
}

// access looks whether bolts and plugs can be reached past the tubes and past what is
// fixed. What moves can be moved out of the way.
func (s *scene) access(tubes []laid, things []thing) []AccessPlan {
	o := obstacles{tubes: tubes}
	for _, th := range things {
		if !th.of.Motion.Known && !slices.Contains(aside, th.of.What) {
			o.fixed = append(o.fixed, th)
		}
	}
	plans := []AccessPlan{}
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
				if a := o.toolGap(b.ID, tool.ID, seat, move.Dir(geom.Vec{Z: 1}), tool.Length.V, tool.OD.V); a != nil && (best == nil || a.Gap > best.Gap) {
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
			if a := o.toolGap(p.ID, "", move.Point(p.At.V), move.Dir(p.Out.V), p.Withdraw.V, p.OD.V); a != nil {
				plans = append(plans, *a)
			}
		}
	}
	return plans
}

// hair is by how much an obstacle has to be nearer than another to be named in its
// place: two that are equally near are not told apart by rounding.
const hair = 1e-6 * units.Millimetre

// toolGap returns what comes nearest to a tool on its way along an axis, nil where
// there is nothing.
func (o obstacles) toolGap(what, tool string, seat, axis geom.Vec, length, od units.Length) *AccessPlan {
	way, err := clear.Cylinder(seat, axis, length, od/2)
	if err != nil {
		return nil
	}
	var best *AccessPlan
	var opts clear.Options // what is not nearer than the best is cut off
	take := func(id string, r clear.Result, at geom.Vec) {
		if !r.Beyond && (best == nil || r.Gap < opts.Cutoff) {
			best = &AccessPlan{what, tool, out(r.Gap.MM()), out(toolAir.MM()), id, point(at), []string{}}
			if opts.Cutoff = r.Gap - hair; opts.Cutoff == 0 { // which would mean none
				opts.Cutoff = -hair
			}
		}
	}
	body := clear.Body{Sets: []clear.Set{way}}
	for _, t := range o.tubes {
		r := clear.To(t.path, body, opts)
		take(t.tube.ID, r, r.A.Surface)
	}
	for _, th := range o.fixed {
		for _, set := range th.body.Sets {
			r := clear.Solids(way, set, opts)
			take(th.of.ID, r, r.B.Surface)
		}
	}
	return best
}
