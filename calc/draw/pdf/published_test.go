package pdf_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
)

// template_saddle.csv: ordinates of branches from pipe fitters' notes, seen, and closed
// form, as they stand on the wrap that is printed. They count the sharp side as 0.
func TestPR1BranchesOnPaperAgainstPublished(t *testing.T) {
	rows := calctest.Published(t, "template_saddle.csv")
	for _, c := range []struct {
		name      string
		tube, od  float64
		angle     string
		ordinates int
	}{
		{"unequal lateral 45, header 114 branch ID 88 (mm)", 114, 88, "45", 9},
		{"unequal 44.45 on 63.5 at 90 (mm)", 63.5, 44.45, "90", 9},
	} {
		text := jobText(t, "four.job.json", `"id": "t1", "port": "p1", "od": "1 5/8 in"`, fmt.Sprintf(`"id": "t1", "port": "p1", "od": %v`, c.tube))
		// Said without a wall it is a rod: its curve is that of the published diameter.
		l := layOut(t, text, fmt.Sprintf("saddle-t1,od=%v,angle=%s", c.od, c.angle), pdf.A3, sheet.Options{})
		boxes, on := l.gores()
		if len(boxes) != 2 {
			t.Fatalf("%d outlines, want the branch and the hole", len(boxes))
		}
		b, mid := boxes[0], (boxes[0].Min[0]+boxes[0].Max[0])/2
		at := func(x float64) float64 {
			ends := l.lines(on[0], true, x, b.Min[1]-1, b.Max[1]-2)
			if len(ends) == 0 {
				t.Fatalf("%s: no curve at %v", c.name, x-mid)
			}
			return ends[0]
		}
		wide := math.Pi * (c.od + aPaper)
		list := []figure{}
		zero := at(mid + 0.4) // beside the line in the middle, where the curve is level
		for _, r := range rows {
			if r["case"] != c.name {
				continue
			}
			c.ordinates--
			deg := calctest.Number(t, r["line_deg"])
			for _, side := range []float64{-1, 1} {
				x := mid + side*math.Min(deg/360*wide, wide/2-0.4)
				if deg == 0 {
					x = mid + side*0.4
				}
				got := zero - at(x)
				list = append(list, figure{fmt.Sprintf("%s at %v°", c.name, side*deg), got, calctest.Number(t, r["cutback_exact_mm"]), inInk})
				if p := r["cutback_published_mm"]; p != "" && r["note"] == "" {
					list = append(list, figure{fmt.Sprintf("%s at %v°, as printed", c.name, side*deg), got, calctest.Number(t, p), inInk})
				}
			}
		}
		if c.ordinates != 0 {
			t.Errorf("%s: %d rows were not found", c.name, c.ordinates)
		}
		ends := l.lines(on[0], false, b.Max[1]-5, b.Min[0]-1, b.Max[0]+1)
		list = append(list, figure{c.name + ", once round", ends[len(ends)-1] - ends[0], wide, inInk})
		// The hole for a branch that goes through: along the tube d/sin, round it
		// (D + paper)·asin(d/D), closed form.
		h := boxes[1]
		angle := calctest.Number(t, c.angle) * rad
		round := l.lines(on[1], false, (h.Min[1]+h.Max[1])/2+0.5, h.Min[0]-1, h.Max[0]+1)
		if c.angle == "90" { // otherwise its widest place is not half way
			list = append(list, figure{c.name + ", hole round the tube", round[len(round)-1] - round[0], (c.tube + aPaper) * math.Asin(c.od/c.tube), inInk + 0.02})
			up := l.lines(on[1], true, (h.Min[0]+h.Max[0])/2+0.5, h.Min[1]-1, h.Max[1]+1)
			list = append(list, figure{c.name + ", hole along the tube", up[len(up)-1] - up[0], c.od / math.Sin(angle), inInk + 0.02})
		}
		check(t, slices.Concat(list, l.rulers()))
	}
}

// Mitre rows of geometry.csv, from fabrication notes, as gores of them are printed: the
// spacings of a bend on 381 mm in 4 cuts, which no OD enters, and the cutback of 168 mm
// OD in 3. The cutback of 273 mm is for wider tube than a job may have.
func TestPR1GoresOnPaperAgainstPublished(t *testing.T) {
	want := map[string]float64{}
	for _, r := range calctest.Published(t, "geometry.csv") {
		if r["group"] == "mitre" {
			want[r["quantity"]+", "+r["inputs"]] = calctest.Number(t, r["value"])
		}
	}
	for _, c := range []struct {
		od, clr float64
		welds   int
		spacing string // of the cut lines, of the whole gore's centreline; "" where none is published
		end     string
		back    string
	}{
		{114.3, 381, 4, "spacing of cut lines L1, 90 deg, 4 cuts, E=381 mm", "end distance L2, same", ""},
		{168, 252, 3, "", "", "cutback, OD=168 mm, 3 cuts"},
	} {
		text := fmt.Sprintf(`{"tubewright": 1, "tubes": [{"id": "t1", "od": %v, "wall": 4, "path": [{"straight": 100}, {"bend": 90, "clr": %v, "rotation": 0}]}]}`, c.od, c.clr)
		l := layOut(t, text, fmt.Sprintf("piecut-t1,welds=%d", c.welds), pdf.A3, sheet.Options{})
		boxes, on := l.gores()
		if len(boxes) != 2 {
			t.Fatalf("%d gores, want 2", len(boxes))
		}
		var list []figure
		high := map[string]float64{}
		for n, b := range boxes {
			what := []string{"half", "whole"}[n]
			for _, f := range l.gore(on[n], b, what, n == 0, c.od, c.clr, 90/float64(2*c.welds)*rad) {
				high[f.what] = f.got
				list = append(list, f)
			}
		}
		add := func(key string, got float64) {
			if v, known := want[key]; known {
				list = append(list, figure{key, got, v, inInk})
			} else if key != "" {
				t.Errorf("%q is not published", key)
			}
		}
		add(c.spacing, high["whole, centreline"])
		add(c.end, high["half, centreline"])
		add(c.back, high["half, outside"]-high["half, centreline"])
		add(c.back, high["half, centreline"]-high["half, inside"])
		check(t, slices.Concat(list, l.rulers()))
	}
}
