package geom

import (
	"fmt"
	"math"
)

// widest is the largest size an outline may have, in mm. No port comes near it;
// it keeps squares and products finite.
const widest = 1e6

// Round returns a circle of diameter d mm about the origin, 0 < d ≤ 1e6.
func Round(d float64) (Outline, error) {
	if err := size("diameter", d); err != nil {
		return Outline{}, err
	}
	return Outline{[]Segment{arc(0, 0, d/2, 0, 2*math.Pi)}}, nil
}

// Stadium returns two half circles joined by straight sides, w mm wide and h mm
// high over all, about the origin. The half circles stand at the ends of the
// longer side; equal sides give a circle.
//
//	A = π s²/4 + s·(l − s)     P = π s + 2(l − s)     s shorter, l longer
func Stadium(w, h float64) (Outline, error) { return Rectangle(w, h, math.Min(w, h)/2) }

// Rectangle returns a rectangle w mm wide and h mm high about the origin, its
// corners rounded by corner mm, 0 ≤ corner ≤ half the shorter side.
//
//	A = w·h − (4 − π) r²     P = 2(w + h) − (8 − 2π) r
func Rectangle(w, h, corner float64) (Outline, error) {
	if err := size("width", w); err != nil {
		return Outline{}, err
	}
	if err := size("height", h); err != nil {
		return Outline{}, err
	}
	if !(corner >= 0 && corner <= math.Min(w, h)/2) {
		return Outline{}, fmt.Errorf("corner %.6g mm: want 0 to %.6g, half the shorter side", corner, math.Min(w, h)/2)
	}
	x, y := w/2-corner, h/2-corner
	var p path
	for i, c := range [4][2]float64{{x, y}, {-x, y}, {-x, -y}, {x, -y}} {
		p.arc(c[0], c[1], corner, float64(i)*math.Pi/2, math.Pi/2)
	}
	return p.closed(), nil
}

// rounding is what a dimension exactly at its limit may seem beyond it, relative:
// sums of decimal fractions are not exact.
const rounding = 1e-12

// D returns a circle of the given radius about the origin, cut by a flat at
// x = −flat, with fillets of radius corner where the flat meets the arc. flat is
// the distance from the arc's centre to the flat: positive leaves more than half
// the circle, 0 half, negative less; −radius < flat < radius. The fillet lies
// within the arc and the flat:
//
//	centre (−(c − r), ±√((R − r)² − (c − r)²)),   0 ≤ r ≤ (R + c)/2
//
// with R, c, r the radius, flat and corner. All in mm.
func D(radius, flat, corner float64) (Outline, error) {
	if err := size("radius", radius); err != nil {
		return Outline{}, err
	}
	if !(flat > -radius && flat < radius) {
		return Outline{}, fmt.Errorf("flat %.6g mm: want more than %.6g and less than %.6g, the radius", flat, -radius, radius)
	}
	most := (radius + flat) / 2
	if !(corner >= 0 && corner <= most*(1+rounding)) {
		return Outline{}, fmt.Errorf("corner %.6g mm: want 0 to %.6g, half the depth of the shape", corner, most)
	}
	x := corner - flat
	// (R−r)² − (c−r)² as a product, which stays positive to its last digit.
	y := math.Sqrt(max(0, radius+flat-2*corner) * (radius - flat))
	meet := math.Atan2(y, x) // direction in which fillet and arc touch
	var p path
	p.arc(0, 0, radius, -meet, 2*meet)
	p.arc(x, y, corner, meet, math.Pi-meet)
	p.arc(x, -y, corner, math.Pi, math.Pi-meet)
	return p.closed(), nil
}

// Oval returns an ellipse w mm wide and h mm high about the origin, as 16 cubic
// pieces with the tangents of the ellipse. Perimeter and area are within 1e-7
// relative of the true ellipse for every w/h from 1/4 to 4 (3e-8 at 2:1, tested
// against the exact integral).
func Oval(w, h float64) (Outline, error) {
	if err := size("width", w); err != nil {
		return Outline{}, err
	}
	if err := size("height", h); err != nil {
		return Outline{}, err
	}
	const n = 16
	a, b := w/2, h/2
	// Control points at 4/3·tan(φ/4) of the tangent: the usual cubic for an arc of
	// φ = 2π/n, stretched with the circle.
	k := 4.0 / 3 * math.Tan(2*math.Pi/n/4)
	at := func(i int) (p, d [2]float64) {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / n)
		return [2]float64{a * cos, b * sin}, [2]float64{-a * sin * k, b * cos * k}
	}
	segs := make([]Segment, n)
	for i := range n {
		p, dp := at(i)
		q, dq := at(i + 1)
		segs[i] = cubic(p, q, dp, dq)
	}
	return Outline{segs}, nil
}

func size(name string, v float64) error {
	if !(v > 0 && v <= widest) {
		return fmt.Errorf("%s %v mm: want more than 0 and at most %v", name, v, float64(widest))
	}
	return nil
}

// cubic returns the piece from p to q whose control points lie dp after p and dq
// before q.
func cubic(p, q, dp, dq [2]float64) Segment {
	return Segment{Kind: Cubic, From: p, To: q, Control: [2][2]float64{
		{p[0] + dp[0], p[1] + dp[1]}, {q[0] - dq[0], q[1] - dq[1]}}}
}

func arc(x, y, r, start, sweep float64) Segment {
	s := Segment{Kind: Arc, Centre: [2]float64{x, y}, Radius: r, Start: start, Sweep: sweep}
	s.From, _ = s.At(0)
	s.To, _ = s.At(1)
	return s
}

// path collects arcs and joins them by lines.
type path struct {
	segments  []Segment
	first, at [2]float64
	begun     bool
}

// arc goes to the start of an arc and along it. Without radius or sweep it is a
// corner: it only ends the line.
func (p *path) arc(x, y, r, start, sweep float64) {
	s := arc(x, y, r, start, sweep)
	p.to(s.From)
	if r > 0 && sweep > 0 {
		p.segments = append(p.segments, s)
	}
	p.at = s.To
}

// to draws a line to q, unless the gap is only rounding: sizes reach 1e6 mm,
// whose last digit is 1e-10 mm.
func (p *path) to(q [2]float64) {
	if !p.begun {
		p.first, p.begun = q, true
	} else if math.Hypot(q[0]-p.at[0], q[1]-p.at[1]) > 1e-9 {
		p.segments = append(p.segments, Segment{Kind: Line, From: p.at, To: q})
	}
	p.at = q
}

func (p *path) closed() Outline {
	p.to(p.first)
	return Outline{p.segments}
}
