package pdf_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// The flange of a job on paper, read back by another program: every edge that is cut
// stands where the plan has it, across and up, and so do 359 mm of its length.
func TestPR1FlangeOfAJobIsTrueToSize(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/job/flange.job.json")
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.WorkFile(data)
	if err != nil {
		t.Fatal(err)
	}
	m, err := sheet.Make(w, "flange-A", sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := pdf.WithLists(m.Sheets, m.Lists, pdf.A3)
	if err != nil || len(s) != 2 {
		t.Fatalf("%d sheets, %v", len(s), err)
	}
	tiling, err := pdf.Tile(s[0], pdf.A3)
	if err != nil || tiling.Pages() != 1 {
		t.Fatalf("%d pages, %v", tiling.Pages(), err)
	}
	dx, dy := tiling.Window.Min[0]-tiling.Shown(0).Min[0], tiling.Window.Min[1]-tiling.Shown(0).Min[1]
	var loops []geom.Outline
	d := w.Plan.Flanges[0].Design
	add := func(v []geom.Vertex) {
		o, err := geom.FromLoop(v)
		if err != nil {
			t.Fatal(err)
		}
		loops = append(loops, o)
	}
	for _, p := range d.Pieces {
		var v []geom.Vertex
		for _, c := range p.Loop {
			v = append(v, geom.Vertex(c))
		}
		add(v)
	}
	for _, p := range d.Openings {
		var v []geom.Vertex
		for _, c := range p.Loop {
			v = append(v, geom.Vertex(c))
		}
		add(v)
	}
	on := printOut(t, pdf.A3, s...).page(t, 1)
	for _, cut := range []struct {
		alongY bool
		at     float64
	}{{false, 20}, {false, 36.5}, {true, 131}, {true, 282}} {
		along, off := 0, dy
		move := dx
		if cut.alongY {
			along, off, move = 1, dx, dy
		}
		var want []float64
		for _, o := range loops {
			want = append(want, crossings(o, 1-along, cut.at)...)
		}
		slices.Sort(want)
		got := on.lines(cut.alongY, cut.at+off, want[0]+move-1, want[len(want)-1]+move+1)
		for _, x := range want {
			i := slices.IndexFunc(got, func(v float64) bool { return math.Abs(v-move-x) <= 0.05 })
			if i < 0 {
				t.Errorf("along y %v, at %v: an edge at %.3f is not on paper; lines are at %.3f", cut.alongY, cut.at, x, got)
			}
		}
		t.Logf("%d edges, %.3f mm from the first to the last", len(want), got[len(got)-1]-got[0])
	}
}

// crossings are where an outline crosses a line on which the coordinate of that axis is
// the same everywhere.
func crossings(o geom.Outline, axis int, at float64) (places []float64) {
	pts := o.Polyline(1e-3)
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		if (p[axis] < at) != (q[axis] < at) {
			places = append(places, p[1-axis]+(at-p[axis])/(q[axis]-p[axis])*(q[1-axis]-p[1-axis]))
		}
	}
	return places
}

// Lists that are longer than a page go on, each row once, and short ones share a page.
func TestListsFillPages(t *testing.T) {
	long := draw.Table{Name: "Long", Heads: []string{"n"}}
	for i := range 100 {
		long.Rows = append(long.Rows, []string{string(rune('A' + i%26))})
	}
	small := draw.Table{Name: "Small", Heads: []string{"n"}, Rows: [][]string{{"1"}}}
	first := draw.Sheet{Title: draw.Title{Job: "Invented", Side: draw.SeenFromHead}, Drawing: draw.Drawing{Name: "part", Entities: []draw.Entity{draw.Circle{Centre: [2]float64{}, Radius: 10}}}}
	got, err := pdf.WithLists([]draw.Sheet{first}, []draw.Table{small, small, long, small}, pdf.A4)
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for i, s := range got[1:] {
		for _, e := range s.Drawing.Entities {
			if text, ok := e.(draw.Text); ok && len(text.Text) == 1 && text.Text >= "A" && text.Text <= "Z" {
				rows++
			}
		}
		tiling, err := pdf.Tile(s, pdf.A4)
		if err != nil || tiling.Pages() != 1 || tiling.Scale != 1 || !s.NotToScale || s.Title.Side != "" {
			t.Errorf("page %d: %+v, %v", i+1, tiling, err)
		}
	}
	if rows != 100 || len(got) != 1+4 {
		t.Errorf("%d rows on %d pages, want 100 on 4", rows, len(got)-1)
	}
}
