package job

import (
	"fmt"
	"math"

	"tubewright/calc/units"
)

const (
	// tightestCLR is CLR/OD of the tightest mandrel bends in stock: 2.0 in on
	// 1.75 in tube. Computed from stock sizes; common practice, no source.
	tightestCLR = 1.14
	// firstStraight is the least straight between flange and first bend that
	// leaves room for bolt head, socket and torch: 1 in. From memory.
	firstStraight = units.Inch
	// smallTurn is the turn under which the rotation of a bend no longer tells
	// much: with points rounded to 0.01 mm a 1° bend's rotation is uncertain by
	// about 0.9°, a 10° bend's by 0.08° (own computation).
	smallTurn = 3 * units.Degree
)

// tubeFindings looks at one tube; name is how people call it.
func tubeFindings(j Job, t Tube, p TubePlan, name string) []Finding {
	var fs []Finding
	add := func(f Finding) {
		f.Where = []string{t.ID}
		fs = append(fs, f)
	}
	if len(t.Path) == 0 {
		add(Finding{Severity: Stop, Rule: "path-empty", Slots: []string{}, Grade: fromGeometry,
			Text: name + " has no path yet.", Help: "Add its straights and bends, from the port on."})
		return fs
	}
	if len(t.Open) > 0 {
		add(Finding{Severity: Stop, Rule: "path-open", Slots: t.Open, Value: num(float64(len(t.Open))), Limit: num(0), Grade: fromGeometry,
			Text: fmt.Sprintf("%s cannot be worked out yet: %s missing or cannot be used.", name, count(len(t.Open), "value of its path is", "values of its path are")),
			Help: "Enter what is marked with an empty ring."})
		return fs
	}
	if _, known := t.Section(); !known {
		add(Finding{Severity: Stop, Rule: "section-open", Slots: []string{Slot("tube", t.ID, "od"), Slot("tube", t.ID, "wall")}, Grade: fromGeometry,
			Text: name + " has no cut list yet: its OD or wall is missing.", Help: "Enter OD and wall, as decimals."})
	}
	if p.End == nil {
		add(Finding{Severity: Stop, Rule: "start-open", Slots: []string{Slot("tube", t.ID, "port")}, Grade: fromGeometry,
			Text: name + " has a length but no place: its port, the port's centre or its aim is missing.", Help: "Name the port and measure its centre."})
	}
	for _, f := range bendFindings(t, name) {
		add(f)
	}
	if f, found := lengthFinding(j, p, name); found {
		add(f)
	}
	return fs
}

func bendFindings(t Tube, name string) []Finding {
	var fs []Finding
	var before units.Length
	bends := 0
	for _, el := range t.Path {
		if el.Bend == nil {
			before += el.Straight
			continue
		}
		bends++
		b := *el.Bend
		bend := fmt.Sprintf("%s, bend %d", name, bends)
		if bends == 1 && before < firstStraight {
			fs = append(fs, Finding{Severity: Note, Rule: "first-straight", Slots: []string{Slot("element", el.ID, "type")}, Value: num(before.MM()), Limit: num(firstStraight.MM()), Unit: "mm", Grade: memory,
				Text: fmt.Sprintf("%s starts %s from the port face; bolt head, socket and torch usually want %s.", bend, say(before), say(firstStraight)),
				Help: "Try the socket and the torch before tacking, or lengthen the first straight."})
		}
		if t.OD.Known && b.Radius < tightestCLR*t.OD.V-slack {
			fs = append(fs, Finding{Severity: Warn, Rule: "tight-clr", Slots: []string{Slot("element", el.ID, "clr")}, Value: num(b.Radius.MM()), Limit: num(tightestCLR * t.OD.V.MM()), Unit: "mm", Grade: practice,
				Text: fmt.Sprintf("%s: CLR %s is %.2f times the OD; the tightest stock bends have %.2f.", bend, say(b.Radius), float64(b.Radius/t.OD.V), tightestCLR),
				Help: "Look whether such a bend can be bought before the tube is laid out on it."})
		}
		if b.Turn < smallTurn {
			fs = append(fs, Finding{Severity: Warn, Rule: "small-turn", Slots: []string{Slot("element", el.ID, "turn")}, Value: num(b.Turn.Deg()), Limit: num(smallTurn.Deg()), Unit: "°", Grade: ownChoice,
				Text: fmt.Sprintf("%s turns only %.1f°, so its rotation can hardly be marked or checked.", bend, b.Turn.Deg()),
				Help: "Leave it out and turn the neighbouring bends a little more, if the end allows."})
		}
	}
	return fs
}

// lengthFinding compares a tube with the target.
func lengthFinding(j Job, p TubePlan, name string) (Finding, bool) {
	if p.From == "valve" && !j.Engine.ValveToFace.Known && p.Target != nil {
		return Finding{Severity: Stop, Rule: "length-start", Slots: []string{Slot("engine", Self, "valve_to_face")}, Grade: given,
			Text: name + " cannot be compared with the target: the target counts from the valve, and the distance from valve to port face is missing.",
			Help: "Measure it along the middle of the port, or count the target from the flange."}, true
	}
	wanted, _, field := j.Target.primary()
	tol := j.Target.Tolerance
	if p.Deviation == nil || !tol.Known || math.Abs(float64(*p.Deviation)) <= (tol.V+slack).MM() {
		return Finding{}, false
	}
	long := "long"
	if *p.Deviation < 0 {
		long = "short"
	}
	return Finding{Severity: Warn, Rule: "length-tolerance", Slots: []string{Slot("target", Self, field), Slot("target", Self, "tolerance")},
		Value: p.Deviation, Limit: num(tol.V.MM()), Unit: "mm", Grade: given,
		Text: fmt.Sprintf("%s is %s too %s: %s from the %s, wanted %s ± %s.", name, say(units.Length(math.Abs(float64(*p.Deviation)))), long,
			say(units.Length(*p.Length)), p.From, say(wanted.V), say(tol.V)),
		Help: "Change a straight that moves the end least where it must not move."}, true
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
