package dxf

import "fmt"

// spline is a rational B-spline curve. It runs over the knots from the degree-th
// to the one before the last degree ones, which is all of it where the ends are
// clamped and the closed part where it is periodic.
type spline struct {
	degree  int
	knots   []float64
	control []xy
	weights []float64
}

// newSpline checks what the file says of a spline. No weights stand for equal ones.
func newSpline(degree int, knots []float64, control []xy, weights []float64) (*spline, error) {
	n := len(control)
	switch {
	case degree < 1 || degree > mostDegree:
		return nil, fmt.Errorf("degree %d: want 1 to %d", degree, mostDegree)
	case n <= degree:
		return nil, fmt.Errorf("%d control points: want %d at least for degree %d", n, degree+1, degree)
	case len(knots) != n+degree+1:
		return nil, fmt.Errorf("%d knots: want %d for %d control points of degree %d", len(knots), n+degree+1, n, degree)
	case len(weights) != 0 && len(weights) != n:
		return nil, fmt.Errorf("%d weights for %d control points", len(weights), n)
	}
	for i := 1; i < len(knots); i++ {
		if knots[i] < knots[i-1] {
			return nil, fmt.Errorf("knot %d is %v after %v: want them in order", i+1, knots[i], knots[i-1])
		}
	}
	if !(knots[n] > knots[degree]) {
		return nil, fmt.Errorf("the knots span nothing")
	}
	if len(weights) == 0 {
		weights = make([]float64, n)
		for i := range weights {
			weights[i] = 1
		}
	}
	least, most := weights[0], weights[0]
	for _, w := range weights {
		least, most = min(least, w), max(most, w)
	}
	// What is sampled to flatten the curve may not hide between two samples.
	const uneven = 1e4
	if !(least > 0 && most <= uneven*least) {
		return nil, fmt.Errorf("weights from %v to %v: want them above 0 and within 1 to %v of each other", least, most, uneven)
	}
	return &spline{degree, knots, control, weights}, nil
}

func (s *spline) mapped(m affine) *spline {
	control := make([]xy, len(s.control))
	for i, p := range s.control {
		control[i] = m.at(p)
	}
	return &spline{s.degree, s.knots, control, s.weights}
}

// spans returns the indices k of the knots with something between k and k+1.
func (s *spline) spans() []int {
	var list []int
	for k := s.degree; k < len(s.control); k++ {
		if s.knots[k+1] > s.knots[k] {
			list = append(list, k)
		}
	}
	return list
}

// at returns the point at t of the span from knot k, and the direction there, the
// derivative but for a factor: de Boor's triangle on control points x·w, y·w, w,
// whose last step but one also gives the derivative (Piegl and Tiller, The NURBS Book, 2nd ed., chapters 3 and 4).
func (s *spline) at(k int, t float64) (p, d xy) {
	var h [mostDegree + 1][3]float64
	n := s.degree
	for i := 0; i <= n; i++ {
		c, w := s.control[k-n+i], s.weights[k-n+i]
		h[i] = [3]float64{c[0] * w, c[1] * w, w}
	}
	var slope [3]float64
	for r := 1; r <= n; r++ {
		if r == n {
			for j := range 3 {
				slope[j] = h[n][j] - h[n-1][j]
			}
		}
		for i := n; i >= r; i-- {
			low, high := s.knots[k-n+i], s.knots[k+1+i-r]
			a := (t - low) / (high - low)
			for j := range 3 {
				h[i][j] = (1-a)*h[i-1][j] + a*h[i][j]
			}
		}
	}
	w := h[n][2]
	p = xy{h[n][0] / w, h[n][1] / w}
	d = xy{(slope[0] - p[0]*slope[2]) / w, (slope[1] - p[1]*slope[2]) / w}
	return p, d
}

// ends returns the first and last point.
func (s *spline) ends() (from, to xy) {
	spans := s.spans()
	first, last := spans[0], spans[len(spans)-1]
	from, _ = s.at(first, s.knots[first])
	to, _ = s.at(last, s.knots[last+1])
	return from, to
}

// through returns the cubic spline through points, by chord length: with the given
// directions at the ends, or free of curvature there, or closed. Files that give no
// control points leave open which curve is meant; this is the usual one.
func through(pts []xy, closed bool, first, last xy) (*spline, error) {
	clean := pts[:0:0]
	for _, p := range pts {
		if len(clean) == 0 || p != clean[len(clean)-1] {
			clean = append(clean, p)
		}
	}
	if closed && len(clean) > 1 && clean[0] != clean[len(clean)-1] {
		clean = append(clean, clean[0])
	}
	n := len(clean)
	if n < 2 || closed && n < 4 {
		return nil, fmt.Errorf("%d different points to go through: too few", n)
	}
	slopes := slopesOf(clean, closed, first, last)
	s := &spline{degree: 3}
	t := 0.0
	s.knots = append(s.knots, 0, 0, 0, 0)
	for i := range n {
		if i > 0 {
			h := apart(clean[i-1], clean[i])
			t += h
			s.control = append(s.control, add(clean[i-1], times(slopes[i-1], h/3)), sub(clean[i], times(slopes[i], h/3)))
			s.knots = append(s.knots, t, t, t)
		}
		s.control = append(s.control, clean[i])
	}
	s.knots = append(s.knots, t)
	s.weights = make([]float64, len(s.control))
	for i := range s.weights {
		s.weights[i] = 1
	}
	return s, nil
}

// slopesOf returns the derivative by chord length at each point, from equal second
// derivatives on both sides of it:
//
//	m₋/h₋ + 2(1/h₋ + 1/h) m + m₊/h = 3 (d₋/h₋² + d/h²)
//
// A closed curve has its first point once more as its last. Its band is closed by
// going round three times and keeping the middle: what the ends assume dies down
// by a factor of more than 3 a point (it is 2 + √3 on equal chords), and the rows
// are many; for few points it goes round as often as that takes.
func slopesOf(pts []xy, closed bool, first, last xy) []xy {
	if closed {
		round := pts[:len(pts)-1]
		turns := 2*(1+40/len(round)) + 1
		var long []xy
		for range turns {
			long = append(long, round...)
		}
		long = append(long, round[0])
		from := (turns / 2) * len(round)
		return slopesOf(long, false, xy{}, xy{})[from : from+len(pts)]
	}
	n := len(pts)
	low, diagonal, high := make([]float64, n), make([]float64, n), make([]float64, n)
	right := make([]xy, n)
	for i := range n {
		if i > 0 {
			h := apart(pts[i-1], pts[i])
			low[i], diagonal[i] = 1/h, 2/h
			right[i] = times(sub(pts[i], pts[i-1]), 3/(h*h))
		}
		if i < n-1 {
			h := apart(pts[i], pts[i+1])
			high[i] = 1 / h
			diagonal[i] += 2 / h
			right[i] = add(right[i], times(sub(pts[i+1], pts[i]), 3/(h*h)))
		}
	}
	if l := size(first); l > 0 {
		diagonal[0], high[0], right[0] = 1, 0, times(first, 1/l)
	}
	if l := size(last); l > 0 {
		diagonal[n-1], low[n-1], right[n-1] = 1, 0, times(last, 1/l)
	}
	for i := 1; i < n; i++ {
		f := low[i] / diagonal[i-1]
		diagonal[i] -= f * high[i-1]
		right[i] = sub(right[i], times(right[i-1], f))
	}
	right[n-1] = times(right[n-1], 1/diagonal[n-1])
	for i := n - 2; i >= 0; i-- {
		right[i] = times(sub(right[i], times(right[i+1], high[i])), 1/diagonal[i])
	}
	return right
}
