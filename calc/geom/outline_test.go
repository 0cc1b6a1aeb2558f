package geom_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"strconv"
	"testing"

	"tubewright/calc/geom"
)

func made(t *testing.T) func(geom.Outline, error) geom.Outline {
	return func(o geom.Outline, err error) geom.Outline {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
}

// shapes is one of every kind, with corners and without.
func shapes(t *testing.T) map[string]geom.Outline {
	t.Helper()
	ok := made(t)
	star := make([][2]float64, 24) // dented: not convex anywhere near the dents
	for i := range star {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 24)
		r := 20 + 4*math.Cos(8*math.Pi*float64(i)/24)
		star[i] = [2]float64{100 + r*cos, -50 + r*sin}
	}
	return map[string]geom.Outline{
		"round":        ok(geom.Round(41.3)),
		"stadium":      ok(geom.Stadium(50, 30)),
		"tall stadium": ok(geom.Stadium(30, 50)),
		"oval":         ok(geom.Oval(44, 33)),
		"rectangle":    ok(geom.Rectangle(39.37, 35.05, 6.35)),
		"sharp":        ok(geom.Rectangle(40, 30, 0)),
		"d":            ok(geom.D(22, 12, 5)),
		"sharp d":      ok(geom.D(22, 12, 0)),
		"shallow d":    ok(geom.D(22, -8, 3)),
		"points":       ok(geom.Points(star)),
	}
}

func TestOutlinesAgainstClosedForms(t *testing.T) {
	ok := made(t)
	// D of radius R cut at c, sharp: the circle less the segment beyond the flat.
	R, c := 22.0, 12.0
	chord, lost := 2*math.Sqrt(R*R-c*c), 2*math.Acos(c/R)
	tests := []struct {
		name            string
		o               geom.Outline
		area, perimeter float64
		tol             float64
		from            string
	}{
		{"stadium", ok(geom.Stadium(50, 30)), 1306.858, 134.248, 0.0005, "published with the method, three decimals"},
		{"stadium upright", ok(geom.Stadium(30, 50)), 1306.858, 134.248, 0.0005, "the same, turned"},
		{"stadium, exact", ok(geom.Stadium(50, 30)), 225*math.Pi + 600, 30*math.Pi + 40, 1e-9, "closed form"},
		{"stadium as long as wide", ok(geom.Stadium(40, 40)), 400 * math.Pi, 40 * math.Pi, 1e-9, "closed form, circle"},
		{"round", ok(geom.Round(41.3)), math.Pi * 41.3 * 41.3 / 4, math.Pi * 41.3, 1e-9, "closed form"},
		{"rectangle", ok(geom.Rectangle(39.37, 35.052, 6.35)), 39.37*35.052 - (4-math.Pi)*6.35*6.35, 2*(39.37+35.052) - (8-2*math.Pi)*6.35, 1e-9, "closed form"},
		{"sharp rectangle", ok(geom.Rectangle(40, 30, 0)), 1200, 140, 1e-9, "closed form"},
		{"half circle", ok(geom.D(20, 0, 0)), 200 * math.Pi, 20*math.Pi + 40, 1e-9, "closed form"},
		{"sharp D", ok(geom.D(R, c, 0)), math.Pi*R*R - R*R/2*(lost-math.Sin(lost)), R*(2*math.Pi-lost) + chord, 1e-9, "closed form, circle less a segment"},
		{"D of one fillet", ok(geom.D(20, 10, 15)), 225 * math.Pi, 30 * math.Pi, 1e-9, "closed form, the largest fillet is a circle"},
	}
	for _, tt := range tests {
		if a, p := tt.o.Area(), tt.o.Perimeter(); math.Abs(a-tt.area) > tt.tol || math.Abs(p-tt.perimeter) > tt.tol {
			t.Errorf("%s: area %v, perimeter %v, want %v and %v ± %v (%s)", tt.name, a, p, tt.area, tt.perimeter, tt.tol, tt.from)
		}
	}
	if (geom.Outline{}).Area() != 0 || (geom.Outline{}).Perimeter() != 0 || (geom.Outline{}).Polyline(1) != nil {
		t.Error("an empty outline is not empty")
	}
}

