package job

import (
	"slices"
)

// vary works the inspection out again for every other reading in dispute, one slot at a
// time with all others as in use, and notes what comes of it.
func (in inspector) vary(p *InspectionPlan, facts Facts, disputed []string, step func(done float64) bool) {
	base := InspectionPlan{Rows: slices.Clone(p.Rows), Gauges: slices.Clone(p.Gauges), Spread: p.Spread}
	for n, slot := range disputed {
		if step != nil && !step(float64(n)/float64(len(disputed))) {
			return
		}
		others, settled := alternatives(slot, in.folded.Slots[slot], facts.Values[slot])
		for _, v := range others {
			p.differ(base, in.with(slot, facts.with(slot, v)), slot)
		}
		if !settled {
			p.differ(base, in.with(slot, facts.without(slot)), slot)
		}
	}
	for i := range p.Rows {
		p.Rows[i].Readings = in.readings(facts, p.Rows[i].said, p.Rows[i].Disputed)
	}
	for i := range p.Gauges {
		p.Gauges[i].Readings = in.readings(facts, p.Gauges[i].said, p.Gauges[i].Disputed)
	}
}

// with is the inspection with other facts. What is read there changes no plan.
func (in inspector) with(slot string, facts Facts) InspectionPlan {
	other := inspector{f: facts.usable(), j: in.j, p: in.p}
	if !isRead(slot) {
		other.j = facts.job()
		other.p = NewPlan(other.j)
	}
	return other.plan()
}

// readings are those that differ, of the slots that a row was read at.
func (in inspector) readings(facts Facts, said, disputed []string) []CheckReading {
	list := []CheckReading{}
	for _, slot := range said {
		if !slices.Contains(disputed, slot) {
			continue
		}
		for _, h := range in.folded.Slots[slot].Heads {
			list = append(list, CheckReading{Text: facts.sayReading(slot, h), Slot: slot, By: h.Person, When: h.At, With: h.Tool})
		}
	}
	return list
}

// differ notes what another reading of a slot makes of each row.
func (p *InspectionPlan) differ(base, other InspectionPlan, slot string) {
	for i, was := range base.Rows {
		r := &p.Rows[i]
		n := slices.IndexFunc(other.Rows, func(o CheckRow) bool { return o.What == r.What && o.On == r.On && o.At == r.At })
		if n < 0 {
			r.note(slot)
			r.OK = nil
			continue
		}
		o := other.Rows[n]
		if same(r.Read, o.Read) && same(r.Planned, o.Planned) && same(r.Tolerance, o.Tolerance) && agreed(was.OK, o.OK) {
			continue
		}
		r.note(slot)
		r.Low, r.High = span(r.Low, r.High, r.Off, o.Off)
		if !agreed(was.OK, o.OK) {
			r.OK = nil
		}
	}
	for i, was := range base.Gauges {
		g := &p.Gauges[i]
		n := slices.IndexFunc(other.Gauges, func(o GaugeCheck) bool { return o.ID == g.ID })
		if n < 0 {
			g.note(slot)
			g.OK = nil
			continue
		}
		o := other.Gauges[n]
		if !agreed(was.OK, o.OK) || !same(g.Goes, o.Goes) || !same(g.Stops, o.Stops) || !same(g.Planned, o.Planned) {
			g.note(slot)
		}
		if !agreed(was.OK, o.OK) {
			g.OK = nil
		}
	}
	s, o := &p.Spread, other.Spread
	if !same(s.Tacked, o.Tacked) || !same(s.Welded, o.Welded) {
		s.Disputed = append(s.Disputed, slot)
	}
	if !same(s.Tacked, o.Tacked) {
		s.TackedLow, s.TackedHigh = span(s.TackedLow, s.TackedHigh, s.Tacked, o.Tacked)
	}
	if !same(s.Welded, o.Welded) {
		s.WeldedLow, s.WeldedHigh = span(s.WeldedLow, s.WeldedHigh, s.Welded, o.Welded)
	}
}

func (d *checkDispute) note(slot string) {
	if !slices.Contains(d.Disputed, slot) {
		d.Disputed = append(d.Disputed, slot)
	}
}

// same tells whether two figures are printed alike.
func same(a, b *out) bool {
	if a == nil || b == nil {
		return a == b
	}
	return round6(*a) == round6(*b)
}

func round6(o out) string {
	b, _ := o.MarshalJSON() // never fails
	return string(b)
}

func agreed(a, b *bool) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// span widens low to high by two figures, of which either may be null.
func span(low, high, a, b *out) (*out, *out) {
	for _, v := range []*out{a, b} {
		if v == nil {
			continue
		}
		if low == nil || *v < *low {
			low = num(float64(*v))
		}
		if high == nil || *v > *high {
			high = num(float64(*v))
		}
	}
	return low, high
}
