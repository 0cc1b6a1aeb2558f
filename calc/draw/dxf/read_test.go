package dxf_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/draw/dxf"
)

// mm is the header of a file in millimetres.
const mm = "0 SECTION 2 HEADER 9 $INSUNITS 70 4 9 $MEASUREMENT 70 1 0 ENDSEC "

// file makes a DXF of codes and values with blanks between them.
func file(words string) []byte {
	f := strings.Fields(words + " 0 EOF")
	var b strings.Builder
	for i := 0; i < len(f); i += 2 {
		b.WriteString("  " + f[i] + "\n" + strings.ReplaceAll(f[i+1], "_", " ") + "\n")
	}
	return []byte(b.String())
}

// entities makes a file in millimetres of entities.
func entities(words string) []byte {
	return file(mm + "0 SECTION 2 ENTITIES " + words + " 0 ENDSEC")
}

func read(t *testing.T, data []byte, opts dxf.Options) dxf.Result {
	t.Helper()
	res, err := dxf.Read(data, opts)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// said reports whether a note says this.
func said(res dxf.Result, what string) bool {
	for _, n := range res.Left {
		if strings.Contains(n, what) {
			return true
		}
	}
	return false
}

const box = "0 LWPOLYLINE 8 CUT 90 4 70 1 10 0 20 0 10 100 20 0 10 100 20 60 10 0 20 60 "

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// Areas are closed form.
func TestEveryEntityMakesItsOutline(t *testing.T) {
	tests := []struct {
		name, words string
		area        float64
		tol         float64 // the chord error along the perimeter, where curves are flattened
	}{
		{"lines, in any direction and order", "0 LINE 8 A 10 20 20 10 11 20 21 20 0 LINE 8 A 10 20 20 10 11 30 21 10 0 LINE 8 A 10 30 20 20 11 20 21 20 0 LINE 8 A 10 30 20 20 11 30 21 10", 100, 1e-9},
		{"lines and arcs", "0 LINE 8 A 10 20 20 20 11 40 21 20 0 ARC 8 A 10 40 20 25 40 5 50 270 51 90 0 LINE 8 A 10 40 20 30 11 20 21 30 0 ARC 8 A 10 20 20 25 40 5 50 90 51 270", 200 + 25*math.Pi, 1e-9},
		{"arc and chord", "0 ARC 8 A 10 50 20 30 40 10 50 0 51 180 0 LINE 8 A 10 40 20 30 11 60 21 30", 50 * math.Pi, 1e-9},
		{"arc past the zero", "0 ARC 8 A 10 50 20 30 40 10 50 350 51 170 0 LINE 8 A 10 59.848077530122080 20 28.263518223330696 11 40.15192246987792 21 31.736481776669304", 50 * math.Pi, 1e-9},
		{"polyline of R12", "0 POLYLINE 8 A 66 1 70 1 0 VERTEX 8 A 10 20 20 20 42 1 0 VERTEX 8 A 10 30 20 20 0 VERTEX 8 A 10 30 20 30 42 1 0 VERTEX 8 A 10 20 20 30 0 SEQEND", 100 + 25*math.Pi, 1e-9},
		{"polyline, bulge inwards", "0 LWPOLYLINE 8 A 70 1 10 20 20 20 10 40 20 20 10 40 20 40 42 -0.41421356237309503 10 20 20 40", 400 - segment(20, math.Sqrt2-1), 1e-9},
		{"polyline closed by its last vertex", "0 LWPOLYLINE 8 A 70 0 10 20 20 20 10 40 20 20 10 40 20 30 10 20 20 20", 100, 1e-9},
		{"polyline in space", "0 POLYLINE 8 A 66 1 70 9 0 VERTEX 10 20 20 20 30 3 0 VERTEX 10 40 20 20 30 3 0 VERTEX 10 40 20 30 30 3 0 SEQEND", 100, 1e-9},
		{"polyline with its frame", "0 POLYLINE 8 A 66 1 70 5 0 VERTEX 10 20 20 20 70 8 0 VERTEX 10 99 20 99 70 16 0 VERTEX 10 40 20 20 70 8 0 VERTEX 10 40 20 30 70 8 0 SEQEND", 100, 1e-9},
		{"ellipse", "0 ELLIPSE 8 A 10 50 20 30 11 20 21 0 40 0.5 41 0 42 6.283185307179586", 200 * math.Pi, 0.01 * 97},
		{"half an ellipse", "0 ELLIPSE 8 A 10 50 20 30 11 20 21 0 40 0.5 41 0 42 3.141592653589793 0 LINE 8 A 10 30 20 30 11 70 21 30", 100 * math.Pi, 0.01 * 90},
		{"ellipse that is a circle", "0 ELLIPSE 8 A 10 50 20 30 11 6 21 8 40 1", 100 * math.Pi, 1e-9},
		// One Bézier piece, 0,0 0,20 20,20 20,0: area 0.6·20·20, by its polynomial.
		{"cubic spline", "0 SPLINE 8 A 70 8 71 3 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 10 20 20 20 10 20 20 40 10 40 20 40 10 40 20 20 0 LINE 8 A 10 20 20 20 11 40 21 20", 240, 0.01 * 60},
		// The circle as nine points, weight √½ at the corners (Piegl and Tiller 7.5).
		{"circle as a rational spline", "0 SPLINE 8 A 70 13 71 2 40 0 40 0 40 0 40 1 40 1 40 2 40 2 40 3 40 3 40 4 40 4 40 4 " +
			"41 1 41 0.7071067811865476 41 1 41 0.7071067811865476 41 1 41 0.7071067811865476 41 1 41 0.7071067811865476 41 1 " +
			"10 60 20 30 10 60 20 40 10 50 20 40 10 40 20 40 10 40 20 30 10 40 20 20 10 50 20 20 10 60 20 20 10 60 20 30", 100 * math.Pi, 1e-6},
		{"spline of degree 1", "0 SPLINE 8 A 71 1 40 0 40 0 40 1 40 2 40 3 40 3 10 20 20 20 10 40 20 20 10 40 20 30 10 20 20 20", 100, 1e-9},
		{"arc drawn from below", "0 ARC 8 A 10 -50 20 30 40 10 50 0 51 180 230 -1 0 LINE 8 A 10 40 20 30 11 60 21 30 230 -1", 50 * math.Pi, 1e-9},
		{"lower arc drawn from below", "0 ARC 8 A 10 -50 20 30 40 10 50 180 51 270 210 0 220 0 230 -1 0 LINE 8 A 10 60 20 30 11 50 21 30 0 LINE 8 A 10 50 20 20 11 50 21 30", 25 * math.Pi, 1e-9},
		{"polyline drawn from below", "0 LWPOLYLINE 8 A 70 1 230 -1 10 -20 20 20 42 0.5 10 -40 20 20 10 -40 20 40 10 -20 20 40", 400 - segment(20, 0.5), 1e-9},
		{"half an ellipse drawn from below", "0 ELLIPSE 8 A 10 50 20 30 11 20 21 0 40 0.5 41 0 42 3.141592653589793 230 -1 0 LINE 8 A 10 30 20 30 11 70 21 30 0 LINE 8 A 10 99 20 1 11 99 21 2", 100 * math.Pi, 0.01 * 90},
	}
	for _, tt := range tests {
		res := read(t, entities(box+tt.words), dxf.Options{})
		if res.Outer == nil {
			t.Errorf("%s: no outer outline: %+v", tt.name, res)
			continue
		}
		within(t, tt.name+": outer area", res.Outer.Outline.Area(), 6000, 1e-9)
		area := 0.0
		for _, o := range res.Openings {
			area += o.Outline.Area()
		}
		for _, h := range res.Holes {
			area += math.Pi * h.Diameter * h.Diameter / 4
		}
		within(t, tt.name, area, tt.area, tt.tol)
	}
}

// segment is the area between a chord and the arc of a bulge.
func segment(chord, bulge float64) float64 {
	r, sweep := chord*(1+bulge*bulge)/(4*bulge), 4*math.Atan(bulge)
	return r * r / 2 * (sweep - math.Sin(sweep))
}

func TestUnitIsTakenOrAskedFor(t *testing.T) {
	head := func(vars string) string { return "0 SECTION 2 HEADER 9 $ACADVER 1 AC1009 " + vars + " 0 ENDSEC " }
	tests := []struct {
		name, vars, given string
		unit, ask         string
		width             float64 // of a box 100 wide
	}{
		{"millimetres", "9 $INSUNITS 70 4 9 $MEASUREMENT 70 1", "", "mm", "", 100},
		{"millimetres, settings silent", "9 $INSUNITS 70 4", "", "mm", "", 100},
		{"inches", "9 $MEASUREMENT 70 0 9 $INSUNITS 70 1", "", "in", "", 2540},
		{"feet", "9 $INSUNITS 70 2", "", "ft", "", 30480},
		{"centimetres", "9 $INSUNITS 70 5", "", "cm", "", 1000},
		{"metres", "9 $INSUNITS 70 6", "", "m", "", 100000},
		{"no header variable", "", "", "", "does not say which unit", 0},
		{"unit 0", "9 $INSUNITS 70 0", "", "", "does not say which unit", 0},
		{"unit 0, metric", "9 $INSUNITS 70 0 9 $MEASUREMENT 70 1", "", "", "only that it was drawn with metric settings", 0},
		{"unit silent, inches", "9 $MEASUREMENT 70 0", "", "", "only that it was drawn with inch settings", 0},
		{"light years", "9 $INSUNITS 70 19", "", "", "number 19", 0},
		{"millimetres with inch settings", "9 $INSUNITS 70 4 9 $MEASUREMENT 70 0", "", "", "contradicts itself", 0},
		{"inches with metric settings", "9 $INSUNITS 70 1 9 $MEASUREMENT 70 1", "", "", "contradicts itself", 0},
		{"silent, said to be inches", "", "in", "in", "", 2540},
		{"contradiction, said to be mm", "9 $INSUNITS 70 1 9 $MEASUREMENT 70 1", "mm", "mm", "", 100},
	}
	for _, tt := range tests {
		res := read(t, file(head(tt.vars)+"0 SECTION 2 ENTITIES "+box+"0 ENDSEC"), dxf.Options{Unit: tt.given})
		if tt.ask != "" {
			if res.Ask == nil || !strings.Contains(res.Ask.Why, tt.ask) || res.Outer != nil {
				t.Errorf("%s: got %+v, want to be asked %q", tt.name, res, tt.ask)
				continue
			}
			within(t, tt.name+": width in mm", res.Ask.MM[0], 100, 1e-9)
			within(t, tt.name+": height in inches", res.Ask.Inch[1], 60*25.4, 1e-9)
			continue
		}
		if res.Ask != nil || res.Outer == nil || res.Unit != tt.unit {
			t.Errorf("%s: got %+v", tt.name, res)
			continue
		}
		within(t, tt.name, res.High[0]-res.Low[0], tt.width, 1e-9)
	}
	if res := read(t, file(mm+"0 SECTION 2 ENTITIES "+box+"0 ENDSEC"), dxf.Options{Unit: "in"}); !said(res, "the file says that its figures are millimetres; they were taken as inches") {
		t.Errorf("said %q", res.Left)
	}
}

// What an arc reaches counts, not only its ends.
func TestAskedSizeHoldsTheArcs(t *testing.T) {
	res := read(t, file("0 SECTION 2 ENTITIES 0 CIRCLE 8 0 10 5 20 6 40 3 0 ARC 8 0 10 5 20 6 40 10 50 45 51 135 0 ENDSEC"), dxf.Options{})
	within(t, "width", res.Ask.Figure[0], 10*math.Sqrt2, 1e-9)
	within(t, "height", res.Ask.Figure[1], 16-3, 1e-9)
}

func TestHolesOpeningsAndTheRestAreToldApart(t *testing.T) {
	res := read(t, entities(box+
		"0 CIRCLE 8 HOLES 10 10 20 10 40 4.2 "+ // a hole
		"0 LWPOLYLINE 8 HOLES 70 1 10 85.8 20 10 42 1 10 94.2 20 10 42 1 "+ // another, as a polyline
		"0 ARC 8 HOLES 10 90 20 50 40 4.2 50 0 51 200 0 ARC 8 HOLES 10 90 20 50 40 4.2 50 200 51 0 "+ // another, as arcs
		"0 LWPOLYLINE 8 PORT 70 1 10 30 20 20 10 70 20 20 10 70 20 40 10 30 20 40 "+ // an opening
		"0 CIRCLE 8 PORT 10 50 20 30 40 5 "+ // within the opening
		"0 CIRCLE 8 OTHER 10 200 20 30 40 5 "+ // outside
		"0 LINE 8 CENTRE 10 -5 20 30 11 105 21 30 "+ // a centre line
		"0 TEXT 8 NOTE 1 Ø 0 TEXT 8 NOTE 1 x 0 TEXT 8 NOTE 1 y 0 HATCH 8 NOTE 0 DIMENSION 8 NOTE"), dxf.Options{})
	if res.Outer == nil || len(res.Holes) != 3 || len(res.Openings) != 1 || len(res.Beside) != 2 || len(res.Open) != 1 {
		t.Fatalf("got %+v", res)
	}
	for i, at := range [3][2]float64{{10, 10}, {90, 10}, {90, 50}} {
		h := res.Holes[i]
		within(t, "hole x", h.X, at[0], 1e-9)
		within(t, "hole y", h.Y, at[1], 1e-9)
		within(t, "hole diameter", h.Diameter, 8.4, 1e-9)
		if h.Layer != "HOLES" {
			t.Errorf("hole on %s", h.Layer)
		}
	}
	if o := res.Open[0]; o.From != [2]float64{-5, 30} || o.To != [2]float64{105, 30} || o.Layer != "CENTRE" {
		t.Errorf("open %+v", o)
	}
	for _, want := range []string{"1 DIMENSION, 1 HATCH, 3 TEXT left out, the first at line 154: no outline", "1 row of pieces stays open", "1 outline lies outside", "1 outline lies within"} {
		if !said(res, want) {
			t.Errorf("not said: %q in %q", want, res.Left)
		}
	}
}

// The border of 0.005 mm is on the distance from the circle.
func TestOnlyWhatIsRoundIsAHole(t *testing.T) {
	polygon := func(n int, r float64) string {
		var b strings.Builder
		b.WriteString("0 LWPOLYLINE 8 A 70 1 ")
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			b.WriteString("10 " + num(50+r*cos) + " 20 " + num(30+r*sin) + " ")
		}
		return b.String()
	}
	tests := []struct {
		name, words string
		hole        bool
		note        string
	}{
		{"128 corners, 0.0013 mm", polygon(128, 4.2), true, ""},
		{"36 corners, 0.016 mm", polygon(36, 4.2), false, "a circle of Ø 8.40 mm drawn with 36 corners"},
		{"ellipse, 0.004 mm", "0 ELLIPSE 8 A 10 50 20 30 11 4.2 21 0 40 0.9981 ", true, ""},
		{"ellipse, 0.02 mm", "0 ELLIPSE 8 A 10 50 20 30 11 4.2 21 0 40 0.99 ", false, ""},
	}
	for _, tt := range tests {
		res := read(t, entities(box+tt.words), dxf.Options{})
		if (len(res.Holes) == 1) != tt.hole || len(res.Holes)+len(res.Openings) != 1 {
			t.Errorf("%s: %d holes and %d openings", tt.name, len(res.Holes), len(res.Openings))
		}
		if tt.note != "" && !said(res, tt.note) {
			t.Errorf("%s: not said in %q", tt.name, res.Left)
		}
	}
}

