package geom_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/geom"
)

// circle returns n points on a circle of radius 20 about 3, −7.
func circle(n int, clockwise bool) [][2]float64 {
	pts := make([][2]float64, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(n)
		if clockwise {
			a = -a
		}
		pts[i] = [2]float64{3 + 20*math.Cos(a), -7 + 20*math.Sin(a)}
	}
	return pts
}

// A spline through twice as many points of a smooth curve is sixteen times
// better: order 4, the known order of cubic splines.
func TestSplineConvergesAtOrderFour(t *testing.T) {
	before := 0.0
	for _, n := range []int{8, 16, 32, 64, 128} {
		o := made(t)(geom.Points(circle(n, false)))
		off := math.Abs(o.Perimeter() - 40*math.Pi)
		offArea := math.Abs(o.Area() - 400*math.Pi)
		if before > 0 && !(before/off > 14 && before/off < 18) {
			t.Errorf("%d points: %v mm off, %v with half of them: %v times, want 16", n, off, before, before/off)
		}
		// On a circle the chord-length spline is short by (2π/n)⁴/720, found by
		// expanding its equations in the angle between points.
		h := 2 * math.Pi / float64(n)
		if want := h * h * h * h / 720; n >= 16 && (math.Abs(off/(40*math.Pi)/want-1) > 0.1 || math.Abs(offArea/(400*math.Pi)/want-2) > 0.2) {
			t.Errorf("%d points: perimeter off by %v of itself, area by %v, want %v and twice that", n, off/(40*math.Pi), offArea/(400*math.Pi), want)
		}
		before = off
	}
}

func TestSplineIsSmoothAndGoesThroughThePoints(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		pts := circle(8+rnd.IntN(20), rnd.IntN(2) == 0)
		for k := range pts {
			pts[k][0] *= 1.4
			pts[k][0] += rnd.Float64() - 0.5
			pts[k][1] += rnd.Float64() - 0.5
		}
		segs := made(t)(geom.Points(pts)).Segments()
		hit := map[[2]float64]bool{}
		for k, s := range segs {
			hit[s.From] = true
			next := segs[(k+1)%len(segs)]
			// First and second derivative by arc of the chord, from the control points.
			h, hn := dist(s.From, s.To), dist(next.From, next.To)
			for axis := range 2 {
				slope := 3*(s.To[axis]-s.Control[1][axis])/h - 3*(next.Control[0][axis]-next.From[axis])/hn
				bend := 6*(s.To[axis]-2*s.Control[1][axis]+s.Control[0][axis])/(h*h) - 6*(next.Control[1][axis]-2*next.Control[0][axis]+next.From[axis])/(hn*hn)
				if s.To != next.From || math.Abs(slope) > 1e-12 || math.Abs(bend) > 1e-12 {
					t.Fatalf("seed %d case %d point %d: slope jumps by %v, curvature by %v", seed, i, k, slope, bend)
				}
			}
		}
		for _, p := range pts {
			if !hit[p] {
				t.Fatalf("seed %d case %d: the outline misses %v", seed, i, p)
			}
		}
	}
}

// Which way round the points were taken, and which came first, is no matter; nor
// is where the port sits.
func TestPointsOrderIsNoMatter(t *testing.T) {
	want := made(t)(geom.Points(circle(16, false)))
	rolled := append(circle(16, false)[5:], circle(16, false)[:5]...)
	far := circle(16, true)
	for i := range far {
		far[i][0] += 4000
		far[i][1] -= 9000
	}
	for name, pts := range map[string][][2]float64{"clockwise": circle(16, true), "other first point": rolled, "far away": far} {
		o := made(t)(geom.Points(pts))
		if math.Abs(o.Area()-want.Area()) > 1e-9 || math.Abs(o.Perimeter()-want.Perimeter()) > 1e-9 {
			t.Errorf("%s: area %v, perimeter %v, want %v and %v", name, o.Area(), o.Perimeter(), want.Area(), want.Perimeter())
		}
	}
}

