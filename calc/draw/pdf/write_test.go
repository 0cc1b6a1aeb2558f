package pdf_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/geom"
)

// plate is a sheet with one closed outline, 120 × 80 mm with two half circles for
// ends, and a hole.
func plate() draw.Sheet {
	d := draw.Drawing{Name: "plate"}
	d.Add(draw.Loop{Layer: draw.Cut, Vertices: []geom.Vertex{{X: -20, Y: -40}, {X: 20, Y: -40, Bulge: 1}, {X: 20, Y: 40}, {X: -20, Y: 40, Bulge: 1}}},
		draw.Circle{Layer: draw.Cut, Centre: [2]float64{20, 0}, Radius: 10})
	return draw.Sheet{Drawing: d, Cautions: []string{"Break the edges: a laser leaves them sharp."},
		Title: draw.Title{Job: "Four in line", Part: "Plate Ø20", Side: draw.SeenFromTubes, Sheet: "plate", Revision: "A", Unit: "mm", Date: "2027-01-02", Inputs: "1f00ab39"}}
}

// disc is a circle of radius r about a place, alone on a sheet.
func disc(r float64) draw.Sheet {
	s := plate()
	s.Drawing = draw.Drawing{Name: "disc"}
	s.Drawing.Add(draw.Circle{Layer: draw.Cut, Centre: [2]float64{500, -30}, Radius: r})
	return s
}

// PR1: what is on the paper is as long as it says. A page is drawn by poppler at 600
// dots an inch and measured.
func TestPR1RulersAndOutlinesAreTrueToSize(t *testing.T) {
	for _, p := range []pdf.Paper{pdf.A4, pdf.Letter} {
		s := plate()
		tiling, err := pdf.Tile(s, p)
		if err != nil {
			t.Fatal(err)
		}
		if tiling.Pages() != 1 || tiling.Scale != 1 {
			t.Fatalf("%s: %d pages at scale %v, want one at 1", p.Name, tiling.Pages(), tiling.Scale)
		}
		page := printOut(t, p, s).page(t, 1)
		w := tiling.Window
		// Half a millimetre outside its base line each ruler is nothing but ticks.
		for _, up := range []bool{false, true} {
			at, low := w.Min[1]-2.5, w.Min[0]
			if up {
				at, low = w.Min[0]-2.5, w.Min[1]
			}
			ticks := page.lines(up, at, low-0.5, low+101)
			if len(ticks) != 11 {
				t.Fatalf("%s: %d long ticks on a ruler, want 11", p.Name, len(ticks))
			}
			near(t, p.Name+" ruler, 100 mm", ticks[10]-ticks[0], 100, 0.05)
			near(t, p.Name+" ruler, 50 mm", ticks[5]-ticks[0], 50, 0.05)
			t.Logf("%s ruler (upright %v): %.4f mm", p.Name, up, ticks[10]-ticks[0])
		}
		// The outline from the middle of its line on one side to that on the other, through
		// the middle of the plate, and the hole.
		shown := tiling.Shown(0)
		x0, y0 := w.Min[0]-shown.Min[0], w.Min[1]-shown.Min[1]
		across := page.lines(false, y0, w.Min[0]+1, w.Max[0])
		if len(across) != 4 {
			t.Fatalf("%s: %d lines across the plate, want 4", p.Name, len(across))
		}
		for i, want := range []float64{-60, 10, 30, 60} {
			near(t, p.Name+" across", across[i]-x0, want, 0.05)
		}
		up := page.lines(true, x0, w.Min[1]+1, w.Max[1])
		near(t, p.Name+" up", up[1]-up[0], 80, 0.05)
		t.Logf("%s plate: %.4f × %.4f mm, hole %.4f mm", p.Name, across[3]-across[0], up[1]-up[0], across[2]-across[1])
		// All ink of the drawing lies within its bounds and half a line.
		ink := page.box(draw.Box{Min: [2]float64{w.Min[0] + 0.5, w.Min[1] + 0.5}, Max: w.Max})
		half := draw.Cut.Weight() / 2
		near(t, p.Name+" left", ink.Min[0], x0-60-half, 0.05)
		near(t, p.Name+" right", ink.Max[0], x0+60+half, 0.05)
		near(t, p.Name+" foot", ink.Min[1], y0-40-half, 0.05)
		near(t, p.Name+" top", ink.Max[1], y0+40+half, 0.05)
	}
}

