package geom

import "math"

// Nearest returns the place on the outline that is nearest to p, and how far it
// is from p, in mm; of an empty outline +Inf and p. Lines and arcs are closed
// form; on a cubic every place where the connecting line is square to the curve
// is found.
func (o Outline) Nearest(p [2]float64) (distance float64, place [2]float64) {
	distance, place = math.Inf(1), p
	for _, s := range o.segments {
		if s.Kind == Cubic && !(s.hullFrom(p) < distance) {
			continue
		}
		if d, at := s.Nearest(p); d < distance {
			distance, place = d, at
		}
	}
	return distance, place
}

// Nearest returns the place on the segment that is nearest to p, and how far it
// is from p, in mm.
func (s Segment) Nearest(p [2]float64) (distance float64, place [2]float64) {
	distance, place = math.Hypot(p[0]-s.From[0], p[1]-s.From[1]), s.From
	try := func(q [2]float64) {
		if d := math.Hypot(p[0]-q[0], p[1]-q[1]); d < distance {
			distance, place = d, q
		}
	}
	try(s.To)
	switch s.Kind {
	case Arc:
		v := [2]float64{p[0] - s.Centre[0], p[1] - s.Centre[1]}
		if r := math.Hypot(v[0], v[1]); r > 0 && s.spans(math.Atan2(v[1], v[0]), 0) {
			k := s.Radius / r
			if d := math.Abs(r - s.Radius); d < distance {
				distance, place = d, [2]float64{s.Centre[0] + k*v[0], s.Centre[1] + k*v[1]}
			}
		}
	case Cubic:
		for _, t := range s.square(p) {
			q, _ := s.At(t)
			try(q)
		}
	default:
		d := [2]float64{s.To[0] - s.From[0], s.To[1] - s.From[1]}
		if t := dot([2]float64{p[0] - s.From[0], p[1] - s.From[1]}, d) / dot(d, d); t > 0 && t < 1 {
			try([2]float64{s.From[0] + t*d[0], s.From[1] + t*d[1]})
		}
	}
	return distance, place
}

// spans reports whether the direction a, seen from the centre, lies within the
// sweep of an arc, or no more than slack rad outside.
func (s Segment) spans(a, slack float64) bool {
	past := a - s.Start
	if s.Sweep < 0 {
		past = -past
	}
	past -= 2 * math.Pi * math.Floor(past/(2*math.Pi))
	return past <= math.Abs(s.Sweep)+slack || past >= 2*math.Pi-slack
}

// hullFrom returns how far p is from the box around the control points, inside
// which a cubic lies.
func (s Segment) hullFrom(p [2]float64) float64 {
	var off [2]float64
	for i := range 2 {
		low := min(s.From[i], s.Control[0][i], s.Control[1][i], s.To[i])
		high := max(s.From[i], s.Control[0][i], s.Control[1][i], s.To[i])
		off[i] = max(0, low-p[i], p[i]-high)
	}
	return math.Hypot(off[0], off[1])
}

// square returns where on a cubic the line to p is square to it: the roots of
// (B(t) − p)·B′(t), a quintic, of which the Bernstein coefficients are
//
//	w_k = Σ_{i+j=k} C(3,i)·C(2,j)/C(5,k) · (Pᵢ − p)·(Pⱼ₊₁ − Pⱼ)
func (s Segment) square(p [2]float64) []float64 {
	pts := [4][2]float64{s.From, s.Control[0], s.Control[1], s.To}
	three, two, five := [4]float64{1, 3, 3, 1}, [3]float64{1, 2, 1}, [6]float64{1, 5, 10, 10, 5, 1}
	var w [6]float64
	for i, q := range pts {
		for j := range 3 {
			d := [2]float64{pts[j+1][0] - pts[j][0], pts[j+1][1] - pts[j][1]}
			w[i+j] += three[i] * two[j] / five[i+j] * dot([2]float64{q[0] - p[0], q[1] - p[1]}, d)
		}
	}
	return roots(w[:], 0, 1, 0, nil)
}

// roots appends the roots between a and b of a polynomial with the Bernstein
// coefficients w: it has no more than w has changes of sign (Farin, Curves and
// Surfaces for CAGD, variation diminishing property; from memory), so halving
// separates them.
func roots(w []float64, a, b float64, depth int, found []float64) []float64 {
	changes, before := 0, 0.0
	for _, v := range w {
		if v == 0 {
			continue
		}
		if before*v < 0 {
			changes++
		}
		before = math.Copysign(1, v)
	}
	if changes == 0 {
		return found
	}
	n := len(w)
	if changes == 1 && w[0] != 0 && w[n-1] != 0 {
		return append(found, a+(b-a)*root(w))
	}
	mid := (a + b) / 2
	if depth == 50 {
		return append(found, mid)
	}
	var halves [2][6]float64
	left, right := halves[0][:n], halves[1][:n]
	copy(right, w)
	for k := range n { // de Casteljau at one half
		left[k] = right[0]
		for i := range n - 1 - k {
			right[i] = (right[i] + right[i+1]) / 2
		}
	}
	if right[0] == 0 {
		found = append(found, mid)
	}
	return roots(right, mid, b, depth+1, roots(left, a, mid, depth+1, found))
}

// root returns the one root between 0 and 1, where w begins and ends with
// different signs, by false position; an end that stays twice counts half
// (Illinois rule).
func root(w []float64) float64 {
	low, atLow, high, atHigh := 0.0, w[0], 1.0, w[len(w)-1]
	before, stays := -1.0, 0
	for range 100 {
		t := (low*atHigh - high*atLow) / (atHigh - atLow)
		if !(t > low && t < high) || math.Abs(t-before) < 1e-14 {
			return min(max(t, low), high)
		}
		f := bernstein(w, t)
		switch {
		case f == 0:
			return t
		case f > 0 == (atLow > 0):
			low, atLow = t, f
			if stays == 1 {
				atHigh /= 2
			}
			stays = 1
		default:
			high, atHigh = t, f
			if stays == -1 {
				atLow /= 2
			}
			stays = -1
		}
		before = t
	}
	return (low + high) / 2
}

func bernstein(w []float64, t float64) float64 {
	var v [6]float64
	copy(v[:], w)
	for k := len(w) - 1; k > 0; k-- {
		for i := range k {
			v[i] += t * (v[i+1] - v[i])
		}
	}
	return v[0]
}
