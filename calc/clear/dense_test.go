package clear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// The dense checks share no code with the search: points every step mm along the
// elements as geom walks them, and distances by the shape's definition.

// dots returns points along the elements and their arc lengths, and the most that
// a place on the path is away from one of them.
func dots(start geom.Frame, elems []tube.Element, step float64) (pts []geom.Vec, s []float64, off float64) {
	f, from := start, 0.0
	for _, e := range elems {
		l := e.Length().MM()
		n := int(math.Ceil(l/step)) + 1
		for i := range n + 1 {
			u := l * float64(i) / float64(n)
			at := f.Straight(u)
			if b := e.Bend; b != nil {
				at = f.Turn(float64(b.Rotation)).Arc(u/b.Radius.MM(), b.Radius.MM())
			}
			pts, s = append(pts, at.O), append(s, from+u)
			if i == n {
				f = at
			}
		}
		off = max(off, l/float64(n)/2)
		from += l
	}
	return pts, s, off
}

// random tubes: straights and bends as they come, sometimes none between bends.
func randomTube(rnd *rand.Rand, spread float64) (geom.Frame, []tube.Element) {
	f := must(geom.NewFrame(geom.Vec{X: spread * rnd.Float64(), Y: spread * rnd.Float64(), Z: spread * rnd.Float64()},
		randomDir(rnd), randomDir(rnd)))
	var rows [][4]float64
	for range 1 + rnd.IntN(5) {
		straight := 120 * rnd.Float64()
		if rnd.IntN(4) == 0 {
			straight = 0
		}
		rows = append(rows, [4]float64{straight, 360*rnd.Float64() - 180, 5 + 175*rnd.Float64(), 40 + 120*rnd.Float64()})
	}
	return f, elements(append(rows, [4]float64{100 * rnd.Float64()})...)
}

func randomDir(rnd *rand.Rand) geom.Vec {
	for {
		v := geom.Vec{X: 2*rnd.Float64() - 1, Y: 2*rnd.Float64() - 1, Z: 2*rnd.Float64() - 1}
		if n := v.Norm(); n > 0.1 && n < 1 {
			return v
		}
	}
}

func randomAt(rnd *rand.Rand, spread float64) geom.Vec {
	return geom.Vec{X: spread * rnd.Float64(), Y: spread * rnd.Float64(), Z: spread * rnd.Float64()}
}

// check holds a result against a least gap found by dense points, which is at least
// the true one and at most off above it.
func check(t *testing.T, what string, r clear.Result, dense, off float64) {
	t.Helper()
	gap, eps := r.Gap.MM(), r.Eps.MM()
	if r.Beyond || !(gap <= dense+eps+1e-9) || !(gap >= dense-off-1e-9) {
		t.Fatalf("%s: got %v ± %v, beyond %v; dense points say %v to %v", what, gap, eps, r.Beyond, dense-off, dense)
	}
	if d := r.A.Axis.Sub(r.B.Axis).Norm(); math.IsNaN(d) || math.IsNaN(r.A.Surface.Norm()+r.B.Surface.Norm()) {
		t.Fatalf("%s: a place is not a number: %v, %v", what, r.A, r.B)
	}
}