// A page is as large as its paper, within the 0.005 pt that the file rounds it to.
func TestPageBoxes(t *testing.T) {
	tests := []struct {
		paper pdf.Paper
		want  [2]float64 // points
		from  string
	}{
		{pdf.A4, [2]float64{595.276, 841.890}, "ISO 216: 210 × 297 mm"},
		{pdf.A3, [2]float64{841.890, 1190.551}, "ISO 216: 297 × 420 mm"},
		{pdf.Letter, [2]float64{612, 792}, "8½ × 11 in"},
		{pdf.Tabloid, [2]float64{792, 1224}, "11 × 17 in"},
	}
	for _, tt := range tests {
		wide := plate()
		wide.Drawing.Add(draw.Line{Layer: draw.Mark, From: [2]float64{-90, 0}, To: [2]float64{tt.paper.Width - 90, 0}})
		got := printOut(t, tt.paper, plate(), wide).paper(t, 9)
		if len(got) != 2 {
			t.Fatalf("%s: %d pages, want 2: one upright, one across", tt.paper.Name, len(got))
		}
		for i := range 2 {
			near(t, tt.paper.Name+" upright, "+tt.from, got[0][i], tt.want[i], 0.006)
			near(t, tt.paper.Name+" across, "+tt.from, got[1][i], tt.want[1-i], 0.006)
		}
	}
}

// A circle over four pages, laid together by the crosses, is the circle.
func TestTilesMakeTheWhole(t *testing.T) {
	const r = 150
	s := disc(r)
	tiling, err := pdf.Tile(s, pdf.A4)
	if err != nil {
		t.Fatal(err)
	}
	if tiling.Columns != 2 || tiling.Rows != 2 {
		t.Fatalf("%d × %d pages, want 2 × 2", tiling.Columns, tiling.Rows)
	}
	out := printOut(t, pdf.A4, s)
	w := tiling.Window
	var pages [4]page
	for i := range pages {
		pages[i] = out.page(t, i+1)
	}
	// Where each page lies is found from the marks alone: neighbours share the middle of
	// their overlap. A cross is found by its ring of radius 2 mm: along the line through
	// it the ink is 8 mm long.
	var origin [4][2]float64 // of each page, in the frame of the first
	cross := func(p page, near [2]float64) [2]float64 {
		return [2]float64{p.armMiddle(false, near), p.armMiddle(true, near)}
	}
	lay := func(known, next int, a, b [2]float64) {
		p, q := cross(pages[known], a), cross(pages[next], b)
		for i := range 2 {
			origin[next][i] = origin[known][i] + p[i] - q[i]
		}
	}
	// One mark of each pair is enough; the other is for the person.
	byPages := map[[2]int][2]float64{}
	for _, j := range tiling.Joins {
		var on []int
		for i := range pages {
			if s := tiling.Shown(i).Grown(-4); j.At[0] > s.Min[0] && j.At[0] < s.Max[0] && j.At[1] > s.Min[1] && j.At[1] < s.Max[1] {
				on = append(on, i)
			}
		}
		if len(on) != 2 {
			t.Fatalf("mark %s stands whole on pages %v, want two", j.Name, on)
		}
		byPages[[2]int{on[0], on[1]}] = j.At
	}
	onPage := func(i int, at [2]float64) [2]float64 {
		s := tiling.Shown(i)
		return [2]float64{at[0] - s.Min[0] + w.Min[0], at[1] - s.Min[1] + w.Min[1]}
	}
	for _, pair := range [3][2]int{{0, 1}, {0, 2}, {2, 3}} {
		at, marked := byPages[pair]
		if !marked {
			t.Fatalf("pages %v share no mark", pair)
		}
		lay(pair[0], pair[1], onPage(pair[0], at), onPage(pair[1], at))
	}
	// The circle's points, every 5° that a page shows well inside, in the frame of the
	// first page.
	var pts [][2]float64
	mid := tiling.Shown(0)
	for i := range pages {
		shown := tiling.Shown(i)
		for deg := 0; deg < 360; deg += 5 {
			sin, cos := math.Sincos(float64(deg) * math.Pi / 180)
			at := [2]float64{500 + r*cos - shown.Min[0] + w.Min[0], -30 + r*sin - shown.Min[1] + w.Min[1]}
			if at[0] < w.Min[0]+3 || at[0] > w.Max[0]-3 || at[1] < w.Min[1]+3 || at[1] > w.Max[1]-3 {
				continue
			}
			alongY := math.Abs(sin) > math.Abs(cos)
			axis, other := 0, 1
			if alongY {
				axis, other = 1, 0
			}
			row := (math.Floor(at[other]/pixel) + 0.5) * pixel // the middle of the row that is read
			hit := pages[i].lines(alongY, row, at[axis]-1.2, at[axis]+1.2)
			if len(hit) != 1 {
				continue // a mark stands there
			}
			p := [2]float64{}
			p[axis], p[other] = hit[0]+origin[i][axis], row+origin[i][other]
			pts = append(pts, p)
		}
	}
	if len(pts) < 60 {
		t.Fatalf("%d points of the circle found, want most of 72", len(pts))
	}
	worst := 0.0
	centre := [2]float64{500 - mid.Min[0] + w.Min[0], -30 - mid.Min[1] + w.Min[1]}
	for _, p := range pts {
		worst = max(worst, math.Abs(math.Hypot(p[0]-centre[0], p[1]-centre[1])-r))
	}
	t.Logf("%d points, at most %.4f mm off the circle", len(pts), worst)
	if worst > 0.06 {
		t.Errorf("the pages laid together are %.3f mm off the circle, want 0.06 at most", worst)
	}
}

