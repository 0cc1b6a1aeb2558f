package sheet_test

import (
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
)

// The sheet has every joint in its order with a box, the time of every purge, the hold
// points with their states, and every source with its grade.
func TestWeldSheetSaysTheWholePlan(t *testing.T) {
	w := workedFrom(t, "bench.job.json")
	plan := w.Weld()
	m := make1(t, w, "weld", sheet.Options{Unit: "in"})
	all := read(m)
	last := 0
	boxes := 0
	for _, s := range m.Sheets {
		for _, e := range s.Drawing.Entities {
			if l, ok := e.(draw.Line); ok && l.From[1] == l.To[1] && l.To[0]-l.From[0] > 3.9 && l.To[0]-l.From[0] < 4.1 {
				boxes++
			}
		}
	}
	if boxes != len(plan.Joints) { // the lower edge of each; the upper runs the other way
		t.Errorf("%d boxes for %d joints", boxes, len(plan.Joints))
	}
	for _, j := range plan.Joints {
		at := strings.Index(all[last:], j.Name)
		if at < 0 {
			t.Fatalf("%s does not stand behind the joints before it", j.Name)
		}
		last += at
	}
	reads(t, m, "60-110; 58.5", "3/32 in, 1/16-3/32 in ER308L", "slips in", "on the bench first", "0:32", // 0.524 min, up to the next second
		"Hold points", "Leak test", "open", "1 A per 0.001 in 58.5 A; table by thickness 60 to 110 A; chart in mm, butt 44.6 A; builders, 16 gauge 35 to 40 A",
		"common practice, no source", "from memory", "published")
	for _, s := range m.Sheets {
		if len(s.Cautions) != len(plan.Cautions) || !strings.Contains(strings.Join(s.Cautions, " "), "19.5 %") {
			t.Errorf("a page cautions of %q", s.Cautions)
		}
	}
}

// No text runs over the edge, no page is made smaller; without a path it says what is missing.
func TestWeldSheetFitsItsPages(t *testing.T) {
	for _, name := range []string{"bench", "eight", "vee"} {
		m := make1(t, workedFrom(t, name+".job.json"), "weld", sheet.Options{})
		for i, s := range m.Sheets {
			for _, p := range []pdf.Paper{pdf.A4, pdf.Letter} {
				if tiling, err := pdf.Tile(s, p); err != nil || tiling.Scale != 1 || tiling.Landscape {
					t.Errorf("%s, page %d on %s: %v, scale %v", name, i+1, p.Name, err, tiling.Scale)
				}
			}
			for _, e := range s.Drawing.Entities {
				if text, ok := e.(draw.Text); ok {
					if b := text.Bounds(); b.Min[0] < -1e-9 || b.Max[0] > 188+1e-9 {
						t.Errorf("%s, page %d: %q goes from %v to %v", name, i+1, text.Text, b.Min[0], b.Max[0])
					}
				}
			}
		}
	}
	for _, e := range sheet.Of(empty(t)).Sheets {
		if e.Key == "weld" && !strings.Contains(e.Why, "OD, wall and path") {
			t.Errorf("of an empty job: %q", e.Why)
		}
	}
}

func TestGoldenWeld(t *testing.T) {
	svg, err := make1(t, workedFrom(t, "bench.job.json"), "weld", sheet.Options{Date: "2026-11-30"}).SVG()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "weld.svg", svg)
}
