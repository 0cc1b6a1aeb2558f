package route

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tubewright/calc/sorted"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// grids are the steps in which changes are said, in mm and in degrees: what a rule
// and an angle tool can follow, and a tenth of it for tolerances that need it.
var grids = []float64{0.1, 0.01}

// certified returns the changes x of the knobs in set as an answer, in figures that
// can be marked, and walked by tube.Walk. Closes is true only if that walk ends
// within all tolerances.
// The changes as rounded come back beside it.
func (m *model) certified(set []int, x []float64) (Answer, []float64, error) {
	var first Answer
	var said []float64
	for i, grid := range grids {
		r := m.rounded(set, x, grid)
		a, err := m.answer(set, r)
		if err != nil || a.Closes {
			return a, r, err
		}
		if i == 0 {
			first, said = a, r
		}
	}
	return first, said, nil
}

// rounded returns x in steps of grid, held to the bounds.
func (m *model) rounded(set []int, x []float64, grid float64) []float64 {
	out := make([]float64, len(x))
	for i, k := range set {
		knob := &m.knobs[k]
		step := grid
		if knob.what != length {
			step *= float64(units.Degree)
		}
		out[i] = max(knob.lo, min(knob.hi, step*math.Round(x[i]/step)))
	}
	return out
}

// answer is the chain with the changes x of the knobs in set, walked.
func (m *model) answer(set []int, x []float64) (Answer, error) {
	links := slices.Clone(m.links)
	for i, k := range set {
		m.knobs[k].set(links, x[i])
	}
	a := Answer{Changes: m.changes(set, x)}
	for _, c := range a.Changes {
		a.Effort += c.Effort
		if c.Piece < 0 {
			a.Welds++
		}
	}
	was := 0.0
	for _, l := range m.links {
		was += l.length + l.radius*l.turn
	}
	for i, l := range links {
		id := "new"
		if l.piece >= 0 {
			id = m.chain.Pieces[l.piece].Element.ID
		}
		// A link without a change stays as it came, to the last digit.
		e := l.element(id)
		if l == m.links[i] && l.piece >= 0 {
			e = m.chain.Pieces[l.piece].Element
		}
		a.Elems, a.Pieces = append(a.Elems, e), append(a.Pieces, l.piece)
	}
	w, err := tube.Walk(m.start, a.Elems)
	if err != nil {
		return Answer{}, fmt.Errorf("walk changed chain: %w", err)
	}
	a.End = w.End
	a.Length = m.chain.Before + w.Length
	a.Longer = w.Length - units.Length(was)
	o := m.target.of(w.End, a.Length.MM())
	a.Closes = m.target.holds(o)
	a.Miss, a.Aim = units.Length(o.miss), units.Angle(o.aim)
	a.Slip = units.Length(m.target.slipped(o.along))
	return a, nil
}

// changes says what the changes x of the knobs in set are, in order from the start.
func (m *model) changes(set []int, x []float64) []Change {
	var list []Change
	order := upTo(len(set))
	sorted.By(order, func(a, b int) int { return cmp.Compare(m.knobs[set[a]].link, m.knobs[set[b]].link) })
	for _, i := range order {
		knob := &m.knobs[set[i]]
		l := m.links[knob.link]
		if x[i] == 0 || knob.kind == NewBend && knob.what == clock {
			continue // the rotation of a new bend is said with its angle
		}
		c := Change{Kind: knob.kind, Joint: knob.joint, Piece: l.piece, Effort: knob.base + math.Abs(x[i])/knob.unit}
		switch knob.what {
		case clock:
			c.Turn = shortest(units.Angle(x[i]))
			c.Arc = m.chain.OD / 2 * units.Length(c.Turn)
		case angle:
			c.Angle = units.Angle(x[i])
		case length:
			c.Length = units.Length(x[i])
		}
		if knob.kind == NewBend {
			c.Radius = units.Length(l.radius)
			for j, other := range set {
				if o := &m.knobs[other]; o.link == knob.link && o.what == clock {
					c.Turn = shortest(units.Angle(l.rotation + x[j]))
					c.Arc = m.chain.OD / 2 * units.Length(c.Turn)
				}
			}
		}
		list = append(list, c)
	}
	return list
}
