package clear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// alone returns the path of one straight or bend from a frame.
func alone(f geom.Frame, row [4]float64) clear.Path { return must(clear.NewPath(f, elements(row), 0)) }

// aBend is a bend about (x, y, z) in the plane z, from +x towards +y.
func aBend(x, y, z, radius, turn float64) clear.Path {
	return alone(geom.Frame{O: geom.Vec{X: x + radius, Y: y, Z: z}, T: geom.Vec{Y: 1}, N: geom.Vec{X: -1}}, [4]float64{0, 0, turn, radius})
}

func aStraight(from, to geom.Vec) clear.Path {
	d := to.Sub(from)
	return alone(must(geom.NewFrame(from, d, geom.Vec{X: d.Y, Y: d.Z, Z: -d.X})), [4]float64{d.Norm()})
}

// Where the least gap is everywhere at once, nowhere in particular, or nothing at
// all, the bound has to hold and the work to end. All by closed form.
func TestHardPairs(t *testing.T) {
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	quarter := aBend(0, 0, 0, 76.2, 90)
	tests := []struct {
		name  string
		a, b  clear.Path
		want  float64
		evals int // at eps 0.001
	}{
		{"concentric", quarter, aBend(0, 0, 0, 106.2, 90), 30, 600},
		{"concentric, 1 mm", quarter, aBend(0, 0, 0, 77.2, 90), 1, 2500},
		{"concentric, 0.01 mm", quarter, aBend(0, 0, 0, 76.21, 90), 0.01, 17000},
		{"coaxial", quarter, aBend(0, 0, 40, 76.2, 90), 40, 600},
		{"coaxial, another radius", quarter, aBend(0, 0, 40, 106.2, 90), 50, 600},
		{"coincident", quarter, quarter, 0, 20},
		{"coincident to 1e-7", quarter, aBend(0, 0, 1e-7, 76.2, 90), 1e-7, 20},
		{"coincident to 1e-7, radius", quarter, aBend(0, 0, 0, 76.2+1e-7, 90), 1e-7, 20},
		{"half turns, coaxial", aBend(0, 0, 0, 50, 180), aBend(0, 0, 25, 50, 180), 25, 1500},
		{"opposite halves of one circle", aBend(0, 0, 0, 50, 180), alone(geom.Frame{O: v(-50, 0, 0), T: v(0, -1, 0), N: v(1, 0, 0)}, [4]float64{0, 0, 180, 50}), 0, 20},
		{"axis through the centre", quarter, aStraight(v(0, 0, -100), v(0, 0, 100)), 76.2, 60},
		{"axis through the centre, short", quarter, aStraight(v(0, 0, 30), v(0, 0, 100)), math.Hypot(76.2, 30), 60},
		{"axis beside the centre", quarter, aStraight(v(-1e-9, 0, -100), v(0, 0, 100)), 76.2, 60},
		{"crossing straights", aStraight(v(-50, 0, 0), v(50, 0, 0)), aStraight(v(0, -50, 0), v(1, 50, 0)), 0, 5},
		{"straight through a bend", aBend(0, 0, 0, 76.2, 180), aStraight(v(0, 76.2, -50), v(0, 76.2, 50)), 0, 40},
		{"crossing bends", quarter, alone(geom.Frame{O: v(76.2, 0, -60), T: v(0, 0, 1), N: v(-1, 0, 0)}, [4]float64{60, 0, 90, 76.2}), 0, 60},
		{"tangent straight", quarter, aStraight(v(76.2, -40, 0), v(76.2, 40, 0)), 0, 60},
		{"parallel straights", aStraight(v(0, 0, 0), v(100, 0, 0)), aStraight(v(30, 7, 0), v(200, 7, 0)), 7, 5},
		{"straights in line", aStraight(v(0, 0, 0), v(100, 0, 0)), aStraight(v(130, 0, 0), v(200, 0, 0)), 30, 5},
		{"nearly parallel, crossing", aStraight(v(-500, 0, 0), v(500, 0, 0)), aStraight(v(-500, -5e-6, 0), v(500, 5e-6, 0)), 0, 5},
		{"nearly parallel, apart", aStraight(v(-500, 0, 0), v(500, 0, 0)), aStraight(v(-500, -5e-6, 3), v(500, 5e-6, 3)), 3, 5},
		{"inner side of a bend", aBend(0, 0, 0, 76.2, 180), aStraight(v(-10, 20, 0), v(10, 20, 0)), 76.2 - math.Hypot(10, 20), 80},
		{"inner side of a bend, a straight across", aBend(0, 0, 0, 76.2, 180), aStraight(v(-70, 0, 0), v(70, 0, 0)), 6.2, 80},
	}
	for _, tt := range tests {
		for _, eps := range []units.Length{0.01, 0.001} {
			for _, r := range []clear.Result{clear.Between(tt.a, tt.b, clear.Options{Eps: eps}), clear.Between(tt.b, tt.a, clear.Options{Eps: eps}),
				clear.To(tt.a, clear.Body{Sets: tt.b.Sets()}, clear.Options{Eps: eps})} {
				got := r.Gap.MM()
				if r.Eps != eps || got < tt.want-1e-9 || got > tt.want+eps.MM()+1e-9 {
					t.Errorf("%s: got %v ± %v, want %v ± %v", tt.name, got, r.Eps, tt.want, eps)
				}
				if r.Evaluations > tt.evals {
					t.Errorf("%s: %d evaluations at eps %v, want at most %d", tt.name, r.Evaluations, eps, tt.evals)
				}
			}
		}
	}
}

