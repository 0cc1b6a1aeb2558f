package geom_test

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/geom"
)

func TestLoopsWithKnownFigures(t *testing.T) {
	v := func(xyb ...float64) (loop []geom.Vertex) {
		for i := 0; i < len(xyb); i += 3 {
			loop = append(loop, geom.Vertex{X: xyb[i], Y: xyb[i+1], Bulge: xyb[i+2]})
		}
		return loop
	}
	quarter := math.Tan(math.Pi / 8) // of a circle: tan(90°/4)
	tests := []struct {
		name            string
		loop            []geom.Vertex
		area, perimeter float64
		from            string
	}{
		{"circle of two halves", v(-20, 0, 1, 20, 0, 1), 400 * math.Pi, 40 * math.Pi, "closed form"},
		{"the same, clockwise", v(-20, 0, -1, 20, 0, -1), 400 * math.Pi, 40 * math.Pi, "closed form"},
		{"first vertex repeated", v(-20, 0, 1, 20, 0, 1, -20, 0, 0), 400 * math.Pi, 40 * math.Pi, "closed form"},
		{"square", v(0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 0), 100, 40, "closed form"},
		{"half circle", v(0, 0, 0, 40, 0, 1), 200 * math.Pi, 40 + 20*math.Pi, "closed form"},
		{"stadium 50 × 30", v(-10, -15, 0, 10, -15, 1, 10, 15, 0, -10, 15, 1), 225*math.Pi + 600, 30*math.Pi + 40, "closed form"},
		{"square, a quarter bitten out", v(0, 0, 0, 10, 0, 0, 10, 5, -quarter, 5, 10, 0, 0, 10, 0), 100 - 25*math.Pi/4, 30 + 2.5*math.Pi, "closed form"},
		{"the example of the path text", v(0, 0, 0, 40, 0, math.Sqrt2-1, 40, 30, 0, 0, 30, 0), 1200 + 450*(math.Pi/4-0.5), 110 + 15*math.Sqrt2*math.Pi/2, "closed form, tan(22.5°) = √2 − 1"},
		{"three quarters of a circle", v(20, 0, math.Tan(3*math.Pi/8), 0, -20, 0), 400*math.Pi*0.75 + 200, 30*math.Pi + 20*math.Sqrt2, "closed form"},
	}
	for _, tt := range tests {
		o := made(t)(geom.FromLoop(tt.loop))
		if a, p := o.Area(), o.Perimeter(); math.Abs(a-tt.area) > 1e-9 || math.Abs(p-tt.perimeter) > 1e-9 {
			t.Errorf("%s: area %v, perimeter %v, want %v and %v (%s)", tt.name, a, p, tt.area, tt.perimeter, tt.from)
		}
	}
}

func TestLoopsAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	square := func(i int, v geom.Vertex) []geom.Vertex {
		l := []geom.Vertex{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}
		l[i] = v
		return l
	}
	tests := []struct {
		name string
		loop []geom.Vertex
		want string
	}{
		{"nothing", nil, "0 vertices"},
		{"one", []geom.Vertex{{X: 1, Y: 1, Bulge: 1}}, "1 vertices"},
		{"not a number", square(2, geom.Vertex{X: nan, Y: 10}), "vertex 3"},
		{"infinite", square(2, geom.Vertex{X: 10, Y: inf}), "vertex 3"},
		{"too far", square(2, geom.Vertex{X: 1.1e6, Y: 10}), "vertex 3"},
		{"bulge not a number", square(1, geom.Vertex{X: 10, Bulge: nan}), "bulge NaN after vertex 2"},
		{"more than a circle", square(1, geom.Vertex{X: 10, Bulge: -1e4}), "bulge"},
		{"one place", []geom.Vertex{{X: 1, Y: 1, Bulge: 1}, {X: 1, Y: 1, Bulge: 1}}, "one place"},
		{"there and back", []geom.Vertex{{X: 0}, {X: 10}}, "no area"},
		{"on one line", []geom.Vertex{{X: 0}, {X: 10}, {X: 20}}, "no area"},
		{"there and back along an arc", []geom.Vertex{{X: 0, Bulge: 1}, {X: 10, Bulge: -1}}, "no area"},
		{"figure of eight", []geom.Vertex{{X: 0}, {X: 10, Y: 10}, {X: 10}, {Y: 12}}, "crosses"},
		{"corner on a side", []geom.Vertex{{X: 0}, {X: 10}, {X: 10, Y: 10}, {X: 5}, {Y: 10}}, "crosses"},
		{"spike", []geom.Vertex{{X: 0}, {X: 20}, {X: 10}, {X: 10, Y: 10}, {Y: 10}}, "crosses"},
		{"arc through the far side", []geom.Vertex{{X: 0}, {X: 10, Bulge: -1}, {X: 10, Y: 10}, {X: 4, Y: 10}, {X: 4, Y: 5}, {X: 0, Y: 5}}, ""},
		{"deeper arc through the far side", []geom.Vertex{{X: 0}, {X: 10, Bulge: -1}, {X: 10, Y: 10}, {X: 6, Y: 10}, {X: 6, Y: 5}, {X: 0, Y: 5}}, "crosses"},
		{"two circles, each more than half", []geom.Vertex{{X: 1, Bulge: 2}, {Y: 1, Bulge: 2}}, ""},
		{"most of a circle and its chord", []geom.Vertex{{X: 10, Bulge: 1}, {X: -10, Bulge: 0.8}, {X: 8, Y: -6, Bulge: 0}}, ""},
		{"twice along an arc", []geom.Vertex{{X: 10, Bulge: 1}, {X: -10, Bulge: 1}, {X: 10, Bulge: 0.5}, {X: -6, Y: 8}}, "crosses"},
		{"a hair from a full circle", []geom.Vertex{{X: 0, Bulge: 999}, {X: 0.1, Bulge: 0}}, ""},
	}
	for _, tt := range tests {
		_, err := geom.FromLoop(tt.loop)
		if got := ""; err != nil && (tt.want == "" || !strings.Contains(err.Error(), tt.want)) || err == nil && tt.want != got {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

// Every shape comes back from its loop: exactly where it is of lines and arcs,
// within the error where it is not.
func TestLoopRoundTrip(t *testing.T) {
	for name, o := range shapes(t) {
		exact := true
		for _, s := range o.Segments() {
			exact = exact && s.Kind != geom.Cubic
		}
		for _, tol := range []float64{0.1, 0.02, 0.002} {
			loop := o.Loop(tol)
			back, err := geom.FromLoop(loop)
			if err != nil {
				t.Fatalf("%s at %v mm: %v", name, tol, err)
			}
			limit := tol
			if exact {
				limit = 1e-9
			}
			for _, pair := range [2][2]geom.Outline{{o, back}, {back, o}} {
				for _, p := range pair[0].Polyline(1e-4) {
					if d, _ := pair[1].Nearest(p); d > limit {
						t.Fatalf("%s at %v mm: %v is %v off", name, tol, p, d)
					}
				}
			}
			if da := math.Abs(back.Area() - o.Area()); da > limit*o.Perimeter() {
				t.Errorf("%s at %v mm: area off by %v", name, tol, da)
			}
			if dp := math.Abs(back.Perimeter()/o.Perimeter() - 1); dp > 2e-3 || exact && dp > 1e-12 {
				t.Errorf("%s at %v mm: perimeter off by %v of itself", name, tol, dp)
			}
		}
		again := made(t)(geom.FromLoop(o.Loop(0.01))).Loop(0.01)
		for i, v := range o.Loop(0.01) {
			if math.Abs(v.X-again[i].X) > 1e-9 || math.Abs(v.Y-again[i].Y) > 1e-9 || math.Abs(v.Bulge-again[i].Bulge) > 1e-6 {
				t.Fatalf("%s: vertex %d is %v, then %v", name, i+1, v, again[i])
			}
		}
	}
	if n := len(made(t)(geom.Oval(44, 33)).Loop(0.02)); n > 24 {
		t.Errorf("an oval within 0.02 mm takes %d arcs, want no more than 24", n)
	}
}

// Which way round a path was drawn is no matter.
func TestClockwiseLoopIsTheSameOutline(t *testing.T) {
	for name, o := range shapes(t) {
		loop := o.Loop(0.01)
		n := len(loop)
		back := make([]geom.Vertex, n)
		for i, v := range loop {
			back[n-1-i].X, back[n-1-i].Y = v.X, v.Y
			back[(2*n-2-i)%n].Bulge = -v.Bulge
		}
		a, b := made(t)(geom.FromLoop(loop)), made(t)(geom.FromLoop(back))
		for _, pair := range [2][2]geom.Outline{{a, b}, {b, a}} {
			for _, p := range pair[0].Polyline(0.01) {
				if d, _ := pair[1].Nearest(p); d > 1e-9 {
					t.Fatalf("%s: %v is %v off when drawn the other way round", name, p, d)
				}
			}
		}
	}
}

func TestTurnedMovedMirroredKeepTheirFigures(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	all := shapes(t)
	for i := range 20 {
		for name, o := range all {
			angle, dx, dy := 7*rnd.Float64()-3, 200*rnd.Float64()-100, 200*rnd.Float64()-100
			m := o.Mirrored().Turned(angle).Moved(dx, dy)
			if math.Abs(m.Area()/o.Area()-1) > 1e-12 || math.Abs(m.Perimeter()/o.Perimeter()-1) > 1e-12 {
				t.Fatalf("seed %d case %d, %s: area %v, perimeter %v, want %v and %v", seed, i, name, m.Area(), m.Perimeter(), o.Area(), o.Perimeter())
			}
			back := m.Moved(-dx, -dy).Turned(-angle).Mirrored()
			for _, p := range o.Polyline(0.5) {
				if d, _ := back.Nearest(p); d > 1e-11 {
					t.Fatalf("seed %d case %d, %s: %v is %v off after there and back", seed, i, name, p, d)
				}
				sin, cos := math.Sincos(angle)
				q := [2]float64{-cos*p[0] - sin*p[1] + dx, -sin*p[0] + cos*p[1] + dy}
				if d, _ := m.Nearest(q); d > 1e-11 {
					t.Fatalf("seed %d case %d, %s: %v goes to %v, %v off the outline", seed, i, name, p, q, d)
				}
			}
			for k, s := range m.Segments() {
				if next := m.Segments()[(k+1)%len(m.Segments())]; dist(s.To, next.From) > 1e-11 {
					t.Fatalf("seed %d case %d, %s: a gap after piece %d", seed, i, name, k+1)
				}
			}
		}
	}
}

func FuzzFromLoop(f *testing.F) {
	add := func(xyb ...float64) {
		var b []byte
		for _, v := range xyb {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		f.Add(b)
	}
	add(-20, 0, 1, 20, 0, 1)
	add(0, 0, 0, 10, 0, 0, 10, 10, 0.3, 0, 10, -0.3)
	add(0, 0, 999, 0.1, 0, 0)
	add(0, 0, 1e-9, 1e6, 0, 1e-12, 5, 1, 0)
	add(1, 0, 2, 0, 1, 2)
	f.Fuzz(func(t *testing.T, data []byte) {
		var loop []geom.Vertex
		for ; len(data) >= 24 && len(loop) < 40; data = data[24:] {
			v := func(i int) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(data[8*i:])) }
			loop = append(loop, geom.Vertex{X: v(0), Y: v(1), Bulge: v(2)})
		}
		o, err := geom.FromLoop(loop)
		if err != nil {
			return
		}
		low, high := o.Bounds()
		x, y := o.Centroid()
		d, at := o.Nearest([2]float64{1, 2})
		for _, v := range []float64{o.Area(), o.Perimeter(), low[0], low[1], high[0], high[1], x, y, d, at[0], at[1]} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%v: a figure is %v", loop, v)
			}
		}
		if !(o.Area() > 0) {
			t.Fatalf("%v: area %v", loop, o.Area())
		}
		for _, v := range o.Turned(0.3).Mirrored().Loop(0.02) {
			if math.IsNaN(v.X + v.Y + v.Bulge) {
				t.Fatalf("%v: vertex %v", loop, v)
			}
		}
		o.Contains([2]float64{x, y})
	})
}
