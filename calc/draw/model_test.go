package draw_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g ± %g", what, got, want, tol)
	}
}

func TestBoundsOfEachEntity(t *testing.T) {
	tests := []struct {
		name string
		e    draw.Entity
		want draw.Box
	}{
		{"line", draw.Line{From: [2]float64{3, 9}, To: [2]float64{-1, 2}}, box(-1, 2, 3, 9)},
		{"circle", draw.Circle{Centre: [2]float64{1, 2}, Radius: 3}, box(-2, -1, 4, 5)},
		{"quarter arc", draw.Arc{Radius: 10, Sweep: math.Pi / 2}, box(0, 0, 10, 10)},
		{"arc over the top", draw.Arc{Radius: 10, Start: math.Pi / 4, Sweep: math.Pi / 2}, box(-7.0710678119, 7.0710678119, 7.0710678119, 10)},
		{"clockwise over the left", draw.Arc{Radius: 10, Start: -3 * math.Pi / 4, Sweep: -math.Pi / 2}, box(-10, -7.0710678119, -7.0710678119, 7.0710678119)},
		{"half circles", draw.Loop{Vertices: []geom.Vertex{{X: -5, Bulge: 1}, {X: 5, Bulge: 1}}}, box(-5, -5, 5, 5)},
		{"stadium 50 × 30", stadium(), box(-25, -15, 25, 15)},
		{"three quarters, bulge tan(67.5°)", draw.Loop{Vertices: []geom.Vertex{{X: 10, Bulge: 1 + math.Sqrt2}, {Y: -10}}}, box(-10, -10, 10, 10)},
	}
	for _, tt := range tests {
		got := tt.e.Bounds()
		for i := range 2 {
			near(t, tt.name+", low", got.Min[i], tt.want.Min[i], 1e-9)
			near(t, tt.name+", high", got.Max[i], tt.want.Max[i], 1e-9)
		}
	}
}

func box(x0, y0, x1, y1 float64) draw.Box {
	return draw.Box{Min: [2]float64{x0, y0}, Max: [2]float64{x1, y1}}
}

func stadium() draw.Loop {
	return draw.Loop{Vertices: []geom.Vertex{{X: -10, Y: -15}, {X: 10, Y: -15, Bulge: 1}, {X: 10, Y: 15}, {X: -10, Y: 15, Bulge: 1}}}
}

// The pieces of a loop join, and a bulge is the tangent of a quarter of the sweep.
func TestPiecesOfALoopJoin(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		var l draw.Loop
		for range 2 + rnd.IntN(6) {
			v := geom.Vertex{X: 200*rnd.Float64() - 100, Y: 200*rnd.Float64() - 100}
			if rnd.IntN(3) > 0 {
				v.Bulge = 4*rnd.Float64() - 2
			}
			l.Vertices = append(l.Vertices, v)
		}
		pieces := l.Pieces()
		if len(pieces) != len(l.Vertices) {
			t.Fatalf("seed %d case %d: %d pieces of %d vertices", seed, i, len(pieces), len(l.Vertices))
		}
		for j, p := range pieces {
			v, w := l.Vertices[j], l.Vertices[(j+1)%len(pieces)]
			var from, to [2]float64
			switch p := p.(type) {
			case draw.Line:
				from, to = p.From, p.To
			case draw.Arc:
				from, to = p.At(0), p.At(1)
				near(t, "bulge", math.Tan(p.Sweep/4), v.Bulge, 1e-12)
			}
			if d := math.Hypot(from[0]-v.X, from[1]-v.Y) + math.Hypot(to[0]-w.X, to[1]-w.Y); d > 1e-9 {
				t.Fatalf("seed %d case %d piece %d: ends off by %g mm", seed, i, j, d)
			}
		}
	}
}

// A vertex that is there twice makes no piece, whatever bulge it bears.
func TestNoPieceWithoutLength(t *testing.T) {
	l := draw.Loop{Vertices: []geom.Vertex{{X: 0, Y: 0}, {X: 0, Y: 0, Bulge: 1}, {X: 0, Y: 0}, {X: 10, Y: 0, Bulge: 1}}}
	if list := l.Pieces(); len(list) != 2 {
		t.Errorf("got %v, want a line and a half circle", list)
	}
}

