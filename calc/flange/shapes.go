package flange

import (
	"math"

	"tubewright/calc/geom"
)

// shape is a kind of outline with so many sizes, about the origin.
type shape struct {
	name  string
	sizes int
	turns bool // turning it makes a difference
	// Sizes go by value: a slice of them would be on the heap for every point asked.
	// off returns the signed distance of q, outside positive, the unit direction out
	// of the outline at the place nearest to q, and by how much the distance grows
	// with each size.
	off func(size [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64)
	// limits returns the smallest and largest value of a size, given the others.
	limits  func(size [3]float64, i int) (low, high float64)
	outline func(size [3]float64) (geom.Outline, error)
}

// maxParameters is the most that a shape has.
const maxParameters = 6

// leastSize is the smallest size that a fit tries, in mm.
const leastSize = 0.5

// shapeKinds are the shapes, the fewest parameters first.
var shapeKinds = []shape{
	{name: "round", sizes: 1, off: offRound, limits: anySize,
		outline: func(s [3]float64) (geom.Outline, error) { return geom.Round(s[0]) }},
	{name: "stadium", sizes: 2, turns: true, off: offStadium, limits: anySize,
		outline: func(s [3]float64) (geom.Outline, error) { return geom.Stadium(s[0], s[1]) }},
	{name: "oval", sizes: 2, turns: true, off: offOval, limits: anySize,
		outline: func(s [3]float64) (geom.Outline, error) { return geom.Oval(s[0], s[1]) }},
	{name: "rectangle", sizes: 3, turns: true, off: offRectangle, limits: cornerSize,
		outline: func(s [3]float64) (geom.Outline, error) { return geom.Rectangle(s[0], s[1], s[2]) }},
	{name: "d", sizes: 3, turns: true, off: offD, limits: dSize,
		outline: func(s [3]float64) (geom.Outline, error) { return geom.D(s[0], s[1], s[2]) }},
}

// parameters is how many numbers say which outline it is, centre and turn among
// them.
func (p shape) parameters() int {
	if p.turns {
		return p.sizes + 3
	}
	return p.sizes + 2
}

func anySize([3]float64, int) (low, high float64) { return leastSize, 1e6 }

func cornerSize(s [3]float64, i int) (low, high float64) {
	if i == 2 {
		return 0, min(s[0], s[1]) / 2
	}
	return max(leastSize, 2*s[2]), 1e6
}

// dSize keeps the flat within the circle, by 1 % of its radius, and the fillets
// within arc and flat.
func dSize(s [3]float64, i int) (low, high float64) {
	switch i {
	case 0:
		return max(leastSize, math.Abs(s[1])/0.99, 2*s[2]-s[1]), 1e6
	case 1:
		return max(-0.99*s[0], 2*s[2]-s[0]), 0.99 * s[0]
	}
	return 0, (s[0] + s[1]) / 2
}

func offRound(s [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64) {
	l := math.Hypot(q[0], q[1])
	if l == 0 {
		return -s[0] / 2, [2]float64{1, 0}, [3]float64{-0.5}
	}
	return l - s[0]/2, [2]float64{q[0] / l, q[1] / l}, [3]float64{-0.5}
}

// offStadium is a rectangle whose corner goes with the shorter side.
func offStadium(s [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64) {
	r, n, by = offRectangle([3]float64{s[0], s[1], min(s[0], s[1]) / 2}, q)
	if s[0] < s[1] {
		by[0] += by[2] / 2
	} else {
		by[1] += by[2] / 2
	}
	by[2] = 0
	return r, n, by
}

// offRectangle measures from the middles of the corners, in the first quadrant.
func offRectangle(s [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64) {
	x, y := math.Abs(q[0])-(s[0]/2-s[2]), math.Abs(q[1])-(s[1]/2-s[2])
	switch l := math.Hypot(x, y); {
	case x > 0 && y > 0:
		n = [2]float64{x / l, y / l}
		r = l - s[2]
		by = [3]float64{-n[0] / 2, -n[1] / 2, n[0] + n[1] - 1}
	case x > y:
		n = [2]float64{1, 0}
		r = x - s[2]
		by = [3]float64{-0.5, 0, 0}
	default:
		n = [2]float64{0, 1}
		r = y - s[2]
		by = [3]float64{0, -0.5, 0}
	}
	return r, signs(n, q), by
}

func signs(n, q [2]float64) [2]float64 {
	if q[0] < 0 {
		n[0] = -n[0]
	}
	if q[1] < 0 {
		n[1] = -n[1]
	}
	return n
}

// offOval finds the foot of the perpendicular on the ellipse, at the parameter t
// in the first quadrant, where
//
//	a·x·sin t − b·y·cos t − (a² − b²)·sin t·cos t = 0
//
// has one root: Newton's steps, kept between the ends that hold it.
func offOval(s [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64) {
	a, b := s[0]/2, s[1]/2
	x, y := math.Abs(q[0]), math.Abs(q[1])
	low, high := 0.0, math.Pi/2
	t := math.Atan2(a*y, b*x)
	var sin, cos float64
	for range 40 {
		sin, cos = math.Sincos(t)
		f := a*x*sin - b*y*cos - (a-b)*(a+b)*sin*cos
		if f > 0 {
			high = t
		} else {
			low = t
		}
		next := t - f/(a*x*cos+b*y*sin-(a-b)*(a+b)*(cos-sin)*(cos+sin))
		if !(next >= low && next <= high) {
			next = (low + high) / 2
		}
		if math.Abs(next-t) < 1e-14 {
			break
		}
		t = next
	}
	l := math.Hypot(b*cos, a*sin)
	n = [2]float64{b * cos / l, a * sin / l}
	r = (x-a*cos)*n[0] + (y-b*sin)*n[1]
	return r, signs(n, q), [3]float64{-n[0] * cos / 2, -n[1] * sin / 2}
}

// offD takes arc, fillet or flat, whichever is nearest, in the upper half.
func offD(s [3]float64, q [2]float64) (r float64, n [2]float64, by [3]float64) {
	radius, flat, corner := s[0], s[1], s[2]
	x, y := q[0], math.Abs(q[1])
	fx, fy := corner-flat, math.Sqrt(max(0, radius+flat-2*corner)*(radius-flat))
	best := math.Inf(1)
	take := func(d float64, m [2]float64, g [3]float64) {
		if math.Abs(d) < math.Abs(best) {
			best, n, by = d, m, g
		}
	}
	// The arc reaches from +x to the direction of the fillet's centre.
	if l := math.Hypot(x, y); l > 0 && y*fx <= x*fy {
		take(l-radius, [2]float64{x / l, y / l}, [3]float64{-1, 0, 0})
	}
	if y <= fy {
		take(-x-flat, [2]float64{-1, 0}, [3]float64{0, -1, 0})
	}
	// The fillet goes on from there to −x, as seen from its centre.
	if u, v := x-fx, y-fy; v >= 0 && v*fx >= u*fy || math.IsInf(best, 1) {
		l := math.Hypot(u, v)
		m := [2]float64{-1, 0}
		if l > 0 {
			m = [2]float64{u / l, v / l}
		}
		// How the centre moves with the sizes; at a D of fillets only it cannot.
		k := 0.0
		if fy > 0 {
			k = 1 / fy
		}
		take(l-corner, m, [3]float64{
			-m[1] * (radius - corner) * k,
			m[0] - m[1]*(corner-flat)*k,
			-m[0] + m[1]*(radius-flat)*k - 1,
		})
	}
	if q[1] < 0 {
		n[1] = -n[1]
	}
	return best, n, by
}
