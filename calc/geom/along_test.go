package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

// What is known otherwise comes out of the sum round the outline: its length, its
// area by ½ ∮ (x dy − y dx), and that it closes.
func TestAlongIsTheIntegralRoundTheOutline(t *testing.T) {
	for name, o := range various(t) {
		var length, area, dx, dy, last float64
		o.Along(func(w, s float64, p, d [2]float64) {
			length += w
			area += w * (p[0]*d[1] - p[1]*d[0]) / 2
			dx += w * d[0]
			dy += w * d[1]
			last = max(last, s)
		})
		p := o.Perimeter()
		if math.Abs(length-p) > 1e-9*p || math.Abs(area-o.Area()) > 1e-8*o.Area() || math.Hypot(dx, dy) > 1e-9*p || last > p {
			t.Errorf("%s: length %v of %v, area %v of %v, open by %v, %v, last at %v", name, length, p, area, o.Area(), dx, dy, last)
		}
	}
}

// ∮ of s itself is half the square of the length, which fails when s is not the
// distance along.
func TestAlongKnowsHowFar(t *testing.T) {
	for name, o := range various(t) {
		sum, p := 0.0, o.Perimeter()
		o.Along(func(w, s float64, _, _ [2]float64) { sum += w * s })
		if math.Abs(sum-p*p/2) > 1e-9*p*p {
			t.Errorf("%s: %v, want %v", name, sum, p*p/2)
		}
	}
}

func TestEvenlySpacedPoints(t *testing.T) {
	for name, o := range various(t) {
		const n = 4000
		pts := o.Evenly(n)
		if len(pts) != n || math.Hypot(pts[0][0]-o.Segments()[0].From[0], pts[0][1]-o.Segments()[0].From[1]) > 1e-12 {
			t.Fatalf("%s: %d points, the first at %v", name, len(pts), pts[0])
		}
		step := o.Perimeter() / n
		short := 0
		for i, p := range pts {
			q := pts[(i+1)%n]
			if far, _ := o.Nearest(p); far > 1e-9 {
				t.Fatalf("%s: point %d is %v mm off", name, i, far)
			}
			d := math.Hypot(q[0]-p[0], q[1]-p[1])
			if d > step*(1+1e-9) {
				t.Fatalf("%s: from point %d to the next %v mm, the step is %v", name, i, d, step)
			}
			if d < step*(1-1e-4) {
				short++ // a chord across a corner
			}
		}
		if short > 8 {
			t.Errorf("%s: %d steps are short", name, short)
		}
	}
}

// various are outlines of every kind of segment.
func various(t testing.TB) map[string]geom.Outline {
	t.Helper()
	one := func(o geom.Outline, err error) geom.Outline {
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	rnd := rand.New(rand.NewPCG(3, 0))
	pts := make([][2]float64, 16)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 16)
		pts[i] = [2]float64{25*cos + rnd.Float64(), 16*sin + rnd.Float64()}
	}
	return map[string]geom.Outline{
		"round":     one(geom.Round(40)),
		"stadium":   one(geom.Stadium(50, 30)),
		"oval":      one(geom.Oval(50, 30)),
		"rectangle": one(geom.Rectangle(40, 30, 0)),
		"rounded":   one(geom.Rectangle(40, 30, 7)),
		"D":         one(geom.D(25, 8, 4)),
		"points":    one(geom.Points(pts)),
	}
}