// A D with fillets has no closed form that is shorter than its code; it is held
// against its parts, with the fillet's centre found another way: r inside the
// flat, and R − r from the arc's centre.
func TestFilletedDIsTangent(t *testing.T) {
	for _, d := range [][3]float64{{22, 12, 5}, {22, 0, 3}, {22, -8, 4}, {30, 29, 8}} {
		o := made(t)(geom.D(d[0], d[1], d[2]))
		segs := o.Segments()
		if len(segs) != 4 {
			t.Fatalf("%v: %d pieces, want arc, fillet, flat, fillet", d, len(segs))
		}
		for i, s := range segs {
			next := segs[(i+1)%len(segs)]
			if gap := dist(s.To, next.From); gap > 1e-12 {
				t.Errorf("%v: gap of %v after piece %d", d, gap, i+1)
			}
			if kink := math.Remainder(headingAt(s, true)-headingAt(next, false), 2*math.Pi); math.Abs(kink) > 1e-7 {
				t.Errorf("%v: kink of %v rad after piece %d", d, kink, i+1)
			}
		}
		for _, i := range []int{1, 3} {
			f := segs[i]
			if math.Abs(math.Hypot(f.Centre[0], f.Centre[1])+f.Radius-d[0]) > 1e-12 || math.Abs(f.Centre[0]+d[1]-f.Radius) > 1e-12 {
				t.Errorf("%v: fillet %v does not touch arc and flat", d, f)
			}
		}
		if segs[2].Kind != geom.Line || math.Abs(segs[2].From[0]+d[1]) > 1e-12 {
			t.Errorf("%v: the flat is %v, want it at x = %v", d, segs[2], -d[1])
		}
	}
}

func headingAt(s geom.Segment, end bool) float64 {
	if s.Kind == geom.Line {
		return math.Atan2(s.To[1]-s.From[1], s.To[0]-s.From[0])
	}
	a := s.Start
	if end {
		a += s.Sweep
	}
	return a + math.Pi/2
}

