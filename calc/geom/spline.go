package geom

import (
	"fmt"
	"math"
)

const (
	fewestPoints = 8    // below that a rounded rectangle's perimeter is off by more than 3 %
	mostPoints   = 1000 // keeps the crossing check, quadratic in the points, quick
	coincident   = 1e-3 // mm; nobody measures two points of a port closer than a micrometre
)

// Points returns the closed curve through 8 to 1,000 measured points in mm, in
// order around the outline, the first not repeated at the end: a periodic cubic
// spline by chord length, with continuous curvature. Points given clockwise are
// turned round. 8 points are not enough for a good perimeter (3.3 % off on a
// rounded rectangle); 16 give 0.9 %, own simulation.
//
// It is an error when a value is not finite or beyond 1e6 mm, when two points in
// a row coincide within 0.001 mm, when the curve crosses itself, when it encloses
// no area, or less than half or more than twice what the points do.
func Points(pts [][2]float64) (Outline, error) {
	area, span, err := polygon(pts)
	if err != nil {
		return Outline{}, err
	}
	ordered := append([][2]float64(nil), pts...)
	if area < 0 {
		area = -area
		for i, n := 1, len(pts); i < n; i++ {
			ordered[i] = pts[n-i]
		}
	}
	o := Outline{spline(ordered)}
	// The curve can cross where its points do not, between two that are far apart.
	// Chords as fine as a five-hundredth of the outline show it.
	var chords [][2]float64
	var piece []int
	for i, s := range o.segments {
		steps := max(4, s.chords(span/500))
		for k := range steps {
			p, _ := s.At(float64(k) / float64(steps))
			chords, piece = append(chords, p), append(piece, i)
		}
	}
	if i, j, crosses := crossing(chords); crosses {
		return Outline{}, crossed(ordered[piece[i]], ordered[piece[j]])
	}
	if a := o.Area(); !(a > area/2 && a < area*2) {
		return Outline{}, fmt.Errorf("points: the curve encloses %.4g mm², the straight lines between the points %.4g mm²; give more points where it bends", a, area)
	}
	return o, nil
}

// polygon checks the points and returns the area of the polygon through them,
// counter-clockwise positive, and how far it reaches from its first point.
func polygon(pts [][2]float64) (area, span float64, err error) {
	n := len(pts)
	if n < fewestPoints || n > mostPoints {
		return 0, 0, fmt.Errorf("points: %d given, want %d to %d", n, fewestPoints, mostPoints)
	}
	for i, p := range pts {
		if !(math.Abs(p[0]) <= widest && math.Abs(p[1]) <= widest) {
			return 0, 0, fmt.Errorf("points: point %d is at %v, want −%g to %g mm", i+1, p, widest, widest)
		}
	}
	for i, p := range pts {
		q := pts[(i+1)%n]
		if !(math.Hypot(q[0]-p[0], q[1]-p[1]) > coincident) {
			return 0, 0, fmt.Errorf("points: points %d and %d coincide at %v", i+1, (i+1)%n+1, p)
		}
		a, b := [2]float64{p[0] - pts[0][0], p[1] - pts[0][1]}, [2]float64{q[0] - pts[0][0], q[1] - pts[0][1]}
		area += cross(a, b) / 2
		span = max(span, math.Hypot(a[0], a[1]))
	}
	if !(math.Abs(area) > coincident*span/2) {
		return 0, 0, fmt.Errorf("points: the %d points lie on one line and enclose no area", n)
	}
	if i, j, crosses := crossing(pts); crosses {
		return 0, 0, crossed(pts[i], pts[j])
	}
	return area, span, nil
}

func crossed(p, q [2]float64) error {
	return fmt.Errorf("points: the outline crosses itself near points %v and %v; give them in order around the port, closer where it bends most", p, q)
}

