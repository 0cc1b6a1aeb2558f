package job

import (
	"math"
	"slices"
	"strings"

	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Questions are what rules answer, in the order in which they are asked.
var Questions = []string{howWide, howLong, whatBehind, whatElse}

const (
	howWide    = "how wide"
	howLong    = "how long"
	whatBehind = "what behind"
	whatElse   = "what else"
)

// ruleQuestions say by how the id of a rule begins which question it answers; whatElse
// where none does.
var ruleQuestions = []struct{ begins, question string }{
	{"gas-speed", howWide}, {"bore-850", howWide}, {"length-", howLong}, {"wave-", howLong},
	{"split-", whatBehind}, {"bore-", whatBehind}, {"cone", whatBehind}, {"collector-", whatBehind},
}

func questionOf(rule string) string {
	for _, q := range ruleQuestions {
		if strings.HasPrefix(rule, q.begins) {
			return q.question
		}
	}
	return whatElse
}

func sourcePlan(s sizing.Source) SourcePlan { return SourcePlan{s.Text, string(s.Grade)} }

func (s sizer) rules(results []sizing.Result) []RulePlan {
	list := []RulePlan{}
	for _, r := range results {
		p := RulePlan{ID: r.Rule.ID, Name: r.Rule.Name, Question: questionOf(r.Rule.ID), Formula: r.Rule.Formula, Sources: []SourcePlan{}, Grade: string(r.Rule.Grade),
			Start: string(r.Rule.Start), Holds: r.Rule.Holds, Note: r.Rule.Note, Symbols: []SymbolPlan{}, Values: []ValuePlan{}, Open: append([]string{}, r.Open...), Outside: append([]string{}, r.Outside...)}
		for _, src := range r.Rule.Sources {
			p.Sources = append(p.Sources, sourcePlan(src))
		}
		for _, sym := range r.Symbols {
			p.Symbols = append(p.Symbols, s.symbol(sym))
		}
		for _, v := range r.Values {
			p.Values = append(p.Values, ValuePlan{string(v.What), v.Name, out(v.V), out(v.Low), out(v.High), v.Unit, out(v.Book), v.BookUnit, string(v.Start)})
		}
		list = append(list, p)
	}
	return list
}

func (s sizer) symbol(sym sizing.Symbol) SymbolPlan {
	p := SymbolPlan{Letter: sym.Letter, Text: sym.Text, Unit: sym.Unit, Value: numOr(sym.V), Key: string(sym.Key), Rests: []string{}, From: sym.From, Grade: string(sym.Grade), Limits: sym.Limits, Outside: sym.Outside}
	if sym.Key != "" {
		p.Slot = slotOf(sym.Key)
		if _, entered := s.in.Get(sym.Key); entered && s.isDerived(sym.Key) {
			p.From = sizing.Derived
		}
	}
	for _, k := range sym.Rests {
		p.Rests = append(p.Rests, string(k))
	}
	if sym.Limits != "" {
		p.Low, p.High = numOr(sym.Low), numOr(sym.High)
	}
	return p
}

func (s sizer) spreads(results []sizing.Result) []SpreadPlan {
	list := []SpreadPlan{}
	for _, sp := range sizing.Spreads(results, s.in) {
		p := SpreadPlan{What: string(sp.What), Question: whatBehind, Start: string(sp.Start), Unit: sp.Unit, Low: out(sp.Low), High: out(sp.High), From: out(sp.From), To: out(sp.To),
			Marks: []SpreadMark{}, Open: sp.Open, Chosen: mmOf(s.chosen(sp))}
		switch sp.What {
		case sizing.PrimaryBore:
			p.Question = howWide
		case sizing.PrimaryLength:
			p.Question = howLong
		}
		for _, m := range sp.Marks {
			p.Marks = append(p.Marks, SpreadMark{m.Rule, m.Name, out(m.V), out(m.Low), out(m.High), string(m.Grade), m.Moved, m.Outside})
		}
		list = append(list, p)
	}
	return list
}

// chosen is what was decided, on the scale of a spread.
func (s sizer) chosen(sp sizing.Spread) Opt[units.Length] {
	d := s.j.Target.Decided
	id := func(section tube.Section, known bool) Opt[units.Length] {
		return Opt[units.Length]{section.ID(), known}
	}
	switch sp.What {
	case sizing.PrimaryBore:
		return id(d.section())
	case sizing.PrimaryLength:
		return s.j.fromStart(s.j.Target.Length, sp.Start)
	case sizing.FirstLength:
		return d.FirstLength // both from the flange
	case sizing.SecondaryLength:
		return s.secondary()
	case sizing.SecondaryBore:
		return id(tube.Section{OD: d.SecondaryOD.V, Wall: d.SecondaryWall.V}, d.SecondaryOD.Known && d.SecondaryWall.Known)
	case sizing.CollectorLength:
		return d.CollectorLength
	}
	return Opt[units.Length]{}
}

// secondary is what is left of the length behind the first part of a 4-2-1, as the rules
// divide it; not known of another style.
func (s sizer) secondary() Opt[units.Length] {
	first := s.j.Target.Decided.FirstLength
	whole := s.j.fromStart(s.j.Target.Length, sizing.Flange)
	known := s.j.Target.Style == "4-2-1" && first.Known && whole.Known && whole.V > first.V
	return Opt[units.Length]{whole.V - first.V, known}
}

// tradeWalls are the walls that header tube is mostly sold in, and tradeLeast and
// tradeMost the ends of its ODs, in steps of 1/8 in. Common practice, no source.
var tradeWalls = []units.Length{0.049 * units.Inch, 0.065 * units.Inch}

const (
	tradeLeast = 1.25 * units.Inch
	tradeMost  = 3 * units.Inch
	tradeStep  = units.Inch / 8
)

// sections are the sizes of tube in stock, then those that are sold anyway, each once.
func (s sizer) sections() (list []tube.Section) {
	add := func(n tube.Section) {
		if n.Check() == nil && !slices.ContainsFunc(list, func(o tube.Section) bool { return isSame(o, n) }) {
			list = append(list, n)
		}
	}
	for _, item := range s.j.Stock {
		if item.OD.Known && item.Wall.Known {
			add(tube.Section{OD: item.OD.V, Wall: item.Wall.V})
		}
	}
	for i := range int(math.Round(float64((tradeMost-tradeLeast)/tradeStep))) + 1 {
		for _, wall := range tradeWalls {
			add(tube.Section{OD: tradeLeast + units.Length(i)*tradeStep, Wall: wall})
		}
	}
	return list
}

// isSame tells whether two sizes are nominally the same.
func isSame(a, b tube.Section) bool {
	return math.Abs((a.OD-b.OD).MM()) <= sameSize.MM() && math.Abs((a.Wall-b.Wall).MM()) <= sameSize.MM()
}

// isInStock tells whether there is stock of a size, whatever its material.
func (j Job) isInStock(n tube.Section) bool {
	return slices.ContainsFunc(j.Stock, func(s Stock) bool {
		return s.OD.Known && s.Wall.Known && isSame(tube.Section{OD: s.OD.V, Wall: s.Wall.V}, n)
	})
}

func (s sizer) sizes(results []sizing.Result) []SizePlan {
	list := []SizePlan{}
	near, err := sizing.Near(results, s.in, s.sections())
	if err != nil {
		return list // all were checked
	}
	decided, known := s.j.Target.Decided.section()
	for _, c := range near {
		p := SizePlan{OD: out(c.Section.OD), Wall: out(c.Section.Wall), ID: out(c.ID), Area: out(c.Area), SpeedAtTorque: numOr(c.SpeedAtTorque), SpeedAtPower: numOr(c.SpeedAtPower),
			Peak: numOr(c.Peak), PeakLow: numOr(c.PeakLow), PeakHigh: numOr(c.PeakHigh), Against: []AgainstPlan{}, Within: c.Within,
			InStock: s.j.isInStock(c.Section), Chosen: known && isSame(decided, c.Section)}
		for _, a := range c.Against {
			p.Against = append(p.Against, AgainstPlan{a.Rule, out(a.Off), out(a.Percent)})
		}
		list = append(list, p)
	}
	return list
}

// gives is what a rule says to a question, counted from where start says; not known where
// it says nothing, or where the port's length is wanted and not known.
func (s sizer) gives(results []sizing.Result, rule string, what sizing.What, start sizing.Start) (got Opt[units.Length]) {
	for _, r := range results {
		if r.Rule.ID != rule {
			continue
		}
		for _, v := range r.Values {
			if v.What != what {
				continue
			}
			if v.Start == start {
				return Opt[units.Length]{units.Length(v.V), true}
			}
			port := s.j.Engine.ValveToFace
			if start == sizing.Flange {
				port.V = -port.V
			}
			got = Opt[units.Length]{units.Length(v.V) + port.V, port.Known}
		}
	}
	return got
}

func (s sizer) decision(results []sizing.Result) DecisionPlan {
	t, d := s.j.Target, s.j.Target.Decided
	p := DecisionPlan{Missing: []string{}, OD: mmOf(d.OD), Wall: mmOf(d.Wall), Length: mmOf(t.Length), From: t.From, Tolerance: mmOf(t.Tolerance), Style: t.Style,
		OutletOD: mmOf(d.OutletOD), CollectorLength: mmOf(d.CollectorLength), FirstLength: mmOf(d.FirstLength), SecondaryOD: mmOf(d.SecondaryOD), SecondaryWall: mmOf(d.SecondaryWall),
		LengthBy: d.LengthBy, BoreBy: d.BoreBy, LengthRuleGave: mmOf(d.LengthGave), BoreRuleGave: mmOf(d.BoreGave),
		LengthRuleGives: mmOf(s.gives(results, d.LengthBy, sizing.PrimaryLength, sizing.Start(t.From))), BoreRuleGives: mmOf(s.gives(results, d.BoreBy, sizing.PrimaryBore, "")),
		Reason: d.Reason, By: d.By, At: d.At}
	if section, known := d.section(); known {
		p.ID = num(section.ID().MM())
	}
	for _, name := range t.missing() {
		p.Missing = append(p.Missing, fieldOf("target", name).Label)
	}
	p.Decided = len(p.Missing) == 0
	return p
}
