package clear_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// A trimmed path is the same as far as it goes.
func TestTrimKeepsTheRest(t *testing.T) {
	const seed = 15
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		f, e := randomTube(rnd, 300)
		p := must(clear.NewPath(f, e, 40))
		a, b := units.Length(rnd.Float64())*p.Length()/2, units.Length(rnd.Float64())*p.Length()/2
		cut := p.Trim(a, b)
		if cut.Length() != p.Length() {
			t.Fatalf("seed %d case %d: trimmed to %v mm, arc lengths count over %v", seed, i, cut.Length(), p.Length())
		}
		for range 20 {
			s := a + units.Length(rnd.Float64())*(p.Length()-a-b)
			u, _ := p.At(s)
			v, ok := cut.At(s)
			if !ok || u.Sub(v).Norm() > 1e-9 {
				t.Fatalf("seed %d case %d: at %v is %v, want %v", seed, i, s, v, u)
			}
		}
		for s, want := range map[units.Length]units.Length{a / 2: a, p.Length() - b/2: p.Length() - b} {
			u, _ := p.At(want)
			v, _ := cut.At(s)
			if u.Sub(v).Norm() > 1e-9 {
				t.Fatalf("seed %d case %d: beyond the end is %v, want %v", seed, i, v, u)
			}
		}
		again := p.Trim(a/2, b/2).Trim(a, b).Trim(0, 0)
		u, _ := cut.At(0)
		v, _ := again.At(0)
		if u.Sub(v).Norm() > 1e-9 {
			t.Fatalf("seed %d case %d: trimmed in steps starts at %v, want %v", seed, i, v, u)
		}
	}
}

// A path in two parts is the same as in one, wherever it is parted, and whether the second
// part is a path of its own or what is left of the whole.
func TestThenIsTheWhole(t *testing.T) {
	const seed = 17
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 100 {
		f, e := randomTube(rnd, 300)
		walked, err := tube.Walk(f, e)
		if err != nil {
			t.Fatal(err)
		}
		at := rnd.IntN(len(e) + 1)
		middle := f
		if at > 0 {
			middle = walked.Ends[at-1]
		}
		whole := must(clear.NewPath(f, e, 40))
		first := must(clear.NewPath(f, e[:at], 40))
		second := must(clear.NewPath(middle, e[at:], 40))
		if i%2 == 1 {
			second = whole.Trim(first.Length(), 0)
		}
		parted := first.Then(second)
		if math.Abs((whole.Length() - parted.Length()).MM()) > 1e-9 {
			t.Fatalf("seed %d case %d: %v mm, whole %v", seed, i, parted.Length(), whole.Length())
		}
		for range 20 {
			s := units.Length(rnd.Float64()) * whole.Length()
			u, _ := whole.At(s)
			v, ok := parted.At(s)
			if !ok || u.Sub(v).Norm() > 1e-9 {
				t.Fatalf("seed %d case %d: at %v is %v, want %v", seed, i, s, v, u)
			}
		}
		g, other := randomTube(rnd, 300)
		b := must(clear.NewPath(g, other, 40))
		one, two := clear.Between(whole.Trim(30, 30), b, clear.Options{}), clear.Between(parted.Trim(30, 30), b, clear.Options{})
		if math.Abs((one.Gap - two.Gap).MM()) > 0.02 {
			t.Fatalf("seed %d case %d: gap %v, of the whole %v", seed, i, two.Gap, one.Gap)
		}
	}
}

