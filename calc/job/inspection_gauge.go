package job

import (
	"slices"

	"tubewright/calc/units"
)

// gaugedBelow is by how much more air than is wanted a gap may have as planned and still
// be asked for with rods: half an inch, from rod to rod on the way to it. Own choice.
const gaugedBelow = 0.5 * units.Inch

// gauges are the gaps that were tried with rods, and those that should be.
func (in inspector) gauges(p *InspectionPlan) {
	for _, e := range in.f.Lists["gauge"] {
		if g, ok := in.gauge(e.ID); ok {
			p.Gauges = append(p.Gauges, g)
		}
	}
	inOrder(p.Gauges, func(g GaugeCheck) string { return g.At })
	for _, g := range in.p.Gaps {
		if g.A == g.B || g.rule == bundleGap.rule || float64(g.Gap) > float64(g.Wanted)+gaugedBelow.MM() {
			continue
		}
		if !slices.ContainsFunc(p.Gauges, func(c GaugeCheck) bool { return c.At == asFitted && c.Verdict != "open" && c.isOf(g.A, g.B) }) {
			p.Open = append(p.Open, OpenCheck{What: "gap", On: g.A, To: g.B, Name: in.pair(g.A, g.B), At: asFitted, Label: "Gap, by rods"})
		}
	}
}

func (g GaugeCheck) isOf(a, b string) bool { return g.A == a && g.B == b || g.A == b && g.B == a }

// gauge judges one gap; ok is false until it is known between what and when it was tried.
func (in inspector) gauge(id string) (g GaugeCheck, ok bool) {
	const kind = "gauge"
	f := in.f
	g = GaugeCheck{ID: id, A: f.word(kind, id, "a"), B: f.word(kind, id, "b")}
	for _, m := range moments {
		if m.word == f.word(kind, id, "at") {
			g.At = m.at
		}
	}
	if g.A == "" || g.B == "" || g.At == "" || g.A == g.B {
		return g, false
	}
	rule, known := in.ruleOf(g.A, g.B)
	if !known {
		return g, false
	}
	goes, stops := f.length(kind, id, "goes"), f.length(kind, id, "stops")
	g.Name = in.pair(g.A, g.B)
	g.Goes, g.Stops = mmOf(goes), mmOf(stops)
	g.Least, g.Wanted, g.Grade = out(rule.least.MM()), out(rule.wanted.MM()), rule.grade
	g.Slot = Slot(kind, id, "goes")
	g.said = []string{Slot(kind, id, "goes"), Slot(kind, id, "stops")}
	g.Disputed, g.Readings = []string{}, []CheckReading{}
	g.By, g.When, g.With = in.said(g.said)
	g.judge(goes, stops, rule)
	for _, planned := range in.p.Gaps {
		if g.isOf(planned.A, planned.B) && planned.rule != bundleGap.rule {
			g.Planned, g.Worst = num(float64(planned.Gap)), planned.WorstCase
			if g.Verdict != "contradiction" && g.Verdict != "open" {
				g.Off = num(outside(float64(planned.Gap), goes, stops))
			}
		}
	}
	return g, true
}

// judge says what the rods tell: the gap is at least what goes and less than what stops.
func (g *GaugeCheck) judge(goes, stops Opt[units.Length], rule gapRule) {
	g.Verdict = "open"
	switch {
	case !goes.Known && !stops.Known:
	case goes.Known && stops.Known && stops.V <= goes.V:
		g.Verdict = "contradiction"
	case goes.Known && goes.V+slack >= rule.wanted:
		g.Verdict, g.OK = "ok", yes(true)
	case stops.Known && stops.V <= rule.least+slack && rule.least > 0:
		g.Verdict, g.OK = "too near", yes(false)
	case stops.Known && stops.V <= rule.wanted+slack:
		g.Verdict, g.OK = "near", yes(false)
	default:
		g.Verdict, g.Take = "undecided", num(rule.wanted.MM())
	}
}

// outside is what has to be added to a planned gap, in mm, so that it agrees with the rods:
// below 0 where there is less room than planned.
func outside(planned float64, goes, stops Opt[units.Length]) float64 {
	switch {
	case goes.Known && planned < goes.V.MM():
		return goes.V.MM() - planned
	case stops.Known && planned > stops.V.MM():
		return stops.V.MM() - planned
	}
	return 0
}

// ruleOf is what is wanted between two things.
func (in inspector) ruleOf(a, b string) (gapRule, bool) {
	isTube := func(id string) bool { return in.f.has("tube", id) }
	for _, n := range in.j.Neighbours {
		if n.ID == b || n.ID == a {
			return gapRuleOf(n), isTube(a) || isTube(b)
		}
	}
	return tubeGap.wanting(in.j.Target.Gap), isTube(a) && isTube(b)
}

// pair is how people call what lies on both sides of a gap.
func (in inspector) pair(a, b string) string { return in.named(a) + " to " + lower(in.named(b)) }

func (in inspector) named(id string) string {
	for _, kind := range []string{"tube", "neighbour"} {
		if in.f.has(kind, id) {
			if name := in.f.Notes[Slot(kind, id, "name")]; name != "" {
				return name
			}
			return in.f.title(kind, id)
		}
	}
	return id
}
