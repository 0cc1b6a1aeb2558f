package sizing

import (
	"math"

	"tubewright/calc/sorted"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Spread is what several rules say to the same question, on one scale.
type Spread struct {
	What      What
	Start     Start // all lengths of it are counted from here
	Unit      string
	Low, High float64 // of the values
	From, To  float64 // of the values with their bands
	Marks     []Mark
	Open      string // why values are not in it; empty where all are
}

// Mark is one value of a spread.
type Mark struct {
	Rule, Name   string // id of the rule, and which of its values
	V, Low, High float64
	Grade        Grade
	Moved        bool // counted from elsewhere by the rule, and moved by the port's length
	Outside      bool // the rule is not meant for this engine
}

// Spreads puts the values of rules beside each other: bores, and primary lengths once
// from the flange and once from the valve. A length that its rule counts from the other
// place is moved by the length of the port; where that is not known it is left out, and
// Open says so.
func Spreads(results []Result, in Inputs) []Spread {
	port, known := in.usable(ValveToFace)
	list := []Spread{}
	for _, q := range []struct {
		what  What
		start Start
	}{
		{PrimaryBore, ""}, {PrimaryLength, Flange}, {PrimaryLength, Valve}, {FirstLength, Flange}, {SecondaryLength, Joint},
		{SecondaryBore, ""}, {TailBore, ""}, {ConeLength, Joint}, {CollectorLength, Joint},
	} {
		s := Spread{What: q.what, Start: q.start, Unit: "mm", Low: math.Inf(1), High: math.Inf(-1), From: math.Inf(1), To: math.Inf(-1)}
		for _, r := range results {
			for _, v := range asked(r, q.what, q.start) {
				m := Mark{Rule: r.Rule.ID, Name: v.Name, V: v.V, Low: v.Low, High: v.High, Grade: r.Rule.Grade, Outside: len(r.Outside) > 0}
				if v.Start != q.start {
					if !known {
						s.Open = FieldOf(ValveToFace).Label + " is not known: lengths that are counted from the " + string(v.Start) + " are left out"
						continue
					}
					by := port
					if q.start == Flange {
						by = -port
					}
					m.V, m.Low, m.High, m.Moved = m.V+by, m.Low+by, m.High+by, true
				}
				s.Low, s.High = min(s.Low, m.V), max(s.High, m.V)
				s.From, s.To = min(s.From, m.Low), max(s.To, m.High)
				s.Marks = append(s.Marks, m)
			}
		}
		if len(s.Marks) > 0 {
			list = append(list, s)
		}
	}
	return list
}

// asked returns what a rule says to a question: what it counts from there itself, else
// what it counts from elsewhere.
func asked(r Result, what What, start Start) []Value {
	var here, elsewhere []Value
	for _, v := range r.Values {
		switch {
		case v.What != what:
		case v.Start == start:
			here = append(here, v)
		default:
			elsewhere = append(elsewhere, v)
		}
	}
	if len(here) > 0 {
		return here
	}
	return elsewhere
}

// Candidate is a size of tube that can be bought, and what the rules say to it.
type Candidate struct {
	Section           tube.Section
	ID                units.Length
	Area              float64 // mm²
	SpeedAtTorque     float64 // mean gas speed in m/s; NaN where displacement or rpm are open
	SpeedAtPower      float64
	Peak              float64 // rpm of peak torque by the wanted gas speed; NaN where displacement is open
	PeakLow, PeakHigh float64 // by the slowest and the fastest that sources span
	Against           []Against
	Within            bool // its ID lies within the bands of all rules together
}

// Against is a size held against one rule.
type Against struct {
	Rule    string
	Off     units.Length // ID less the rule's
	Percent float64
}

// nearBy is how far, in mm, from the rules' bores a size may lie to be looked at: a step
// of 1/8 in, in which tube is sold.
const nearBy = 25.4 / 8

// Near returns the sizes near the bores that the rules give, by OD and wall, each once;
// where there are none, the nearest smaller and the nearest larger one. Without a bore by
// any rule there are none. The error is joined *fault.Field, of sections that are none.
func Near(results []Result, in Inputs, sizes []tube.Section) ([]Candidate, error) {
	for _, s := range sizes {
		if err := s.Check(); err != nil {
			return nil, err
		}
	}
	var spread *Spread
	for _, s := range Spreads(results, in) {
		if s.What == PrimaryBore {
			spread = &s
		}
	}
	if spread == nil {
		return nil, nil
	}
	var list []Candidate
	for _, s := range pick(sizes, spread.From, spread.To) {
		list = append(list, candidate(s, results, in, *spread))
	}
	return list, nil
}

// pick returns the sizes near a range of IDs.
func pick(sizes []tube.Section, from, to float64) []tube.Section {
	order := append([]tube.Section(nil), sizes...)
	sorted.By(order, func(a, b tube.Section) int {
		switch {
		case a.OD < b.OD || a.OD == b.OD && a.Wall < b.Wall:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	var near, ends []tube.Section
	var below, above *tube.Section
	for i, s := range order {
		id := s.ID().MM()
		switch {
		case i > 0 && s == order[i-1]:
		case id < from-nearBy:
			if below == nil || id > below.ID().MM() {
				below = &order[i]
			}
		case id > to+nearBy:
			if above == nil || id < above.ID().MM() {
				above = &order[i]
			}
		default:
			near = append(near, s)
		}
	}
	if len(near) > 0 {
		return near
	}
	for _, s := range []*tube.Section{below, above} {
		if s != nil {
			ends = append(ends, *s)
		}
	}
	return ends
}

func candidate(s tube.Section, results []Result, in Inputs, spread Spread) Candidate {
	in.SetLength(ChosenBore, s.ID())
	b := bench{in: in}
	c := Candidate{Section: s, ID: s.ID(), Area: s.Bore()}
	c.Within = c.ID.MM() >= spread.From && c.ID.MM() <= spread.To
	speed := func(k Key) float64 { return b.swept() * b.input(k) / (30 * c.Area) / 1000 }
	c.SpeedAtTorque, c.SpeedAtPower = speed(TorqueRPM), speed(PowerRPM)
	peak := func(v float64) float64 { return v * 30 * c.Area * 1000 / b.swept() }
	wanted := FieldOf(FlowSpeed).Usual
	if v, ok := in.usable(FlowSpeed); ok {
		wanted = v
	}
	c.Peak = peak(wanted)
	c.PeakLow, c.PeakHigh = min(c.Peak, peak(GasSpeedFamily[0])), max(c.Peak, peak(GasSpeedFamily[1]))
	for _, r := range results {
		if v, ok := r.Value(PrimaryBore); ok {
			off := c.ID.MM() - v.V
			c.Against = append(c.Against, Against{r.Rule.ID, units.Length(off), 100 * off / v.V})
		}
	}
	return c
}