func TestWhatIsThereTwiceCountsOnce(t *testing.T) {
	lines := "0 LINE 8 A 10 0 20 0 11 100 21 0 0 LINE 8 A 10 100 20 0 11 100 21 60 0 LINE 8 A 10 100 20 60 11 0 21 60 0 LINE 8 A 10 0 20 60 11 0 21 0 "
	tests := []struct {
		name, words           string
		doubles, short, holes int
	}{
		{"a line, turned round", lines + "0 LINE 8 A 10 100.001 20 0 11 0 21 0.002 ", 1, 0, 0},
		{"the whole outline", lines + box, 1, 0, 0},
		{"a polyline, from another corner", box + "0 LWPOLYLINE 8 B 70 1 10 100 20 60 10 100 20 0 10 0 20 0 10 0 20 60 ", 1, 0, 0},
		{"a circle and a polyline", box + "0 CIRCLE 8 A 10 50 20 30 40 5 0 LWPOLYLINE 70 1 10 45 20 30 42 1 10 55 20 30 42 1 ", 1, 0, 1},
		{"two arcs over one chord are two", lines + "0 ARC 8 A 10 50 20 30 40 5 50 0 51 180 0 ARC 8 A 10 50 20 30 40 5 50 180 51 0 ", 0, 0, 1},
		{"no length", lines + "0 LINE 8 A 10 3 20 3 11 3 21 3 0 CIRCLE 8 A 10 3 20 3 40 0 0 ARC 8 A 10 3 20 3 40 1 50 20 51 20 ", 0, 3, 0},
		{"shorter than the tolerance, in the outline", "0 LINE 8 A 10 0.008 20 0 11 100 21 0 0 LINE 8 A 10 0 20 0 11 0.008 21 0 0 LINE 8 A 10 100 20 0 11 100 21 60 0 LINE 8 A 10 100 20 60 11 0 21 60 0 LINE 8 A 10 0 20 60 11 0 21 0 ", 0, 1, 0},
	}
	for _, tt := range tests {
		res := read(t, entities(tt.words), dxf.Options{})
		if res.Outer == nil || res.Doubles != tt.doubles || res.Short != tt.short || len(res.Holes) != tt.holes || len(res.Openings)+len(res.Beside)+len(res.Open) != 0 {
			t.Errorf("%s: got %+v", tt.name, res)
			continue
		}
		within(t, tt.name, res.Outer.Outline.Area(), 6000, 0.5)
	}
}

