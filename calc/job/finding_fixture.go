package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/units"
)

// findings says what a person has to know about a fixture.
func (h *holding) findings(p FixturePlan) []Finding {
	var fs []Finding
	add := func(f Finding) {
		if f.Slots == nil {
			f.Slots = []string{}
		}
		if f.Grade == "" {
			f.Grade = fromGeometry
		}
		fs = append(fs, f)
	}
	x := h.job.Fixture
	self := func(field string) []string { return []string{Slot("fixture", Self, field)} }
	if od := x.MockUpOD; od.Known {
		for _, t := range h.tubes {
			if od.V > t.OD.V+slack {
				add(Finding{Severity: Stop, Rule: "mock-up-too-large", Where: []string{t.ID}, Slots: append(self("mock_up_od"), Slot("tube", t.ID, "od")), Value: num(od.V.MM()), Limit: num(t.OD.V.MM()), Unit: "mm",
					Text: fmt.Sprintf("The mock-up is %s and %s only %s: it does not go into the cradles.", say(od.V), t.Title, say(t.OD.V)), Help: "Take a thinner pipe for the mock-up, and spacers round it."})
			}
		}
	}
	var others []string
	for _, t := range h.job.Tubes {
		if bank := h.job.bankOf(t); bank != "" && bank != h.bank.ID {
			others = append(others, t.ID)
		}
	}
	if len(others) > 0 {
		add(Finding{Severity: Note, Rule: "other-bank", Where: others, Slots: self("bank"), Value: num(float64(len(others))),
			Text: fmt.Sprintf("This is the fixture for the flange of bank %s; %d tubes start at another one.", h.bank.ID, len(others)), Help: "Choose the other bank to see its fixture. One for a pair that is alike is the mirror image."})
	}
	for _, n := range p.NoRoom {
		f := Finding{Severity: Note, Rule: "no-room", Where: []string{n.Tube, n.Element}, Slots: self("torch_room"), Value: num(float64(n.Length)), Limit: num(float64(n.Needed)), Unit: "mm", Text: n.Text, Help: "A narrower clamp or less room for the torch may do; or hold the tube elsewhere."}
		if n.Gap != nil {
			f.Value, f.Limit, f.Slots = n.Gap, num(h.part.Rules.Clearance.MM()), self("clearance")
			f.Help = "Set a station by hand and look at what is in its way, or take a thinner post."
		}
		add(f)
	}
	fs = append(fs, h.stationFindings(p)...)
	for _, e := range p.Ends {
		switch {
		case e.Collector != "" && len(e.By) == 0:
			add(Finding{Severity: Warn, Rule: "collector-not-held", Where: []string{e.Collector}, Text: fmt.Sprintf("%s is held by nothing.", h.label(e.Collector)), Help: "Set a station behind its socket mouths: the tubes are tacked to where it is."})
		case e.Collector == "" && len(e.By) == 0:
			add(Finding{Severity: Warn, Rule: "end-not-held", Where: []string{e.Tube}, Text: fmt.Sprintf("The end of %s is held by nothing: no station on its last straight, and no collector that is held.", h.label(e.Tube)), Help: "Set a station on the last straight."})
		}
	}
	fs = append(fs, h.wayFindings(p)...)
	return append(fs, h.earthFindings(p)...)
}

// rounded is by how much the station sheet rounds a place, in mm: where a station is set by
// it, nothing is wrong.
const rounded = 0.051

// stationFindings are of single stations.
func (h *holding) stationFindings(p FixturePlan) []Finding {
	var fs []Finding
	rules := h.part.Rules
	for i, s := range p.Stations {
		at := h.layout.Stations[i]
		name, on := "Station "+s.Name, s.Tube+s.Collector
		slots := []string{}
		if !s.Suggested {
			slots = append(slots, Slot("station", s.ID, "along"))
		}
		add := func(severity Severity, rule string, where string, value, limit float64, text, help string) {
			f := Finding{Severity: severity, Rule: rule, Where: []string{s.ID, on}, Slots: slots, Value: num(value), Limit: num(limit), Unit: "mm", Grade: fromGeometry, Text: text, Help: help}
			if where != "" {
				f.Where = append(f.Where, where)
			}
			fs = append(fs, f)
		}
		switch {
		case at.OnBend && s.Tube != "" && float64(s.Along) > h.length(at.Index)+1e-6:
			add(Stop, "station-off-tube", "", at.Along, h.length(at.Index), fmt.Sprintf("%s lies %s along %s, which is %s long.", name, say(units.Length(at.Along)), h.label(on), say(units.Length(h.length(at.Index)))), "Set it on a straight.")
		case at.OnBend && s.Tube != "":
			add(Stop, "station-on-bend", s.Element, at.Along, 0, fmt.Sprintf("%s sits on a bend of %s, or reaches onto one: a cradle holds a straight.", name, h.label(on)), "Move it along the tube onto a straight.")
		case at.Joint >= 0 && at.Room < rules.Torch.MM()-rounded:
			add(Warn, "station-in-torch-room", "", at.Room, rules.Torch.MM(), fmt.Sprintf("%s stands %s from joint %d of %s, where the torch wants %s.", name, say(units.Length(at.Room)), at.Joint, h.label(on), say(rules.Torch)), "Move it away from the joint, or tack that joint before the clamp goes on.")
		}
		if s.Nearest != "" && at.Clearance < rules.Clearance.MM()-1e-4 {
			severity, text := Warn, fmt.Sprintf("Clamp or post of station %s come to %s from %s; wanted are %s.", s.Name, say(units.Length(at.Clearance)), h.label(s.Nearest), say(rules.Clearance))
			if at.Clearance < 0 {
				severity, text = Stop, fmt.Sprintf("Clamp or post of station %s run into %s by %s.", s.Name, h.label(s.Nearest), say(units.Length(-at.Clearance)))
			}
			add(severity, "post-too-near", s.Nearest, at.Clearance, rules.Clearance.MM(), text, "Move the station along, or put its post at the side.")
		}
		if s.Post <= 0 {
			add(Stop, "post-below-plate", "", at.Post, 0, fmt.Sprintf("%s holds so low that no post goes below it.", name), "Put the plate lower, or the post at the side.")
		}
		if s.ClampedOff != nil && math.Abs(float64(*s.ClampedOff)) > clampedNearest {
			off := float64(*s.ClampedOff)
			fs = append(fs, Finding{Severity: Warn, Rule: "clamped-off", Where: []string{s.ID, on}, Slots: append(slices.Clone(slots), Slot("station", s.ID, "clamped_at")), Value: num(off), Limit: num(clampedNearest), Unit: "mm", Grade: ownChoice,
				Text: fmt.Sprintf("%s was clamped %s from where it belongs.", name, say(units.Length(math.Abs(off)))), Help: "Clamp it again at its mark, or enter where it is as its place."})
		}
	}
	return fs
}

