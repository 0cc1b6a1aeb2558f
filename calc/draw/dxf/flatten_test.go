package dxf_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/draw/dxf"
)

// basis is the i-th B-spline of a degree by its definition (Cox and de Boor; Piegl
// and Tiller, The NURBS Book, 2nd ed., eq. 2.5), another way than the reader's.
func basis(knots []float64, i, degree int, t float64) float64 {
	if degree == 0 {
		if t >= knots[i] && t < knots[i+1] {
			return 1
		}
		return 0
	}
	sum := 0.0
	if d := knots[i+degree] - knots[i]; d > 0 {
		sum += (t - knots[i]) / d * basis(knots, i, degree-1, t)
	}
	if d := knots[i+degree+1] - knots[i+1]; d > 0 {
		sum += (knots[i+degree+1] - t) / d * basis(knots, i+1, degree-1, t)
	}
	return sum
}

// Splines of every degree, with weights and repeated knots, are left by no more
// than the chord error, as seen at many more places than the reader looks at.
func TestSplinesAreKeptToTheChordError(t *testing.T) {
	const seed, chord = 3, 0.01
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst, said, cases := 0.0, 0.0, 0
	for i := range 120 {
		degree := 1 + i%10
		n := degree + 1 + rnd.IntN(5)
		knots := make([]float64, n+degree+1)
		for k := range knots {
			switch {
			case k <= degree:
			case k >= n:
				knots[k] = knots[n-1] + 1
			default:
				knots[k] = knots[k-1] + []float64{0, 0.2, 1, 3}[rnd.IntN(4)]
			}
			if k > n {
				knots[k] = knots[n]
			}
		}
		var words strings.Builder
		fmt.Fprintf(&words, "0 SPLINE 8 A 70 12 71 %d ", degree)
		for _, k := range knots {
			words.WriteString("40 " + num(k) + " ")
		}
		pts, w := make([][2]float64, n), make([]float64, n)
		for k := range pts { // from right to left over a half circle, so that few cross
			sin, cos := math.Sincos(math.Pi * float64(k) / float64(n-1))
			r := 40 * (0.5 + rnd.Float64())
			pts[k] = [2]float64{r * cos, 5 + r*sin}
			w[k] = 0.2 + 4*rnd.Float64()
			words.WriteString("41 " + num(w[k]) + " 10 " + num(pts[k][0]) + " 20 " + num(pts[k][1]) + " ")
		}
		a, b := pts[0], pts[n-1]
		words.WriteString("0 LINE 8 A 10 " + num(a[0]) + " 20 " + num(a[1]) + " 11 " + num(b[0]) + " 21 " + num(b[1]))
		res := read(t, entities("0 CIRCLE 8 A 10 0 20 0 40 200 "+words.String()), dxf.Options{Chord: chord})
		if len(res.Openings) != 1 {
			continue // it crosses itself
		}
		cases++
		said = max(said, res.Worst)
		const samples = 800
		for s := range samples {
			at := knots[n] * (float64(s) + 0.5) / samples
			var x, y, sum float64
			for k := range pts {
				f := w[k] * basis(knots, k, degree, at)
				x, y, sum = x+f*pts[k][0], y+f*pts[k][1], sum+f
			}
			off, _ := res.Openings[0].Outline.Nearest([2]float64{x / sum, y / sum})
			if worst = max(worst, off); off > chord {
				t.Fatalf("seed %d case %d, degree %d: off by %v mm at %v", seed, i, degree, off, at)
			}
		}
	}
	if cases < 60 {
		t.Errorf("only %d cases", cases)
	}
	t.Logf("%d splines, worst %.5f mm, as the reader says %.5f mm", cases, worst, said)
}

// Ellipses against their equation, arcs of 1 degree and more.
func TestEllipsesAreKeptToTheChordError(t *testing.T) {
	const seed, chord = 4, 0.01
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst := 0.0
	for i := range 100 {
		a, ratio, turn := 5+200*rnd.Float64(), 0.02+0.98*rnd.Float64(), 2*math.Pi*rnd.Float64()
		sin, cos := math.Sincos(turn)
		res := read(t, entities("0 CIRCLE 8 A 10 0 20 0 40 500 0 ELLIPSE 8 A 10 7 20 -3 11 "+num(a*cos)+" 21 "+num(a*sin)+" 40 "+num(ratio)), dxf.Options{Chord: chord})
		if len(res.Openings) != 1 {
			t.Fatalf("seed %d case %d: %+v", seed, i, res)
		}
		for s := range 700 {
			st, ct := math.Sincos(2 * math.Pi * float64(s) / 700)
			off, _ := res.Openings[0].Outline.Nearest([2]float64{7 + a*ct*cos - a*ratio*st*sin, -3 + a*ct*sin + a*ratio*st*cos})
			worst = max(worst, off)
		}
		if worst > chord {
			t.Fatalf("seed %d case %d: off by %v mm", seed, i, worst)
		}
	}
	t.Logf("worst %.5f mm", worst)
}

// A curve given by points goes through them, closed ones smoothly.
func TestCurveGoesThroughItsPoints(t *testing.T) {
	var words strings.Builder
	words.WriteString("0 SPLINE 8 A 70 1 71 3 74 12 ")
	for i := range 12 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 12)
		words.WriteString("11 " + num(50+20*cos) + " 21 " + num(30+20*sin) + " 31 0 ")
	}
	res := read(t, entities(box+words.String()), dxf.Options{})
	if len(res.Openings)+len(res.Holes) != 1 || !said(res, "1 curve is given by points only") {
		t.Fatalf("got %+v", res)
	}
	// The periodic cubic through 12 points of a circle leaves it by about r·θ⁴/384,
	// 0.004 mm of 20 (error of the cubic Hermite form; from memory).
	o := res.Openings
	if len(o) == 1 {
		within(t, "area", o[0].Outline.Area(), 400*math.Pi, 0.02*125)
	} else {
		within(t, "diameter", res.Holes[0].Diameter, 40, 0.02)
	}

	// With directions at its ends, up and down: the cubic from 0, 0 to 40, 0 by way of
	// control points 40/3 above, area 0.6·40·40/3 by its polynomial.
	res = read(t, entities(box+"0 SPLINE 8 A 71 3 11 20 21 10 11 60 21 10 12 0 22 1 13 0 23 -1 0 LINE 8 A 10 20 20 10 11 60 21 10"), dxf.Options{})
	if len(res.Openings) != 1 {
		t.Fatalf("got %+v", res)
	}
	within(t, "area", res.Openings[0].Outline.Area(), 0.6*40*40/3, 0.01*90)
}
