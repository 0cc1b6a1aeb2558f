package dxf_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
	"tubewright/calc/geom"
)

var millimetres = dxf.Info{Unit: "mm", Chord: 0.01}

// flange is a plate with a port and bolt holes, and much that is only for paper.
func flange() draw.Drawing {
	d := draw.Drawing{Name: "flange A", Origin: "middle of bolt b1, seen from the tubes"}
	b := math.Sqrt2 - 1
	d.Add(draw.Loop{Layer: draw.Cut, Vertices: []geom.Vertex{
		{X: 0, Y: 10, Bulge: b}, {X: 10, Y: 0}, {X: 308, Y: 0, Bulge: b}, {X: 318, Y: 10}, {X: 318, Y: 82, Bulge: b}, {X: 308, Y: 92}, {X: 10, Y: 92, Bulge: b}, {X: 0, Y: 82}}})
	for i := range 4 {
		x := 15 + 96*float64(i)
		d.Add(draw.Circle{Layer: draw.Cut, Centre: [2]float64{x, 15}, Radius: 4.5})
		d.Add(draw.Line{Layer: draw.Centre, From: [2]float64{x - 7, 15}, To: [2]float64{x + 7, 15}})
	}
	d.Add(
		draw.Loop{Layer: draw.Cut, Vertices: []geom.Vertex{{X: 100, Y: 40}, {X: 140, Y: 40, Bulge: 1}, {X: 140, Y: 60}, {X: 100, Y: 60, Bulge: 1}}},
		draw.Line{Layer: draw.Cut, From: [2]float64{200, 0}, To: [2]float64{200, 92}}, // a saw cut
		draw.Arc{Layer: draw.Mark, Centre: [2]float64{250, 50}, Radius: 8, Start: 1, Sweep: -2.5},
		draw.Text{Layer: draw.Note, At: [2]float64{20, 70}, Height: 5, Text: "head side Ø 9"},
		draw.Line{Layer: draw.Dimension, From: [2]float64{0, -10}, To: [2]float64{318, -10}},
	)
	return d
}

