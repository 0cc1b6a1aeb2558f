package flange_test

import (
	"encoding/csv"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

func made(t testing.TB) func(geom.Outline, error) geom.Outline {
	return func(o geom.Outline, err error) geom.Outline {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
}

// polygon returns the outline with straight sides through the points x, y, ….
func polygon(t testing.TB, xy ...float64) geom.Outline {
	t.Helper()
	loop := make([]geom.Vertex, len(xy)/2)
	for i := range loop {
		loop[i] = geom.Vertex{X: xy[2*i], Y: xy[2*i+1]}
	}
	return made(t)(geom.FromLoop(loop))
}

// convex is every convex shape that a port has.
func convex(t testing.TB) map[string]geom.Outline {
	t.Helper()
	ok := made(t)
	return map[string]geom.Outline{
		"round":     ok(geom.Round(41.3)),
		"stadium":   ok(geom.Stadium(50, 30)),
		"oval":      ok(geom.Oval(44, 33)),
		"rectangle": ok(geom.Rectangle(39.37, 35.05, 6.35)),
		"sharp":     ok(geom.Rectangle(40, 30, 0)),
		"d":         ok(geom.D(22, 12, 5)),
		"sharp d":   ok(geom.D(22, 12, 0)),
	}
}

// hollow is shapes with places that are not convex.
func hollow(t testing.TB) map[string]geom.Outline {
	t.Helper()
	star := make([][2]float64, 24)
	for i := range star {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 24)
		r := 20 + 4*math.Cos(8*math.Pi*float64(i)/24)
		star[i] = [2]float64{r * cos, r * sin}
	}
	notch := math.Tan(math.Pi / 8)
	return map[string]geom.Outline{
		"star":          made(t)(geom.Points(star)),
		"L":             polygon(t, 0, 0, 40, 0, 40, 12, 12, 12, 12, 30, 0, 30),
		"U":             polygon(t, 0, 0, 40, 0, 40, 30, 26, 30, 26, 10, 14, 10, 14, 30, 0, 30),
		"V notch":       polygon(t, 0, 0, 40, 0, 40, 30, 22, 30, 20, 5, 18, 30, 0, 30),
		"narrow mouth":  polygon(t, 0, 0, 40, 0, 40, 30, 21, 30, 21, 26, 32, 26, 32, 6, 8, 6, 8, 26, 19, 26, 19, 30, 0, 30),
		"bitten square": made(t)(geom.FromLoop([]geom.Vertex{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 20, Bulge: -notch}, {X: 20, Y: 30}, {X: 0, Y: 30}})),
		// A hollow half circle beside an upright edge: a point without width.
		"spike":   made(t)(geom.FromLoop([]geom.Vertex{{X: 0, Y: 9}, {X: 40, Y: 13}, {X: 40, Y: 26, Bulge: -1}, {X: 33.6, Y: 26}})),
		"keyhole": made(t)(geom.FromLoop([]geom.Vertex{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 30}, {X: 22, Y: 30}, {X: 22, Y: 20, Bulge: -2.5}, {X: 18, Y: 20}, {X: 18, Y: 30}, {X: 0, Y: 30}})),
	}
}

// samples returns n places on each line or arc of an outline and of the loop of
// its cubics.
func samples(t testing.TB, o geom.Outline, n int) (pts [][2]float64) {
	t.Helper()
	for _, s := range o.Segments() {
		for i := range n {
			p, _ := s.At(float64(i) / float64(n))
			pts = append(pts, p)
		}
	}
	return pts
}

// keepsAway checks that every place of the offset is at the distance d from o, by
// sampling, and on the right side.
func keepsAway(t testing.TB, name string, o, out geom.Outline, d float64) {
	t.Helper()
	for _, p := range samples(t, out, 12) {
		got, _ := o.Nearest(p)
		if math.Abs(got-math.Abs(d)) > 0.005 {
			t.Fatalf("%s by %v: %v is %v from the outline", name, d, p, got)
		}
		if o.Contains(p) != (d < 0) {
			t.Fatalf("%s by %v: %v is on the wrong side", name, d, p)
		}
	}
	if _, err := geom.FromLoop(out.Loop(0.01)); err != nil {
		t.Fatalf("%s by %v: the offset is no outline: %v", name, d, err)
	}
}

