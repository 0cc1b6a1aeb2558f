package draw

import "math"

// Box is an upright rectangle in mm.
type Box struct{ Min, Max [2]float64 }

// Empty returns the box about nothing.
func Empty() Box {
	inf := math.Inf(1)
	return Box{[2]float64{inf, inf}, [2]float64{-inf, -inf}}
}

// IsEmpty reports whether there is nothing in the box.
func (b Box) IsEmpty() bool { return !(b.Min[0] <= b.Max[0] && b.Min[1] <= b.Max[1]) }

// With returns the smallest box about b and the point p.
func (b Box) With(p [2]float64) Box { return b.And(Box{p, p}) }

// And returns the smallest box about both.
func (b Box) And(c Box) Box {
	for i := range 2 {
		b.Min[i], b.Max[i] = min(b.Min[i], c.Min[i]), max(b.Max[i], c.Max[i])
	}
	return b
}

// Grown returns the box with m mm more on every side.
func (b Box) Grown(m float64) Box {
	return Box{shift(b.Min, -m, -m), shift(b.Max, m, m)}
}

// Width returns the size along x in mm, 0 when empty.
func (b Box) Width() float64 { return max(0, b.Max[0]-b.Min[0]) }

// Height returns the size along y in mm, 0 when empty.
func (b Box) Height() float64 { return max(0, b.Max[1]-b.Min[1]) }