func TestGapsAreClosedToTheToleranceAndToldBeyond(t *testing.T) {
	gap := func(g float64) []byte {
		return entities("0 LINE 8 A 10 0 20 0 11 100 21 0 0 LINE 8 A 10 " + num(100+g) + " 20 0 11 100 21 60 0 LINE 8 A 10 100 20 60 11 0 21 60 0 LINE 8 A 10 0 20 60 11 0 21 0")
	}
	res := read(t, gap(0.009), dxf.Options{})
	if res.Outer == nil || !said(res, "gaps of up to 0.009 mm") {
		t.Errorf("0.009 mm: %+v", res)
	}
	within(t, "gap", res.Gap, 0.009, 1e-9)
	res = read(t, gap(0.011), dxf.Options{})
	if res.Outer != nil || len(res.Open) != 1 {
		t.Fatalf("0.011 mm: %+v", res)
	}
	within(t, "loose ends apart", res.Open[0].Near, 0.011, 1e-9)
	if res = read(t, gap(0.4), dxf.Options{Join: 0.5}); res.Outer == nil {
		t.Errorf("0.4 mm with 0.5 allowed: %+v", res)
	}
}

// A line that goes straight on from a side of the outline does not lead it astray, and an
// outline that crosses itself is told and not used.
func TestForksAndCrossings(t *testing.T) {
	lines := "0 LINE 8 A 10 0 20 0 11 100 21 0 0 LINE 8 A 10 100 20 0 11 100 21 60 0 LINE 8 A 10 100 20 60 11 0 21 60 0 LINE 8 A 10 0 20 60 11 0 21 0 "
	res := read(t, entities(lines+"0 LINE 8 A 10 0 20 0 11 -20 21 0 0 LINE 8 A 10 -20 20 0 11 -20 21 -5 "), dxf.Options{})
	if res.Outer == nil || len(res.Open) != 1 {
		t.Errorf("with a dimension line: %+v", res)
	}
	res = read(t, entities("0 LWPOLYLINE 8 A 70 1 10 0 20 0 10 100 20 60 10 100 20 0 10 0 20 50 "), dxf.Options{})
	if res.Outer != nil || !said(res, "crosses or touches itself") {
		t.Errorf("a bow: %+v", res)
	}
	res = read(t, entities(box+"0 CIRCLE 8 A 10 99 20 30 40 5 "), dxf.Options{})
	if !said(res, "cross or touch at") {
		t.Errorf("a hole in the edge: %+v", res.Left)
	}
}