func TestGapsAgainstDensePoints(t *testing.T) {
	const seed, cases, step = 11, 250, 2.0
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range cases {
		fa, ea := randomTube(rnd, 300)
		fb, eb := randomTube(rnd, 300)
		a, b := must(clear.NewPath(fa, ea, 40)), must(clear.NewPath(fb, eb, 30))
		pa, _, offA := dots(fa, ea, step)
		pb, _, offB := dots(fb, eb, step)
		dense := math.Inf(1)
		for _, p := range pa {
			for _, q := range pb {
				v := p.Sub(q)
				dense = min(dense, v.Dot(v))
			}
		}
		dense = math.Sqrt(dense) - 35
		eps := []units.Length{0.5, 0.01, 1e-4}[i%3]
		r := clear.Between(a, b, clear.Options{Eps: eps})
		check(t, "tubes", r, dense, offA+offB)
		if r.Eps != eps {
			t.Fatalf("seed %d case %d: eps %v, want %v", seed, i, r.Eps, eps)
		}
		// The place named has the gap named, and lies where its arc length says.
		if d := r.A.Axis.Sub(r.B.Axis).Norm() - 35; math.Abs(d-r.Gap.MM()) > 1e-9 {
			t.Fatalf("seed %d case %d: places %v apart, gap %v", seed, i, d, r.Gap)
		}
		if at, _ := a.At(r.A.S); at.Sub(r.A.Axis).Norm() > 1e-9 {
			t.Fatalf("seed %d case %d: a at %v is not %v", seed, i, r.A.S, r.A.Axis)
		}
		if at, _ := b.At(r.B.S); at.Sub(r.B.Axis).Norm() > 1e-9 {
			t.Fatalf("seed %d case %d: b at %v is not %v", seed, i, r.B.S, r.B.Axis)
		}
		// A cut-off just above finds it, one just below says at least so much.
		cut := r.Gap + 2*eps
		if c := clear.Between(a, b, clear.Options{Eps: eps, Cutoff: cut}); c.Beyond || math.Abs((c.Gap-r.Gap).MM()) > eps.MM() {
			t.Fatalf("seed %d case %d: with cut-off %v %+v, want %v", seed, i, cut, c, r.Gap)
		}
		cut = r.Gap - 2*eps
		if c := clear.Between(a, b, clear.Options{Eps: eps, Cutoff: cut}); !c.Beyond || c.Gap != cut || c.Evaluations > r.Evaluations {
			t.Fatalf("seed %d case %d: with cut-off %v %+v, want beyond", seed, i, cut, c)
		}
	}
}

// shape is a set and its signed surface distance by definition.
type shape struct {
	name string
	sets []clear.Set
	gap  func(p geom.Vec) float64
}

// toSegment by definition: the foot, held between the ends.
func toSegment(p, a, b geom.Vec) float64 {
	ab := b.Sub(a)
	s := math.Max(0, math.Min(1, p.Sub(a).Dot(ab)/ab.Dot(ab)))
	return p.Sub(a.Add(ab.Scale(s))).Norm()
}

func randomShape(rnd *rand.Rand) shape {
	at, dir, other := randomAt(rnd, 300), randomDir(rnd), randomDir(rnd)
	r := 5 + 30*rnd.Float64()
	switch rnd.IntN(6) {
	case 0:
		return shape{"ball", []clear.Set{must(clear.Ball(at, units.Length(r)))}, func(p geom.Vec) float64 { return p.Sub(at).Norm() - r }}
	case 1:
		end := at.Add(dir.Scale(250))
		return shape{"rod", []clear.Set{must(clear.Rod(at, end, units.Length(r)))}, func(p geom.Vec) float64 { return toSegment(p, at, end) - r }}
	case 2:
		pts := []geom.Vec{at, at.Add(dir.Scale(150)), at.Add(other.Scale(200)), randomAt(rnd, 300)}
		return shape{"sleeve", must(clear.Sleeve(pts, units.Length(r))), func(p geom.Vec) float64 {
			return min(toSegment(p, pts[0], pts[1]), toSegment(p, pts[1], pts[2]), toSegment(p, pts[2], pts[3])) - r
		}}
	case 3:
		size := geom.Vec{X: 10 + 150*rnd.Float64(), Y: 10 + 150*rnd.Float64(), Z: 10 + 150*rnd.Float64()}
		z, _ := dir.Cross(other).Unit()
		x, _ := dir.Unit()
		y := z.Cross(x)
		return shape{"box", []clear.Set{must(clear.Box(at, size, dir, other))}, func(p geom.Vec) float64 {
			v := p.Sub(at)
			return geom.Vec{X: max(0, math.Abs(v.Dot(x))-size.X/2), Y: max(0, math.Abs(v.Dot(y))-size.Y/2), Z: max(0, math.Abs(v.Dot(z))-size.Z/2)}.Norm()
		}}
	case 4:
		l := 200 * rnd.Float64()
		u, _ := dir.Unit()
		return shape{"cylinder", []clear.Set{must(clear.Cylinder(at, dir, units.Length(l), units.Length(r)))}, func(p geom.Vec) float64 {
			x := p.Sub(at).Dot(u)
			out := p.Sub(at).Cross(u).Norm()
			return math.Hypot(max(0, -x, x-l), max(0, out-r))
		}}
	}
	u, _ := dir.Unit()
	at = at.Sub(u.Scale(250))
	return shape{"plane", []clear.Set{must(clear.Plane(at, dir))}, func(p geom.Vec) float64 { return p.Sub(at).Dot(u) }}
}

