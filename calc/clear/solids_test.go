package clear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// A socket of 18 mm OD and 65 mm length stands on z = 0, along z.
func TestGapBetweenSolidsByHand(t *testing.T) {
	socket := made(t)(clear.Cylinder(geom.Vec{}, geom.Vec{Z: 1}, 65, 9))
	along := geom.Vec{X: 1}
	up := geom.Vec{Y: 1}
	diagonal := geom.Vec{X: 1, Y: 1}
	for _, tt := range []struct {
		name string
		set  clear.Set
		want float64
		from string
	}{
		{"box beside it", made(t)(clear.Box(geom.Vec{X: 40, Z: 30}, geom.Vec{X: 20, Y: 80, Z: 10}, along, up)), 21, "40 − 10 − 9"},
		{"box above it", made(t)(clear.Box(geom.Vec{X: 3, Z: 80}, geom.Vec{X: 20, Y: 80, Z: 10}, along, up)), 10, "80 − 5 − 65"},
		{"edge beside it", made(t)(clear.Box(geom.Vec{X: 40, Z: 30}, geom.Vec{X: 20, Y: 20, Z: 500}, diagonal, geom.Vec{X: -1, Y: 1})), 40 - 10*math.Sqrt2 - 9, "the edge lies half a diagonal nearer than the middle"},
		{"edge over its rim", made(t)(clear.Box(geom.Vec{X: 9 + 3 + 10, Z: 65 + 4 + 10}, geom.Vec{X: 20, Y: 300, Z: 20}, along, up)), 5, "3 and 4 from rim to edge"},
		{"corner far off", made(t)(clear.Box(geom.Vec{X: 100, Y: 100, Z: 200}, geom.Vec{X: 20, Y: 20, Z: 20}, along, up)), math.Hypot(90*math.Sqrt2-9, 125), "corner at 90, 90, 190; rim at radius 9, z = 65"},
		{"ball over it", made(t)(clear.Ball(geom.Vec{Y: 5, Z: 90}, 7)), 18, "90 − 65 − 7"},
		{"ball in it", made(t)(clear.Ball(geom.Vec{Y: 5, Z: 30}, 7)), -7, "its middle lies within: overlap by its radius, however deep"},
		{"plane below", made(t)(clear.Plane(geom.Vec{Z: -12}, geom.Vec{Z: 1})), 12, "closed form"},
		{"plane through it", made(t)(clear.Plane(geom.Vec{Z: 12}, geom.Vec{Z: 1})), -12, "a plane tells how deep"},
		{"plane askew", made(t)(clear.Plane(geom.Vec{X: 100}, geom.Vec{X: -1, Z: -1})), 100/math.Sqrt2 - (65+9)/math.Sqrt2, "the far rim's lowest place is 9, 0, 65"},
		{"rod across", made(t)(clear.Rod(geom.Vec{X: 30, Y: -200, Z: 20}, geom.Vec{X: 30, Y: 200, Z: 60}, 6)), 15, "30 − 9 − 6: it passes the side of the socket"},
		{"rod over it", made(t)(clear.Rod(geom.Vec{Y: -200, Z: 75}, geom.Vec{Y: 200, Z: 75}, 6)), 4, "75 − 65 − 6"},
	} {
		for _, r := range []clear.Result{clear.Solids(socket, tt.set, clear.Options{}), swapped(clear.Solids(tt.set, socket, clear.Options{}))} {
			if got := r.Gap.MM(); r.Beyond || got < tt.want-1e-9 || got-r.Eps.MM() > tt.want+1e-9 || r.Eps > clear.Usual {
				t.Errorf("%s: %v with eps %v, want %v (%s)", tt.name, got, r.Eps, tt.want, tt.from)
			}
			if tt.want > 0 && math.Abs(r.B.Surface.Sub(r.A.Surface).Norm()-r.Gap.MM()) > 1e-9 {
				t.Errorf("%s: the places are %v apart, the gap is %v", tt.name, r.B.Surface.Sub(r.A.Surface).Norm(), r.Gap)
			}
		}
	}
	wall := made(t)(clear.Box(geom.Vec{X: 40, Z: 30}, geom.Vec{X: 20, Y: 80, Z: 10}, along, up))
	if r := clear.Solids(socket, wall, clear.Options{Cutoff: 15}); !r.Beyond || r.Gap > 21 {
		t.Errorf("beyond 15 mm: %+v", r)
	}
	if r := clear.Solids(socket, made(t)(clear.Box(geom.Vec{Z: 30}, geom.Vec{X: 20, Y: 20, Z: 10}, along, up)), clear.Options{}); r.Beyond || r.Gap != 0 {
		t.Errorf("a box within: %+v", r)
	}
}

