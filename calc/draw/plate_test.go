package draw_test

import (
	"math"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
)

// fourPorts is an invented flange of four oval ports, 370 × 90 mm, with eight bolts
// of which two are slots.
func fourPorts(t testing.TB) draw.Plate {
	t.Helper()
	p := draw.Plate{Name: "Flange A", Datum: "the centre of bolt b1"}
	outer, err := geom.Rectangle(370, 90, 18)
	if err != nil {
		t.Fatal(err)
	}
	loop := outer.Loop(0.01)
	for i := range loop {
		loop[i].X += 160
		loop[i].Y += 28
	}
	p.Pieces = []draw.Shape{{Loop: loop}}
	port, err := geom.Stadium(42, 34)
	if err != nil {
		t.Fatal(err)
	}
	behind, err := geom.Stadium(39, 31)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range []float64{25, 115, 205, 295} {
		id := []string{"p1", "p2", "p3", "p4"}[i]
		cut, back := port.Loop(0.01), behind.Loop(0.01)
		for j := range cut {
			cut[j].X, cut[j].Y = cut[j].X+x, cut[j].Y+28
		}
		for j := range back {
			back[j].X, back[j].Y = back[j].X+x, back[j].Y+28
		}
		p.Cut = append(p.Cut, draw.Shape{ID: id, At: [2]float64{x, 28}, Loop: cut})
		p.Behind = append(p.Behind, draw.Shape{At: [2]float64{x, 28}, Loop: back})
	}
	for i, at := range [][2]float64{{0, 0}, {70, 60}, {70, -2}, {160, 60}, {160, -2}, {250, 60}, {250, -2}, {320, 56}} {
		h := draw.Hole{ID: "b" + string(rune('1'+i)), At: at, Diameter: 8.5}
		if i == 6 || i == 7 {
			h.Slot, h.Turn = 1.6, 0.1
		}
		p.Holes = append(p.Holes, h)
	}
	p.Saws = [][2]draw.Pos{{{160, -17}, {160, -9}}}
	return p
}

// The cut is the plate and nothing else, whatever is written about it, and mirrored
// as seen from the head.
func TestPlateIsCutAsItIs(t *testing.T) {
	p := fourPorts(t)
	for _, v := range []draw.View{{Face: draw.FaceTubes}, {Face: draw.FaceHead, FromHead: true}} {
		d, err := p.Drawing(v)
		if err != nil {
			t.Fatal(err)
		}
		cut := d.Only(draw.Cut)
		if n := len(cut.Entities); n != 1+4+8 {
			t.Errorf("%s: %d loops and circles are cut, want the outline, 4 openings and 8 holes", v.Side(), n)
		}
		want := box(-25, -17, 345, 73)
		if v.FromHead {
			want = box(-345, -17, 25, 73)
		}
		for i := range 2 {
			near(t, v.Side()+", low", cut.Bounds().Min[i], want.Min[i], 1e-9)
			near(t, v.Side()+", high", cut.Bounds().Max[i], want.Max[i], 1e-9)
		}
	}
}

// Every hole bears its label, no two texts stand on each other, and the mirrored view
// says that it is one.
func TestPlateIsLegible(t *testing.T) {
	p := fourPorts(t)
	for _, v := range []draw.View{{Face: draw.FaceTubes}, {Face: draw.FaceHead, FromHead: true}} {
		d, err := p.Drawing(v)
		if err != nil {
			t.Fatal(err)
		}
		var texts []draw.Text
		for _, e := range d.Entities {
			if text, ok := e.(draw.Text); ok {
				texts = append(texts, text)
			}
		}
		all := ""
		for i, a := range texts {
			all += a.Text + "\n"
			for _, b := range texts[:i] {
				x, y := a.Bounds(), b.Bounds()
				if x.Min[0] < y.Max[0] && y.Min[0] < x.Max[0] && x.Min[1] < y.Max[1] && y.Min[1] < x.Max[1] {
					t.Errorf("%s: %q stands on %q", v.Side(), a.Text, b.Text)
				}
			}
		}
		for _, want := range []string{"b1 Ø8.5\n", "b5 Ø8.5\n", "b7 8.5 × 10.1\n", "p1\n", "370\n", "90\n", v.Face + "\n", v.Side() + "\n"} {
			if !strings.Contains(all, want) {
				t.Errorf("%s: %q is missing", v.Side(), want)
			}
		}
		if strings.Contains(all, "mirrored") != v.FromHead {
			t.Errorf("from the head %v, and the sheet says: %s", v.FromHead, all)
		}
	}
}