// Two tubes that meet in a bundle are clear of each other without their ends.
func TestTrimLeavesTheMountOut(t *testing.T) {
	f := geom.Frame{T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}
	g := geom.Frame{O: geom.Vec{X: 50}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}
	a := must(clear.NewPath(f, elements([4]float64{400}), 40))
	b := must(clear.NewPath(g, elements([4]float64{100, -90, 20, 100}, [4]float64{100}), 40))
	whole := clear.Between(a, b, clear.Options{})
	bare := clear.Between(a, b.Trim(30, 0), clear.Options{})
	if math.Abs(whole.Gap.MM()-10) > 0.01 || bare.B.S < 30 {
		t.Errorf("whole %+v, trimmed %+v", whole, bare)
	}
	for _, none := range []clear.Path{{}, a.Trim(200, 200), a.Trim(500, 0), a.Trim(units.Length(math.NaN()), 0)} {
		for _, r := range []clear.Result{clear.Between(none, b, clear.Options{}), clear.Between(b, none, clear.Options{}), clear.Self(none, clear.Options{}),
			clear.To(none, clear.Body{Sets: b.Sets()}, clear.Options{}), clear.To(b, clear.Body{Sets: none.Sets()}, clear.Options{})} {
			if !r.Beyond || !math.IsInf(r.Gap.MM(), 1) {
				t.Errorf("nothing to compare: got %+v", r)
			}
		}
		if _, ok := none.At(0); ok {
			t.Error("a path with nothing on it has a place")
		}
	}
}

// Moving and turning everything changes no gap; nor does the order of two tubes.
func TestMovingAllChangesNothing(t *testing.T) {
	const seed = 16
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		fa, ea := randomTube(rnd, 300)
		fb, eb := randomTube(rnd, 300)
		m := must(geom.NewMove(randomDir(rnd), 7*rnd.Float64(), randomAt(rnd, 500)))
		a, b := must(clear.NewPath(fa, ea, 40)), must(clear.NewPath(fb, eb, 40))
		ma, mb := must(clear.NewPath(m.Frame(fa), ea, 40)), must(clear.NewPath(m.Frame(fb), eb, 40))
		const eps = 1e-4
		o := clear.Options{Eps: eps}
		want := clear.Between(a, b, o).Gap
		for what, got := range map[string]clear.Result{
			"moved": clear.Between(ma, mb, o), "the other way": clear.Between(b, a, o),
			"as sets": clear.To(a, clear.Body{Sets: b.Sets()}, o),
		} {
			if math.Abs((got.Gap - want).MM()) > eps {
				t.Fatalf("seed %d case %d: %s %v, want %v", seed, i, what, got.Gap, want)
			}
		}
		if x, y := clear.Self(a, o), clear.Self(ma, o); x.Beyond != y.Beyond || math.Abs((x.Gap-y.Gap).MM()) > eps {
			t.Fatalf("seed %d case %d: self %v, moved %v", seed, i, x.Gap, y.Gap)
		}
	}
}

// What the work may come to, in evaluations: the gate that speed has in tests. The
// figures are those measured and a tenth.
func TestEvaluations(t *testing.T) {
	h, n := header(1), bay(1)
	sum := func(o clear.Options) (pairs, bodies, self int) {
		for i := range h {
			for j := range i {
				pairs += clear.Between(h[i], h[j], o).Evaluations
			}
			for j := range n {
				bodies += clear.To(h[i], n[j].Body, o).Evaluations
			}
			self += clear.Self(h[i], o).Evaluations
		}
		return
	}
	roll := must(clear.Turning(geom.Vec{X: 300, Y: -200, Z: -150}, geom.Vec{X: 1}, -1.5*deg, 1.5*deg))
	for _, tt := range []struct {
		name                string
		o                   clear.Options
		pairs, bodies, self int
	}{
		{"full", clear.Options{}, 1330, 2000, 1280},
		{"cut-off 25 mm", clear.Options{Cutoff: 25}, 170, 360, 300},
		{"eps 0.001", clear.Options{Eps: 0.001}, 1410, 2100, 1550},
		{"roll", clear.Options{Roll: roll}, 1330, 9000, 1280},
	} {
		pairs, bodies, self := sum(tt.o)
		t.Logf("%s: %d, %d, %d", tt.name, pairs, bodies, self)
		if pairs > tt.pairs || bodies > tt.bodies || self > tt.self {
			t.Errorf("%s: %d, %d and %d evaluations, want at most %d, %d and %d", tt.name, pairs, bodies, self, tt.pairs, tt.bodies, tt.self)
		}
	}
}