func TestBodiesAgainstDensePoints(t *testing.T) {
	const seed, cases, step = 12, 1500, 1.0
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range cases {
		f, e := randomTube(rnd, 300)
		p := must(clear.NewPath(f, e, 40))
		s := randomShape(rnd)
		pts, _, off := dots(f, e, step)
		dense := math.Inf(1)
		for _, q := range pts {
			dense = min(dense, s.gap(q)-20)
		}
		eps := []units.Length{0.5, 0.01, 1e-4}[i%3]
		r := clear.To(p, clear.Body{Sets: s.sets}, clear.Options{Eps: eps})
		check(t, s.name, r, dense, off)
		// Of a sleeve, the place may be nearer to another rod than the one named.
		if got := s.gap(r.A.Axis) - 20; got > r.Gap.MM()+1e-9 || got < r.Gap.MM()-eps.MM() {
			t.Fatalf("seed %d case %d: %s is %v from the place named, gap %v", seed, i, s.name, got, r.Gap)
		}
		if at, _ := p.At(r.A.S); at.Sub(r.A.Axis).Norm() > 1e-9 {
			t.Fatalf("seed %d case %d: at %v is not %v", seed, i, r.A.S, r.A.Axis)
		}
		if s.name != "plane" || r.Gap > 0 {
			d := r.A.Axis.Sub(r.B.Axis).Norm() - 20 - s.sets[r.Set].Skin()
			if math.Abs(d-r.Gap.MM()) > 1e-9 {
				t.Fatalf("seed %d case %d: %s: places %v apart, gap %v", seed, i, s.name, d, r.Gap)
			}
		}
		if c := clear.To(p, clear.Body{Sets: s.sets}, clear.Options{Eps: eps, Cutoff: r.Gap - 2*eps}); !c.Beyond || c.Gap != r.Gap-2*eps {
			t.Fatalf("seed %d case %d: %s: cut-off: %+v, want beyond", seed, i, s.name, c)
		}
	}
}

func TestSelfAgainstDensePoints(t *testing.T) {
	const seed, cases, step = 13, 200, 2.0
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range cases {
		f, e := randomTube(rnd, 300)
		const od = 20
		p := must(clear.NewPath(f, e, od))
		pts, s, off := dots(f, e, step)
		dense := math.Inf(1)
		for a := range pts {
			for b := range a {
				if s[a]-s[b] >= clear.Apart*od {
					v := pts[a].Sub(pts[b])
					dense = min(dense, v.Dot(v))
				}
			}
		}
		eps := []units.Length{0.5, 0.01, 1e-3}[i%3]
		r := clear.Self(p, clear.Options{Eps: eps})
		if math.IsInf(dense, 1) {
			if !r.Beyond && p.Length() < clear.Apart*od-units.Length(2*off) {
				t.Fatalf("seed %d case %d: %+v of a tube %v long", seed, i, r, p.Length())
			}
			continue
		}
		// A pair of dots that is far enough apart may be two steps from one that is.
		check(t, "self", r, math.Sqrt(dense)-od, 6*off)
		if r.B.S-r.A.S < clear.Apart*od-1e-9 {
			t.Fatalf("seed %d case %d: %v and %v are too near along the tube", seed, i, r.A.S, r.B.S)
		}
		if d := r.A.Axis.Sub(r.B.Axis).Norm() - od; math.Abs(d-r.Gap.MM()) > 1e-9 {
			t.Fatalf("seed %d case %d: places %v apart, gap %v", seed, i, d, r.Gap)
		}
	}
}
