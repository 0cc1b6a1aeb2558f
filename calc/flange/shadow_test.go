package flange_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

func shade(t *testing.T, opening, port geom.Outline) flange.Shade {
	t.Helper()
	s, err := flange.Shadow(opening, port)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestShadowsWithKnownFigures(t *testing.T) {
	ok := made(t)
	round := func(d, x float64) geom.Outline { return ok(geom.Round(d)).Moved(x, 0) }
	// Two circles of radius r, their centres e apart, share 2r²·acos(e/2r) − e/2·√(4r² − e²).
	lens := func(r, e float64) float64 { return 2*r*r*math.Acos(e/(2*r)) - e/2*math.Sqrt(4*r*r-e*e) }
	box := ok(geom.Rectangle(40, 30, 0))
	tests := []struct {
		name                       string
		opening, port              geom.Outline
		depth, area, clear, beyond float64
	}{
		{"smaller round", round(36, 0), round(40, 0), 2, 76 * math.Pi, 0, 0},
		{"larger round", round(43, 0), round(40, 0), 0, 0, 1.5, 1.5},
		{"the same round", round(40, 0), round(40, 0), 0, 0, 0, 0},
		{"a round beside itself", round(40, 3), round(40, 0), 3, 400*math.Pi - lens(20, 3), 0, 3},
		{"larger and aside, clear", round(46, 2), round(40, 0), 0, 0, 1, 5},
		{"larger and aside, just touching", round(46, 3), round(40, 0), 0, 0, 0, 6},
		{"the same box", box, box, 0, 0, 0, 0},
		{"a box aside", box.Moved(2, 0), box, 2, 60, 0, 2},
		{"a box aside and up", box.Moved(2, 1), box, 2, 1200 - 38*29, 0, math.Sqrt(5)},
		{"a box that shares a side", ok(geom.Rectangle(30, 30, 0)).Moved(5, 0), box, 10, 300, 0, 0},
		{"hardly over the edge", round(40, 39.99), round(40, 0), 0.01, 400*math.Pi - lens(20, 39.99), 0, 39.99},
		{"far away", round(10, 100), round(10, 0), 100, 25 * math.Pi, 0, 100},
		{"a tongue into it", polygon(t, -25, -20, 25, -20, 25, -1, 10, -1, 10, 1, 25, 1, 25, 20, -25, 20), box, math.Hypot(10, 0), 20, 0, 5 * math.Sqrt2},
	}
	for _, tt := range tests {
		s := shade(t, tt.opening, tt.port)
		if math.Abs(s.Depth-tt.depth) > 1e-6 || math.Abs(s.Clear-tt.clear) > 1e-6 || math.Abs(s.Beyond-tt.beyond) > 1e-6 || math.Abs(s.Area-tt.area) > 1e-6 {
			t.Errorf("%s: %+v, want depth %v, area %v, clear %v, beyond %v", tt.name, s, tt.depth, tt.area, tt.clear, tt.beyond)
		}
	}
	if _, err := flange.Shadow(box, geom.Outline{}); err == nil {
		t.Error("an empty port has a shadow")
	}
}

// Two rounds that hardly overlap, wherever they stand: r + s − e deep.
func TestShadowOfTwoRounds(t *testing.T) {
	const seed = 40
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		r, s := 10+20*rnd.Float64(), 10+20*rnd.Float64()
		depth := 0.3 * rnd.Float64() * rnd.Float64()
		sin, cos := math.Sincos(2 * math.Pi * rnd.Float64())
		e := r + s - depth
		opening := made(t)(geom.Round(2*s)).Turned(7*rnd.Float64()).Moved(e*cos, e*sin)
		got := shade(t, opening, made(t)(geom.Round(2*r)))
		if math.Abs(got.Depth-depth) > 1e-6 || math.Abs(got.Beyond-(2*s-depth)) > 1e-6 {
			t.Fatalf("seed %d case %d: rounds of %v and %v, %v deep: %+v", seed, i, r, s, depth, got)
		}
	}
}

