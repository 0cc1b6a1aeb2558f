package tube

import (
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// splitOver is the turn above which a bend is written as two halves: up to there
// points rounded to 0.01 mm give straights to 0.019 mm, own calculation; see the
// package comment. The hair, a tenth of the last digit that can be typed, keeps
// rounding from joining two bends of 75°.
const splitOver = 150*units.Degree + 1e-9

// XYZ returns the intersection points of bender data that starts at start: the
// start, the corner of every bend, the end. A bend over 150° has two corners,
// those of its halves. Rows are taken as Check accepts them.
//
// It is a view for reading and for machines that want it; the inverse is
// FromPoints with Radii and start.N.
func XYZ(start geom.Frame, l LRA) []geom.Vec {
	pts := make([]geom.Vec, 1, len(l.Rows)+2)
	pts[0] = start.O
	f := start
	for _, r := range l.Rows {
		f = f.Straight(r.Length.MM()).Turn(float64(r.Rotation))
		for _, half := range r.halves() {
			pts = append(pts, f.Straight(half.setback().MM()).O)
			f = f.Arc(float64(half.Turn), half.Radius.MM())
		}
	}
	return append(pts, f.Straight(l.Last.MM()).O)
}

// Radii returns the CLR at every point of XYZ but the first and the last.
func (l LRA) Radii() []units.Length {
	clr := make([]units.Length, 0, len(l.Rows))
	for _, r := range l.Rows {
		for _, half := range r.halves() {
			clr = append(clr, half.Radius)
		}
	}
	return clr
}

// halves returns the bend whole, or as two that go on in the same plane. Their
// rotation is not used: the row's was done before.
func (r Row) halves() []Bend {
	b := r.Bend()
	if b.Turn <= splitOver {
		return []Bend{b}
	}
	b.Turn /= 2
	return []Bend{b, b}
}

// joined puts halves together again: two rows without straight or rotation
// between them, with the same CLR and turn, that make more than 150° and no more
// than 180°.
func (l LRA) joined() LRA {
	rows := l.Rows[:0]
	for i := 0; i < len(l.Rows); i++ {
		r := l.Rows[i]
		if i+1 < len(l.Rows) && areHalves(r, l.Rows[i+1]) {
			r.Turn = min(r.Turn+l.Rows[i+1].Turn, 180*units.Degree)
			i++
		}
		rows = append(rows, r)
	}
	return LRA{rows, l.Last}
}

func areHalves(a, b Row) bool {
	whole := a.Turn + b.Turn
	return a.Radius == b.Radius &&
		abs(b.Length) < roundLength && abs(b.Rotation) < roundAngle && abs(a.Turn-b.Turn) < roundAngle &&
		whole > splitOver && whole < 180*units.Degree+roundAngle
}

func abs[T ~float64](x T) T { return max(x, -x) }
