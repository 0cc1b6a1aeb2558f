package tube

import (
	"strconv"

	"tubewright/calc/units"
)

// Row is one line of bender data: the straight before a bend, and the bend.
type Row struct {
	Length   units.Length // straight before the bend, ≥ 0
	Rotation units.Angle  // see the package comment
	Turn     units.Angle
	Radius   units.Length
}

// Bend returns the bend of the row.
func (r Row) Bend() Bend { return Bend{Turn: r.Turn, Radius: r.Radius, Rotation: r.Rotation} }

// LRA is a tube as bender data: length, rotation, angle, and the last straight.
type LRA struct {
	Rows []Row
	Last units.Length
}

// ToLRA returns elements as bender data. Straights in a row add up; between two
// bends in a row the straight is 0. It does not check; see Check.
func ToLRA(elems []Element) LRA {
	var l LRA
	for _, e := range elems {
		if e.Bend == nil {
			l.Last += e.Straight
			continue
		}
		l.Rows = append(l.Rows, Row{l.Last, e.Bend.Rotation, e.Bend.Turn, e.Bend.Radius})
		l.Last = 0
	}
	return l
}

// Elements returns bender data as elements, named s1, b1, s2, b2 … after their
// row. A straight of 0 gives no element.
func (l LRA) Elements() []Element {
	var elems []Element
	straight := func(n int, length units.Length) {
		if length != 0 {
			elems = append(elems, Element{ID: "s" + strconv.Itoa(n), Straight: length})
		}
	}
	for i, r := range l.Rows {
		straight(i+1, r.Length)
		b := r.Bend()
		elems = append(elems, Element{ID: "b" + strconv.Itoa(i+1), Bend: &b})
	}
	straight(len(l.Rows)+1, l.Last)
	return elems
}

// Length returns the centreline length, Σ straight + Σ R·θ + last.
func (l LRA) Length() units.Length {
	sum := l.Last
	for _, r := range l.Rows {
		sum += r.Length + r.Bend().arc(0)
	}
	return sum
}
