package sheet_test

import (
	"errors"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// isOfTubes tells sheets of cutting and marking tubes from those of flanges and ends.
func isOfTubes(key string) bool {
	kind, _, _ := strings.Cut(key, "-")
	return slices.Contains([]string{"cuts", "wheel", "wrap", "clock", "labels", "piecut", "saddle"}, kind)
}

// four is the invented four-cylinder job, with texts of it replaced by turns.
func four(t testing.TB, edit ...string) job.Worked {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/four.job.json")
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

const (
	wheelKey  = "wheel-63.5x41.28"
	branchKey = "saddle-t1,od=28.6,wall=5,angle=60,offset=3"
	od        = 1.625 * 25.4
	clr       = 2.5 * 25.4
)

// coded are options with which labels bear a code, of a made-up pattern.
func coded() sheet.Options {
	return sheet.Options{
		Link: func(piece string) string { return "https://shop.invalid/#/piece?id=" + piece },
		Code: func(text string) (sheet.Code, error) {
			code := make(sheet.Code, 29)
			for y := range code {
				code[y] = make([]bool, 29)
				for x := range code[y] {
					code[y][x] = (x*y+x+len(text))%3 == 0
				}
			}
			return code, nil
		},
	}
}

// Sheets of the first tube, as text, in mm and in inches.
func TestGoldenTubeSheets(t *testing.T) {
	w := four(t)
	for name, tt := range map[string]struct {
		key string
		o   sheet.Options
	}{
		"wheel": {wheelKey, sheet.Options{}}, "wrap-t1": {"wrap-t1", sheet.Options{}}, "clock-t1": {"clock-t1", sheet.Options{}}, "clock-t1-in": {"clock-t1", sheet.Options{Unit: "in"}},
		"labels-t1": {"labels-t1", coded()}, "piecut-t1": {"piecut-t1", sheet.Options{}}, "saddle-t1": {branchKey, sheet.Options{}}, "cuts": {"cuts", planned(t, w, "mm")},
	} {
		svg, err := make1(t, w, tt.key, tt.o).SVG()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".svg", svg)
	}
}

// All of them can be made of the job, and both rulers stand on all but the plan of cuts.
func TestTubesHaveTheirSheets(t *testing.T) {
	w := four(t)
	found := map[string]bool{}
	for _, e := range sheet.Of(w).Sheets {
		if !isOfTubes(e.Key) {
			continue
		}
		found[e.Key] = true
		if strings.HasPrefix(e.Key, "saddle-") != (e.Why != "") {
			t.Errorf("%s: %q", e.Key, e.Why)
		}
		if e.Why != "" {
			continue
		}
		for _, unit := range []units.Unit{"mm", "in"} {
			m := make1(t, w, e.Key, planned(t, w, unit))
			for i, s := range m.Sheets {
				if err := s.Check(); err != nil || s.NotToScale != (e.Key == "cuts") {
					t.Errorf("%s, sheet %d: %v, not to scale %v", e.Key, i, err, s.NotToScale)
				}
			}
			wants(t, m, "sharp", "a person checks", "Unit: "+string(unit))
		}
		if slices.Contains(e.Forms, sheet.DXF) {
			continue
		}
		var no *sheet.Unmade
		if _, err := make1(t, w, e.Key, planned(t, w, "mm")).DXF(); !errors.As(err, &no) {
			t.Errorf("%s has a DXF: %v", e.Key, err)
		}
	}
	for _, key := range []string{"cuts", wheelKey, "wrap-t1", "clock-t2", "labels-t3", "piecut-t4", "saddle-t1"} {
		if !found[key] {
			t.Errorf("no %s", key)
		}
	}
	for _, key := range []string{"wheel-63.5x41.28", "wrap-t1", "piecut-t1", branchKey} {
		wants(t, make1(t, w, key, sheet.Options{}), "29 CFR 1910.1026") // dust and fume
	}
}

// Every line of the wheel that bears degrees goes through the centre at those degrees;
// the arcs are CLR and CLR ± OD/2.
func TestWheelIsTrue(t *testing.T) {
	m := make1(t, four(t), wheelKey, sheet.Options{})
	rays, radii := map[int]bool{}, map[float64]bool{}
	for _, e := range m.Sheets[0].Drawing.Entities {
		switch e := e.(type) {
		case draw.Line:
			if e.On() != draw.Mark && e.On() != draw.Note || e.From[1] < -1e-9 || math.Hypot(e.To[0], e.To[1]) < clr {
				continue
			}
			if off := e.From[0]*e.To[1] - e.From[1]*e.To[0]; math.Abs(off) > 1e-9 {
				t.Errorf("a line from %v to %v misses the centre", e.From, e.To)
			}
			deg := math.Atan2(e.To[1], e.To[0]) * 180 / math.Pi
			if math.Abs(deg-5*math.Round(deg/5)) > 1e-9 {
				t.Errorf("a line at %v°", deg)
			}
			rays[int(math.Round(deg))] = true
		case draw.Arc:
			if e.Centre != (draw.Pos{}) || math.Abs(e.Sweep-120*math.Pi/180) > 1e-12 || e.Start != 0 {
				t.Errorf("an arc about %v from %v by %v", e.Centre, e.Start, e.Sweep)
			}
			radii[math.Round(e.Radius*1e6)/1e6] = true
		}
	}
	if len(rays) != 25 || !rays[0] || !rays[120] { // the largest bend turns by 118.5°
		t.Errorf("lines at %v", rays)
	}
	for _, r := range []float64{clr - od/2, clr, clr + od/2} {
		if !radii[math.Round(r*1e6)/1e6] {
			t.Errorf("no arc of %v mm: %v", r, radii)
		}
	}
	// 70.5° on CLR 63.5, OD 41.275, closed form: outside 84.1375·1.230457 = 103.527,
	// inside 42.8625·1.230457 = 52.740, chord outside 2·84.1375·sin 35.25° = 97.116.
	wants(t, m, "t1-2 | 70.5° | 103.53 | 52.74 | 78.13 | 97.12", "120°", "misses the centre by no more than 0.55 mm", "0.50 | 0.45° | ", "1.00 | 0.90° | ")
	wants(t, make1(t, four(t), wheelKey, sheet.Options{Unit: "in"}), "t1-2 | 70.5° | 4.076 (4 5/64) | 2.076 (2 5/64)", "0.022 in", "CLR 2.500, OD 1.625 in")
}

// A wrap is as wide as π·(OD + paper); the line of the next bend stands as far round as
// the rotation says, to the right for plus.
func TestWrapsLieRound(t *testing.T) {
	m := make1(t, four(t), "wrap-t1", sheet.Options{})
	width := math.Pi * (od + 0.1)
	cuts, arcs := 0, []float64{}
	for _, s := range m.Sheets {
		var mids []draw.Pos
		for _, e := range s.Drawing.Entities {
			if l, ok := e.(draw.Line); ok && l.Layer == draw.Mark && l.From[1] == l.To[1] && math.Abs(l.To[0]-l.From[0]-width) < 1e-9 {
				cuts++
				mids = append(mids, draw.Pos{(l.From[0] + l.To[0]) / 2, l.From[1]})
			}
		}
		for _, mid := range mids {
			for _, e := range s.Drawing.Entities {
				// Upwards from the cut: the outside line of the bend behind the joint.
				if l, ok := e.(draw.Line); ok && l.Layer == draw.Mark && l.From[0] == l.To[0] && math.Abs(l.From[1]-mid[1]) < 1e-9 && l.To[1] > mid[1]+5 {
					arcs = append(arcs, (l.From[0]-mid[0])*360/width)
				}
			}
		}
	}
	if cuts != 7 {
		t.Errorf("%d cuts on wraps, want 7", cuts)
	}
	want := []float64{-154, -16, 166} // rotations of the job file
	if len(arcs) != len(want) {
		t.Fatalf("lines at %v, want %v", arcs, want)
	}
	for i := range want {
		if math.Abs(arcs[i]-want[i]) > 1e-9 {
			t.Errorf("lines at %v°, want %v", arcs, want)
		}
	}
	wants(t, m, "Joint 0: flange to t1-1", "Joint 6: t1-6 to t1-7", "outside of t1-2: -55.47 mm counter-clockwise from the line opposite to up (-154.0°)", "print outwards", "−\n", "+\n", "round the OD", "129.67 mm", "129.98 mm", "the other", "inside of t1-2", "flow")
}

// Dials are seen from the port along the tube: plus turns clockwise.
func TestClockGoesTheWayItSays(t *testing.T) {
	m := make1(t, four(t), "clock-t1", sheet.Options{})
	wants(t, m, "Look from the port along the tube.", "Plus is clockwise", "1 | t1-1 and t1-2 | t1-2 | opposite to up | -154.0° | -55.47 | counter-clockwise",
		"5 | t1-5 and t1-6 | t1-6 | outside of t1-4 | 166.0° | +59.79 | clockwise", "Joint 3: t1-3 to t1-4")
	wants(t, make1(t, four(t), "clock-t1", sheet.Options{Unit: "in"}), "+2.354 (2 23/64)", "-2.184 (2 3/16)")
	var turns []float64
	for _, s := range m.Sheets {
		for _, e := range s.Drawing.Entities {
			// The line of the bend goes from the middle of a dial over its rim.
			if l, ok := e.(draw.Line); ok && l.Layer == draw.Mark && math.Abs(math.Hypot(l.To[0]-l.From[0], l.To[1]-l.From[1])-(od/2+8)) < 1e-9 {
				turns = append(turns, math.Atan2(l.To[0]-l.From[0], l.To[1]-l.From[1])*180/math.Pi) // from the top, to the right
			}
		}
	}
	want := []float64{-154, -16, 166}
	if len(turns) != 3 || math.Abs(turns[0]-want[0])+math.Abs(turns[1]-want[1])+math.Abs(turns[2]-want[2]) > 1e-9 {
		t.Errorf("dials turn by %v, want %v", turns, want)
	}
}

// A label says what its piece is and where it goes, and its code is the one that was
// made of its address.
func TestLabelsBearTheirPiece(t *testing.T) {
	w, o := four(t), coded()
	m := make1(t, w, "labels-t1", o)
	wants(t, m, "t1-1", "Tube 1, cylinder 1", "joint 0: flange", "joint 1: t1-2", "joint 7: end", "bend 70.5°, CLR 63.50 mm", "outside 103.5 mm", "inside 52.7 mm", "straight 53.98 mm", "flow")
	wants(t, make1(t, w, "labels-t1", sheet.Options{Unit: "in"}), "outside 4.076 (4 5/64) in")
	dark := 0.0
	for _, e := range m.Sheets[0].Drawing.Entities {
		if l, ok := e.(draw.Loop); ok && l.Filled && len(l.Vertices) == 4 {
			dark += l.Bounds().Width() * l.Bounds().Height()
		}
	}
	want := 0.0
	for i := range 7 {
		code, _ := o.Code(o.Link("t1-" + string(rune('1'+i))))
		for _, row := range code {
			for _, black := range row {
				if black {
					want += 0.6 * 0.6
				}
			}
		}
	}
	if want == 0 || math.Abs(dark-want) > 1e-6 {
		t.Errorf("%v mm² are dark, want %v", dark, want)
	}
	// The code of a very long address has smaller squares: it stays on its label.
	o.Code = func(string) (sheet.Code, error) {
		code := make(sheet.Code, 101)
		for y := range code {
			code[y] = slices.Repeat([]bool{true}, 101)
		}
		return code, nil
	}
	var frames, bars []draw.Box
	for _, e := range make1(t, w, "labels-t1", o).Sheets[0].Drawing.Entities {
		if l, ok := e.(draw.Loop); ok && l.Filled {
			bars = append(bars, l.Bounds())
		} else if ok {
			frames = append(frames, l.Bounds())
		}
	}
	for _, b := range bars {
		if !slices.ContainsFunc(frames, func(f draw.Box) bool {
			return b.Min[0] > f.Min[0] && b.Min[1] > f.Min[1] && b.Max[0] < f.Max[0] && b.Max[1] < f.Max[1]
		}) {
			t.Fatalf("squares of a large code at %v stand over their label", b)
		}
	}
	o.Code = func(string) (sheet.Code, error) { return nil, errors.New("too long") }
	if _, err := sheet.Make(w, "labels-t1", o); err == nil || !strings.Contains(err.Error(), "t1-1") {
		t.Errorf("a code that cannot be made: %v", err)
	}
}

// Gores on paper are as long outside and inside as the table says, and the steps that a
// cut angle forces are said.
func TestPieCutsAreTrue(t *testing.T) {
	w := four(t)
	m := make1(t, w, "piecut-t1", sheet.Options{})
	// t1-2 turns by 70.5° with 3 welds: cut 11.75°, half gore outside 84.1375·tan 11.75° =
	// 17.500, inside 42.8625·tan = 8.915, whole ones twice that.
	wants(t, m, "t1-2 | 70.5° | 3 | 11.75° | 63.50", "35.00 | 17.83 | 17.50 | 8.92", "never a square one", "t1-2: whole gore, make 2", "half gore, make 2")
	b, err := m.DXF()
	if err != nil {
		t.Fatal(err)
	}
	r, err := dxf.Read(b, dxf.Options{})
	if err != nil || len(r.Open) > 0 {
		t.Fatalf("%v, %d open", err, len(r.Open))
	}
	tan := math.Tan(70.5 / 6 * math.Pi / 180)
	var loops []draw.Loop
	for _, e := range m.Sheets[0].Drawing.Only(draw.Cut).Entities {
		loops = append(loops, e.(draw.Loop))
	}
	if len(loops) == 0 {
		t.Fatal("nothing is cut")
	}
	o, err := geom.FromLoop(loops[0].Vertices)
	if err != nil {
		t.Fatal(err)
	}
	// Its area is that of the half gore's wall unrolled: width · CLR·tan(cut), the mean of the curve.
	if got, want := math.Abs(o.Area()), math.Pi*(od+0.1)*clr*tan; math.Abs(got-want) > 1e-3*want {
		t.Errorf("a half gore of %v mm², want %v", got, want)
	}
	wants(t, make1(t, w, "piecut-t1,cut=11.75", sheet.Options{}), "t1-2 | 70.5° | 3", "Do not cut t1-4 so", "only by multiples", "Sheet: piecut-t1,cut=11.75")
	wants(t, make1(t, w, "piecut-t1,welds=5", sheet.Options{}), "t1-2 | 70.5° | 5 | 7.05°", "t1-6 | 31.0° | 5 | 3.10°")
}

// A branch and its hole on paper: the cut goes as deep as the closed form says, the hole
// is as wide as the bore.
func TestBranchIsTrue(t *testing.T) {
	w := four(t)
	m := make1(t, w, "saddle-t1,od=1 in,angle=90", sheet.Options{})
	// A rod of 25.4 mm square on 41.275: 20.6375 − √(20.6375² − 12.7²) = 4.3706 deep; the
	// hole is 25.4 along and 2·20.6875·asin(12.7/20.6375) = 27.426 round on the paper's middle.
	wants(t, m, "cut goes 4.37 mm deep", "25.40 mm along the tube, 27.43 mm round it", "goes through")
	wants(t, make1(t, w, branchKey, sheet.Options{}), "is set on", "60.0°", "plus to the right along the flow", "Sheet: "+branchKey, "sharp side", "blunt side", "left\n", "right\n", "the thin line is the inner one")
	if name := make1(t, w, branchKey, sheet.Options{}).FileName(sheet.PDF); name != "saddle-t1-od-28-6-wall-5-angle-60-offset-3.pdf" {
		t.Errorf("named %s", name)
	}
	for key, want := range map[string]string{
		"saddle-t1":                       "the OD of the branch",
		"saddle-t1,od=60":                 "no wider than the tube",
		"saddle-t1,od=28,offset=20":       "does not land on the tube",
		"saddle-t1,od=28,angle=10":        "Angle",
		"saddle-t1,od=twenty":             "Branch OD",
		"saddle-t1,bore=20":               "asks for no \"bore\", but for od, wall, angle, offset",
		"saddle-t1,od=28,wall=14":         "two walls fill the branch",
		"wrap-t1,cut=5":                   "takes no figures",
		"piecut-t1,cut=7,welds=2":         "not both",
		"piecut-t1,cut=10":                "None of its bends",
		"piecut-t1,welds=30":              "Welds",
		"saddle-t1,od=28,angle=60,offset": "Offset",
	} {
		_, err := sheet.Make(w, key, sheet.Options{})
		var no *sheet.Unmade
		if !errors.As(err, &no) || !strings.Contains(no.Why, want) {
			t.Errorf("%s: %v, want %q", key, err, want)
		}
	}
	if _, err := sheet.Make(w, "saddle-t9,od=28", sheet.Options{}); !errors.Is(err, sheet.ErrUnknown) {
		t.Errorf("saddle-t9: %v", err)
	}
}

// What a tube lacks is said in a sentence.
func TestTubeSheetsSayWhatIsMissing(t *testing.T) {
	w := four(t, `"id": "t1", "port": "p1", "od": "1 5/8 in"`, `"id": "t1", "port": "p1"`)
	for _, key := range []string{"wrap-t1", "clock-t1", "labels-t1", "piecut-t1"} {
		_, err := sheet.Make(w, key, sheet.Options{})
		var no *sheet.Unmade
		if !errors.As(err, &no) || !strings.Contains(no.Why, "OD and wall of tube 1") {
			t.Errorf("%s: %v", key, err)
		}
	}
	_, err := sheet.Make(w, "cuts", sheet.Options{})
	var no *sheet.Unmade
	if !errors.As(err, &no) {
		t.Errorf("cuts without a plan: %v", err)
	}
}

// The sign of a sheet of a tube changes with that tube's path, and with no other's.
func TestSignOfATubesSheets(t *testing.T) {
	before, after := four(t), four(t, `{"bend": 48.5,`, `{"bend": 49.5,`)
	for key, changes := range map[string]bool{"wrap-t1": true, "clock-t1": true, "labels-t1": true, "piecut-t1": true, wheelKey: true, "cuts": true, "wrap-t2": false, "piecut-t3": false} {
		if got := signOf(before, key) != signOf(after, key); got != changes {
			t.Errorf("%s: its sign changes: %v, want %v", key, got, changes)
		}
	}
}

// planned are options with a plan of cuts of the job from invented stock, made by hand:
// bends in the order of the tubes, every second one flipped, as long as a U has room;
// straights likewise.
func planned(t testing.TB, w job.Worked, unit units.Unit) sheet.Options {
	t.Helper()
	s := tube.Section{OD: 1.625 * units.Inch, Wall: 0.065 * units.Inch}
	items := []stock.Item{
		{ID: "u1", Kind: stock.BentTube, Section: s, Angle: 180 * units.Degree, CLR: 63.5, LegA: 100, LegB: 60, Price: 3800, Buy: true, OnHand: 1},
		{ID: "len", Kind: stock.Tubing, Section: s, Length: 1200, Price: 2100, Buy: true},
	}
	saw := stock.Saw{Kerf: 1.6, Facing: 0.5}
	loss := stock.Loss(s.OD, 63.5, saw)
	var bends, lengths []stock.Use
	for _, tu := range w.Job.Tubes {
		pieces, err := stock.Pieces(tu.ID, s, tu.Path)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pieces {
			if p.Kind == stock.Bend {
				at := units.Angle(0)
				if n := len(bends); n > 0 {
					at = bends[n-1].Cuts[len(bends[n-1].Cuts)-1].To + loss
				}
				if len(bends) == 0 || at+p.Turn > items[0].Angle {
					at = 0
					bends = append(bends, stock.Use{Item: "u1", Number: len(bends) + 1, OnHand: len(bends) == 0, Price: 3800})
				}
				u := &bends[len(bends)-1]
				u.Cuts = append(u.Cuts, stock.Cut{Piece: p.ID, Set: 1, Flipped: len(u.Cuts)%2 == 1, From: at, To: at + p.Turn})
				continue
			}
			at := units.Length(0)
			if n := len(lengths); n > 0 {
				at = lengths[n-1].Cuts[len(lengths[n-1].Cuts)-1].End + saw.Kerf + saw.Facing
			}
			if len(lengths) == 0 || at+p.Length > items[1].Length {
				at = 0
				lengths = append(lengths, stock.Use{Item: "len", Number: len(lengths) + 1, Price: 2100})
			}
			u := &lengths[len(lengths)-1]
			u.Cuts = append(u.Cuts, stock.Cut{Piece: p.ID, Set: 1, Start: at, End: at + p.Length})
		}
	}
	bends[0].Cuts[0].LegA, bends[0].Cuts[0].LengthA = "t1-1", 53.975
	for i := range bends {
		from := bends[i].Cuts[len(bends[i].Cuts)-1].To + loss
		bends[i].Left = []stock.Left{{From: from, To: 180 * units.Degree, LegB: 60, Kept: 180*units.Degree-from > 20*units.Degree}}
	}
	for i := range lengths {
		from := lengths[i].Cuts[len(lengths[i].Cuts)-1].End + saw.Kerf
		lengths[i].Left = []stock.Left{{Start: from, End: 1200, Kept: 1200-from > 150}}
	}
	p := stock.Plan{Uses: slices.Concat(bends, lengths), Buy: []stock.Bought{{Item: "u1", Count: len(bends) - 1, Cost: int64(len(bends)-1) * 3800}, {Item: "len", Count: len(lengths), Cost: int64(len(lengths)) * 2100}},
		Cost: int64(len(bends)-1)*3800 + int64(len(lengths))*2100, Bound: 3000, Welds: 24,
		Out: []stock.Out{{Piece: "t9-9", Sets: 1, Why: "no stock has its CLR of 50.00 mm"}}}
	return sheet.Options{Unit: unit, Cuts: func() (job.Packing, error) {
		return job.Packing{Plan: p, Items: items, Names: map[string]string{"u1": "U on CLR 2 1/2 in"}}, nil
	}}
}

// The plan of cuts shows every piece once, with its faces by tape, and what is left over.
func TestCutPlanShowsEveryPiece(t *testing.T) {
	w := four(t)
	o := planned(t, w, "mm")
	m := make1(t, w, "cuts", o)
	plan, err := o.Cuts()
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string][]string{}
	for _, r := range m.Lists[0].Rows {
		if rows[r[1]] != nil {
			t.Errorf("%s stands twice", r[1])
		}
		rows[r[1]] = r
	}
	bends := 0
	for _, tp := range w.Plan.Tubes {
		for _, p := range tp.Pieces {
			if p.Angle == nil {
				continue
			}
			bends++
			if rows[p.ID] == nil {
				t.Errorf("%s is in no stock: %v", p.ID, plan.Plan.Out)
			}
		}
	}
	if bends != 12 {
		t.Errorf("%d bends", bends)
	}
	wants(t, m, "U on CLR 2 1/2 in no. 1\n", "on hand, 180.0°, CLR 63.50 mm\n", "To buy", "figures: outside, from the tangent line of end A", "Scale: not to scale", "t9-9 is not in this plan: no stock has its CLR", "t1-1 53.98 mm", "not below 30.00", "29 CFR 1910.1026")
	// A bend's marks are (CLR ± OD/2) times its faces.
	for _, u := range plan.Plan.Uses {
		for _, c := range u.Cuts {
			if c.To > 0 {
				r := rows[c.Piece]
				if r == nil {
					continue
				}
				outside := units.MM(units.Length((clr+od/2)*float64(c.To)).NM(), 2)
				inside := units.MM(units.Length((clr-od/2)*float64(c.To)).NM(), 2)
				if r[6] != outside || r[8] != inside {
					t.Errorf("%s: %v, want outside %s and inside %s", c.Piece, r, outside, inside)
				}
			}
		}
	}
	o.Cuts = func() (job.Packing, error) { return job.Packing{}, errors.New("no stock is entered") }
	var no *sheet.Unmade
	if _, err := sheet.Make(w, "cuts", o); !errors.As(err, &no) || !strings.Contains(no.Why, "No stock is entered") {
		t.Errorf("%v", err)
	}
}

func BenchmarkPieCutSVG(b *testing.B) {
	w := four(b)
	for b.Loop() {
		if _, err := make1(b, w, "piecut-t1", sheet.Options{}).SVG(); err != nil {
			b.Fatal(err)
		}
	}
}