// spline returns the pieces of the periodic cubic spline through pts. With hᵢ
// the chord from point i to the next and mᵢ the slope at point i, equal second
// derivatives on both sides of every point mean
//
//	mᵢ₋₁/hᵢ₋₁ + 2(1/hᵢ₋₁ + 1/hᵢ) mᵢ + mᵢ₊₁/hᵢ = 3 (dᵢ₋₁/hᵢ₋₁² + dᵢ/hᵢ²)
//
// with dᵢ the chord as a vector.
func spline(pts [][2]float64) []Segment {
	n := len(pts)
	k := make([]float64, n) // 1/h
	d := make([][2]float64, n)
	for i := range n {
		p, q := pts[i], pts[(i+1)%n]
		d[i] = [2]float64{q[0] - p[0], q[1] - p[1]}
		k[i] = 1 / math.Hypot(d[i][0], d[i][1])
	}
	slope := make([][2]float64, n)
	right := make([]float64, n)
	for axis := range 2 {
		for i := range n {
			b := (i + n - 1) % n
			right[i] = 3 * (d[b][axis]*k[b]*k[b] + d[i][axis]*k[i]*k[i])
		}
		for i, m := range cyclic(k, right) {
			slope[i][axis] = m
		}
	}
	segs := make([]Segment, n)
	for i := range n {
		j, third := (i+1)%n, 1/(3*k[i])
		segs[i] = cubic(pts[i], pts[j],
			[2]float64{slope[i][0] * third, slope[i][1] * third},
			[2]float64{slope[j][0] * third, slope[j][1] * third})
	}
	return segs
}

// cyclic solves the equations of spline: off-diagonals k, diagonal twice their
// sum, the first and last unknown coupled by the last k. The corners are taken
// out as a rank-one change (Sherman-Morrison) and what is left is solved by
// elimination, which needs no pivoting since the diagonal dominates twofold.
func cyclic(k, right []float64) []float64 {
	n := len(k)
	corner := k[n-1]
	diagonal := make([]float64, n)
	for i := range n {
		diagonal[i] = 2 * (k[(i+n-1)%n] + k[i])
	}
	gamma := -diagonal[0]
	diagonal[0] -= gamma
	diagonal[n-1] -= corner * corner / gamma
	x := append([]float64(nil), right...)
	u := make([]float64, n)
	u[0], u[n-1] = gamma, corner
	for i := 1; i < n; i++ {
		f := k[i-1] / diagonal[i-1]
		diagonal[i] -= f * k[i-1]
		x[i] -= f * x[i-1]
		u[i] -= f * u[i-1]
	}
	x[n-1] /= diagonal[n-1]
	u[n-1] /= diagonal[n-1]
	for i := n - 2; i >= 0; i-- {
		x[i] = (x[i] - k[i]*x[i+1]) / diagonal[i]
		u[i] = (u[i] - k[i]*u[i+1]) / diagonal[i]
	}
	f := (x[0] + x[n-1]*corner/gamma) / (1 + u[0] + u[n-1]*corner/gamma)
	for i := range n {
		x[i] -= f * u[i]
	}
	return x
}

// crossing reports whether a closed polygon touches or crosses itself, and which
// two sides do, by their first points.
func crossing(pts [][2]float64) (i, j int, crosses bool) {
	n := len(pts)
	for i := range n {
		for j := i + 2; j < n; j++ {
			if i == 0 && j == n-1 {
				continue // neighbours across the seam
			}
			if meet(pts[i], pts[i+1], pts[j], pts[(j+1)%n]) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// meet reports whether the chords a-b and c-d have a point in common.
func meet(a, b, c, d [2]float64) bool {
	for i := range 2 {
		if max(a[i], b[i]) < min(c[i], d[i]) || max(c[i], d[i]) < min(a[i], b[i]) {
			return false
		}
	}
	return side(a, b, c)*side(a, b, d) <= 0 && side(c, d, a)*side(c, d, b) <= 0
}

// side returns 1 when p lies left of a-b, −1 when right, 0 when on its line.
func side(a, b, p [2]float64) int {
	switch c := cross([2]float64{b[0] - a[0], b[1] - a[1]}, [2]float64{p[0] - a[0], p[1] - a[1]}); {
	case c > 0:
		return 1
	case c < 0:
		return -1
	}
	return 0
}