// length is that of a tube along its centreline.
func (h *holding) length(i int) float64 {
	sum := 0.0
	for _, e := range h.tubes[i].Path {
		sum += e.Length().MM()
	}
	return sum
}

// wayFindings say how the parts come out, or that they do not.
func (h *holding) wayFindings(p FixturePlan) []Finding {
	var fs []Finding
	for _, w := range []struct {
		what string
		way  *WayOutPlan
	}{{"header", p.Release.Header}, {"mock-up", p.Release.MockUp}} {
		if w.way == nil {
			continue
		}
		names := func(ids []string) string {
			var list []string
			for _, id := range ids {
				list = append(list, h.names[id])
			}
			return strings.Join(list, ", ")
		}
		f := Finding{Where: append([]string{}, w.way.Remove...), Slots: []string{}, Value: num(float64(len(w.way.Remove))), Grade: fromGeometry}
		switch {
		case !w.way.Free && len(w.way.Fixed) > 0:
			f.Severity, f.Rule, f.Where = Stop, "will-not-come-out", append([]string{}, w.way.Fixed...)
			for _, id := range w.way.Fixed {
				f.Slots = append(f.Slots, Slot("station", id, "removable"))
			}
			f.Value = num(float64(len(w.way.Fixed)))
			f.Text = fmt.Sprintf("The %s does not come out along any of %d directions while these stations stay: %s are in the way of the one that is blocked least.", w.what, w.way.Tried, names(w.way.Fixed))
			f.Help = "Let them come off the plate, or make cradles that reach less far round."
		case !w.way.Free:
			f.Severity, f.Rule = Stop, "will-not-come-out"
			f.Text = fmt.Sprintf("The %s does not come out along any of %d directions, also with all stations off: the flange's studs are in the way.", w.what, w.way.Tried)
			f.Help = "Hold the flange by bolts that are drawn first."
		case len(w.way.Remove) == 0:
			f.Severity, f.Rule = Note, "comes-out"
			f.Text = fmt.Sprintf("The %s comes out %s, with no station off.", w.what, w.way.words())
			f.Help = "Take off clamps, and bolts or nuts of the flange."
		default:
			f.Severity, f.Rule = Note, "stations-come-off"
			f.Text = fmt.Sprintf("The %s comes out %s once these stations are off the plate: %s. It is the smallest set that was found among %d directions.", w.what, w.way.words(), names(w.way.Remove), w.way.Tried)
			f.Help = "Fix those posts by a bolt from below and a dowel, so that they come back to the same place."
		}
		fs = append(fs, f)
	}
	return fs
}

// words are all steps of a way out.
func (w *WayOutPlan) words() string {
	var list []string
	for _, s := range w.Steps {
		list = append(list, fmt.Sprintf("%s by %.0f mm", s.Name, math.Ceil(float64(s.Travel))))
	}
	return strings.Join(list, ", then ")
}

// earthFindings say where the earth clamp has to go.
func (h *holding) earthFindings(p FixturePlan) []Finding {
	var fs []Finding
	if p.Earth == nil {
		return nil
	}
	slots := []string{Slot("fixture", Self, "earth"), Slot("fixture", Self, "mock_up_conducts")}
	clamp := p.Earth.Clamp
	for _, o := range p.Earth.Order {
		if !o.Reached {
			fs = append(fs, Finding{Severity: Warn, Rule: "no-earth", Where: []string{o.Joint, clamp, o.Clamp}, Slots: slots, Grade: fromGeometry,
				Text: fmt.Sprintf("No metal leads from %s, where the earth clamp sits, to %s.", h.label(clamp), o.Name), Help: fmt.Sprintf("Move the clamp to %s before this joint.", h.label(o.Clamp))})
		}
		clamp = o.Clamp
	}
	if n := len(p.Earth.Single); n > 0 {
		fs = append(fs, Finding{Severity: Note, Rule: "earth-single", Where: []string{}, Slots: slots, Value: num(float64(n)), Grade: fromGeometry,
			Text: fmt.Sprintf("Before the tubes are tacked, earth hangs on single contacts in %d places, such as between %s.", n, p.Earth.Single[0]), Help: "Bright metal and a tight clamp at each, or the earth clamp on the piece itself: a loose contact arcs."})
	}
	return fs
}