// An eps that cannot be kept within the evaluations a search may take is not
// claimed: the result says what is certain.
func TestEpsIsNotClaimedWhereItIsNotKept(t *testing.T) {
	a, b := aBend(0, 0, 0, 76.2, 180), aBend(0, 0, 0, 76.2001, 180)
	r := clear.Between(a, b, clear.Options{Eps: 1e-9})
	if r.Evaluations > 1<<20+200 {
		t.Errorf("%d evaluations, want about a million at most", r.Evaluations)
	}
	if gap := r.Gap.MM(); r.Eps <= 1e-9 || gap-r.Eps.MM() > 1e-4 || math.Abs(gap-1e-4) > 1e-9 {
		t.Errorf("got %v ± %v, want 1e-4 and an honest eps of more than 1e-9", gap, r.Eps)
	}
}

// Solids: the centreline passes an edge, a corner and a face of a box, and the rim
// of a cylinder, by closed form.
func TestSolidsByClosedForm(t *testing.T) {
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	box := must(clear.Box(v(0, 0, 0), v(20, 40, 60), v(3, 0, 0), v(1, 1, 0)))
	bar := must(clear.Cylinder(v(0, 0, 0), v(0, 0, 2), 100, 15))
	tests := []struct {
		name string
		a    clear.Path
		s    clear.Set
		want float64
	}{
		{"box, along a face", aStraight(v(13, -5, -5), v(13, 5, 5)), box, 3},
		{"box, along an edge", aStraight(v(14, 23, -90), v(14, 23, 90)), box, 5},
		{"box, off a corner", aStraight(v(11, 22, 32), v(51, 62, 132)), box, 3},
		{"box, through", aStraight(v(-50, 0, 0), v(50, 0, 0)), box, 0},
		{"box, within", aStraight(v(-5, 0, 0), v(5, 0, 0)), box, 0},
		{"cylinder, over the end", aStraight(v(-50, 0, 104), v(50, 0, 104)), bar, 4},
		{"cylinder, off the rim", aStraight(v(18, -50, 104), v(18, 50, 104)), bar, 5},
		{"cylinder, beside", aStraight(v(22, -50, 50), v(22, 50, 60)), bar, 7},
		{"cylinder, round it", aBend(0, 0, 30, 40, 180), bar, 25},
		{"cylinder, along the axis", aStraight(v(0, 0, -40), v(0, 0, -8)), bar, 8},
		{"plane, half a turn over it", aBend(0, 0, 12, 40, 180), must(clear.Plane(v(0, 0, 10), v(0, 0, 5))), 2},
		{"plane, bend dips to its lowest in between", alone(geom.Frame{O: v(0, 0, 100), T: v(0.6, 0, -0.8), N: v(0.8, 0, 0.6)}, [4]float64{0, 0, 120, 50}), must(clear.Plane(v(0, 0, 0), v(0, 0, 1))), 100 + 50*0.6 - 50},
		{"plane, behind it", aStraight(v(0, 0, -3), v(9, 0, -8)), must(clear.Plane(v(0, 0, 0), v(0, 0, 1))), -8},
		{"ball, in the middle of a bend", aBend(0, 0, 0, 76.2, 180), must(clear.Ball(v(0, 0, 0), 6.2)), 70},
	}
	for _, tt := range tests {
		r := clear.To(tt.a, clear.Body{Sets: []clear.Set{tt.s}}, clear.Options{Eps: 0.001})
		if got := r.Gap.MM(); got < tt.want-1e-9 || got > tt.want+0.001 || r.Eps != 0.001 {
			t.Errorf("%s: got %v ± %v, want %v", tt.name, got, r.Eps, tt.want)
		}
	}
}