func TestLayersAreChosenAndSwitchedOff(t *testing.T) {
	tables := "0 SECTION 2 TABLES 0 TABLE 2 LAYER 70 3 0 LAYER 2 Cut 70 0 62 7 0 LAYER 2 OFF 70 0 62 -7 0 LAYER 2 FROZEN 70 1 62 3 0 ENDTAB 0 ENDSEC "
	words := "0 SECTION 2 ENTITIES " + box + "0 CIRCLE 8 OFF 10 20 20 20 40 3 0 CIRCLE 8 FROZEN 10 50 20 20 40 3 0 CIRCLE 8 Cut 10 80 20 20 40 3 0 CIRCLE 8 CUT 60 1 10 80 20 40 40 3 0 CIRCLE 8 CUT 67 1 10 80 20 40 40 3 0 ENDSEC"
	res := read(t, file(mm+tables+words), dxf.Options{})
	if len(res.Holes) != 1 || !said(res, "layer OFF is switched off") || !said(res, "layer FROZEN is switched off") || !said(res, "1 CIRCLE left out, the first at line 112: switched off") || !said(res, "on the sheet") {
		t.Errorf("got %+v", res)
	}
	if want := []dxf.Layer{{Name: "CUT", Pieces: 3}, {Name: "OFF", Off: true, Pieces: 1}, {Name: "FROZEN", Off: true, Pieces: 1}}; len(res.Layers) != 3 || res.Layers[0] != want[0] || res.Layers[1] != want[1] || res.Layers[2] != want[2] {
		t.Errorf("layers %+v", res.Layers)
	}
	res = read(t, file(mm+tables+words), dxf.Options{Layers: []string{"off", "Frozen"}})
	if len(res.Holes) != 2 || res.Outer != nil || !said(res, "other layers") {
		t.Errorf("chosen: %+v", res)
	}
}

