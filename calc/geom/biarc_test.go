package geom_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

// A biarc between two places of a circle is that circle: of a quarter of radius 1, two
// eighths with the bulge tan(π/16), which touch at √½, √½.
func TestBiarcOfACircleIsTheCircle(t *testing.T) {
	m, before, after, ok := geom.Biarc([2]float64{1, 0}, [2]float64{0, 3}, [2]float64{0, 1}, [2]float64{-0.2, 0})
	if !ok {
		t.Fatal("no biarc")
	}
	for _, c := range [][2]float64{{m[0], math.Sqrt(0.5)}, {m[1], math.Sqrt(0.5)}, {before, math.Tan(math.Pi / 16)}, {after, math.Tan(math.Pi / 16)}} {
		if math.Abs(c[0]-c[1]) > 1e-15 {
			t.Errorf("got %v, want %v", c[0], c[1])
		}
	}
}

// The two arcs set out as asked, touch, have legs of one length and arrive as asked.
func TestBiarcKeepsItsDirections(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	n := 0
	for i := range 2000 {
		at := func(size float64) [2]float64 {
			return [2]float64{size * (2*rnd.Float64() - 1), size * (2*rnd.Float64() - 1)}
		}
		p, q, s, d := at(100), at(100), at(3), at(3)
		m, before, after, ok := geom.Biarc(p, s, q, d)
		if !ok {
			continue
		}
		n++
		first, second := geom.Bulged(p, m, before), geom.Bulged(m, q, after)
		if max(math.Abs(first.Sweep), math.Abs(second.Sweep)) > math.Pi/2*1.0002 {
			t.Errorf("seed %d case %d: sweeps %v and %v", seed, i, first.Sweep, second.Sweep)
		}
		_, out := first.At(0)
		_, over := first.At(1)
		_, on := second.At(0)
		_, in := second.At(1)
		for _, pair := range [][2][2]float64{{s, out}, {over, on}, {in, d}} {
			if a := angle(pair[0], pair[1]); math.Abs(a) > 1e-9 {
				t.Errorf("seed %d case %d: directions %v and %v are %v apart", seed, i, pair[0], pair[1], a)
			}
		}
		// The leg of an arc, from its end to where its tangents meet, is half the chord over the cosine of half the sweep.
		leg := func(s geom.Segment) float64 {
			return math.Hypot(s.To[0]-s.From[0], s.To[1]-s.From[1]) / 2 / math.Cos(s.Sweep/2)
		}
		if a, b := leg(first), leg(second); math.Abs(a-b) > 1e-9*a {
			t.Errorf("seed %d case %d: legs %v and %v", seed, i, a, b)
		}
	}
	if n < 200 {
		t.Errorf("only %d cases", n)
	}
}

func TestBiarcThatThereIsNot(t *testing.T) {
	right, left := [2]float64{1, 0}, [2]float64{-1, 0}
	for name, c := range map[string][4][2]float64{
		"no direction at the start": {{0, 0}, {}, {10, 0}, right},
		"no direction at the end":   {{0, 0}, right, {10, 0}, {}},
		"one place":                 {{3, 4}, right, {3, 4}, left},
		"backwards":                 {{0, 0}, left, {10, 0}, left},
		"half circles":              {{0, 0}, left, {10, 1}, {1, 0.1}},
		"not a number":              {{0, 0}, right, {math.NaN(), 0}, right},
	} {
		if m, before, after, ok := geom.Biarc(c[0], c[1], c[2], c[3]); ok {
			t.Errorf("%s: %v, %v, %v", name, m, before, after)
		}
	}
}

// By hand: the half circle from 0, 0 to 2, 0 that goes round by way of 1, −1, and one
// so flat that it is a line.
func TestBulged(t *testing.T) {
	half := geom.Bulged([2]float64{0, 0}, [2]float64{2, 0}, 1)
	if p, _ := half.At(0.5); half.Kind != geom.Arc || half.Radius != 1 || half.Centre != [2]float64{1, 0} || math.Hypot(p[0]-1, p[1]+1) > 1e-15 {
		t.Errorf("got %+v", half)
	}
	for _, flat := range []float64{0, 1e-12, math.NaN(), math.Inf(1)} {
		if s := geom.Bulged([2]float64{0, 0}, [2]float64{100, 0}, flat); s.Kind != geom.Line || s.To != [2]float64{100, 0} {
			t.Errorf("bulge %v: got %+v", flat, s)
		}
	}
}

// angle is from a to b, in rad.
func angle(a, b [2]float64) float64 {
	return math.Atan2(a[0]*b[1]-a[1]*b[0], a[0]*b[0]+a[1]*b[1])
}
