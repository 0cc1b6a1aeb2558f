package job

import (
	"fmt"
	"math"

	"tubewright/calc/fixture"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// plates are the base plate and, for a header that lies, the upright.
func (h *holding) plates() (base, upright *BasePlan) {
	x, p := h.job.Fixture, h.part
	lies := x.Base == lying
	plate := func(f fixture.Face, outline [][2]float64) *BasePlan {
		return &BasePlan{Choice: x.Base, At: point(f.At), Normal: direction(f.Normal), X: direction(f.X), Y: direction(f.Y), Thickness: out(x.Thickness.MM()),
			Outline: faces(outline), Holes: []BaseHole{}, Feet: []BaseHole{}, Flange: []onFace{}}
	}
	base = plate(p.Base, p.Outline(h.layout.Stations, lies, x.Thickness, x.Margin))
	on := base
	if lies {
		upright = plate(p.Flange.Face, p.Upright(x.Margin))
		on = upright
	}
	on.Holes, on.Flange = h.holes(), faces(p.Flange.Outline)
	for _, s := range h.layout.Stations {
		base.Feet = append(base.Feet, BaseHole{What: s.ID, Name: h.names[s.ID], Kind: "foot", At: onFace(s.Foot), Diameter: out(x.Post.MM()), Rule: given})
	}
	return base, upright
}

func faces(points [][2]float64) []onFace {
	fs := make([]onFace, len(points))
	for i, p := range points {
		fs[i] = onFace(p)
	}
	return fs
}

// holes are those of the plate that the flange lies on: tapped for studs, through for bolts.
func (h *holding) holes() []BaseHole {
	m := h.bank.Making
	holes := []BaseHole{}
	title := map[string]string{}
	for _, b := range h.bank.Bolts {
		title[b.ID] = b.Title
	}
	for _, b := range h.part.Flange.Bolts {
		hole := BaseHole{What: b.ID, Name: title[b.ID], Kind: "through", At: onFace(b.At), Diameter: out(b.Hole.MM()), Rule: "as the hole of the flange"}
		if drill := fixture.TapDrill(m.BoltSize); h.job.Fixture.Held == onStuds && drill > 0 {
			hole.Kind, hole.Diameter, hole.Rule = "tapped", out(drill), "tapped "+m.BoltSize+", coarse thread, from memory"
		} else if d, rule, err := flange.HoleFor(m.BoltSize, m.HoleClass); err == nil {
			hole.Diameter, hole.Rule = out(d), rule
		}
		holes = append(holes, hole)
	}
	return holes
}

func (h *holding) stations() []StationPlan {
	list := []StationPlan{}
	for _, s := range h.layout.Stations {
		p := StationPlan{ID: s.ID, Name: h.names[s.ID], Straight: s.Straight, Along: out(s.Along), At: point(s.At), Dir: direction(s.Dir), Opening: direction(s.Opening), Turn: degrees(s.Turn),
			Post: out(s.Post), AxisHeight: out(s.Height), Foot: onFace(s.Foot), FootAt: point(s.FootAt), Top: point(s.Top), Arm: out(s.Arm),
			CradleAngle: degrees(s.Angle), CradleTurn: degrees(s.Heading), Wrap: degrees(s.Wrap), OD: out(s.OD), Nearest: s.Nearest, Suggested: s.Suggested, Joint: h.jointOf(s)}
		if s.IsTube {
			p.Tube = s.On
			if path := h.tubes[s.Index].Path; s.Element < len(path) {
				p.Element = path[s.Element].ID
			}
			if od := h.job.Fixture.MockUpOD; od.Known {
				p.Spacer = num(fixture.Spacer(h.tubes[s.Index].OD.V, od.V).MM())
			}
		} else {
			p.Collector = s.On
		}
		if !math.IsNaN(s.Before) {
			p.BendBefore = num(s.Along - s.Before)
		}
		if !math.IsNaN(s.After) {
			p.BendAfter = num(s.After - s.Along)
		}
		if s.Arm > 0 {
			turn, to := degrees(math.Remainder(s.ArmTurn, 2*math.Pi)), point(s.ArmTo)
			p.ArmTurn, p.ArmTo = &turn, &to
		}
		if s.Nearest != "" {
			p.Clearance = num(s.Clearance)
		}
		if w, isWished := h.wished[s.ID]; isWished {
			p.Said, p.Checked, p.ClampedAt = w.Removable.Known, w.Checked, mmOf(w.ClampedAt)
			if w.ClampedAt.Known {
				p.ClampedOff = num(w.ClampedAt.V.MM() - s.Along)
			}
		}
		list = append(list, p)
	}
	return list
}

// jointOf is the joint in whose torch room a station stands: tube and number, counted from
// the flange's, which is 0; empty in none.
func (h *holding) jointOf(s fixture.Station) string {
	if s.Joint < 0 {
		return ""
	}
	return fmt.Sprintf("%s/%d", s.On, s.Joint)
}

func (h *holding) noRoom() []NoRoomPlan {
	list := []NoRoomPlan{}
	for _, n := range h.layout.NoRoom {
		t := h.tubes[n.Index]
		p := NoRoomPlan{Tube: n.Tube, Straight: n.Straight, Element: t.Path[n.Element].ID, Length: out(n.Length), Needed: out(n.Needed), Nearest: n.Nearest}
		where := fmt.Sprintf("Straight %d of %s", n.Straight, t.Title)
		if math.IsNaN(n.Gap) {
			p.Text = fmt.Sprintf("%s has %s free between its joints; a clamp with room for the torch on both sides takes %s.", where, say(units.Length(n.Length)), say(units.Length(n.Needed)))
		} else {
			p.Gap = num(n.Gap)
			p.Text = fmt.Sprintf("%s is long enough, but clamp or post come too near to %s wherever they stand, also with the post at the side: %s at the best place, wanted are %s.", where, h.label(n.Nearest), say(units.Length(n.Gap)), say(h.part.Rules.Clearance))
		}
		list = append(list, p)
	}
	return list
}

// ends says what holds both ends of each tube, and each collector.
func (h *holding) ends() []HeldPlan {
	list := []HeldPlan{}
	for i, t := range h.tubes {
		port := HeldPlan{Tube: t.ID, End: "port", By: []string{h.bank.ID}}
		outlet := HeldPlan{Tube: t.ID, End: "outlet", By: []string{}}
		last := 1
		for _, e := range t.Path {
			if e.Bend != nil {
				last++
			}
		}
		for _, s := range h.layout.Stations {
			switch {
			case !s.IsTube && s.On == t.Collector:
				outlet.By = append(outlet.By, t.Collector)
			case !s.IsTube || s.Index != i:
			default:
				if s.Straight == 1 {
					port.By = append(port.By, s.ID)
				}
				if s.Straight == last {
					outlet.By = append(outlet.By, s.ID)
				}
			}
		}
		list = append(list, port, outlet)
	}
	for _, c := range h.collectors {
		p := HeldPlan{Collector: c.ID, By: []string{}}
		for _, s := range h.layout.Stations {
			if s.On == c.ID {
				p.By = append(p.By, s.ID)
			}
		}
		list = append(list, p)
	}
	return list
}

// wayOut is how the header comes out, or a mock-up of the OD given.
func (h *holding) wayOut(mockUp *units.Length, step func(done float64) bool) (*WayOutPlan, bool) {
	stations := h.layout.Stations
	said := make([]fixture.Said, len(stations))
	for i, s := range stations {
		if r := h.wished[s.ID].Removable; r.Known {
			said[i] = fixture.Stays
			if r.V {
				said[i] = fixture.ComesOff
			}
		}
	}
	w, stopped, err := fixture.Release(h.part, stations, said, mockUp, step)
	if err != nil {
		return nil, stopped
	}
	p := &WayOutPlan{Free: w.Free, Steps: []StepPlan{}, Remove: []string{}, Fixed: []string{}, Tried: w.Tried}
	for _, s := range w.Steps {
		p.Steps = append(p.Steps, StepPlan{direction(s.Dir), h.towards(s.Dir), out(s.Travel)})
	}
	if n := len(p.Steps); n > 0 {
		p.Dir, p.Name, p.Travel = p.Steps[n-1].Dir, p.Steps[n-1].Name, p.Steps[n-1].Travel
	}
	for _, i := range w.Remove {
		p.Remove = append(p.Remove, stations[i].ID)
	}
	for _, i := range w.Fixed {
		p.Fixed = append(p.Fixed, stations[i].ID)
	}
	return p, stopped
}

// towards calls a direction.
func (h *holding) towards(d geom.Vec) string {
	const straight = 1e-4 // rad
	b, z := h.part.Base, h.part.Flange.Face.Normal
	up := math.Asin(max(-1, min(1, d.Dot(b.Normal))))
	turn := math.Mod(math.Round(units.Angle(math.Atan2(d.Dot(b.Y), d.Dot(b.X))).Deg())+360, 360)
	switch {
	case d.Angle(b.Normal) < straight:
		return "straight up off the plate"
	case d.Angle(z) < straight:
		return "straight off the face of the flange"
	case math.Abs(up) < straight:
		return fmt.Sprintf("level, towards %.0f° on the plate", turn)
	}
	return fmt.Sprintf("%.0f° up from the plate, towards %.0f° on it", units.Angle(up).Deg(), turn)
}