// A U-bend's legs are two radii apart; its least chord so many ODs along is on the
// bend, everywhere.
func TestSelfByClosedForm(t *testing.T) {
	f := geom.Frame{T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}
	tests := []struct {
		name string
		rows [][4]float64
		od   float64
		want float64
	}{
		{"straight", [][4]float64{{300}}, 40, 1.6 * 40},
		{"hairpin", [][4]float64{{200, 0, 180, 44.45}, {200}}, 44.45, 44.45 * (2*math.Sin(1.3) - 1)},
		{"wide U", [][4]float64{{200, 0, 180, 100}, {200}}, 50, 200*math.Sin(130.0/200) - 50},
		{"wide U, thin tube", [][4]float64{{200, 0, 180, 30}, {200}}, 35, 60*math.Sin(91.0/60) - 35},
		{"legs nearer than chords", [][4]float64{{200, 0, 180, 30}, {200}}, 40, 60 - 40},
		// Just over a ring, too tight for its OD: each place meets itself 251 mm on,
		// past 2.6 ODs, which are 247 mm and have a chord of 4 mm. No two pieces are
		// far enough apart as a whole.
		{"ring", [][4]float64{{0, 0, 60, 40}, {0, 0, 180, 40}, {0, 0, 168, 40}}, 95, -95},
		{"short", [][4]float64{{50}}, 40, math.Inf(1)},
	}
	for _, tt := range tests {
		p := must(clear.NewPath(f, elements(tt.rows...), units.Length(tt.od)))
		r := clear.Self(p, clear.Options{})
		if math.IsInf(tt.want, 1) {
			if !r.Beyond || r.Gap != units.Length(tt.want) {
				t.Errorf("%s: got %+v, want nothing to compare", tt.name, r)
			}
			continue
		}
		if got := r.Gap.MM(); got < tt.want-1e-9 || got > tt.want+0.01 || r.Evaluations > 3000 {
			t.Errorf("%s: got %v in %d evaluations, want %v", tt.name, got, r.Evaluations, tt.want)
		}
	}
}

// Straights that cross at angles down to nothing, anywhere along them and as far
// apart as they are told to be.
func TestNearlyParallelStraights(t *testing.T) {
	const seed = 18
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst := 0.0
	for i := range 2000 {
		angle := []float64{1e-2, 1e-4, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10, 1e-12}[i%8]
		apart := []float64{0, 1e-6, 1, 30}[i/8%4]
		u, _ := randomDir(rnd).Unit()
		n, _ := u.Cross(randomDir(rnd)).Unit()
		side := n.Cross(u)
		v := u.Scale(math.Cos(angle)).Add(side.Scale(math.Sin(angle)))
		at := randomAt(rnd, 300)
		p, q := 800*rnd.Float64(), 800*rnd.Float64()
		a := aStraight(at.Sub(u.Scale(p)), at.Add(u.Scale(800-p)))
		at = at.Add(n.Scale(apart))
		b := aStraight(at.Sub(v.Scale(q)), at.Add(v.Scale(800-q)))
		got := clear.Between(a, b, clear.Options{}).Gap.MM()
		worst = max(worst, math.Abs(got-apart))
		if math.Abs(got-apart) > 1e-9 {
			t.Errorf("seed %d case %d: %v rad, %v mm apart: got %v", seed, i, angle, apart, got)
		}
	}
	t.Logf("worst %.2g mm", worst)
}
