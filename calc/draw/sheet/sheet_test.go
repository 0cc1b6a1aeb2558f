package sheet_test

import (
	"errors"
	"flag"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

var update = flag.Bool("update", false, "write the golden files anew")

func worked(t testing.TB, edit ...string) job.Worked {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/flange.job.json")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i+1 < len(edit); i += 2 {
		if !strings.Contains(text, edit[i]) {
			t.Fatalf("%q is not in the job", edit[i])
		}
		text = strings.ReplaceAll(text, edit[i], edit[i+1])
	}
	w, err := job.WorkFile([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func make1(t testing.TB, w job.Worked, key string, o sheet.Options) sheet.Made {
	t.Helper()
	if o.Fixture == nil {
		o.Fixture = func() job.FixturePlan { return setUp(w) }
	}
	m, err := sheet.Make(w, key, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Every sheet of the invented flange, as text.
func TestGoldenSheets(t *testing.T) {
	w := worked(t)
	made := 0
	for _, e := range sheet.Of(w).Sheets {
		if e.Why != "" || isOfTubes(e.Key) || isOfFixture(e.Key) || e.Key == "sizing" || e.Key == "weld" {
			continue
		}
		made++
		svg, err := make1(t, w, e.Key, sheet.Options{Date: "2026-11-30"}).SVG()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, e.Key+".svg", svg)
	}
	svg, err := make1(t, w, "flange-A", sheet.Options{Unit: "in"}).SVG()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "flange-A-in.svg", svg)
	if made != 8 {
		t.Errorf("%d sheets were made, want 8", made)
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; go test ./calc/draw/sheet -update writes it anew, then read the difference", file)
	}
}

// texts are all texts on the drawings and in the lists of a sheet.
func texts(m sheet.Made) string {
	var b strings.Builder
	for _, s := range m.Sheets {
		for _, e := range s.Drawing.Entities {
			if text, ok := e.(draw.Text); ok {
				b.WriteString(text.Text + "\n")
			}
		}
		for _, r := range s.Rows() {
			b.WriteString(r.Label + ": " + r.Text + "\n")
		}
		b.WriteString(strings.Join(slices.Concat(s.Warnings, s.Cautions), "\n") + "\n")
	}
	for _, t := range m.Lists {
		for _, r := range append([][]string{{t.Name}, t.Heads}, t.Rows...) {
			b.WriteString(strings.Join(r, " | ") + "\n")
		}
	}
	return b.String()
}

func wants(t *testing.T, m sheet.Made, list ...string) {
	t.Helper()
	all := texts(m)
	for _, want := range list {
		if !strings.Contains(all, want) {
			t.Errorf("%s: %q is missing on it:\n%s", m.Key, want, all)
		}
	}
}

// Which way round a nearly symmetrical flange goes is on both of its sheets, and so
// are the face, the frame and what the sheet was made from.
func TestFlangeSaysWhichWayRound(t *testing.T) {
	w := worked(t)
	for key, face := range map[string][]string{"flange-A": {draw.FaceTubes, "Side: " + draw.SeenFromTubes}, "flange-A-head": {draw.FaceHead, "Side: " + draw.SeenFromHead}} {
		m := make1(t, w, key, sheet.Options{Date: "2026-11-30"})
		wants(t, m, append(face, "bolts up in another way too: turned over about the vertical", "port 3 then lies on port 2", "Sheet: "+key, "Revision: A",
			"Date: 2026-11-30", "Sign: "+signOf(w, key), "thickness | 10.00 mm", "mild steel", "mass | ", "from the centre of b1", "hole | b6 | 165.00 | 60.00 | 9.00", "slot | b1",
			"29 CFR 1910.1026", "sharp", "hot", "a person checks")...)
		if w, h := cut(m).Width(), cut(m).Height(); math.Abs(w-359.35) > 0.01 || math.Abs(h-87.55) > 0.01 {
			t.Errorf("%s: %v × %v is cut", key, w, h)
		}
	}
	a, b := cut(make1(t, w, "flange-A", sheet.Options{})), cut(make1(t, w, "flange-A-head", sheet.Options{}))
	if math.Abs(a.Min[0]+b.Max[0]) > 1e-9 || math.Abs(a.Max[0]+b.Min[0]) > 1e-9 {
		t.Errorf("from the head %v is not the mirror image of %v", b, a)
	}
}

func cut(m sheet.Made) draw.Box { return m.Sheets[0].Drawing.Only(draw.Cut).Bounds() }

// The job's stops stand on the sheets that they concern, and on no others.
func TestSheetsBearWhatStops(t *testing.T) {
	w := worked(t)
	wants(t, make1(t, w, "dies-A", sheet.Options{}), "Do not cut. The end of tube 4 would have to be stretched")
	for _, key := range []string{"flange-A", "ports-A", "pattern-g1"} {
		if all := texts(make1(t, w, key, sheet.Options{})); strings.Contains(all, "Do not cut") {
			t.Errorf("%s: %s", key, all)
		}
	}
	off := worked(t, `"id": "b1", "x": 0, "y": 0`, `"id": "b1", "x": 3, "y": 0`)
	wants(t, make1(t, off, "flange-A", sheet.Options{}), "Do not cut. The datum bolt hole of bank A stands at 3.00 mm")
}

func TestFiguresAreInTheUnitAsked(t *testing.T) {
	w := worked(t)
	wants(t, make1(t, w, "flange-A", sheet.Options{Unit: "in"}), "b6 Ø0.354", "thickness | 0.394 in", "Unit: in", "x, in", "14.148") // 359.35/25.4
	wants(t, make1(t, w, "ports-A", sheet.Options{Unit: "in"}), "perimeter 4.684 in", "area 1.689 in²")                              // 118.98/25.4, 1089.7/645.16
	wants(t, make1(t, w, "flange-A", sheet.Options{Unit: "furlong"}), "b6 Ø9.00", "Unit: mm")
}

// What is cut is in mm whatever the figures are in, and read back it is as large as
// the plan says, with every hole and opening.
func TestPR3DXFIsAsLargeAsThePlan(t *testing.T) {
	w := worked(t)
	want := draw.Empty()
	for _, p := range w.Plan.Flanges[0].Design.Pieces {
		var l draw.Loop
		for _, c := range p.Loop {
			l.Vertices = append(l.Vertices, geom.Vertex(c))
		}
		want = want.And(l.Bounds())
	}
	for _, o := range []sheet.Options{{}, {Unit: "in"}} {
		m := make1(t, w, "flange-A", o)
		b, err := m.DXF()
		if err != nil {
			t.Fatal(err)
		}
		r, err := dxf.Read(b, dxf.Options{})
		if err != nil || r.Ask != nil || r.Outer == nil {
			t.Fatalf("%v, %+v", err, r)
		}
		if len(r.Holes) != 1 || len(r.Openings) != 4+6 { // 6 of the 7 bolt holes are slots
			t.Errorf("%d round holes, %d openings", len(r.Holes), len(r.Openings))
		}
		for i := range 2 {
			if math.Abs(r.Low[i]-want.Min[i]) > 1e-5 || math.Abs(r.High[i]-want.Max[i]) > 1e-5 {
				t.Errorf("read back from %v to %v, want %v", r.Low, r.High, want)
			}
		}
		if name := m.FileName(sheet.DXF); name != "flange-A-rev-A-359x88mm.dxf" {
			t.Errorf("named %s", name)
		}
		for _, s := range []string{"Sign: " + signOf(w, "flange-A"), "Revision: A", "bolts up in another way"} {
			if !strings.Contains(string(b), s) {
				t.Errorf("the file does not say %q", s)
			}
		}
		if strings.Contains(string(b), "MARK\r\n 10") {
			t.Error("marks are in the file for the cutter")
		}
	}
	if name := make1(t, w, "flange", sheet.Options{}).FileName(sheet.DXF); name != "flange-A-rev-A-359x88mm.dxf" {
		t.Errorf("flange: named %s", name)
	}
	if name := make1(t, w, "pattern-g1", sheet.Options{}).FileName(sheet.SVG); name != "pattern-g1-rev-A.svg" {
		t.Errorf("pattern-g1: named %s", name)
	}
}

// What a cutter gets is nothing but closed lines of the four kinds that all read, each
// once, and what is stated of its curves is what the loops of the plan were made to.
func TestPR4CuttersGetClosedLines(t *testing.T) {
	w := worked(t)
	kinds := regexp.MustCompile(`(?m)^ +0\r\n([A-Z0-9_]+)\r$`)
	allowed := strings.Fields("SECTION ENDSEC TABLE LTYPE LAYER STYLE ENDTAB EOF LINE ARC CIRCLE POLYLINE VERTEX SEQEND")
	files := 0
	for _, e := range sheet.Of(w).Sheets {
		if e.Why != "" || !slices.Contains(e.Forms, sheet.DXF) {
			continue
		}
		files++
		b, err := make1(t, w, e.Key, sheet.Options{}).DXF()
		if err != nil {
			t.Fatal(err)
		}
		found := kinds.FindAllStringSubmatch(string(b), -1)
		if len(found) < 20 {
			t.Errorf("%s: %d pieces of a file were read", e.Key, len(found))
		}
		for _, k := range found {
			if !slices.Contains(allowed, k[1]) {
				t.Errorf("%s: %s is in the file", e.Key, k[1])
			}
		}
		r, err := dxf.Read(b, dxf.Options{})
		if err != nil || len(r.Open) > 0 || r.Doubles > 0 || r.Short > 0 || r.Gap > 0.001 {
			t.Errorf("%s: %v, %d open, %d twice, %d without length, gap of %v mm", e.Key, err, len(r.Open), r.Doubles, r.Short, r.Gap)
		}
		if !strings.Contains(string(b), "at most 0.01 mm") {
			t.Errorf("%s: the error of its curves is not stated", e.Key)
		}
	}
	if files != 6+4+1 { // and the pie cuts of four tubes, and the plate of the fixture
		t.Errorf("%d files, want 11", files)
	}
}

// Rolled up a transition closes round the tube: its edges are as long as the middle of
// the wall is round, π(d − t) there and P + πt at the port (flange.Form).
func TestTransitionIsLaidOutOnTheMiddleOfTheWall(t *testing.T) {
	w := worked(t)
	m := make1(t, w, "transition-t1", sheet.Options{})
	tube, port := w.Job.Tubes[0], w.Job.Banks[0].Ports[0]
	flat, err := tube.Flat(port)
	if err != nil {
		t.Fatal(err)
	}
	long := func(edge [][2]float64) (sum float64) {
		for i := 1; i < len(edge); i++ {
			sum += math.Hypot(edge[i][0]-edge[i-1][0], edge[i][1]-edge[i-1][1])
		}
		return sum
	}
	wall := tube.Wall.V.MM()
	if got, want := long(flat.Bore), math.Pi*(tube.OD.V.MM()-wall); math.Abs(got-want) > 0.01 { // chords of 1°
		t.Errorf("at the tube %v long, want %v", got, want)
	}
	if got, want := long(flat.Port), port.Outline.Perimeter()+math.Pi*wall; math.Abs(got-want) > 0.01 {
		t.Errorf("at the port %v long, want %v", got, want)
	}
	wants(t, m, "outside up", "seam", "to the tube: round", "to port 1", "lies flat exactly", "on the middle of the wall of 1.65 mm")
}

func TestWhatCannotBeMadeSaysWhy(t *testing.T) {
	w := worked(t)
	for _, tt := range []struct{ key, want string }{
		{"transition-t2", "over which length the end of tube 2"},
	} {
		_, err := sheet.Make(w, tt.key, sheet.Options{})
		var no *sheet.Unmade
		if !errors.As(err, &no) || !strings.Contains(no.Why, tt.want) {
			t.Errorf("%s: %v", tt.key, err)
		}
	}
	if _, err := sheet.Make(w, "flange-B", sheet.Options{}); !errors.Is(err, sheet.ErrUnknown) {
		t.Errorf("flange-B: %v", err)
	}
	if _, err := make1(t, w, "pattern-g1", sheet.Options{}).DXF(); err == nil {
		t.Error("a gasket that was bought is cut")
	}
	for _, tt := range []struct{ from, to, key, want string }{
		{`"thickness": 10, `, ``, "flange-A", "the flange's thickness"},
		{`"id": "b3", "x": 220.4, "y": 0`, `"id": "b3", "x": 220.4`, "flange-A-head", "where bolt 3 is"},
		{`"shape": "stadium", "width": 40, "height": 33`, `"shape": "stadium", "width": 40`, "flange", "the outline of port 2"},
		{`"od": "1 5/8 in", `, ``, "transition-t1", "OD and wall of tube 1"},
	} {
		_, err := sheet.Make(worked(t, tt.from, tt.to), tt.key, sheet.Options{})
		var no *sheet.Unmade
		if !errors.As(err, &no) || !strings.Contains(no.Why, tt.want) {
			t.Errorf("%s without %s: %v", tt.key, tt.from, err)
		}
	}
	empty := empty(t)
	if l := sheet.Of(empty); len(l.Sheets) != 1 || l.Sheets[0].Key != "sizing" || l.Sheets[0].Why != "" {
		t.Errorf("an empty job has %v", l)
	}
	if _, err := sheet.Make(empty, sheet.Flanges, sheet.Options{}); err == nil {
		t.Error("an empty job has a flange")
	}
}

// What is scribed and sawn is said to be, and plates that run into each other are not
// handed to a cutter.
func TestSawnAndSeparateFlanges(t *testing.T) {
	sawn := make1(t, worked(t, `"pieces": "one piece"`, `"pieces": "one piece, sawn"`), "flange-A-head", sheet.Options{})
	wants(t, sawn, "saw cut\n", "made of | one piece, sawn", "p2 and p3 |")
	if b, err := sawn.DXF(); err != nil || strings.Contains(string(b), "MARK\r\n 10") {
		t.Errorf("a line that is sawn is cut: %v", err)
	}
	separate := make1(t, worked(t, `"pieces": "one piece"`, `"pieces": "separate"`), "flange-A", sheet.Options{})
	wants(t, separate, "Flange A, 4 pieces", "run into each other")
	var no *sheet.Unmade
	if _, err := separate.DXF(); !errors.As(err, &no) || slices.Contains(separate.Forms, sheet.DXF) {
		t.Errorf("plates over each other are cut: %v, %v", err, separate.Forms)
	}
}

// All sheets of the flange in one file have its lists once.
func TestFlangeIsBothSides(t *testing.T) {
	m := make1(t, worked(t), sheet.Flanges, sheet.Options{})
	if len(m.Sheets) != 2 || len(m.Lists) != 2 {
		t.Errorf("%d drawings and %d lists, want 2 and 2", len(m.Sheets), len(m.Lists))
	}
}

// How far the gasket is off, and where it stands into a port.
func TestPatternShowsWhatIsOff(t *testing.T) {
	m := make1(t, worked(t), "pattern-g1", sheet.Options{})
	wants(t, m, "50 times as long", "hole 3 | b3 | 9.50 | 0.20 | -0.20", "opening 2 | p2 | 1.90")
	// The hatching covers what the plan says is covered, to the step of its lines.
	var hatch, arrows float64
	legend := 0.0
	for _, e := range m.Sheets[0].Drawing.Entities {
		l, ok := e.(draw.Line)
		if !ok {
			continue
		}
		long := math.Hypot(l.To[0]-l.From[0], l.To[1]-l.From[1])
		switch {
		case l.Layer == draw.Dimension && l.From[1] < -10:
			legend += long
		case l.Layer == draw.Dimension:
			hatch += long
		case l.Layer == draw.Mark && l.From[1] > -10:
			arrows = math.Max(arrows, long)
		}
	}
	area := float64(worked(t).Plan.Flanges[0].Patterns[0].Openings[1].Area)
	if area < 20 || math.Abs(hatch*1.2-area) > 0.1*area || math.Abs(legend*1.2-7*3.4) > 3 {
		t.Errorf("hatched %v mm², want %v; of the legend %v, want %v", hatch*1.2, area, legend*1.2, 7*3.4)
	}
	if math.Abs(arrows-50*0.2) > 0.7 {
		t.Errorf("the longest arrow is %v mm, want about 10", arrows)
	}
}

func BenchmarkFlangeSVG(b *testing.B) {
	w := worked(b)
	for b.Loop() {
		if _, err := make1(b, w, "flange-A", sheet.Options{}).SVG(); err != nil {
			b.Fatal(err)
		}
	}
}