// Steiner's formula for parallel bodies; its source is that of the rows of
// geometry.csv below.
func TestOffsetOfConvexShapesAfterSteiner(t *testing.T) {
	for name, o := range convex(t) {
		for _, d := range []float64{0.01, 0.5, 1.65, 3, 20} {
			out := made(t)(flange.Offset(o, d))
			keepsAway(t, name, o, out, d)
			area, per := o.Area()+o.Perimeter()*d+math.Pi*d*d, o.Perimeter()+2*math.Pi*d
			// A cubic may be 0.002 mm off as arcs.
			tolA, tolP := 1e-8, 1e-9
			if name == "oval" {
				tolA, tolP = 0.002*per, 0.002*2*math.Pi
			}
			if math.Abs(out.Area()-area) > tolA || math.Abs(out.Perimeter()-per) > tolP {
				t.Errorf("%s by %v: area %v, perimeter %v, want %v and %v", name, d, out.Area(), out.Perimeter(), area, per)
			}
			// And back: an outward offset loses nothing inside. A sharp corner of o
			// was rounded, and comes back as it was.
			back := made(t)(flange.Offset(out, -d))
			if math.Abs(back.Area()-o.Area()) > max(tolA, 2e-6) {
				t.Errorf("%s by %v and back: area %v, want %v", name, d, back.Area(), o.Area())
			}
		}
	}
}

// geometry.csv, rows "offset": the formula SEEN at a page on the area within a
// distance of a convex polygon, the perimeter own arithmetic.
func TestOffsetRows(t *testing.T) {
	file, err := os.Open("../../testdata/reference/geometry.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	hexagon := make([]float64, 12)
	for i := range 6 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 3)
		hexagon[2*i], hexagon[2*i+1] = 20*cos, 20*sin
	}
	shape := map[string]geom.Outline{
		"square 100": polygon(t, 0, 0, 100, 0, 100, 100, 0, 100), "3-4-5 triangle": polygon(t, 0, 0, 4, 0, 0, 3),
		"regular hexagon side 20": polygon(t, hexagon...),
	}
	seen := 0
	for _, row := range rows {
		name, by, found := strings.Cut(row[3], ", d=")
		if row[0] != "offset" || !found {
			continue
		}
		d, err := strconv.ParseFloat(by, 64)
		want, err2 := strconv.ParseFloat(row[4], 64)
		if err != nil || err2 != nil || shape[name].Area() == 0 {
			t.Fatalf("row %v: %v", row, errors.Join(err, err2))
		}
		seen++
		out := made(t)(flange.Offset(shape[name], d))
		got := out.Area()
		if strings.HasPrefix(row[1], "perimeter") {
			got = out.Perimeter()
		}
		if math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s of %s: %v, want %v (%s)", row[1], row[3], got, want, row[6])
		}
	}
	if seen != 4 {
		t.Errorf("%d rows read, want 4", seen)
	}
}

func TestOffsetOfHollowShapes(t *testing.T) {
	for name, o := range hollow(t) {
		for _, d := range []float64{0.1, 0.9, 1, 1.1, 2, 4.5, 6, 6.5, 12} {
			out, err := flange.Offset(o, d)
			if err != nil {
				t.Errorf("%s by %v: %v", name, d, err)
				continue
			}
			keepsAway(t, name, o, out, d)
		}
	}
	// An L with its hollow corner at 12, 12: the corner stays sharp, the others are
	// rounded. Closed form: A + P·d, five outer corners a quarter circle each, and
	// at the hollow one a square that both sides counted.
	l := hollow(t)["L"]
	for _, d := range []float64{1, 5, 11} {
		want := l.Area() + l.Perimeter()*d + 5*math.Pi*d*d/4 - d*d
		if got := made(t)(flange.Offset(l, d)).Area(); math.Abs(got-want) > 1e-8 {
			t.Errorf("L by %v: area %v, want %v", d, got, want)
		}
	}
	// A bite of radius 10 about a corner of the square, a quarter circle: from
	// d = 10 on nothing of it is left but two arcs about its ends.
	bitten := hollow(t)["bitten square"]
	for _, d := range []float64{3, 9.999, 10, 10.001, 14} {
		keepsAway(t, "bitten square", bitten, made(t)(flange.Offset(bitten, d)), d)
	}
}

