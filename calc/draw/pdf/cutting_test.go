package pdf_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
)

// Sheets by which tubes are cut and marked, as another program draws them at 600 dots
// an inch, measured in ink. Where a line is looked for is taken from the drawing; how far
// lines are apart is taken from the picture alone and compared with closed forms and
// published figures.

const (
	tubeOD  = 1.625 * 25.4 // of the four tubes of the invented job
	tubeCLR = 2.5 * 25.4
	// aPaper is how thick the paper is that wraps are made for, as they say themselves.
	aPaper = 0.1
	// inInk is how far a length in ink may be off: a pixel and a half. Of 40 mm, the
	// shortest that is compared by scale, 0.2 % are more.
	inInk = 0.065
	rad   = math.Pi / 180
)

// The wheel: lines every 5° through the centre, arcs of CLR and CLR ± OD/2, and of each
// piece its line and with it the arcs from the tangent line, all in closed form.
func (l *laid) wheel() (lengths, angles []figure) {
	inside, outside := tubeCLR-tubeOD/2, tubeCLR+tubeOD/2
	// The centre is where the tangent line meets the line of 90°, below and left of it.
	across, up := l.lines(0, false, -3, -5, 5), l.lines(0, true, -2.5, -3, 3)
	if len(across) != 1 || len(up) != 1 {
		l.t.Fatalf("the centre is crossed at %v and %v", across, up)
	}
	c := [2]float64{across[0], up[0]}
	const above = 2.0
	arcs := l.lines(0, false, above, inside-6, outside+3)
	for _, want := range []float64{inside, tubeCLR, outside} {
		at := math.Sqrt(want*want - above*above)
		k := slices.IndexFunc(arcs, func(x float64) bool { return math.Abs(x-c[0]-at) < 1 })
		if k < 0 { // the centreline is dashed: it may have a gap there
			if want != tubeCLR {
				l.t.Errorf("no arc of %.3f mm at %v", want, arcs)
			}
			continue
		}
		row := (math.Floor((above+l.tilings[0].Window.Min[1]-l.tilings[0].Shown(0).Min[1])*l.zoom/pixel) + 0.5) * pixel // of pixels that was read
		_, move := l.on(0, 0, 0)
		lengths = append(lengths, figure{fmt.Sprintf("wheel, radius %.3f", want), math.Hypot(arcs[k]-c[0], row-move[1]*l.zoom-c[1]), want, inInk})
	}
	rays := l.around(0, c, (outside+2)*l.zoom, -2*rad, 122*rad)
	if len(rays) != 25 {
		l.t.Fatalf("%d lines round the wheel, want 25", len(rays))
	}
	for i, a := range rays {
		angles = append(angles, figure{fmt.Sprintf("wheel, line of %d°", 5*i), a / rad, float64(5 * i), 0.05})
	}
	// The line of a piece is dashed: it is where most rings within the tube find one.
	for piece, turn := range map[string]float64{"t1-2": 70.5, "t1-4": 48.5, "t1-6": 31, "t3-2": 81, "t4-2": 118.5} {
		found, sum := 0, 0.0
		for radius := inside + 1; radius < outside-1; radius += 0.5 {
			for _, a := range l.around(0, c, radius*l.zoom, (turn-0.2)*rad, (turn+0.2)*rad) {
				found, sum = found+1, sum+a/rad
			}
		}
		if found < 30 {
			l.t.Errorf("the line of %s is found on %d rings of 80", piece, found)
			continue
		}
		got := sum / float64(found)
		angles = append(angles, figure{"wheel, line of " + piece, got, turn, 0.05})
	}
	return lengths, angles
}

// wraps measures each wrap: once round it is π·(OD + paper) wide, which on the tube is
// π·OD; the line of the next bend stands an arc of OD/2·rotation from the middle line.
func (l *laid) wraps() (list []figure) {
	wide := math.Pi * (tubeOD + aPaper)
	turns := map[int]float64{1: -154, 3: -16, 5: 166} // rotations of the job file, by joint
	joint := 0
	for i, s := range l.sheets {
		for _, e := range s.Drawing.Entities {
			cut, ok := e.(draw.Line)
			if !ok || s.NotToScale || cut.Layer != draw.Mark || cut.From[1] != cut.To[1] || cut.To[0]-cut.From[0] < 100 {
				continue
			}
			x0, x1, y := cut.From[0], cut.To[0], cut.From[1]
			below := l.lines(i, false, y-1.2, x0-2, x1+2)
			if len(below) != 3 {
				l.t.Fatalf("joint %d: below its cut lines at %v, want both edges and the middle", joint, below)
			}
			list = append(list, figure{fmt.Sprintf("joint %d, once round, less what the paper adds", joint), below[2] - below[0] - math.Pi*aPaper, math.Pi * tubeOD, inInk},
				figure{fmt.Sprintf("joint %d, half round", joint), below[1] - below[0], wide / 2, inInk})
			if turn, turned := turns[joint]; turned {
				above := l.lines(i, false, y+1.2, x0+1, x1-1)
				if len(above) != 1 {
					l.t.Fatalf("joint %d: above its cut lines at %v, want that of the next bend", joint, above)
				}
				onTube := (above[0] - below[1]) * tubeOD / (tubeOD + aPaper)
				list = append(list, figure{fmt.Sprintf("joint %d, clock mark on the OD", joint), onTube, tubeOD / 2 * turn * rad, inInk})
			}
			var heights []float64
			for _, x := range []float64{x0 + 20, (x0+x1)/2 + 30, x1 - 12} {
				heights = append(heights, l.lines(i, true, x, y-1, y+1)...)
			}
			if len(heights) != 3 || slices.Max(heights)-slices.Min(heights) > pixel {
				l.t.Errorf("joint %d: the square cut is at %v", joint, heights)
			}
			joint++
		}
	}
	if joint != 7 {
		l.t.Errorf("%d wraps, want 7", joint)
	}
	return list
}