// An insert takes base, scale, turn and steps; layer 0 within takes its layer.
func TestBlocksAreInserted(t *testing.T) {
	blocks := "0 SECTION 2 BLOCKS 0 BLOCK 8 0 2 HOLE 70 0 10 1 20 2 0 CIRCLE 8 0 10 1 20 2 40 2 0 ENDBLK " +
		"0 BLOCK 8 0 2 pair 70 0 10 0 20 0 0 INSERT 8 IN 2 hole 10 0 20 0 0 INSERT 8 IN 2 HOLE 10 10 20 0 41 2 42 2 0 ENDBLK " +
		"0 BLOCK 8 0 2 HALF 70 0 10 0 20 0 0 ARC 8 0 10 0 20 0 40 5 50 0 51 90 0 LINE 8 0 10 0 20 5 11 0 21 0 0 LINE 8 0 10 0 20 0 11 5 21 0 0 ENDBLK 0 ENDSEC "
	file := func(words string) []byte {
		return file(mm + blocks + "0 SECTION 2 ENTITIES " + box + words + " 0 ENDSEC")
	}

	res := read(t, file("0 INSERT 8 H 2 PAIR 10 20 20 30 50 90"), dxf.Options{})
	if len(res.Holes) != 2 {
		t.Fatalf("got %+v", res)
	}
	within(t, "y of the second", res.Holes[1].Y, 40, 1e-9)
	within(t, "diameter of the second", res.Holes[1].Diameter, 8, 1e-9)

	res = read(t, file("0 INSERT 8 H 2 HOLE 10 20 20 10 50 90 70 2 71 3 44 30 45 -25"), dxf.Options{})
	if len(res.Holes) != 6 || res.Holes[0].Layer != "H" {
		t.Fatalf("got %+v", res.Holes)
	}
	for i, at := range [6][2]float64{{20, 10}, {20, 40}, {45, 10}, {45, 40}, {70, 10}, {70, 40}} { // turned by 90°
		if h := res.Holes[i]; math.Hypot(h.X-at[0], h.Y-at[1]) > 1e-9 {
			t.Errorf("hole %d at %v, %v, want %v", i, h.X, h.Y, at)
		}
	}

	res = read(t, file("0 INSERT 8 H 2 HALF 10 50 20 30 41 -2 42 1"), dxf.Options{}) // turned over and stretched: an ellipse
	if len(res.Openings) != 1 {
		t.Fatalf("got %+v", res)
	}
	within(t, "quarter of an ellipse", res.Openings[0].Outline.Area(), math.Pi*50/4, 0.01*25)
	within(t, "its left end", res.Openings[0].Outline.Polyline(0.01)[0][0], 45, 6)
	low, high := res.Openings[0].Outline.Bounds()
	within(t, "its left end", low[0], 40, 0.01)
	within(t, "its right end", high[0], 50, 0.01)

	res = read(t, file("0 INSERT 8 H 2 NONE 10 0 20 0 0 INSERT 8 H 2 HOLE 41 0"), dxf.Options{})
	if !said(res, `the file does not hold the block "NONE"`) || !said(res, "scaled to nothing") {
		t.Errorf("said %q", res.Left)
	}
}