func TestOffsetInside(t *testing.T) {
	ok := made(t)
	tests := []struct {
		name    string
		o       geom.Outline
		d, area float64
	}{
		{"round", ok(geom.Round(40)), -3, 289 * math.Pi},
		{"stadium", ok(geom.Stadium(50, 30)), -5, 100*math.Pi + 400},
		{"sharp corners stay sharp", ok(geom.Rectangle(40, 30, 0)), -4, 32 * 22},
		{"less than the corner", ok(geom.Rectangle(40, 30, 6)), -4, 32*22 - (4-math.Pi)*4},
		{"as much as the corner", ok(geom.Rectangle(40, 30, 6)), -6, 28 * 18},
		{"more than the corner", ok(geom.Rectangle(40, 30, 6)), -8, 24 * 14},
		{"hollow corner is rounded", hollow(t)["L"], -2, 36*8 + 8*18 + 4 - math.Pi},
	}
	for _, tt := range tests {
		out := ok(flange.Offset(tt.o, tt.d))
		keepsAway(t, tt.name, tt.o, out, tt.d)
		if math.Abs(out.Area()-tt.area) > 1e-3 {
			t.Errorf("%s: area %v, want %v", tt.name, out.Area(), tt.area)
		}
	}
	for _, tt := range []struct {
		o    geom.Outline
		d    float64
		want string
	}{
		{ok(geom.Round(40)), -20.1, "nothing is left"}, {ok(geom.Rectangle(40, 30, 3)), -15.01, "nothing is left"},
		{ok(geom.Oval(44, 33)), -17, "nothing is left"},
		{polygon(t, 0, 0, 20, 0, 20, 8, 40, 8, 40, 0, 60, 0, 60, 20, 40, 20, 40, 12, 20, 12, 20, 20, 0, 20), -3, "2 separate parts"},
		{ok(geom.Round(40)), math.NaN(), "offset NaN"}, {ok(geom.Round(40)), math.Inf(1), "offset +Inf"},
	} {
		if _, err := flange.Offset(tt.o, tt.d); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("by %v: got %v, want %q", tt.d, err, tt.want)
		}
	}
}

// randomOutline returns an outline that is hardly ever convex: straight sides, a
// curve through points, or arcs of either sign.
func randomOutline(rnd *rand.Rand) (geom.Outline, error) {
	n := 8 + rnd.IntN(12)
	pts := make([][2]float64, n)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.7*rnd.Float64()) / float64(n))
		r := 12 + 16*rnd.Float64()
		pts[i] = [2]float64{r * cos, r * sin}
	}
	kind := rnd.IntN(3)
	if kind == 0 {
		return geom.Points(pts)
	}
	loop := make([]geom.Vertex, n)
	for i, p := range pts {
		loop[i] = geom.Vertex{X: p[0], Y: p[1]}
		if kind == 1 && rnd.IntN(2) == 0 {
			loop[i].Bulge = 1.2*rnd.Float64() - 0.6
		}
	}
	return geom.FromLoop(loop)
}

// fewer is a quarter of n with -short, as the calculation is run again as wasm.
func fewer(n int) int {
	if testing.Short() {
		return n / 4
	}
	return n
}

func TestOffsetsOfRandomOutlines(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	refused := 0
	for i := range fewer(200) {
		o, err := randomOutline(rnd)
		if err != nil {
			continue
		}
		d := 0.2 + 8*rnd.Float64()*rnd.Float64()
		out, err := flange.Offset(o, d)
		if err != nil {
			t.Fatalf("seed %d case %d by %v: %v", seed, i, d, err)
		}
		keepsAway(t, "random", o, out, d)
		// It goes round all of the outline, and the further the larger.
		further := made(t)(flange.Offset(o, d*1.3))
		if !(out.Area() > o.Area() && further.Area() > out.Area()) || !out.Contains(o.Segments()[0].From) {
			t.Fatalf("seed %d case %d: areas %v, %v, %v", seed, i, o.Area(), out.Area(), further.Area())
		}
		// Turning first or last is no matter.
		turned := made(t)(flange.Offset(o.Turned(1).Moved(50, -20), d))
		if math.Abs(turned.Area()-out.Area()) > 1e-4*out.Perimeter() {
			t.Fatalf("seed %d case %d: area %v, turned %v", seed, i, out.Area(), turned.Area())
		}
		// A drawing has so many decimals, and corners where there was none.
		rough := o.Loop(0.002)
		for k := range rough {
			for _, v := range []*float64{&rough[k].X, &rough[k].Y, &rough[k].Bulge} {
				*v = math.Round(*v*1e4) / 1e4
			}
		}
		if r, err := geom.FromLoop(rough); err == nil {
			keepsAway(t, "rough", r, made(t)(flange.Offset(r, d)), d)
		}
		in, err := flange.Offset(o, -d/8)
		if err != nil {
			refused++
			continue
		}
		keepsAway(t, "random", o, in, -d/8)
		if in.Area() > o.Area() {
			t.Fatalf("seed %d case %d: inside is larger", seed, i)
		}
	}
	t.Logf("%d inner offsets of them fall apart", refused)
}