func dist(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// geometry.csv, rows "ellipse … perimeter exact": complete elliptic integral,
// own arithmetic after a page on the perimeter of an ellipse.
func TestEllipsePerimeterRows(t *testing.T) {
	file, err := os.Open("../../testdata/reference/geometry.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	axes := regexp.MustCompile(`^a=(\d+) b=(\d+)$`)
	seen := 0
	for _, row := range rows {
		m := axes.FindStringSubmatch(row[3])
		if row[0] != "ellipse" || row[1] != "perimeter exact" || m == nil {
			continue
		}
		seen++
		a, _ := strconv.ParseFloat(m[1], 64)
		b, _ := strconv.ParseFloat(m[2], 64)
		want, err := strconv.ParseFloat(row[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		o := made(t)(geom.Oval(2*a, 2*b))
		if got := o.Perimeter(); math.Abs(got-want) > 4e-8*want {
			t.Errorf("%s: perimeter %v, want %v within 4e-8 (%s)", row[3], got, want, row[6])
		}
		if e := ellipse(a, b); math.Abs(e-want) > 1e-13*want {
			t.Errorf("%s: the series of this test gives %v, want %v", row[3], e, want)
		}
	}
	if seen != 2 {
		t.Errorf("%d rows read, want 2", seen)
	}
}

// ellipse returns the perimeter by the arithmetic-geometric mean (Gauss):
// P = 2π (a² − Σ 2ⁿ⁻¹ cₙ²) / agm(a, b), c₀² = a² − b².
func ellipse(a, b float64) float64 {
	sum, power, x, y := a*a-(a*a-b*b)/2, 1.0, a, b
	for range 8 {
		c := (x - y) / 2
		x, y = (x+y)/2, math.Sqrt(x*y)
		sum -= power * c * c
		power *= 2
	}
	return 2 * math.Pi * sum / x
}

func TestOvalIsAnEllipse(t *testing.T) {
	for _, r := range []float64{0.25, 0.5, 0.9, 1, 1.3, 2, 3, 4} {
		a, b := 20*r, 20.0
		o := made(t)(geom.Oval(2*a, 2*b))
		if got, want := o.Perimeter(), ellipse(max(a, b), min(a, b)); math.Abs(got/want-1) > 1e-7 {
			t.Errorf("w/h %v: perimeter %v, want %v: %.2g off", r, got, want, got/want-1)
		}
		if got, want := o.Area(), math.Pi*a*b; math.Abs(got/want-1) > 1e-7 {
			t.Errorf("w/h %v: area %v, want %v: %.2g off", r, got, want, got/want-1)
		}
		for _, p := range o.Polyline(0.01) {
			if off := math.Hypot(p[0]/a, p[1]/b) - 1; math.Abs(off) > 1e-7 {
				t.Fatalf("w/h %v: point %v is %v off the ellipse", r, p, off)
			}
		}
	}
}

// Area, perimeter and centroid of every shape against those of a fine polygon,
// whose sums are not the ones under test.
func TestOutlinesAgainstPolygons(t *testing.T) {
	for name, o := range shapes(t) {
		pts := o.Polyline(1e-4)
		var area, perimeter, mx, my float64
		for i, p := range pts {
			q := pts[(i+1)%len(pts)]
			c := p[0]*q[1] - p[1]*q[0]
			area, perimeter = area+c/2, perimeter+dist(p, q)
			mx, my = mx+(p[0]+q[0])*c/6, my+(p[1]+q[1])*c/6
		}
		if !(area > 0) {
			t.Errorf("%s: area %v: not counter-clockwise", name, area)
		}
		// No chord is further than 1e-4 mm from the outline, so the areas differ by
		// at most perimeter × 1e-4.
		if got := o.Area(); math.Abs(got-area) > 1.1e-4*perimeter {
			t.Errorf("%s: area %v, polygon %v", name, got, area)
		}
		if got := o.Perimeter(); got < perimeter-1e-9 || got > perimeter*(1+2e-5) {
			t.Errorf("%s: perimeter %v, polygon %v", name, got, perimeter)
		}
		if x, y := o.Centroid(); math.Hypot(x-mx/area, y-my/area) > 1e-3 {
			t.Errorf("%s: centroid %v, %v, polygon %v, %v", name, x, y, mx/area, my/area)
		}
	}
	// Half a circle: 4R/3π from the flat, closed form.
	if x, y := made(t)(geom.D(30, 0, 0)).Centroid(); math.Abs(x-40/math.Pi) > 1e-10 || math.Abs(y) > 1e-12 {
		t.Errorf("half circle: centroid %v, %v, want %v, 0", x, y, 40/math.Pi)
	}
}

// No piece of the outline is further from the polyline than was asked.
func TestPolylineKeepsItsChordError(t *testing.T) {
	for name, o := range shapes(t) {
		fine := o.Polyline(1e-4)
		for _, tol := range []float64{2, 0.1, 0.01} {
			pts := o.Polyline(tol)
			for _, p := range fine {
				d := math.Inf(1)
				for i, a := range pts {
					d = min(d, toChord(p, a, pts[(i+1)%len(pts)]))
				}
				if d > tol*(1+1e-9) {
					t.Fatalf("%s at %v mm: %v is %v mm from the polyline", name, tol, p, d)
				}
			}
		}
		for _, tol := range []float64{0, -1, math.NaN()} {
			if n := len(o.Polyline(tol)); n != len(fine) {
				t.Errorf("%s at %v: %d points, want the finest, %d", name, tol, n, len(fine))
			}
		}
		if n := len(o.Polyline(math.Inf(1))); n < 2 || n > 24 {
			t.Errorf("%s at any error: %d points", name, n)
		}
	}
}

func toChord(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := ((p[0]-a[0])*dx + (p[1]-a[1])*dy) / (dx*dx + dy*dy)
	t = max(0, min(1, t))
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

func TestShapesRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	word := func(_ geom.Outline, err error) string {
		if err == nil {
			return ""
		}
		return regexp.MustCompile(`^[a-z]+`).FindString(err.Error())
	}
	for _, tt := range []struct{ got, want string }{
		{word(geom.Round(0)), "diameter"}, {word(geom.Round(-1)), "diameter"}, {word(geom.Round(nan)), "diameter"}, {word(geom.Round(inf)), "diameter"}, {word(geom.Round(1.1e6)), "diameter"},
		{word(geom.Stadium(0, 30)), "width"}, {word(geom.Stadium(50, nan)), "height"}, {word(geom.Stadium(50, -30)), "height"},
		{word(geom.Oval(inf, 30)), "width"}, {word(geom.Oval(50, 0)), "height"},
		{word(geom.Rectangle(nan, 30, 5)), "width"}, {word(geom.Rectangle(40, 0, 5)), "height"},
		{word(geom.Rectangle(40, 30, -0.1)), "corner"}, {word(geom.Rectangle(40, 30, 15.01)), "corner"}, {word(geom.Rectangle(40, 30, nan)), "corner"},
		{word(geom.D(0, 0, 0)), "radius"}, {word(geom.D(20, 20, 0)), "flat"}, {word(geom.D(20, -20, 0)), "flat"}, {word(geom.D(20, nan, 0)), "flat"},
		{word(geom.D(20, 10, 15.1)), "corner"}, {word(geom.D(20, 10, -1)), "corner"}, {word(geom.D(20, 10, nan)), "corner"},
		{word(geom.Rectangle(40, 30, 15)), ""}, {word(geom.Round(1e6)), ""}, {word(geom.D(20, 10, 15)), ""},
	} {
		if tt.got != tt.want {
			t.Errorf("refused %q, want %q", tt.got, tt.want)
		}
	}
}

// Turning a rectangle by exchanging its sides, and scaling, do what they must.
func TestOutlinesScale(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		w, h, k := 20+40*rnd.Float64(), 20+40*rnd.Float64(), 0.1+9*rnd.Float64()
		r := min(w, h) / 2 * rnd.Float64()
		a, b, big := made(t)(geom.Rectangle(w, h, r)), made(t)(geom.Rectangle(h, w, r)), made(t)(geom.Rectangle(k*w, k*h, k*r))
		if math.Abs(a.Area()-b.Area()) > 1e-9 || math.Abs(big.Area()/(k*k*a.Area())-1) > 1e-12 || math.Abs(big.Perimeter()/(k*a.Perimeter())-1) > 1e-12 {
			t.Fatalf("seed %d case %d: %v × %v corner %v scaled by %v", seed, i, w, h, r, k)
		}
	}
}
