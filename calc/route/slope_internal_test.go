package route

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Slopes are the derivatives of the misses, by central differences: error of order
// h², 1e-4 of a step of 1e-4 at an arm of a metre, over the scales used here.
func TestSlopesAreDerivatives(t *testing.T) {
	const seed = 8
	rnd := rand.New(rand.NewPCG(seed, 0))
	dir := func() geom.Vec {
		return geom.Vec{X: rnd.Float64() - 0.5, Y: rnd.Float64() - 0.5, Z: rnd.Float64() - 0.5}
	}
	for i := range 200 {
		f, err := geom.NewFrame(dir().Scale(100), dir(), dir())
		if err != nil {
			continue
		}
		c := Chain{Start: f, OD: 40}
		for range 2 + rnd.IntN(5) {
			e := tube.Element{Straight: units.Length(100 * rnd.Float64())}
			if rnd.IntN(2) == 0 {
				e.Bend = &tube.Bend{Turn: units.Angle(0.2 + 2*rnd.Float64()), Radius: 60, Rotation: units.Angle(6*rnd.Float64() - 3)}
			}
			c.Pieces = append(c.Pieces, Piece{Element: e})
		}
		target, err := Target{At: dir().Scale(300), Aim: dir(), Length: 300, LengthWithin: 10}.ready()
		if i%3 == 0 {
			target.Deeper, target.Shorter = 20, 20
		}
		if err != nil {
			t.Fatal(err)
		}
		m := newModel(c, target)
		if i%2 == 0 && len(c.Pieces) > 1 { // with a new bend in front of the second piece
			m = m.with(1, 60)
			m.links[1].turn = 0.4
		}
		sc := target.usual()
		var p pose
		m.walk(m.links, &p)
		if m.ahead(&p) < 0.2 {
			continue // towards a half turn the tangent runs away, and with it the steps
		}
		for k := range m.knobs {
			knob := &m.knobs[k]
			m.walk(m.links, &p)
			got := m.slopes(&p, sc, knob, &m.links[knob.link])
			const h = 1e-4
			at := func(x float64) row {
				links := append([]link(nil), m.links...)
				knob.set(links, x)
				var q pose
				m.walk(links, &q)
				return m.misses(&q, sc)
			}
			more, less := at(h), at(-h)
			for r := range rows {
				want := (more[r] - less[r]) / (2 * h)
				if math.Abs(got[r]-want) > 1e-3*(1+math.Abs(want)) {
					t.Fatalf("seed %d case %d: miss %d by knob %+v: %v, want %v", seed, i, r, *knob, got[r], want)
				}
			}
		}
	}
}

// What is kept by a set of knobs is nowhere cheaper close by: a bound holds, or the
// cost rises either way.
func TestSolutionsAreLeast(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		c := Chain{Start: geom.Frame{T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}, OD: 40}
		for k := range 4 {
			e := tube.Element{Straight: units.Length(20 + 100*rnd.Float64())}
			if k%2 == 1 {
				e.Bend = &tube.Bend{Turn: units.Angle(0.3 + rnd.Float64()), Radius: 60, Rotation: units.Angle(6*rnd.Float64() - 3)}
			}
			c.Pieces = append(c.Pieces, Piece{Element: e, State: State(rnd.IntN(2))})
		}
		w, err := tube.Walk(c.Start, []tube.Element{c.Pieces[0].Element, c.Pieces[1].Element, c.Pieces[2].Element, c.Pieces[3].Element})
		if err != nil {
			t.Fatal(err)
		}
		target, err := Target{At: w.End.O.Add(geom.Vec{X: 20 * rnd.Float64(), Y: 20 * rnd.Float64()}), Aim: w.End.T.Add(geom.Vec{Z: 0.1})}.ready()
		if err != nil {
			t.Fatal(err)
		}
		m := newModel(c, target)
		v := newSolver(&m)
		set := make([]int, len(m.knobs))
		for k := range set {
			set[k] = k
		}
		set = set[:1+rnd.IntN(len(set))]
		sc := target.usual()
		f := v.solve(set, nil, sc)
		for k := range set {
			knob := &m.knobs[set[k]]
			for _, by := range []float64{-1e-2, 1e-2} {
				x := append([]float64(nil), f.x...)
				x[k] += by * knob.unit
				if x[k] < knob.lo || x[k] > knob.hi {
					continue
				}
				if _, cost := v.cost(set, x, sc); cost < f.cost*(1-0.02) && f.cost < 1 {
					t.Errorf("seed %d case %d: cost %v, and %v where knob %d moves by %v", seed, i, f.cost, cost, k, by*knob.unit)
				}
			}
			if !(f.x[k] >= knob.lo && f.x[k] <= knob.hi) {
				t.Errorf("seed %d case %d: knob %d at %v leaves %v to %v", seed, i, k, f.x[k], knob.lo, knob.hi)
			}
		}
	}
}
