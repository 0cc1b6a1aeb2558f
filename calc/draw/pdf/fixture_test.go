package pdf_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
)

func fixtureSheet(t *testing.T, key string) ([]draw.Sheet, job.FixturePlan) {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/fixture.job.json")
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.WorkFile(data)
	if err != nil {
		t.Fatal(err)
	}
	p := job.PlanFixture(w.Job, nil)
	m, err := sheet.Make(w, key, sheet.Options{Fixture: func() job.FixturePlan { return p }})
	if err != nil {
		t.Fatal(err)
	}
	return m.Sheets, p
}

// The base plate on paper, over several pages of A4, read back by another program: on the
// page that shows it whole every hole and every post's foot is as wide as the plan has it
// and stands where the plan has it, and so does the edge of the plate.
func TestPR1BasePlateIsTrueToSizeOverItsPages(t *testing.T) {
	s, p := fixtureSheet(t, "base")
	tiling, err := pdf.Tile(s[0], pdf.A4)
	if err != nil || tiling.Pages() < 4 {
		t.Fatalf("%d pages, %v", tiling.Pages(), err)
	}
	out := printOut(t, pdf.A4, s...)
	pages := map[int]page{}
	measured, worst := 0, 0.0
	for _, h := range slices.Concat(p.Base.Holes, p.Base.Feet) {
		at, r := h.At, float64(h.Diameter)/2
		for n := range tiling.Pages() {
			shown := tiling.Shown(n)
			if at[0]-r-2 < shown.Min[0] || at[0]+r+2 > shown.Max[0] || at[1]-r-2 < shown.Min[1] || at[1]+r+2 > shown.Max[1] {
				continue
			}
			on, known := pages[n]
			if !known {
				on = out.page(t, n+1)
				pages[n] = on
			}
			dx, dy := tiling.Window.Min[0]-shown.Min[0], tiling.Window.Min[1]-shown.Min[1]
			// Beside the centre lines, where nothing but the circle is crossed.
			off := r * 0.4
			half := math.Sqrt(r*r - off*off)
			for axis := range 2 {
				place := [2]float64{at[0] + dx, at[1] + dy}
				got := on.lines(axis == 1, place[1-axis]+off, place[axis]-half-0.6, place[axis]+half+0.6)
				if len(got) < 2 {
					t.Errorf("%s: lines at %.3f, want two %.3f apart", h.Name, got, 2*half)
					continue
				}
				wide, middle := got[len(got)-1]-got[0], (got[len(got)-1]+got[0])/2
				near(t, h.Name+", how wide", wide, 2*half, 0.05)
				near(t, h.Name+", its middle", middle, place[axis], 0.05)
				worst = max(worst, math.Abs(wide-2*half), math.Abs(middle-place[axis]))
			}
			measured++
			break
		}
	}
	if measured < 6 {
		t.Errorf("%d holes and feet are whole on a page", measured)
	}
	low := draw.Empty()
	for _, c := range p.Base.Outline {
		low = low.With(c)
	}
	shown := tiling.Shown(0)
	on, known := pages[0]
	if !known {
		on = out.page(t, 1)
	}
	y := low.Max[1] - 12 + tiling.Window.Min[1] - shown.Min[1]
	x := low.Min[0] + tiling.Window.Min[0] - shown.Min[0]
	if got := on.lines(false, y, x-1, x+1); len(got) != 1 || math.Abs(got[0]-x) > 0.05 {
		t.Errorf("the left edge of the plate is at %.3f on page 1, want %.3f", got, x)
	}
	t.Logf("%d holes and feet on %d pages, worst %.4f mm off", measured, tiling.Pages(), worst)
}

// The station sheet is one page of A4 and of Letter and never made smaller, so that its
// figures stand there 5 mm high: the along of the first station is measured on the page.
func TestStationSheetIsOnePageWithFiguresOf5MM(t *testing.T) {
	s, p := fixtureSheet(t, "fixture")
	if len(s) != 1 {
		t.Fatalf("%d pages for %d stations", len(s), len(p.Stations))
	}
	for _, paper := range []pdf.Paper{pdf.A4, pdf.Letter} {
		tiling, err := pdf.Tile(s[0], paper)
		if err != nil || tiling.Pages() != 1 || tiling.Scale != 1 || tiling.Landscape {
			t.Errorf("%s: %d pages, scale %v, across %v, %v", paper.Name, tiling.Pages(), tiling.Scale, tiling.Landscape, err)
			continue
		}
		on := printOut(t, paper, s...).page(t, 1)
		shown := tiling.Shown(0)
		rows := 0
		for _, e := range s[0].Drawing.Entities {
			text, ok := e.(draw.Text)
			if !ok || text.Height != 5 || text.Anchor != draw.TopRight || !text.Bold {
				continue
			}
			b := draw.Box{Min: [2]float64{text.At[0] - text.Width(), text.At[1] - text.Height - 0.6}, Max: [2]float64{text.At[0], text.At[1] + 0.6}}
			for i := range 2 {
				b.Min[i] += tiling.Window.Min[i] - shown.Min[i]
				b.Max[i] += tiling.Window.Min[i] - shown.Min[i]
			}
			ink := on.box(b)
			if ink.Height() < 4.9 || ink.Height() > 5.6 { // round digits stand a little over the line
				t.Errorf("%s: %q is %.2f mm high on paper", paper.Name, text.Text, ink.Height())
			}
			rows++
		}
		if rows != len(p.Stations) {
			t.Errorf("%s: %d rows, want %d", paper.Name, rows, len(p.Stations))
		}
	}
}
