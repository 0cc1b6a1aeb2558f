package job

import (
	"fmt"

	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// checked are the words for when something was read.
var checked = map[string]string{asCut: "as cut", asTacked: "as tacked", asWelded: "as welded", asFitted: "fitted"}

// findings says what a header that was read is off by. What pieces came out as is found
// with the pieces.
func (in inspector) findings(p InspectionPlan) []Finding {
	var fs []Finding
	for _, r := range p.Rows {
		fs = append(fs, r.findings()...)
	}
	fs = append(fs, p.Spread.findings(p.Rows)...)
	for _, g := range p.Gauges {
		fs = append(fs, g.findings()...)
	}
	fs = append(fs, in.tipFindings()...)
	return append(fs, p.Leak.findings()...)
}

func (r CheckRow) finding(rule string, s Severity, text, help string) Finding {
	value := r.Off
	return Finding{Severity: s, Rule: rule, Where: []string{r.On}, Slots: r.said, Value: value, Limit: r.Tolerance, Unit: r.Unit, Grade: r.Grade, Text: text, Help: help}
}

func (r CheckRow) findings() []Finding {
	if r.At == asCut || r.What == "clock" {
		return nil
	}
	isOff := r.OK != nil && !*r.OK
	when := checked[r.At]
	switch r.What {
	case "length":
		if r.Tolerance == nil {
			return []Finding{r.finding("inspect-no-tolerance", Note, fmt.Sprintf("%s, %s: no tolerance is entered, so nobody can tell whether the length is right.", r.Name, when), "Enter it with the target.")}
		}
		var fs []Finding
		if isOff {
			fs = append(fs, r.finding("inspect-length", Warn, fmt.Sprintf("%s is %s of the plan, %s; the tolerance is ± %s.", r.Name, slipOf(float64(*r.Off)), when, say(units.Length(*r.Tolerance))),
				"Read it again; then ask what to change at the joints that are still open, or decide that it stays."))
		}
		if off, tol := r.offTarget(); off > tol && !isOff {
			fs = append(fs, r.finding("inspect-target", Warn, fmt.Sprintf("%s is as planned within tolerance, %s, and %s of what was wanted.", r.Name, when, slipOf(float64(*r.Read-*r.Target))),
				"The plan and what was made are off the same way: decide whether it stays."))
		}
		return fs
	case "position", "aim":
		if !isOff {
			return nil
		}
		if r.What == "aim" {
			return []Finding{r.finding("inspect-aim", Warn, fmt.Sprintf("%s aims %.1f° off, %s; taken as good is ± %.1f°.", r.Name, float64(*r.Off), when, float64(*r.Tolerance)), "Look how it meets the pipe behind it before it is welded or fitted.")}
		}
		return []Finding{r.finding("inspect-position", Warn, fmt.Sprintf("%s stands %s from where it was planned, %s: %s. Taken as good is %s.", r.Name, say(units.Length(*r.Off)), when, r.Places.off(), say(units.Length(*r.Tolerance))),
			"Measure it again from the datum; then look at the gaps about it.")}
	case "flatness", "flatness-pair":
		if !isOff {
			return nil
		}
		along := "along the whole flange"
		if r.What == "flatness-pair" {
			along = "across two ports"
		}
		return []Finding{r.finding("inspect-flat", Warn, fmt.Sprintf("%s is out of flat by %s %s, %s; taken as good is %s. No published limit for a fabricated header is known to us; the gasket's maker comes first.", r.Name, say(units.Length(*r.Off)), along, when, say(units.Length(*r.Tolerance))),
			"Straighten it cold, or face it within the thickness that is to spare.")}
	case "bolt":
		if !isOff {
			return nil
		}
		return []Finding{r.finding("inspect-bolt", Warn, r.Name+" does not start by hand.", "Find out whether the hole or the flange is off before anything is forced; a bolt that is pulled in holds the flange under strain.")}
	}
	return nil
}

// offTarget is how far a length is off what was wanted, and the tolerance, in mm.
func (r CheckRow) offTarget() (off, within float64) {
	if r.Target == nil || r.Tolerance == nil {
		return 0, 0
	}
	off = float64(*r.Read - *r.Target)
	return max(off, -off), float64(*r.Tolerance) + slack.MM()
}

func (s CheckSpread) findings(rows []CheckRow) []Finding {
	var fs []Finding
	for _, of := range []struct {
		at    string
		value *out
	}{{asTacked, s.Tacked}, {asWelded, s.Welded}} {
		if of.value == nil || s.Limit == nil || float64(*of.value) <= float64(*s.Limit)+slack.MM() {
			continue
		}
		var ids, slots []string
		for _, r := range rows {
			if r.What == "length" && r.At == of.at {
				ids, slots = append(ids, r.On), append(slots, r.Slot)
			}
		}
		fs = append(fs, Finding{Severity: Warn, Rule: "inspect-spread", Where: ids, Slots: slots, Value: of.value, Limit: s.Limit, Unit: "mm", Grade: given,
			Text: fmt.Sprintf("Longest and shortest tube differ by %s, %s; twice the tolerance is %s.", say(units.Length(*of.value)), checked[of.at], say(units.Length(*s.Limit))),
			Help: "Read the longest and the shortest again; then decide whether it stays."})
	}
	return fs
}

func (g GaugeCheck) findings() []Finding {
	add := func(s Severity, rule string, limit out, text, help string) []Finding {
		return []Finding{{Severity: s, Rule: rule, Where: []string{g.A, g.B}, Slots: g.said, Value: g.Stops, Limit: &limit, Unit: "mm", Grade: g.Grade, Text: text, Help: help}}
	}
	when := checked[g.At]
	mm := func(o out) string { return say(units.Length(o)) }
	help := "Move what can be moved, shield it, or change the tube; then try the rods again."
	switch g.Verdict {
	case "too near":
		return add(Stop, "inspect-gap", g.Least, fmt.Sprintf("%s, %s: a rod of %s does not go; at least %s have to stay free.", g.Name, when, mm(*g.Stops), mm(g.Least)), help)
	case "near":
		return add(Warn, "inspect-gap", g.Wanted, fmt.Sprintf("%s, %s: a rod of %s does not go; %s are wanted.", g.Name, when, mm(*g.Stops), mm(g.Wanted)), help)
	case "undecided":
		return add(Note, "inspect-gap", g.Wanted, fmt.Sprintf("%s, %s: these rods do not tell whether %s are free.", g.Name, when, mm(g.Wanted)), "Try a rod of "+mm(*g.Take)+".")
	case "contradiction":
		return add(Warn, "inspect-gap", g.Wanted, fmt.Sprintf("%s, %s: a rod of %s is said to go and one of %s not to.", g.Name, when, mm(*g.Goes), mm(*g.Stops)), "Try both again at the narrowest place.")
	}
	return nil
}

// tipFindings find second points that are too near to tell an aim.
func (in inspector) tipFindings() []Finding {
	var fs []Finding
	for _, c := range in.j.Collectors {
		for _, when := range moments[:2] {
			apart := in.tip(c.ID, when.word)
			if !apart.Known || apart.V+slack >= leastTip {
				continue
			}
			fs = append(fs, Finding{Severity: Note, Rule: "inspect-tip", Where: []string{c.ID}, Slots: axes("collector", c.ID, when.word+"_tip_"), Value: num(apart.V.MM()), Limit: num(leastTip.MM()), Unit: "mm", Grade: ownChoice,
				Text: fmt.Sprintf("%s, %s: the second point lies %s from the first; half a millimetre there is half a degree at %s.", c.Title, checked[when.at], say(apart.V), say(leastTip)),
				Help: "Measure one farther off: the middle of the outlet, or of a tube put into it."})
		}
	}
	return fs
}

func (l LeakCheck) findings() []Finding {
	var fs []Finding
	if l.OK != nil && !*l.OK {
		fs = append(fs, Finding{Severity: Warn, Rule: "inspect-leak", Where: []string{}, Slots: []string{l.Slot}, Grade: given, Text: "The leak test failed.", Help: "Clean the metal about the leak to the bare surface, weld it again with the purge on, and test the whole again."})
	}
	if l.Pressure != nil && l.Unit == "kPa" && float64(*l.Pressure) > weld.LeakLimit {
		fs = append(fs, Finding{Severity: Warn, Rule: "inspect-leak-pressure", Where: []string{}, Slots: []string{Slot("hold", Self, "leak_pressure")}, Value: l.Pressure, Limit: num(weld.LeakLimit), Unit: l.Unit, Grade: seen,
			Text: fmt.Sprintf("A leak test at %g kPa is more than a maker allows a complete system, 1 bar.", float64(*l.Pressure)), Help: "Some 35 kPa (5 psi) show every leak in soapy water."})
	}
	return fs
}