// armMiddle returns the middle of the 8 mm arm of a cross that stands near a place.
func (p page) armMiddle(alongY bool, at [2]float64) float64 {
	axis, other := 0, 1
	if alongY {
		axis, other = 1, 0
	}
	first, last := math.Inf(1), math.Inf(-1)
	// 5 mm off, the ruler runs.
	for i := int((at[axis] - 4.5) / pixel); i <= int((at[axis]+4.5)/pixel); i++ {
		most := 0.0
		for j := -2; j <= 2; j++ {
			x, y := i, int(at[other]/pixel)+j
			if alongY {
				x, y = y, x
			}
			most = max(most, p.ink(x, y))
		}
		if most > 0.5 {
			first, last = min(first, float64(i)), max(last, float64(i+1))
		}
	}
	return (first + last) / 2 * pixel
}

func TestTextCanBeReadBack(t *testing.T) {
	text := run(t, "pdftotext", "-layout", printOut(t, pdf.A4, plate()).file, "-")
	for _, want := range []string{"Four in line", "Plate Ø20", "Seen from the tubes", "1:1", "1f00ab39", "2027-01-02",
		"Measure me before cutting:", "both rulers are 100 mm", "Break the edges", "Page 1 of 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page:\n%s", want, text)
		}
	}
	s := disc(150)
	s.Title.Job = "Ω🔧 ä"
	text = run(t, "pdftotext", "-layout", printOut(t, pdf.A4, s).file, "-")
	if n := strings.Count(text, "Break the edges"); n != 1 {
		t.Errorf("the caution stands %d times on four pages, want once", n)
	}
	if n := strings.Count(text, "Measure me before cutting:"); n != 4 {
		t.Errorf("the rulers' line stands %d times on four pages", n)
	}
	if !strings.Contains(text, "?? ä") {
		t.Errorf("signs that there are not:\n%s", text)
	}
	for _, want := range []string{"Tile 3 of 4", "neighbours share 10 mm", "A  ", "H"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the pages:\n%s", want, text)
		}
	}
}