// everything is a drawing with one of each, off the middle.
func everything() draw.Drawing {
	var d draw.Drawing
	d.Add(draw.Line{draw.Mark, [2]float64{1, 2}, [2]float64{30, 8}},
		draw.Arc{draw.Centre, [2]float64{20, 20}, 7, 0.5, 4},
		draw.Circle{draw.Cut, [2]float64{50, 10}, 4.25},
		stadium(),
		draw.Text{Layer: draw.Note, At: [2]float64{5, 40}, Height: 3, Anchor: draw.TopRight, Turn: 0.3, Text: "b1 Ø8.5"})
	d.Add(draw.Linear([2]float64{0, 0}, [2]float64{50, 10}, 12, "50.99")...)
	d.Add(draw.Along([2]float64{0, 0}, [2]float64{50, 40}, math.Pi/2, -30, "40")...)
	d.Add(draw.Diameter([2]float64{50, 10}, 8.5, 2, 6, "Ø8.5")...)
	d.Add(draw.Radius([2]float64{20, 20}, 7, 0.7, 6, "R7")...)
	return d
}

func TestMirrorTwiceIsIdentity(t *testing.T) {
	d := everything()
	if err := d.Check(); err != nil {
		t.Fatal(err)
	}
	once, twice := d.Mirrored(), d.Mirrored().Mirrored()
	if err := once.Check(); err != nil {
		t.Fatal(err)
	}
	for i, e := range d.Entities {
		want, got := e.Bounds(), twice.Entities[i].Bounds()
		other := once.Entities[i].Bounds()
		for j := range 2 {
			near(t, "low after two", got.Min[j], want.Min[j], 1e-9)
			near(t, "high after two", got.Max[j], want.Max[j], 1e-9)
		}
		if txt, ok := e.(draw.Text); ok {
			if m := once.Entities[i].(draw.Text).Turn; !(m > -math.Pi/2 && m <= math.Pi/2) {
				t.Errorf("%q is read from the left: turned by %v rad", txt.Text, m)
			}
			continue // letters below the line may stand on the other side
		}
		near(t, "left end mirrored", other.Min[0], -want.Max[0], 1e-9)
		near(t, "right end mirrored", other.Max[0], -want.Min[0], 1e-9)
	}
}

func TestMovingMovesTheBounds(t *testing.T) {
	d := everything()
	want, got := d.Bounds(), d.Moved(7, -3).Bounds()
	near(t, "left", got.Min[0], want.Min[0]+7, 1e-9)
	near(t, "top", got.Max[1], want.Max[1]-3, 1e-9)
}

func TestWhatCannotBeDrawnIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name string
		e    draw.Entity
	}{
		{"NaN line", draw.Line{To: [2]float64{nan, 0}}},
		{"far line", draw.Line{To: [2]float64{0, inf}}},
		{"no radius", draw.Circle{}},
		{"NaN radius", draw.Circle{Radius: nan}},
		{"full arc", draw.Arc{Radius: 1, Sweep: 2 * math.Pi}},
		{"NaN start", draw.Arc{Radius: 1, Start: nan, Sweep: 1}},
		{"loop of one", draw.Loop{Vertices: []geom.Vertex{{}}}},
		{"NaN bulge", draw.Loop{Vertices: []geom.Vertex{{}, {X: 1, Bulge: nan}}}},
		{"filled cut", draw.Loop{Layer: draw.Cut, Filled: true, Vertices: []geom.Vertex{{Bulge: 1}, {X: 1, Bulge: 1}}}},
		{"a circle in one piece", draw.Loop{Vertices: []geom.Vertex{{Bulge: 1001}, {X: 1}, {Y: 1}}}},
		{"text without height", draw.Text{Text: "a"}},
		{"two lines", draw.Text{Height: 1, Text: "a\nb"}},
		{"broken bytes", draw.Text{Height: 1, Text: "\xff"}},
		{"no such layer", draw.Line{Layer: 99}},
	}
	for _, tt := range tests {
		if err := (draw.Drawing{Entities: []draw.Entity{tt.e}}).Check(); err == nil {
			t.Errorf("%s: drawn", tt.name)
		}
	}
}
