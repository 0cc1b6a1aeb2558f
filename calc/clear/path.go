package clear

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// farthest is the largest coordinate that is taken, in mm; a car is 5e3 mm long.
// It keeps the digits that the bounds rest on.
const farthest = 1e6

// Path is the centreline of a tube with its OD. The zero value is a path on which
// there is nothing to compare.
type Path struct {
	pieces []piece
	radius float64 // of the tube
	first  float64 // arc length at which the pieces begin; not 0 after Trim
	length float64 // of the whole tube

	ball  geom.Vec // middle of a sphere about all pieces
	reach float64
}

// NewPath returns the path of a tube of the given OD that follows the elements
// from start, 0 ≤ od ≤ 1,000 mm. The errors are those of tube.Walk, and a
// *fault.Field naming the OD or the start when it lies more than 1 km off.
func NewPath(start geom.Frame, elems []tube.Element, od units.Length) (Path, error) {
	if err := fault.Within("OD", od.MM(), 0, widest, "mm"); err != nil {
		return Path{}, err
	}
	walked, err := tube.Walk(start, elems)
	if err != nil {
		return Path{}, err
	}
	if err := placed("Start", walked.End.O, start.O); err != nil {
		return Path{}, err
	}
	pieces := make([]piece, 0, len(elems))
	f, s := start, 0.0
	for i, e := range elems {
		length := e.Length().MM()
		switch b := e.Bend; {
		case !(length > finest): // no place on it that its neighbours do not have
		case b != nil:
			mid := f.Turn(float64(b.Rotation)).Arc(float64(b.Turn)/2, b.Radius.MM())
			pieces = append(pieces, bend(s, mid.Centre(b.Radius.MM()), mid.N.Scale(-1), mid.T, b.Radius.MM(), float64(b.Turn)))
		default:
			pieces = append(pieces, straight(s, f.O, f.T, length))
		}
		s += length
		f = walked.Ends[i]
	}
	return pathOf(pieces, od.MM()/2, 0, s), nil
}

func pathOf(pieces []piece, radius, first, length float64) Path {
	p := Path{pieces: pieces, radius: radius, first: first, length: length}
	if len(pieces) == 0 {
		return p
	}
	low := geom.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high := low.Scale(-1)
	for i := range pieces {
		q := &pieces[i]
		low = geom.Vec{X: min(low.X, q.ball.X-q.reach), Y: min(low.Y, q.ball.Y-q.reach), Z: min(low.Z, q.ball.Z-q.reach)}
		high = geom.Vec{X: max(high.X, q.ball.X+q.reach), Y: max(high.Y, q.ball.Y+q.reach), Z: max(high.Z, q.ball.Z+q.reach)}
	}
	p.ball = low.Add(high).Scale(0.5)
	for i := range pieces {
		p.reach = max(p.reach, norm(pieces[i].ball.Sub(p.ball))+pieces[i].reach)
	}
	return p
}

// Length returns the centreline length of the whole tube, trimmed or not.
func (p Path) Length() units.Length { return units.Length(p.length) }

// Trim returns the path without its first start and its last end mm: mount ends,
// where tubes come together on purpose and the gap rule does not apply. Arc lengths
// still count from the start of the whole tube. Where the ends meet, or one is not
// a number, nothing is left to compare.
func (p Path) Trim(start, end units.Length) Path {
	low, high := max(p.first, start.MM()), p.length-max(0, end.MM())
	pieces := make([]piece, 0, len(p.pieces))
	for i := range p.pieces {
		q := &p.pieces[i]
		last := q.from + 2*q.half
		from, to := max(low, q.from), min(high, last)
		switch mid := q.from + q.half; {
		case !(to > from):
		case from == q.from && to == last:
			pieces = append(pieces, *q)
		default:
			pieces = append(pieces, q.part(from-mid, to-mid))
		}
	}
	return pathOf(pieces, p.radius, low, p.length)
}

// Then returns the path with another of the same tube behind it, whose arc lengths count
// on: it may start a little off the end of this one, where it was measured and not walked.
// Of a trimmed one only what is left follows.
func (p Path) Then(q Path) Path {
	pieces := append([]piece{}, p.pieces...)
	on := p.length - q.first
	for _, k := range q.pieces {
		k.from += on
		pieces = append(pieces, k)
	}
	return pathOf(pieces, p.radius, p.first, on+q.length)
}

// At returns the place on the centreline s mm from the start of the tube; beyond an
// end of the path, that end. It is false for a path with nothing on it.
func (p Path) At(s units.Length) (geom.Vec, bool) {
	if len(p.pieces) == 0 {
		return geom.Vec{}, false
	}
	i := 0
	for i < len(p.pieces)-1 && p.pieces[i+1].from <= s.MM() {
		i++
	}
	q := &p.pieces[i]
	return q.point(within(s.MM()-q.from-q.half, q.half)), true
}

// placed refuses what lies so far off that distances lose their digits.
func placed(name string, points ...geom.Vec) error {
	for _, p := range points {
		if !(math.Abs(p.X) <= farthest && math.Abs(p.Y) <= farthest && math.Abs(p.Z) <= farthest) {
			return fault.Refuse(name, "every coordinate has to be a number from −1,000,000 to 1,000,000 mm")
		}
	}
	return nil
}