// clock measures the dials: as wide as the tube, the line of the bend turned clockwise by
// its rotation, the arc on the OD below as long as it is.
func (l *laid) clock() (lengths, angles []figure) {
	turns := []float64{-154, -16, 166}
	for i, s := range l.sheets {
		for _, e := range s.Drawing.Entities {
			line, ok := e.(draw.Line) // of the bend, from the middle
			if !ok || line.Layer != draw.Mark || math.Abs(math.Hypot(line.To[0]-line.From[0], line.To[1]-line.From[1])-tubeOD/2-8) > 1 {
				continue
			}
			turn := turns[0]
			turns = turns[1:]
			mid, r := line.From, tubeOD/2
			// Crossed off its middle, where nothing else stands at the rim.
			c, half := [2]float64{}, 0.0
			for axis := range 2 {
				off := 4.0
				ends := l.lines(i, axis == 1, mid[1-axis]+off, mid[axis]-r-1.5, mid[axis]+r+1.5)
				if len(ends) < 2 {
					l.t.Fatalf("dial %v: its rim is crossed at %v", turn, ends)
				}
				c[axis] = (ends[0] + ends[len(ends)-1]) / 2
				half = (ends[len(ends)-1] - ends[0]) / 2
				lengths = append(lengths, figure{fmt.Sprintf("dial %v°, across its rim", turn), 2 * math.Hypot(half, off), tubeOD, inInk})
			}
			ring := l.around(i, c, (r+7)*l.zoom, math.Pi/2-turn*rad-0.3, math.Pi/2-turn*rad+0.3)
			if len(ring) != 1 {
				l.t.Fatalf("dial %v: lines on its ring at %v", turn, ring)
			}
			angles = append(angles, figure{fmt.Sprintf("dial %v°", turn), 90 - ring[0]/rad, turn, 0.1})
			long := tubeOD / 2 * math.Abs(turn) * rad
			ends := l.lines(i, false, mid[1]-r-14+1, mid[0]-long/2-1.5, mid[0]+long/2+1.5)
			if len(ends) != 2 {
				l.t.Fatalf("dial %v: the arc laid flat ends at %v", turn, ends)
			}
			lengths = append(lengths, figure{fmt.Sprintf("dial %v°, arc laid flat", turn), ends[1] - ends[0], long, inInk})
		}
	}
	if len(turns) != 0 {
		l.t.Errorf("%v were not drawn", turns)
	}
	return lengths, angles
}

// gores are the outlines that are cut, in the order they are drawn, with the drawing that
// bears them.
func (l *laid) gores() (boxes []draw.Box, on []int) {
	for i, s := range l.sheets {
		for _, e := range s.Drawing.Entities {
			if loop, ok := e.(draw.Loop); ok && loop.Layer == draw.Cut {
				boxes, on = append(boxes, loop.Bounds()), append(on, i)
			}
		}
	}
	return boxes, on
}

// gore measures how high a gore is outside, where it is as long as its centreline, and
// inside, and how wide.
func (l *laid) gore(i int, b draw.Box, what string, half bool, od, clr, cut float64) (list []figure) {
	k := 2.0
	if half {
		k = 1
	}
	tan, wide := math.Tan(cut), math.Pi*(od+aPaper)
	mid := (b.Min[0] + b.Max[0]) / 2
	for _, h := range []struct {
		where string
		x     float64
		want  float64
	}{
		// Beside the line in the middle and the edges, where the curves are level.
		{"outside", mid + 0.5, k * (clr + od/2) * tan}, {"centreline", mid + wide/4, k * clr * tan}, {"inside", b.Min[0] + 0.5, k * (clr - od/2) * tan},
	} {
		ends := l.lines(i, true, h.x, b.Min[1]-1, b.Max[1]+1)
		if len(ends) < 2 {
			l.t.Fatalf("%s %s: lines at %v", what, h.where, ends)
		}
		list = append(list, figure{what + ", " + h.where, ends[len(ends)-1] - ends[0], h.want, inInk})
	}
	if wide < 180 { // on one page
		y := (b.Min[1] + b.Max[1]) / 2
		if half {
			y = b.Min[1] + 1
		}
		ends := l.lines(i, false, y, b.Min[0]-1, b.Max[0]+1)
		list = append(list, figure{what + ", once round", ends[len(ends)-1] - ends[0], wide, inInk})
	}
	return list
}