func swapped(r clear.Result) clear.Result {
	r.A, r.B = r.B, r.A
	return r
}

// made fails where a set cannot be made.
func made(t *testing.T) func(clear.Set, error) clear.Set {
	return func(s clear.Set, err error) clear.Set {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
}

// No place on the surface of the one is nearer to the other than the gap less its eps,
// and the places named are that far apart: cylinders and boxes in random positions.
func TestGapBetweenSolidsIsCertified(t *testing.T) {
	const seed, cases = 11, 400
	rnd := rand.New(rand.NewPCG(seed, 0))
	dir := func() geom.Vec { return geom.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()} }
	short, most := 0, 0
	for n := range cases {
		from, along := dir().Scale(40), dir()
		length, radius := 10+100*rnd.Float64(), 4+20*rnd.Float64()
		if n%4 == 0 { // nearly square to the axes, as in a car
			along = geom.Vec{Z: 1, X: 1e-3 * rnd.NormFloat64()}
		}
		tool := made(t)(clear.Cylinder(from, along, units.Length(length), units.Length(radius)))
		x, y := dir(), dir()
		if n%4 == 0 {
			x, y = geom.Vec{X: 1}, geom.Vec{Y: 1, X: 1e-3 * rnd.NormFloat64()}
		}
		box := made(t)(clear.Box(dir().Scale(90), geom.Vec{X: 5 + 200*rnd.Float64(), Y: 5 + 200*rnd.Float64(), Z: 5 + 60*rnd.Float64()}, x, y))
		r := clear.Solids(tool, box, clear.Options{})
		most = max(most, r.Evaluations)
		if r.Eps > clear.Usual {
			short++
		}
		if d := tool.Distance(r.B.Surface); (d > r.Gap.MM()+1e-9 || d < r.Gap.MM()-r.Eps.MM()-1e-9) || box.Distance(r.B.Surface) > 1e-9 || tool.Distance(r.A.Surface) > 1e-9 {
			t.Fatalf("seed %d case %d: gap %v with eps %v, but the place on the box is %v from the tool and %v from the box, that on the tool %v from it", seed, n, r.Gap, r.Eps, d, box.Distance(r.B.Surface), tool.Distance(r.A.Surface))
		}
		axis, _ := along.Unit()
		f, err := geom.NewFrame(from, axis, dir())
		if err != nil {
			t.Fatal(err)
		}
		for i := range 40 {
			for k := range 90 {
				s, c := math.Sincos(float64(k) * math.Pi / 45)
				out := f.N.Scale(c).Add(f.T.Cross(f.N).Scale(s))
				for _, q := range [2]geom.Vec{
					from.Add(axis.Scale(length * float64(i) / 39)).Add(out.Scale(radius)),                // its side
					from.Add(axis.Scale(length * float64(i%2))).Add(out.Scale(radius * float64(i) / 39)), // its ends
				} {
					if d := box.Distance(q); d < r.Gap.MM()-r.Eps.MM()-1e-9 {
						t.Fatalf("seed %d case %d: %v is %v from the box, the gap is said to be %v less %v", seed, n, q, d, r.Gap, r.Eps)
					}
				}
			}
		}
	}
	if short > cases/100 {
		t.Errorf("%d of %d were given up before they were known to %v", short, cases, clear.Usual)
	}
	t.Logf("at most %d evaluations", most)
}