// Own simulation says 16 points on a rounded rectangle, perfectly measured, are
// within 0.75 % of its area and 0.9 % of its perimeter on average, and that 8
// points miss the perimeter by more than 3 % at worst.
func TestSixteenPointsAreEnough(t *testing.T) {
	const seed = 4
	rnd := rand.New(rand.NewPCG(seed, 0))
	o := made(t)(geom.Rectangle(39.37, 35.05, 6.35))
	fine := o.Polyline(1e-4)
	along := func(share float64) [2]float64 {
		rest := share * o.Perimeter()
		for i, p := range fine {
			q := fine[(i+1)%len(fine)]
			if d := dist(p, q); rest > d {
				rest -= d
			} else {
				return [2]float64{p[0] + (q[0]-p[0])*rest/d, p[1] + (q[1]-p[1])*rest/d}
			}
		}
		return fine[0]
	}
	const draws = 20
	var area, perimeter float64
	for range draws {
		phase := rnd.Float64()
		pts := make([][2]float64, 16)
		for i := range pts {
			pts[i] = along((float64(i) + phase) / 16)
		}
		s := made(t)(geom.Points(pts))
		area += math.Abs(s.Area()/o.Area()-1) / draws
		perimeter += math.Abs(s.Perimeter()/o.Perimeter()-1) / draws
	}
	if area > 0.0075 || perimeter > 0.009 {
		t.Errorf("seed %d: area %.2f %% off, perimeter %.2f %%", seed, 100*area, 100*perimeter)
	}
}

func TestPointsRefuse(t *testing.T) {
	change := func(f func([][2]float64) [][2]float64) [][2]float64 { return f(circle(12, false)) }
	tests := []struct {
		name string
		pts  [][2]float64
		says string
	}{
		{"none", nil, "0 given, want 8 to 1000"},
		{"seven", circle(7, false), "7 given"},
		{"too many", circle(1001, false), "1001 given"},
		{"not a number", change(func(p [][2]float64) [][2]float64 { p[4][1] = math.NaN(); return p }), "point 5 "},
		{"infinite", change(func(p [][2]float64) [][2]float64 { p[4][0] = math.Inf(1); return p }), "point 5 "},
		{"twice", change(func(p [][2]float64) [][2]float64 { p[4] = p[3]; return p }), "points 4 and 5 coincide"},
		{"first repeated", change(func(p [][2]float64) [][2]float64 { return append(p, p[0]) }), "points 13 and 1 coincide"},
		{"crossed", change(func(p [][2]float64) [][2]float64 { p[4], p[7] = p[7], p[4]; return p }), "crosses itself"},
		{"figure of eight", change(func(p [][2]float64) [][2]float64 {
			for i := range p {
				a := 2 * math.Pi * (float64(i) + 0.2) / 12
				p[i] = [2]float64{20 * math.Cos(a), 10*math.Sin(2*a) + math.Cos(a)*math.Cos(a)*math.Cos(a)}
			}
			return p
		}), ""},
		{"on a line", change(func(p [][2]float64) [][2]float64 {
			for i := range p {
				p[i] = [2]float64{float64(i), 2 * float64(i)}
			}
			return p
		}), "enclose no area"},
	}
	for _, tt := range tests {
		if o, err := geom.Points(tt.pts); err == nil || !strings.Contains(err.Error(), tt.says) || len(o.Segments()) != 0 {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.says)
		}
	}
}

// Whatever points come in: an error, or an outline with a finite positive area
// and a perimeter that such an area needs (isoperimetric: P² ≥ 4πA).
func FuzzPoints(f *testing.F) {
	seed := func(pts [][2]float64) {
		var b []byte
		for _, p := range pts {
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(100*p[0])))
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(100*p[1])))
		}
		f.Add(b)
	}
	seed(circle(8, false))
	seed(circle(17, true))
	f.Fuzz(func(t *testing.T, data []byte) {
		var pts [][2]float64
		for ; len(data) >= 4; data = data[4:] {
			pts = append(pts, [2]float64{float64(int16(binary.LittleEndian.Uint16(data))) / 100, float64(int16(binary.LittleEndian.Uint16(data[2:]))) / 100})
		}
		o, err := geom.Points(pts)
		if err != nil {
			return
		}
		a, p := o.Area(), o.Perimeter()
		if !(a > 0) || math.IsInf(a, 0) || !(p*p >= 4*math.Pi*a*(1-1e-9)) || math.IsInf(p, 0) {
			t.Fatalf("%v: area %v, perimeter %v", pts, a, p)
		}
	})
}

func BenchmarkPoints(b *testing.B) {
	pts := circle(16, false)
	for b.Loop() {
		o, err := geom.Points(pts)
		if err != nil || o.Area() < 0 {
			b.Fatal(err)
		}
	}
}

func BenchmarkPerimeter(b *testing.B) {
	o, err := geom.Points(circle(16, false))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		o.Perimeter()
	}
}