func TestAListIsMadeToFitAndSaysSo(t *testing.T) {
	s := disc(300)
	s.NotToScale = true
	text := run(t, "pdftotext", "-layout", printOut(t, pdf.Letter, s).file, "-")
	if strings.Contains(text, "rulers") || !strings.Contains(text, "Not to scale") || !strings.Contains(text, "Page 1 of 1") {
		t.Errorf("a list:\n%s", text)
	}
}

// A table cut by the room there is stays at its size.
func TestTablesFitTheirPages(t *testing.T) {
	table := draw.Table{Name: "Holes", Heads: []string{"name", "x, mm"}, Left: 1}
	for i := range 120 {
		table.Rows = append(table.Rows, []string{fmt.Sprint("b", i), "12.5"})
	}
	for _, p := range pdf.Papers {
		_, high := pdf.ListRoom(plate(), p)
		parts := table.Pages(high)
		if len(parts) < 2 {
			t.Errorf("%s: 120 rows on %d pages", p.Name, len(parts))
		}
		for i, part := range parts {
			s, err := part.Sheet(plate().Title, plate().Cautions...)
			if err != nil {
				t.Fatal(err)
			}
			tl, err := pdf.Tile(s, p)
			if err != nil || tl.Scale != 1 || tl.Landscape {
				t.Errorf("%s, part %d: scale %v, across %v, %v", p.Name, i+1, tl.Scale, tl.Landscape, err)
			}
		}
	}
}

// Text stands where the model says, at its anchor and as wide, as poppler finds it.
func TestTextStandsWhereItShould(t *testing.T) {
	s := plate()
	texts := map[string]draw.Text{}
	for i, a := range []draw.Anchor{draw.BaseLeft, draw.MidMiddle, draw.TopRight, draw.BaseRight} {
		text := draw.Text{Layer: draw.Note, At: [2]float64{10, float64(-20 + 10*i)}, Height: 3, Anchor: a, Bold: i%2 == 1, Text: fmt.Sprintf("Wij%dØ", i)}
		texts[text.Text] = text
		s.Drawing.Add(text)
	}
	turned := draw.Text{Layer: draw.Note, At: [2]float64{-30, 0}, Height: 4, Anchor: draw.MidMiddle, Turn: math.Pi / 2, Text: "upwards"}
	texts[turned.Text] = turned
	s.Drawing.Add(turned)
	tl, err := pdf.Tile(s, pdf.A4)
	if err != nil {
		t.Fatal(err)
	}
	x0, y0 := tl.Window.Min[0]-tl.Shown(0).Min[0], tl.Window.Min[1]-tl.Shown(0).Min[1]
	for line := range strings.Lines(run(t, "pdftotext", "-bbox", printOut(t, pdf.A4, s).file, "-")) {
		var b [4]float64
		var word string
		if _, err := fmt.Sscanf(strings.TrimSpace(line), `<word xMin="%f" yMin="%f" xMax="%f" yMax="%f">%s`, &b[0], &b[1], &b[2], &b[3], &word); err != nil {
			continue
		}
		word = strings.TrimSuffix(word, "</word>")
		text, ours := texts[word]
		if !ours {
			continue
		}
		delete(texts, word)
		want := text.Bounds()
		const mm = 25.4 / 72
		if text.Turn == 0 {
			near(t, word+", left", b[0]*mm-x0, want.Min[0], 0.05)
			near(t, word+", right", b[2]*mm-x0, want.Max[0], 0.05)
		} else {
			near(t, word+", foot", 297-b[3]*mm-y0, want.Min[1], 0.05)
			near(t, word+", top", 297-b[1]*mm-y0, want.Max[1], 0.05)
		}
	}
	if len(texts) > 0 {
		t.Errorf("not found on the page: %v", texts)
	}
}

func TestSameSheetsSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := pdf.Write(w, pdf.A3, plate(), disc(300)); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two files of the same sheets differ")
	}
	if !bytes.Contains(a.Bytes(), []byte("/PrintScaling /None")) {
		t.Error("the viewer is not asked to leave the size alone")
	}
}

// Neither way of laying the page takes fewer pages than the one chosen, every page
// shares its overlap with the next, and together they show the whole.
func TestTilesCoverTheDrawing(t *testing.T) {
	for _, p := range pdf.Papers {
		for _, size := range [][2]float64{{50, 50}, {180, 230}, {250, 150}, {300, 20}, {20, 500}, {610, 450}, {173, 300}} {
			s := plate()
			s.Drawing = draw.Drawing{Name: "line"}
			s.Drawing.Add(draw.Line{From: [2]float64{-7, 3}, To: [2]float64{size[0] - 7, size[1] + 3}})
			tl, err := pdf.Tile(s, p)
			if err != nil {
				t.Fatal(err)
			}
			if tl.Scale != 1 {
				t.Errorf("%s, %v: scaled by %v", p.Name, size, tl.Scale)
			}
			all := draw.Empty()
			for i := range tl.Pages() {
				b := tl.Shown(i)
				all = all.And(b)
				near(t, "width of a page", b.Width(), tl.Window.Width(), 1e-9)
				if i%tl.Columns > 0 {
					near(t, "overlap across", tl.Shown(i - 1).Max[0]-b.Min[0], pdf.Overlap, 1e-9)
				}
				if i >= tl.Columns {
					near(t, "overlap up", b.Max[1]-tl.Shown(i - tl.Columns).Min[1], pdf.Overlap, 1e-9)
				}
			}
			b := s.Drawing.Bounds()
			if !(all.Min[0] < b.Min[0] && all.Min[1] < b.Min[1] && all.Max[0] > b.Max[0] && all.Max[1] > b.Max[1]) {
				t.Errorf("%s, %v: pages show %v, the drawing is %v", p.Name, size, all, b)
			}
			if need := math.Ceil(size[0]/(p.Height-20)) * math.Ceil(size[1]/(p.Height-20)); float64(tl.Pages()) < need {
				t.Errorf("%s, %v: %d pages cannot hold it", p.Name, size, tl.Pages())
			}
		}
	}
}

func TestWhatCannotBePrintedIsRefused(t *testing.T) {
	huge, bad, wordy := disc(5000), plate(), plate()
	for range 60 {
		wordy.Cautions = append(wordy.Cautions, "Break the edges.")
	}
	bad.Drawing.Add(draw.Circle{Layer: draw.Cut, Radius: math.NaN()})
	for name, sheets := range map[string][]draw.Sheet{"nothing": nil, "huge": {huge}, "NaN": {bad}, "wordy": {wordy}, "empty": {{}}} {
		if err := pdf.Write(&bytes.Buffer{}, pdf.A4, sheets...); err == nil {
			t.Errorf("%s: printed", name)
		}
	}
	if _, err := pdf.PaperOf("a5"); err == nil {
		t.Error("a5 is a paper")
	}
	if p, err := pdf.PaperOf("letter"); err != nil || p != pdf.Letter {
		t.Errorf("letter: %v, %v", p, err)
	}
}

// Two requests for sheets at once do not meet in the library.
func TestSheetsAreWrittenSideBySide(t *testing.T) {
	var want bytes.Buffer
	if err := pdf.Write(&want, pdf.A4, plate()); err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			var got bytes.Buffer
			if err := pdf.Write(&got, pdf.A4, plate()); err != nil {
				t.Error(err)
			}
			if !bytes.Equal(got.Bytes(), want.Bytes()) {
				t.Error("a file written beside others differs")
			}
		})
	}
	all.Wait()
}

func BenchmarkWrite(b *testing.B) {
	for b.Loop() {
		if err := pdf.Write(&bytes.Buffer{}, pdf.A4, plate()); err != nil {
			b.Fatal(err)
		}
	}
}
