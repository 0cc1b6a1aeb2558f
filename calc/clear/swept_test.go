package clear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// A rod 100 mm high that is moved 60 mm along x, at z 0 to 100.
func TestSweptRodByHand(t *testing.T) {
	wall := must(clear.Swept(vec(0, 0, 0), vec(0, 0, 100), vec(60, 0, 0), 8))
	slanting := must(clear.Swept(vec(0, 0, 0), vec(0, 0, 100), vec(60, 0, 60), 8))
	along := must(clear.Swept(vec(0, 0, 0), vec(0, 0, 100), vec(0, 0, 50), 8))
	stays := must(clear.Swept(vec(0, 0, 0), vec(0, 0, 100), vec(0, 0, 0), 8))
	for _, tt := range []struct {
		name string
		set  clear.Set
		at   geom.Vec
		want float64
		from string
	}{
		{"beside it", wall, vec(30, 12, 50), 12, "square to the face"},
		{"beyond its end", wall, vec(63, 4, 50), 5, "3 and 4 from the edge"},
		{"over it", wall, vec(20, 0, 107), 7, "over the upper edge"},
		{"beyond a corner", wall, vec(-2, 3, 106), 7, "2, 3 and 6 from the corner"},
		{"in it", wall, vec(20, 0, 20), 0, "in the plane"},
		{"below the slanting edge", slanting, vec(60, 0, 20), 40 / math.Sqrt2, "square to the lower edge, which rises by 45°"},
		{"over the slanting face", slanting, vec(30, -9, 80), 9, "square to the face"},
		{"along itself", along, vec(3, 4, 140), 5, "a rod of 150 mm"},
		{"beyond its end, along itself", along, vec(3, 0, 154), 5, "3 and 4 from the end"},
		{"not moved", stays, vec(3, 0, 104), 5, "a rod"},
	} {
		if got := tt.set.Distance(tt.at); math.Abs(got-tt.want) > 1e-12 {
			t.Errorf("%s: %v, want %v (%s)", tt.name, got, tt.want, tt.from)
		}
	}
	for _, err := range []error{second(clear.Swept(vec(0, 0, 0), vec(1, 0, 0), vec(0, 1, 0), -1)), second(clear.Swept(vec(math.NaN(), 0, 0), vec(1, 0, 0), vec(0, 1, 0), 1)), second(clear.Swept(vec(0, 0, 0), vec(1, 0, 0), vec(0, math.Inf(1), 0), 1))} {
		if err == nil {
			t.Error("what is no number was taken")
		}
	}
}

func second(_ clear.Set, err error) error { return err }

// A block of 20 mm beside the wall that the rod makes, and the ground below it.
func TestSweptRodBesideSolids(t *testing.T) {
	wall := must(clear.Swept(vec(0, 0, 0), vec(0, 0, 100), vec(60, 0, 0), 8))
	block := must(clear.Box(vec(30, 33, 50), vec(20, 20, 20), vec(1, 0, 0), vec(0, 1, 0)))
	ground := must(clear.Plane(vec(0, 0, -20), vec(0, 0, 1)))
	for _, tt := range []struct {
		other clear.Set
		want  float64
	}{{block, 33 - 10 - 8}, {ground, 20 - 8}} {
		if r := clear.Solids(wall, tt.other, clear.Options{}); r.Beyond || r.Gap.MM() < tt.want-1e-9 || r.Gap.MM()-r.Eps.MM() > tt.want+1e-9 {
			t.Errorf("%+v, want %v", r, tt.want)
		}
	}
}

// The distance from what a rod sweeps through is that from the nearest of rods along its
// way, to what they lie apart, and the place named is that far off and on it.
func TestSweptRodIsTheRodsAlongItsWay(t *testing.T) {
	const seed, cases, steps = 21, 1000, 400
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range cases {
		from, to, by := randomAt(rnd, 200), randomAt(rnd, 200), randomAt(rnd, 200)
		switch n % 5 {
		case 0: // nearly along itself
			by = to.Sub(from).Scale(2*rnd.Float64() - 1).Add(randomAt(rnd, 1e-7))
		case 1:
			to = from
		}
		r := units.Length(20 * rnd.Float64())
		s, p := must(clear.Swept(from, to, by, r)), randomAt(rnd, 300)
		got, want := s.Distance(p), math.Inf(1)
		for i := range steps + 1 {
			shift := by.Scale(float64(i) / steps)
			want = min(want, must(clear.Rod(from.Add(shift), to.Add(shift), r)).Distance(p))
		}
		if apart := by.Norm() / steps; got > want+1e-9 || got < want-apart {
			t.Fatalf("seed %d case %d: %v, rods along the way give %v", seed, n, got, want)
		}
		q := s.Nearest(p)
		if math.Abs(q.Sub(p).Norm()-got) > 1e-9 || s.Distance(q) > 1e-9 {
			t.Fatalf("seed %d case %d: distance %v, the nearest place is %v off and %v from it", seed, n, got, q.Sub(p).Norm(), s.Distance(q))
		}
		if c, reach := s.Bound(); q.Sub(c).Norm() > reach+1e-9 || from.Add(by).Sub(c).Norm() > reach+1e-9 || to.Sub(c).Norm() > reach+1e-9 {
			t.Fatalf("seed %d case %d: not within its sphere", seed, n)
		}
	}
}

// The gap between a tube and what a rod sweeps through is the least to the rod on its way.
func TestGapToSweptRodIsCertified(t *testing.T) {
	const seed = 22
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n, p := range append(header(3), header(4)...) {
		for range 20 {
			from := randomAt(rnd, 400)
			to, by := from.Add(randomAt(rnd, 200)), randomAt(rnd, 400)
			r := clear.To(p, clear.Body{Sets: []clear.Set{must(clear.Swept(from, to, by, 8))}}, clear.Options{})
			moves := must(clear.Sliding(by, 0, units.Length(by.Norm())))
			want := clear.To(p, clear.Body{Sets: []clear.Set{must(clear.Rod(from, to, 8))}, Moves: moves}, clear.Options{})
			if r.Gap.MM() < want.Gap.MM()-want.Eps.MM()-1e-9 || want.Gap.MM() < r.Gap.MM()-r.Eps.MM()-1e-9 {
				t.Fatalf("seed %d tube %d: %v less %v, a rod that slides gives %v less %v", seed, n, r.Gap, r.Eps, want.Gap, want.Eps)
			}
		}
	}
}

func BenchmarkSweptRod(b *testing.B) {
	p := header(3)[0]
	s := must(clear.Swept(vec(100, -200, 0), vec(100, -60, 0), vec(0, 300, 200), 8))
	body := clear.Body{Sets: []clear.Set{s}}
	for b.Loop() {
		clear.To(p, body, clear.Options{Cutoff: 5})
	}
}

func vec(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