func TestSlotOutline(t *testing.T) {
	h := draw.Hole{At: [2]float64{10, 20}, Diameter: 8, Slot: 6, Turn: math.Pi / 2}
	b := h.Outline().Bounds()
	near(t, "width, the diameter", b.Width(), 8, 1e-9)
	near(t, "height, over both ends", b.Height(), 14, 1e-9)
	near(t, "length, 2·6 + 8π", lengthOf(h.Outline()), 12+8*math.Pi, 1e-9)
}

func TestTableColumnsFitTheirTexts(t *testing.T) {
	table := fourPorts(t).Table(draw.View{}, "mm")
	list, width, height, err := table.Entities([2]float64{10, 50})
	if err != nil {
		t.Fatal(err)
	}
	b := draw.Drawing{Entities: list}.Bounds()
	near(t, "left", b.Min[0], 10, 1e-9)
	near(t, "width", b.Width(), width, 1e-9)
	near(t, "height", b.Height(), height, 1e-9)
	var row []draw.Box
	for _, e := range list {
		text, ok := e.(draw.Text)
		if !ok || text.Text == "" {
			continue
		}
		for _, c := range row {
			if x := text.Bounds(); x.Min[1] < c.Max[1] && c.Min[1] < x.Max[1] && x.Min[0] < c.Max[0]+1 && c.Min[0] < x.Max[0]+1 {
				t.Errorf("%q is nearer than 1 mm to its neighbour", text.Text)
			}
		}
		row = append(row, text.Bounds())
	}
	parts := table.Pages(60)
	rows := 0
	for _, p := range parts {
		_, _, high, err := p.Entities([2]float64{})
		if err != nil || high > 60 {
			t.Errorf("a part is %.1f mm high, want 60 at most: %v", high, err)
		}
		rows += len(p.Rows)
	}
	if rows != len(table.Rows) || len(parts) < 2 {
		t.Errorf("%d rows in %d parts of %d rows", rows, len(parts), len(table.Rows))
	}
	table.Rows[2] = table.Rows[2][:3]
	if _, _, _, err := table.Entities([2]float64{}); err == nil {
		t.Error("a row with too few texts was drawn")
	}
}

func TestPlateOfNothingIsRefused(t *testing.T) {
	if _, err := (draw.Plate{Name: "none"}).Drawing(draw.View{}); err == nil {
		t.Error("a plate without anything was drawn")
	}
	p := fourPorts(t)
	p.Holes[0].Diameter = math.NaN()
	if _, err := p.Drawing(draw.View{}); err == nil {
		t.Error("a hole that is not a number was drawn")
	}
}

func TestPlateGolden(t *testing.T) {
	p := fourPorts(t)
	v := draw.View{Face: draw.FaceHead, FromHead: true}
	d, err := p.Drawing(v)
	if err != nil {
		t.Fatal(err)
	}
	list, _, _, err := p.Table(v, "mm").Entities([2]float64{-345, -50})
	if err != nil {
		t.Fatal(err)
	}
	d.Add(list...)
	text, err := draw.SVG(d)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "flange.svg", text)
}

// The face is marked on the metal too, where it stays when the rest of the paper is cut
// away: within the outline, on no line and in no opening.
func TestFaceIsMarkedOnTheMetal(t *testing.T) {
	d, err := fourPorts(t).Drawing(draw.View{Face: draw.FaceTubes})
	if err != nil {
		t.Fatal(err)
	}
	marks := 0
	for _, e := range d.Entities {
		text, ok := e.(draw.Text)
		if !ok || text.Text != draw.FaceTubes || text.Height >= 5 {
			continue
		}
		marks++
		b := text.Bounds()
		if !(b.Min[0] > -25 && b.Max[0] < 345 && b.Min[1] > -17 && b.Max[1] < 73) {
			t.Errorf("the mark stands at %v, outside the plate", b)
		}
		for _, o := range d.Only(draw.Cut).Entities[1:] {
			c := o.Bounds()
			if b.Min[0] < c.Max[0] && c.Min[0] < b.Max[0] && b.Min[1] < c.Max[1] && c.Min[1] < b.Max[1] && b.Min[0] < c.Min[0] && b.Max[0] > c.Max[0] {
				t.Errorf("the mark at %v stands over the opening %v", b, c)
			}
		}
	}
	if marks != 1 {
		t.Errorf("%d marks on the metal, want 1", marks)
	}
}

func BenchmarkPlateDrawing(b *testing.B) {
	p := fourPorts(b)
	for b.Loop() {
		if _, err := p.Drawing(draw.View{Face: draw.FaceTubes}); err != nil {
			b.Fatal(err)
		}
	}
}