func write(t testing.TB, d draw.Drawing) []byte {
	t.Helper()
	out, err := dxf.Write(d, millimetres)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWrittenFlangeIsReadBack(t *testing.T) {
	res := read(t, write(t, flange()), dxf.Options{})
	if res.Ask != nil || res.Unit != "mm" || res.Outer == nil || len(res.Holes) != 4 || len(res.Openings) != 1 || len(res.Open) != 2 || len(res.Beside) != 0 || res.Doubles+res.Short != 0 || res.Gap != 0 {
		t.Fatalf("got %+v", res)
	}
	within(t, "width", res.High[0]-res.Low[0], 318, 1e-6)
	within(t, "height", res.High[1]-res.Low[1], 92, 1e-6)
	within(t, "area", res.Outer.Outline.Area(), 318*92-(4-math.Pi)*100, 1e-3)
	within(t, "opening", res.Openings[0].Outline.Area(), 40*20+math.Pi*100, 1e-3)
	within(t, "hole", res.Holes[3].X, 303, 1e-9)
	within(t, "hole", res.Holes[3].Diameter, 9, 1e-9)
}

// A plate as it is put on paper, with slots and saw lines: the frame that names its
// face stands beside it and is not for the cutter.
func TestPlateGoesToTheCutter(t *testing.T) {
	outer, err := geom.Rectangle(370, 90, 18)
	if err != nil {
		t.Fatal(err)
	}
	port, err := geom.Oval(42, 34)
	if err != nil {
		t.Fatal(err)
	}
	p := draw.Plate{Name: "Flange A", Datum: "the centre of bolt b1",
		Pieces: []draw.Shape{{Loop: outer.Loop(0.01)}},
		Cut:    []draw.Shape{{ID: "p1", At: draw.Pos{-90, 0}, Loop: port.Moved(-90, 0).Loop(0.01)}, {ID: "p2", At: draw.Pos{90, 3}, Loop: port.Moved(90, 3).Loop(0.01)}},
		Holes:  []draw.Hole{{ID: "b1", At: draw.Pos{-150, 20}, Diameter: 9}, {ID: "b2", At: draw.Pos{150, -20}, Diameter: 9, Slot: 1.6, Turn: 0.1}},
		Saws:   [][2]draw.Pos{{{0, -45}, {0, 45}}},
	}
	for _, v := range []draw.View{{Face: draw.FaceTubes}, {Face: draw.FaceHead, FromHead: true}} {
		d, err := p.Drawing(v)
		if err != nil {
			t.Fatal(err)
		}
		res := read(t, write(t, d), dxf.Options{})
		if res.Outer == nil || len(res.Holes) != 1 || len(res.Openings) != 3 || len(res.Open) != 1 || len(res.Beside) != 0 || res.Doubles+res.Short != 0 {
			t.Fatalf("%s: got %+v", v.Face, res)
		}
		x := -150.0
		if v.FromHead {
			x = 150
		}
		within(t, v.Face+": hole", res.Holes[0].X, x, 1e-6)
		within(t, v.Face+": area", res.Outer.Outline.Area(), outer.Area(), 1e-3)
		within(t, v.Face+": opening", res.Openings[0].Outline.Area(), port.Area(), 0.01*port.Perimeter())
		within(t, v.Face+": slot", res.Openings[2].Outline.Area(), 1.6*9+math.Pi*81/4, 1e-5)
	}
}

// A cutter's reader may know no other entity.
func TestOnlyFourEntitiesAreWritten(t *testing.T) {
	out := write(t, flange())
	counts := map[string]int{}
	lines := strings.Split(string(out), "\r\n")
	if lines[len(lines)-1] != "" || len(lines)%2 != 1 {
		t.Fatalf("%d lines", len(lines))
	}
	inEntities := false
	for i := 0; i+1 < len(lines); i += 2 {
		if code := strings.TrimSpace(lines[i]); code == "2" && lines[i+1] == "ENTITIES" {
			inEntities = true
		} else if code == "0" && inEntities {
			counts[lines[i+1]]++
		}
	}
	want := map[string]int{"POLYLINE": 3, "VERTEX": 8 + 4 + 4, "SEQEND": 3, "CIRCLE": 4, "LINE": 1, "ARC": 1, "ENDSEC": 1, "EOF": 1}
	for name, n := range counts {
		if want[name] != n {
			t.Errorf("%d %s, want %d", n, name, want[name])
		}
	}
	for _, text := range []string{"AC1009", "$INSUNITS\r\n 70\r\n     4", "$MEASUREMENT\r\n 70\r\n     1", dxf.ReferenceLayer,
		"chord error: curves are drawn as arcs that leave them by at most 0.01 mm", "size of the part: 318.000 x 92.000 mm",
		"$EXTMIN\r\n 10\r\n0.0\r\n 20\r\n-120.0", "$EXTMAX\r\n 10\r\n318.0\r\n 20\r\n92.0"} {
		if !bytes.Contains(out, []byte(text)) {
			t.Errorf("%q is not in the file", text)
		}
	}
}

// The reference square shows a file that was scaled on its way.
func TestReferenceSquareIsMeasured(t *testing.T) {
	out := bytes.Replace(write(t, flange()), []byte("$INSUNITS\r\n 70\r\n     4"), []byte("$INSUNITS\r\n 70\r\n     1"), 1)
	res := read(t, out, dxf.Options{})
	if res.Ask == nil || !strings.Contains(res.Ask.Why, "contradicts") || !said(res, "has sides of 100 by 100 in its figures") {
		t.Errorf("got %+v", res)
	} else {
		within(t, "asked width, without the square", res.Ask.Figure[0], 318, 1e-6)
		within(t, "asked height", res.Ask.Figure[1], 92, 1e-6)
	}
	if res = read(t, out, dxf.Options{Unit: "in"}); !said(res, "the square of 100 mm in the drawing measures 2540.000 by 2540.000 mm") {
		t.Errorf("said %q", res.Left)
	}
}

func TestDoublesAndNothingsAreNotWritten(t *testing.T) {
	d := flange()
	n := len(write(t, d))
	loop := d.Entities[0].(draw.Loop)
	turned := slices.Concat(loop.Vertices[3:], loop.Vertices[:3])
	d.Add(
		draw.Loop{Layer: draw.Mark, Vertices: turned},
		draw.Circle{Layer: draw.Cut, Centre: [2]float64{15, 15}, Radius: 4.5},
		draw.Line{Layer: draw.Cut, From: [2]float64{200, 92}, To: [2]float64{200, 0}},
		draw.Line{Layer: draw.Cut, From: [2]float64{210, 92}, To: [2]float64{210, 92.0005}},
		draw.Arc{Layer: draw.Cut, Centre: [2]float64{210, 92}, Radius: 1, Sweep: 0.0005},
		draw.Loop{Layer: draw.Cut, Vertices: []geom.Vertex{{X: 1, Y: 1}, {X: 1, Y: 1.0001}}},
	)
	if got := len(write(t, d)); got != n {
		t.Errorf("%d bytes, want %d", got, n)
	}
}

func TestWhatIsNotWritten(t *testing.T) {
	tests := []struct {
		name string
		d    draw.Drawing
		info dxf.Info
		want string
	}{
		{"no unit", flange(), dxf.Info{}, `unit is "": want mm`},
		{"inches", flange(), dxf.Info{Unit: "in"}, `unit is "in"`},
		{"coarse", flange(), dxf.Info{Unit: "mm", Chord: 0.021}, "chord error 0.021 mm: want 0 to 0.02"},
		{"chord unknown", flange(), dxf.Info{Unit: "mm", Chord: math.NaN()}, "chord error NaN"},
		{"empty", draw.Drawing{}, millimetres, "nothing to cut"},
		{"NaN", draw.Drawing{Entities: []draw.Entity{draw.Circle{Radius: math.NaN()}}}, millimetres, "radius NaN"},
		{"infinite", draw.Drawing{Entities: []draw.Entity{draw.Line{To: [2]float64{math.Inf(1), 0}}}}, millimetres, "place +Inf"},
		{"infinite, on a layer that is not written", draw.Drawing{Entities: []draw.Entity{draw.Circle{Radius: 1}, draw.Line{Layer: draw.Note, To: [2]float64{math.Inf(1), 0}}}}, millimetres, "place +Inf"},
	}
	for _, tt := range tests {
		if out, err := dxf.Write(tt.d, tt.info); err == nil || !strings.Contains(err.Error(), tt.want) || out != nil {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
}

func TestFileNameHasTheSize(t *testing.T) {
	tests := []struct{ name, revision, want string }{
		{"flange A", "B", "flange-A-rev-B-318x92mm.dxf"},
		{"Krümmer/../links: 4", "", "Kr-mmer-links-4-318x92mm.dxf"},
		{"…", "", "drawing-318x92mm.dxf"},
	}
	for _, tt := range tests {
		if got := dxf.FileName(tt.name, tt.revision, flange()); got != tt.want {
			t.Errorf("%q %q: got %s, want %s", tt.name, tt.revision, got, tt.want)
		}
	}
}

// randomOutline is a star of lines and arcs, or a measured port as the job has it.
func randomOutline(rnd *rand.Rand, x, y, size float64) (geom.Outline, error) {
	n := 8 + rnd.IntN(20)
	if rnd.IntN(2) == 0 {
		pts := make([][2]float64, n)
		for i := range pts {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := size * (0.7 + 0.1*rnd.Float64())
			pts[i] = [2]float64{x + r*cos, y + r*sin}
		}
		return geom.Points(pts)
	}
	loop := make([]geom.Vertex, n)
	for i := range loop {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.3*rnd.Float64()) / float64(n))
		r := size * (0.4 + 0.4*rnd.Float64())
		loop[i] = geom.Vertex{X: x + r*cos, Y: y + r*sin}
		if rnd.IntN(3) > 0 {
			loop[i].Bulge = 0.3 * (rnd.Float64() - 0.5)
		}
	}
	return geom.FromLoop(loop)
}

// What is written comes back within 0.001 mm: every place of it, and nothing more;
// and the curve that it stands for is left by no more than the file says.
func TestRandomOutlinesComeBack(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst, left, cases := 0.0, 0.0, 0
	for i := range 300 {
		x, y, size := 2000*(rnd.Float64()-0.5), 2000*(rnd.Float64()-0.5), 10+200*rnd.Float64()
		outer, err := geom.Round(2.5 * size)
		if err != nil {
			t.Fatal(err)
		}
		outer = outer.Moved(x, y)
		inner, err := randomOutline(rnd, x, y, size)
		if err != nil {
			continue // it crosses itself
		}
		cases++
		curve, loop := inner, inner.Loop(millimetres.Chord)
		inner, err = geom.FromLoop(loop)
		if err != nil {
			t.Fatal(err)
		}
		d := draw.Drawing{Entities: []draw.Entity{draw.Loop{Vertices: outer.Loop(0.01)}, draw.Loop{Vertices: loop}}}
		res := read(t, write(t, d), dxf.Options{})
		if res.Outer == nil || len(res.Openings) != 1 || len(res.Open)+len(res.Beside)+len(res.Left) != 0 {
			t.Fatalf("seed %d case %d: got %+v", seed, i, res)
		}
		back := res.Openings[0].Outline
		for _, pair := range [2][2]geom.Outline{{inner, back}, {back, inner}} {
			for _, p := range pair[0].Polyline(0.01) {
				off, _ := pair[1].Nearest(p)
				worst = max(worst, off)
			}
		}
		if worst > 1e-3 {
			t.Fatalf("seed %d case %d: off by %v mm", seed, i, worst)
		}
		for _, p := range curve.Polyline(0.01) {
			off, _ := back.Nearest(p)
			left = max(left, off)
		}
		if left > millimetres.Chord+1e-3 {
			t.Fatalf("seed %d case %d: the curve is left by %v mm", seed, i, left)
		}
	}
	if cases < 150 {
		t.Errorf("only %d cases", cases)
	}
	t.Logf("%d outlines, worst %.2g mm, from the curve that they stand for %.4f mm", cases, worst, left)
}
