package flange

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

// Two discs of different size (closed form): two arcs of π ± 2·asin((R−r)/D) and
// two tangents √(D² − (R−r)²).
func TestHullOfTwoDiscs(t *testing.T) {
	const R, r, D = 12.0, 7.0, 40.0
	o, err := hull([]blob{disc([2]float64{3, 5}, R), disc([2]float64{3 + D*0.6, 5 + D*0.8}, r)})
	if err != nil {
		t.Fatal(err)
	}
	g := math.Asin((R - r) / D)
	line := math.Sqrt(D*D - (R-r)*(R-r))
	perimeter := 2*line + R*(math.Pi+2*g) + r*(math.Pi-2*g)
	area := R*R*(math.Pi+2*g)/2 + r*r*(math.Pi-2*g)/2 + line*(R+r)
	if math.Abs(o.Perimeter()-perimeter) > 1e-5 || math.Abs(o.Area()-area) > 1e-5 {
		t.Errorf("perimeter %v, want %v; area %v, want %v", o.Perimeter(), perimeter, o.Area(), area)
	}
}

func TestHullOfOneDisc(t *testing.T) {
	o, err := hull([]blob{disc([2]float64{100, 0}, 8), disc([2]float64{101, 0}, 3)})
	if err != nil || math.Abs(o.Area()-64*math.Pi) > 1e-9 {
		t.Errorf("%v mm², %v", o.Area(), err)
	}
}

// Steiner's formula: a convex outline grown by web is its own hull.
func TestHullOfAnOutline(t *testing.T) {
	for name, o := range convexOutlines(t) {
		for _, web := range []float64{0, 6} {
			got, err := hull(blobs(o, web))
			if err != nil {
				t.Errorf("%s grown by %v: %v", name, web, err)
				continue
			}
			p, a := o.Perimeter()+2*math.Pi*web, o.Area()+o.Perimeter()*web+math.Pi*web*web
			if math.Abs(got.Perimeter()-p) > 0.02 || math.Abs(got.Area()-a) > 0.3 {
				t.Errorf("%s grown by %v: perimeter %v, want %v; area %v, want %v", name, web, got.Perimeter(), p, got.Area(), a)
			}
		}
	}
}

// Everything lies inside, the outline turns left everywhere, and in every direction
// it reaches as far as what it goes round.
func TestHullCoversAndIsShortest(t *testing.T) {
	const seed, cases = 6, 300
	rnd := rand.New(rand.NewPCG(seed, 0))
	shapes := convexOutlines(t)
	for i := range cases {
		var all []blob
		for range 1 + rnd.IntN(12) {
			all = append(all, disc([2]float64{400 * rnd.Float64(), 80 * rnd.Float64()}, 4+12*rnd.Float64()))
		}
		for _, o := range shapes {
			if rnd.IntN(3) == 0 {
				all = append(all, blobs(o.Turned(6*rnd.Float64()).Moved(400*rnd.Float64(), 80*rnd.Float64()), 5)...)
			}
		}
		if rnd.IntN(4) == 0 { // in a row, so that many turn at once
			for k := range 6 {
				all = append(all, disc([2]float64{float64(70 * k), 0}, 10))
			}
		}
		o, err := hull(all)
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		poly := o.Polyline(1e-3)
		for n := range 720 {
			sin, cos := math.Sincos(2 * math.Pi * float64(n) / 720)
			own := math.Inf(-1)
			for _, p := range poly {
				own = max(own, p[0]*cos+p[1]*sin)
			}
			want := math.Inf(-1)
			for _, b := range all {
				if b.spans(2 * math.Pi * float64(n) / 720) {
					want = max(want, b.reach([2]float64{cos, sin}))
				}
			}
			if math.Abs(own-want) > 2e-3 {
				t.Fatalf("seed %d case %d: in direction %v° it reaches to %v, want %v", seed, i, n/2, own, want)
			}
		}
		last := o.Segments()[len(o.Segments())-1]
		for _, s := range o.Segments() {
			if turn := math.Remainder(heading(s, 0)-heading(last, 1), 2*math.Pi); turn < -1e-4 || s.Kind == geom.Arc && s.Sweep < 0 {
				t.Fatalf("seed %d case %d: it turns right by %v", seed, i, turn)
			}
			last = s
		}
	}
}

func convexOutlines(t testing.TB) map[string]geom.Outline {
	t.Helper()
	list := map[string]geom.Outline{}
	add := func(name string, o geom.Outline, err error) {
		if err != nil {
			t.Fatal(err)
		}
		list[name] = o
	}
	o, err := geom.Round(42)
	add("round", o, err)
	o, err = geom.Stadium(50, 30)
	add("stadium", o, err)
	o, err = geom.Oval(50, 30)
	add("oval", o, err)
	o, err = geom.Rectangle(38, 38, 0)
	add("square", o, err)
	o, err = geom.Rectangle(39.4, 35.1, 6.35)
	add("rounded", o, err)
	o, err = geom.D(24, 8, 5)
	add("D", o, err)
	return list
}

func BenchmarkHull(b *testing.B) {
	var all []blob
	for i := range 4 {
		for _, name := range []string{"oval"} {
			all = append(all, blobs(convexOutlines(b)[name].Moved(90*float64(i), 0), 6)...)
		}
		all = append(all, disc([2]float64{90*float64(i) - 30, 28}, 13), disc([2]float64{90*float64(i) + 30, -28}, 13))
	}
	for b.Loop() {
		if _, err := hull(all); err != nil {
			b.Fatal(err)
		}
	}
}
