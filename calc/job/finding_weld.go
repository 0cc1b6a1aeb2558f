package job

import (
	"fmt"
	"slices"
	"strings"

	"tubewright/calc/sizing"
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// findings say what there is to look at before the first arc.
func (w *welder) findings(p WeldPlan) []Finding {
	return slices.Concat(w.orderFindings(p), w.benchFindings(p), w.settingFindings(p), w.pullFindings(p), w.growthFindings(p), holdFindings(p))
}

var orderSlot = Slot("weld", Self, "order")

func (w *welder) orderFindings(p WeldPlan) (fs []Finding) {
	if w.j.Weld.Template != weld.Own {
		return nil
	}
	add := func(severity Severity, rule, text, help string) {
		fs = append(fs, Finding{Severity: severity, Rule: rule, Where: []string{}, Slots: []string{orderSlot}, Grade: given, Text: text, Help: help})
	}
	if w.j.Weld.Order == "" {
		add(Note, "weld-order-open", "No own order is entered yet; the joints stand as each tube by itself has them.", "Move them, or choose one of the two ways that builders go.")
		return fs
	}
	if r := p.own; len(r.Unknown) > 0 {
		add(Warn, "weld-order-unknown", "The own order names what is no joint: "+strings.Join(r.Unknown, ", ")+".", "The path was changed, or a tube taken out, since it was written. Move the joints again.")
	}
	if r := p.own; len(r.Missing) > 0 {
		add(Note, "weld-order-missing", "The own order leaves out "+count(len(r.Missing), "joint", "joints")+", which come behind: "+strings.Join(r.Missing, ", ")+".", "Move them to where they belong.")
	}
	if r := p.own; len(r.Twice) > 0 {
		add(Note, "weld-order-twice", "The own order names some joints twice, of which the first counts: "+strings.Join(r.Twice, ", ")+".", "")
	}
	return fs
}

// benchFindings name joints that a torch does not get round, a finding a tube.
func (w *welder) benchFindings(p WeldPlan) (fs []Finding) {
	late := map[string]int{} // by tube, when its port is welded
	for _, jt := range p.Joints {
		if weld.Kind(jt.Kind) == weld.Port {
			late[jt.Tube] = jt.Order
		}
	}
	add := func(severity Severity, rule string, t Tube, list []WeldJoint, text, help string) {
		if len(list) == 0 {
			return
		}
		least := list[0].Room
		var names []string
		where := []string{t.ID}
		for _, jt := range list {
			names = append(names, fmt.Sprintf("%s, %s to %s", lower(jt.Name), sayMM(jt.Room.Gap), lower(w.tube(jt.Room.To).Title)))
			if jt.Room.Gap < least.Gap {
				least = jt.Room
			}
			if !slices.Contains(where, jt.Room.To) {
				where = append(where, jt.Room.To)
			}
		}
		f := Finding{Severity: severity, Rule: rule, Where: where, Slots: []string{Slot("weld", Self, "template")}, Value: num(float64(least.Gap)), Limit: num(weld.TorchRoom.MM()), Unit: "mm",
			Text: fmt.Sprintf(text, t.Title, strings.Join(names, "; ")), Help: help}
		fs = append(fs, f.from(weld.TorchSource))
	}
	for _, t := range w.j.Tubes {
		var bench, behind, ports []WeldJoint
		for _, jt := range p.Joints {
			switch {
			case jt.Tube != t.ID || !jt.Bench:
			case weld.Kind(jt.Kind) == weld.Port:
				ports = append(ports, jt)
			case jt.Order > late[t.ID]:
				behind = append(behind, jt)
			default:
				bench = append(bench, jt)
			}
		}
		add(Note, "weld-bench", t, bench, "%s: welded on the bench before the tubes stand together, since no torch gets round it then: %s.", "Weld these before the tube goes in beside its neighbour.")
		add(Warn, "weld-bench-late", t, behind, "%s: no torch gets round it once the tubes stand together, and it comes behind the weld at the flange: %s.", "Move it in front.")
		add(Warn, "weld-port-room", t, ports, "%s: at the flange no torch gets round the weld once both tubes are there: %s.", "Weld it before the other tube goes on, or from inside the flange.")
	}
	return fs
}

// settingFindings say where no source says how a joint is welded, a finding a reason.
func (w *welder) settingFindings(p WeldPlan) (fs []Finding) {
	var same alike
	seen := map[string]bool{}
	for _, jt := range p.Joints {
		if jt.Amps == nil {
			continue
		}
		t := w.tube(jt.Tube)
		one := func(rule string, slots []string, text, help string) {
			if !seen[rule+t.ID] {
				seen[rule+t.ID] = true
				same.add(t.Title, Finding{Severity: Note, Rule: rule, Where: []string{t.ID}, Slots: slots, Grade: given, Text: text, Help: help})
			}
		}
		open := slices.Contains(jt.Materials, "")
		switch {
		case t.Material == "":
			one("weld-material", []string{Slot("tube", t.ID, "material")}, "What the tube is made of is not entered, so no filler is named and amps are those of mild steel.", "Choose the material of the tube.")
		case !weld.IsSteel(t.Material):
			one("weld-settings", []string{Slot("tube", t.ID, "material")}, fmt.Sprintf("The tables are for steel and stainless; for %s none is at hand.", t.Material), "Ask who sells the tube, and try on scrap.")
		case weld.Kind(jt.Kind) == weld.Port && open:
			one("weld-flange-material", []string{Slot("bank", w.j.bankOf(t), "material")}, "What the flange is made of is not entered, so no filler is named for the port weld.", "Choose the material of the flange.")
		case !open && len(jt.Filler) == 0:
			one("weld-filler", []string{Slot("tube", t.ID, "material")}, fmt.Sprintf("No source at hand names a filler for %s to %s.", jt.Materials[0], jt.Materials[1]), "Ask who sells filler, and write it down.")
		}
		if jt.Argon == nil {
			one("weld-wall", []string{Slot("tube", t.ID, "wall")}, fmt.Sprintf("The table of settings goes from %s to %s of wall and has no row for %s.", say(weld.Settings[0].Low), say(weld.Settings[len(weld.Settings)-1].High), say(t.Wall.V)), "Try on scrap of the same wall.")
		}
	}
	return append(fs, same.found()...)
}

// pullFindings name the tubes whose slip may jam, as one: what would help is the same.
func (w *welder) pullFindings(p WeldPlan) []Finding {
	f := Finding{Severity: Warn, Rule: "weld-pull", Where: []string{}, Slots: []string{Slot("weld", Self, "port_pull")}, Unit: "mm", Grade: fromGeometry,
		Help: "Weld the flange with the dummy collector over all ends, quarter runs opposite each other, and look at the end after each tube."}
	var says []string
	for _, u := range p.Pull {
		if u.Goes == nil || *u.Goes || w.j.Weld.Rigid || *u.Slip <= 0 { // a tube too thick for its socket is said by the sizes
			continue
		}
		f.Where, f.Slots = append(f.Where, u.Tube), append(f.Slots, Slot("tube", u.Tube, "collector"))
		says = append(says, fmt.Sprintf("%s by %s, where the slip has %s to each side", lower(u.Name), sayMM(u.Sideways), sayMM(*u.Slip/2)))
		if f.Value == nil || u.Sideways > *f.Value {
			f.Value, f.Limit = num(float64(u.Sideways)), num(float64(*u.Slip)/2)
		}
	}
	if len(says) == 0 {
		return nil
	}
	f.Text = fmt.Sprintf("A port weld that pulls by %s to the worst side moves the end across its socket: %s.", sayMM(p.PortPull), strings.Join(says, "; "))
	return []Finding{f}
}

func (w *welder) growthFindings(p WeldPlan) (fs []Finding) {
	rigid, braced := Slot("weld", Self, "rigid"), Slot("weld", Self, "braced")
	var most ApartPlan
	for _, a := range p.Between {
		if a.Hotter > most.Hotter {
			most = a
		}
	}
	apart := ""
	where := []string{}
	if most.A != "" {
		where = []string{most.A, most.B}
		apart = fmt.Sprintf(" %s and %s grow differently by up to %s, the one %.0f °C hotter.", w.tube(most.A).Title, lower(w.tube(most.B).Title), sayMM(most.Hotter), float64(most.By))
	}
	add := func(severity Severity, rule string, slots []string, text, help string) {
		fs = append(fs, Finding{Severity: severity, Rule: rule, Where: where, Slots: slots, Value: num(float64(most.Hotter)), Unit: "mm", Grade: seen, Text: text + apart, Help: help})
	}
	switch {
	case w.j.Weld.Rigid && w.j.Weld.Braced:
		add(Warn, "weld-rigid-braced", []string{rigid, braced}, "The tubes are held at both ends and braced between: what they grow goes into the welds, and headers built so cracked down the middle of the welds or beside them.", "Leave one end to slip, and hang braces so that they slide.")
	case w.j.Weld.Rigid:
		add(Note, "weld-rigid", []string{rigid}, "The tubes are held at both ends: the difference of their growth goes into bends and welds.", "Long bends take it up; braces between the tubes do not.")
	case w.j.Weld.Braced:
		add(Note, "weld-braced", []string{braced}, "Braces lock tubes to each other; builders found that they move the cracks.", "Hang them so that they slide.")
	}
	return append(fs, w.slipFindings(p)...)
}

// slipFindings hold the depth of sockets against growth, each rule as one finding with the
// tube that has least.
func (w *welder) slipFindings(p WeldPlan) (fs []Finding) {
	for _, rule := range []struct {
		severity   Severity
		name       string
		grade      string
		limit      func(TravelPlan) float64
		value      func(TravelPlan) float64
		text, help string
	}{
		{Warn, "weld-slip-short", fromGeometry, func(u TravelPlan) float64 { return float64(u.Needs) }, func(u TravelPlan) float64 { return float64(u.Depth) },
			"growth and tolerance together want a socket %[2]s deep; it is %[1]s.", "A deeper socket, or tubes held to a closer length."},
		{Note, "weld-slip-little", memory, func(TravelPlan) float64 { return sizing.EngagementLeast.MM() }, func(u TravelPlan) float64 { return float64(u.Left) },
			"growth and tolerance leave %s of the socket; %s to 1.5 in of engagement are named.", "A deeper socket, or look how far the tubes go in when all is cold."},
		{Note, "weld-slip-bottom", fromGeometry, func(u TravelPlan) float64 { return float64(u.Growth) }, func(u TravelPlan) float64 {
			if u.Insert == nil {
				return float64(u.Depth)
			}
			return float64(u.Depth - *u.Insert)
		}, "behind the tube's end the socket has %s left, and hot the tube is longer by %s.", "Right where the collector hangs free and moves along; else end the tubes earlier."},
	} {
		f := Finding{Severity: rule.severity, Rule: rule.name, Where: []string{}, Slots: []string{}, Unit: "mm", Grade: rule.grade, Help: rule.help}
		var names []string
		least := 0.0
		for _, u := range p.Slips {
			value, limit := rule.value(u), rule.limit(u)
			if value >= limit-slack.MM() || !u.Enough && rule.name != "weld-slip-short" {
				continue
			}
			if slot := Slot("collector", u.Collector, "socket_depth"); !slices.Contains(f.Slots, slot) {
				f.Slots = append(f.Slots, slot)
			}
			f.Where, names = append(f.Where, u.Tube), append(names, lower(w.tube(u.Tube).Title))
			if f.Value == nil || value-limit < least {
				f.Value, f.Limit, least = num(value), num(limit), value-limit
			}
		}
		if f.Value != nil {
			text := strings.Join(names, ", ") + ": " + fmt.Sprintf(rule.text, sayMM(*f.Value), sayMM(*f.Limit))
			f.Text = strings.ToUpper(text[:1]) + text[1:]
			fs = append(fs, f)
		}
	}
	return fs
}

// holdFindings look at the points at which work is held.
func holdFindings(p WeldPlan) (fs []Finding) {
	open := ""
	for _, h := range p.Holds {
		f := Finding{Where: []string{}, Slots: []string{h.Slot}, Grade: given}
		switch {
		case h.State == failed:
			f.Severity, f.Rule = Stop, "hold-failed"
			f.Text, f.Help = fmt.Sprintf("Hold point not passed: %s failed.", lower(h.Name)), "Mend it, look again, and say so here. Nothing goes on before."
		case h.State == passed && open != "":
			f.Severity, f.Rule = Warn, "hold-skipped"
			f.Text, f.Help = fmt.Sprintf("%s is passed, and %s before it is not said.", h.Name, lower(open)), "Look at it now, as far as it can still be seen."
		}
		if f.Rule != "" {
			fs = append(fs, f)
		}
		if h.State == "" && open == "" {
			open = h.Name
		}
	}
	welded := slices.ContainsFunc(p.Joints, func(jt WeldJoint) bool { return jt.Welded })
	for _, h := range p.Holds {
		if welded && h.What == "tack_check" && h.State == "" && p.Template == string(weld.TackAll) {
			fs = append(fs, Finding{Severity: Warn, Rule: "hold-skipped", Where: []string{}, Slots: []string{h.Slot}, Grade: given,
				Text: "Pieces are welded and the tack check is not said.", Help: "Look at gaps, bolts, collector and lengths before more is welded."})
		}
	}
	return fs
}

// sayMM is say of a figure of the plan.
func sayMM(v out) string { return say(units.Length(v)) }