func num(v float64) string { return strconv.FormatFloat(v, 'f', 15, 64) }

func TestFilesThatCannotBeRead(t *testing.T) {
	deep := mm + "0 SECTION 2 BLOCKS 0 BLOCK 2 A 0 INSERT 2 A 0 ENDBLK 0 ENDSEC 0 SECTION 2 ENTITIES 0 INSERT 2 A 0 ENDSEC"
	wide := mm + "0 SECTION 2 BLOCKS 0 BLOCK 2 A 0 ENDBLK 0 ENDSEC 0 SECTION 2 ENTITIES 0 INSERT 2 A 70 30000 71 30000 0 ENDSEC"
	tests := []struct {
		name, data, want string
	}{
		{"empty", " \n", "the file is empty"},
		{"text", "Hello there\nyou\n", `line 1: "Hello there" where a group code should be`},
		{"binary", "Any Maker Binary DXF\r\n\x1a\x00", "binary DXF"},
		{"DWG", "AC1027\x00\x00\x00", "DWG"},
		{"UTF-16", "\xff\xfe0\x00", "UTF-16"},
		{"picture", "\x89PNG\r\n\x1a\n", "no DXF"},
		{"too large", strings.Repeat("0\n", 11<<20), "want at most 20 MiB"},
		{"no number", string(entities("0 LINE 10 1,5")), `line 22: "1,5" is not a number`},
		{"not finite", string(entities("0 LINE 10 NaN")), "is not a number"},
		{"too far", string(entities("0 LINE 10 0 11 1e9")), "line 20: the LINE reaches to 1e+09, 0 mm"},
		{"cut in a group", "  0\nSECTION\n  2\n", "ends in the middle"},
		{"no entities", string(file(mm)), "no section of entities"},
		{"blocks in themselves", string(file(deep)), "blocks lie in each other"},
		{"array without end", string(file(wide)), "more than 100000 entities"},
		{"options", "", "unit"},
	}
	for _, tt := range tests {
		opts := dxf.Options{}
		if tt.name == "options" {
			opts.Unit = "furlong"
		}
		_, err := dxf.Read([]byte(tt.data), opts)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

// Line ends, blanks, marks before and behind the text do not matter.
func TestFormsOfText(t *testing.T) {
	plain := string(entities(box + "0 CIRCLE 8 A 10 50 20 30 40 5 999 comment"))
	for name, text := range map[string]string{
		"CRLF":            strings.ReplaceAll(plain, "\n", "\r\n"),
		"CR":              strings.ReplaceAll(plain, "\n", "\r"),
		"byte order mark": "\ufeff" + plain,
		"blank lines":     "\n\n" + plain + "\n\n\x1a",
		"blanks":          strings.ReplaceAll(plain, "\n", " \t\n  "),
		"no end":          strings.TrimSuffix(plain, "  0\nEOF\n"),
	} {
		res, err := dxf.Read([]byte(text), dxf.Options{})
		if err != nil || res.Outer == nil || len(res.Holes) != 1 {
			t.Errorf("%s: %v, %+v", name, err, res)
		}
		if name == "no end" != said(res, "the rest of it may be missing") {
			t.Errorf("%s: said %q", name, res.Left)
		}
	}
}