// A port and an opening that is its offset: as deep or as clear as the offset.
func TestShadowOfAnOffset(t *testing.T) {
	for name, o := range convex(t) {
		for _, d := range []float64{-0.8, 0.7} {
			opening := made(t)(flange.Offset(o, d))
			s := shade(t, opening, o)
			if d < 0 && (math.Abs(s.Depth+d) > 0.005 || s.Clear != 0 || math.Abs(s.Area-o.Area()+opening.Area()) > 2e-4*o.Perimeter()) ||
				d > 0 && (math.Abs(s.Clear-d) > 0.012 || s.Depth != 0 || s.Area > 1e-3) {
				t.Errorf("%s by %v: %+v", name, d, s)
			}
		}
	}
}

func TestShadowsTurnWithTheirOutlines(t *testing.T) {
	const seed = 41
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range fewer(60) {
		port, err1 := randomOutline(rnd)
		opening, err2 := randomOutline(rnd)
		if err1 != nil || err2 != nil {
			continue
		}
		a, dx, dy := 6*rnd.Float64(), 90*rnd.Float64(), 90*rnd.Float64()
		s := shade(t, opening, port)
		m := shade(t, opening.Turned(a).Moved(dx, dy).Mirrored(), port.Turned(a).Moved(dx, dy).Mirrored())
		if math.Abs(s.Depth-m.Depth) > 0.01 || math.Abs(s.Beyond-m.Beyond) > 0.01 || math.Abs(s.Area-m.Area) > 0.03 || math.Abs(s.Clear-m.Clear) > 0.01 {
			t.Fatalf("seed %d case %d: %+v, turned and mirrored %+v", seed, i, s, m)
		}
		if s.Area < 0 || s.Area > port.Area()*(1+1e-9) {
			t.Fatalf("seed %d case %d: covers %v of %v", seed, i, s.Area, port.Area())
		}
		if s.Depth > 0 {
			if d, _ := port.Nearest(s.DepthAt); math.Abs(d-s.Depth) > 1e-9 {
				t.Fatalf("seed %d case %d: depth %v, at its place %v", seed, i, s.Depth, d)
			}
		}
		// Against a plain sampling of the opening's edge.
		deepest := 0.0
		for _, p := range samples(t, opening, 400) {
			if d, _ := port.Nearest(p); d > deepest && port.Contains(p) {
				deepest = d
			}
		}
		if deepest > s.Depth+0.01 || deepest < s.Depth-0.05 {
			t.Fatalf("seed %d case %d: depth %v, by sampling %v", seed, i, s.Depth, deepest)
		}
	}
}

func TestShadowAreasAgainstGEOS(t *testing.T) {
	const seed = 42
	rnd := rand.New(rand.NewPCG(seed, 0))
	var asked [][2][][2]float64
	var got, sides []float64
	for len(asked) < 100 {
		port, err1 := randomOutline(rnd)
		opening, err2 := randomOutline(rnd)
		if err1 != nil || err2 != nil {
			continue
		}
		opening = opening.Moved(20*rnd.Float64()-10, 20*rnd.Float64()-10)
		asked = append(asked, [2][][2]float64{chords(port, 400), chords(opening, 400)})
		got, sides = append(got, shade(t, opening, port).Area), append(sides, port.Perimeter()+opening.Perimeter())
	}
	var want []float64
	geos(t, `
out = []
for port, opening in json.load(sys.stdin):
    out.append(Polygon(port).difference(Polygon(opening)).area)
json.dump(out, sys.stdout)`, asked, &want)
	worst := 0.0
	for i := range want {
		// 1e-4 mm for arcs on cubics, and the chords of an arc of radius 30 lie 3e-5
		// inside on average.
		worst = max(worst, math.Abs(got[i]-want[i])/sides[i])
		if math.Abs(got[i]-want[i]) > 1.3e-4*sides[i] {
			t.Errorf("seed %d case %d: covers %v, GEOS %v", seed, i, got[i], want[i])
		}
	}
	t.Logf("areas differ by up to %.1e mm times the perimeters", worst)
}