// pieCuts measures the gores of the first bend of the invented tube: 70.5°, 3 welds.
func (l *laid) pieCuts() (list []figure) {
	boxes, on := l.gores()
	if len(boxes) != 6 {
		l.t.Fatalf("%d gores, want a half and a whole one of three bends", len(boxes))
	}
	for n, b := range boxes[:2] {
		list = append(list, l.gore(on[n], b, []string{"half gore", "whole gore"}[n], n == 0, tubeOD, tubeCLR, 70.5/6*rad)...)
	}
	return list
}

func TestPR1CuttingSheetsAreTrueToSize(t *testing.T) {
	text := jobText(t, "four.job.json")
	t.Run("wheel", func(t *testing.T) {
		l := layOut(t, text, "wheel-63.5x41.28", pdf.A4, sheet.Options{})
		lengths, angles := l.wheel()
		check(t, slices.Concat(lengths, angles, l.rulers()))
	})
	t.Run("wraps", func(t *testing.T) {
		l := layOut(t, text, "wrap-t1", pdf.A4, sheet.Options{})
		check(t, slices.Concat(l.wraps(), l.rulers()))
	})
	t.Run("clock", func(t *testing.T) {
		l := layOut(t, text, "clock-t1", pdf.Letter, sheet.Options{Unit: "in"})
		lengths, angles := l.clock()
		check(t, slices.Concat(lengths, angles, l.rulers()))
	})
	t.Run("pie cuts", func(t *testing.T) {
		l := layOut(t, text, "piecut-t1", pdf.A4, sheet.Options{})
		check(t, slices.Concat(l.pieCuts(), l.rulers()))
	})
}

// What a printer makes that shrinks or stretches by 0.2 % fails the measures above: every
// length of 40 mm and more, both rulers too. Angles stay what they are.
func TestPR1AFifthOfAPercentIsSeen(t *testing.T) {
	text := jobText(t, "four.job.json")
	wheel, wraps := layOut(t, text, "wheel-63.5x41.28", pdf.A4, sheet.Options{}), layOut(t, text, "wrap-t1", pdf.A4, sheet.Options{})
	wheel.zoom, wraps.zoom = 1.002, 0.998
	lengths, angles := wheel.wheel()
	check(t, angles)
	seen := 0
	for _, f := range slices.Concat(lengths, wheel.rulers(), wraps.wraps(), wraps.rulers()) {
		if math.Abs(f.want) < 40 {
			continue
		}
		seen++
		if math.Abs(f.got-f.want) <= f.tol {
			t.Errorf("scaled by 0.2 %%, %s is %.3f and passes for %.3f", f.what, f.got, f.want)
		}
	}
	if seen < 20 {
		t.Errorf("%d lengths were compared, want 20 at least", seen)
	}
}

// The figures of the plan of cuts, as they are read off the paper: marks are (CLR ± OD/2)
// times the angle, and between two pieces of a length lie a kerf and a facing, so that
// pieces are packed as ones longer by that (cutting.csv, the identity of kerfs).
func TestCutPlanOnPaperKeepsItsFigures(t *testing.T) {
	text := jobText(t, "bench.job.json")
	w := workedText(t, text)
	l := layOut(t, text, "cuts", pdf.A4, sheet.Options{Cuts: func() (job.Packing, error) { return w.Job.Pack(nil) }})
	read := run(t, "pdftotext", "-layout", l.file.file, "-")
	const clr = (128.4 + 128.2) / 4 // measured across both legs, of the job file
	const loss = (0.063 + 0.020) * 25.4
	bent := regexp.MustCompile(`(?m)no\. \d+ +(t\d-\d+) .*? ([\d.]+)° +([\d.]+)° +([\d.]+) +([\d.]+) +([\d.]+) +([\d.]+)`)
	rows := bent.FindAllStringSubmatch(read, -1)
	if len(rows) < 6 {
		t.Fatalf("%d bends are read off the plan:\n%s", len(rows), read)
	}
	for _, r := range rows {
		for i, radius := range []float64{clr + tubeOD/2, clr - tubeOD/2} {
			for end := range 2 {
				angle := calctest.Number(t, r[2+end]) * rad
				near(t, fmt.Sprintf("%s, mark on %.2f mm", r[1], radius), calctest.Number(t, r[4+2*i+end]), radius*angle, 0.005+radius*0.005*rad)
			}
		}
	}
	lengths := regexp.MustCompile(`(?m)no\. \d+ +(t\d-\d+) +as drawn +([\d.]+) +([\d.]+) *$`).FindAllStringSubmatch(read, -1)
	if len(lengths) < 4 {
		t.Fatalf("%d pieces of lengths are read off the plan:\n%s", len(lengths), read)
	}
	for i, r := range lengths[1:] {
		near(t, "between "+lengths[i][1]+" and "+r[1], calctest.Number(t, r[2])-calctest.Number(t, lengths[i][3]), loss, 0.0101)
	}
	if !strings.Contains(read, "Not to scale: work by the figures.") || strings.Contains(read, "Measure me") {
		t.Error("the plan does not say that it is not to scale")
	}
}