func TestNothingIsAllocated(t *testing.T) {
	h, n := header(1), bay(1)
	if got := testing.AllocsPerRun(10, func() {
		clear.Between(h[0], h[1], clear.Options{})
		clear.Self(h[2], clear.Options{})
		for _, b := range n {
			clear.To(h[3], b.Body, clear.Options{})
		}
	}); got != 0 {
		t.Errorf("%v allocations, want none", got)
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	path := func(f geom.Frame, od units.Length) error {
		_, err := clear.NewPath(f, elements([4]float64{100}), od)
		return err
	}
	set := func(_ clear.Set, err error) error { return err }
	sets := func(_ []clear.Set, err error) error { return err }
	motion := func(_ clear.Motion, err error) error { return err }
	z := geom.Frame{T: v(0, 0, 1), N: v(0, 1, 0)}
	off := geom.Frame{O: v(0, 2e6, 0), T: v(0, 0, 1), N: v(0, 1, 0)}
	tests := []struct {
		err  error
		name string
	}{
		{path(z, -1), "OD"}, {path(z, units.Length(nan)), "OD"}, {path(z, 2e4), "OD"}, {path(off, 40), "Start"}, {path(geom.Frame{}, 40), "Start"},
		{func() error { _, err := clear.NewPath(z, []tube.Element{{Straight: -1}}, 40); return err }(), "Straight"},
		{set(clear.Ball(v(nan, 0, 0), 1)), "At"}, {set(clear.Ball(v(0, 0, 0), -1)), "Radius"}, {set(clear.Ball(v(0, 0, 0), units.Length(inf))), "Radius"},
		{set(clear.Rod(v(0, 0, 0), v(0, 0, inf), 1)), "End"}, {set(clear.Rod(v(0, 0, 0), v(0, 0, 9), units.Length(nan))), "Radius"},
		{sets(clear.Sleeve([]geom.Vec{{}}, 1)), "Points"}, {sets(clear.Sleeve([]geom.Vec{{}, {X: nan}}, 1)), "End"},
		{set(clear.Plane(v(0, 0, 0), v(0, 0, 0))), "Normal"}, {set(clear.Plane(v(0, -2e6, 0), v(0, 0, 1))), "At"},
		{set(clear.Box(v(0, 0, 0), v(1, 0, 1), v(1, 0, 0), v(0, 1, 0))), "Size"}, {set(clear.Box(v(0, 0, 0), v(1, 1, nan), v(1, 0, 0), v(0, 1, 0))), "Size"},
		{set(clear.Box(v(0, 0, 0), v(1, 1, 1), v(1, 0, 0), v(2, 0, 0))), "Axes"}, {set(clear.Box(v(nan, 0, 0), v(1, 1, 1), v(1, 0, 0), v(0, 1, 0))), "At"},
		{set(clear.Cylinder(v(0, 0, 0), v(0, 0, 0), 1, 1)), "Axis"}, {set(clear.Cylinder(v(0, 0, 0), v(0, 0, 1), -1, 1)), "Length"}, {set(clear.Cylinder(v(0, 0, 0), v(0, 0, 1), 1, -1)), "Radius"},
		{motion(clear.Turning(v(0, 0, 0), v(0, 0, 0), 0, 1)), "Axis"}, {motion(clear.Turning(v(inf, 0, 0), v(0, 0, 1), 0, 1)), "Axis"},
		{motion(clear.Turning(v(0, 0, 0), v(0, 0, 1), 1, 0)), "Highest turn"}, {motion(clear.Turning(v(0, 0, 0), v(0, 0, 1), units.Angle(nan), 0)), "Lowest turn"},
		{motion(clear.Sliding(v(0, 0, 0), 0, 1)), "Direction"}, {motion(clear.Sliding(v(0, 0, 1), 2, 1)), "Highest travel"}, {motion(clear.Sliding(v(0, 0, 1), -2e4, 1)), "Lowest travel"},
		{motion(clear.Standing(geom.Move{})), "Position"}, {motion(clear.Standing(must(geom.NewMove(v(0, 0, 1), 1, v(0, 9e6, 0))))), "Position"},
	}
	for i, tt := range tests {
		var f *fault.Field
		if !errors.As(tt.err, &f) || f.Name != tt.name {
			t.Errorf("case %d: got %v, want %q refused", i, tt.err, tt.name)
		}
	}
}
