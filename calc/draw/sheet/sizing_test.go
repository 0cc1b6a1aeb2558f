package sheet_test

import (
	"errors"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/sizing"
)

// decided are the edits that make a decision, a slip joint and a sensor of the invented
// four-cylinder job. What the rules gave is invented, so that there is drift.
var decided = []string{
	`"target": {"length": "26 in", "from": "flange", "tolerance": "1/4 in", "style": "4-1"}`,
	`"target": {"length": "26 in", "from": "flange", "tolerance": "1/4 in", "style": "4-1", "od": "1 5/8 in", "wall": "0.065 in", "outlet_od": "2 1/2 in", "collector_length": "15 in",
  "length_by": "length-850-valve", "length_rule_gave": 790, "bore_by": "gas-speed", "bore_rule_gave": "1.502 in", "reason": "Torque low down, for hills."},
 "sizing": {"gas_temperature": 700, "cone_in": 70, "cone_out": 60},
 "slips": [{"id": "s1", "name": "to the tailpipe", "outer_od": 63.5, "outer_wall": 1.65, "inner_od": 60, "inner_wall": 1.65, "outer_material": "304", "inner_material": "304", "outer_hot": 500, "inner_hot": 650}],
 "sensors": [{"id": "o1", "what": "oxygen", "name": "wide-band", "on": "t1", "from_engine": 600, "to_open_end": 300, "above": 15}]`,
	`"valve_to_face": 88`, `"valve_to_face": 88, "throat": 32`,
}

// eight is the invented V8, and empty a job of which nothing is known.
func eight(t testing.TB) job.Worked { return workedFrom(t, "eight.job.json") }

func workedFrom(t testing.TB, name string) job.Worked {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return workedText(t, string(data))
}

func empty(t testing.TB) job.Worked { return workedText(t, `{"tubewright":1}`) }

func workedText(t testing.TB, text string) job.Worked {
	t.Helper()
	w, err := job.WorkFile([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestGoldenSizing(t *testing.T) {
	for name, tt := range map[string]struct {
		w job.Worked
		o sheet.Options
	}{
		"sizing":          {four(t, decided...), sheet.Options{Date: "2026-11-30"}},
		"sizing-eight-in": {eight(t), sheet.Options{Unit: "in"}},
	} {
		svg, err := make1(t, tt.w, "sizing", tt.o).SVG()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".svg", svg)
	}
}

// read is all that a sheet says, its lines put together again.
func read(m sheet.Made) string {
	var list []string
	for _, s := range m.Sheets {
		for _, e := range s.Drawing.Entities {
			if text, ok := e.(draw.Text); ok {
				list = append(list, text.Text)
			}
		}
	}
	return strings.Join(list, " ")
}

func reads(t *testing.T, m sheet.Made, list ...string) {
	t.Helper()
	all := read(m)
	for _, want := range list {
		if !strings.Contains(all, want) {
			t.Errorf("%s: %q is missing on it", m.Key, want)
		}
	}
	if t.Failed() {
		t.Log(all)
	}
}

// Every rule prints its formula, its sources with their grades, and where it starts,
// whether it gives something for this engine or not.
func TestEveryRuleStandsOnTheSheet(t *testing.T) {
	starts := map[sizing.Start]string{"": "there is no length in it", sizing.Valve: "counted from the valve head", sizing.Flange: "counted from the flange, the port face", sizing.Joint: "counted from the joint where the part begins"}
	for name, w := range map[string]job.Worked{"four": four(t, decided...), "eight": eight(t), "empty": empty(t)} {
		all := read(make1(t, w, "sizing", sheet.Options{}))
		for _, r := range sizing.Rules() {
			begin := r.Name + " " + r.ID + ": " + string(r.Grade) + " gives "
			_, own, found := strings.Cut(all, begin)
			if !found {
				t.Errorf("%s: no %q on the sheet", name, begin)
				continue
			}
			// What it says ends where the next rule begins.
			for _, other := range sizing.Rules() {
				own, _, _ = strings.Cut(own, " "+other.ID+": ")
			}
			want := []string{" starts " + starts[r.Start] + " formula " + r.Formula, " meant for " + r.Holds}
			for _, s := range r.Sources {
				want = append(want, s.Text+" ("+string(s.Grade)+")")
			}
			for _, text := range want {
				if !strings.Contains(own, text) {
					t.Errorf("%s, %s: %q is missing in %q", name, r.ID, text, own)
				}
			}
		}
	}
}

// Results stand in mm and in the book's unit, the latter as the formula gives it: D1 =
// π/4·83.4²·90.2 mm³ = 30.0696 in³, A = 5200·D1/88,200 = 1.77281 in², so d = 1.50240 in or
// 38.161 mm; ED = 180 + 61 = 241, 850·241/5200 = 39.394 in or 1000.61 mm (closed forms).
func TestResultsStandInBothUnits(t *testing.T) {
	for _, o := range []sheet.Options{{}, {Unit: "in"}} {
		reads(t, make1(t, four(t, decided...), "sizing", o), "primary bore: 38.16 mm = 1.502 in", "primary length: 1000.61 mm = 39.394 in; counted from the valve head", "N = 5200 rpm: speed of peak torque; entered; meant for 1500 to 9000 rpm")
	}
	reads(t, make1(t, four(t, decided...), "sizing", sheet.Options{Unit: "in"}), "1004.17 mm = 39.534 in = 100.42 cm")
}

// On every page no text runs over another or over the edge, and no page is made smaller.
func TestSizingStandsClear(t *testing.T) {
	long := slices.Clone(decided)
	long[1] = strings.ReplaceAll(long[1], "Torque low down, for hills.", strings.Repeat("because", 60)+strings.Repeat(" and so on", 200))
	for name, w := range map[string]job.Worked{"four": four(t, decided...), "eight": eight(t), "pairs": four(t, `"style": "4-1"`, `"style": "4-2-1"`), "empty": empty(t), "long": four(t, long...), "flange": worked(t)} {
		for _, o := range []sheet.Options{{}, {Unit: "in"}} {
			for i, s := range make1(t, w, "sizing", o).Sheets {
				for _, p := range []pdf.Paper{pdf.A4, pdf.Letter} {
					tiling, err := pdf.Tile(s, p)
					if err != nil || tiling.Scale != 1 || tiling.Landscape {
						t.Errorf("%s, page %d on %s: %v, scale %v, across %v", name, i+1, p.Name, err, tiling.Scale, tiling.Landscape)
					}
				}
				var seen []draw.Text
				for _, e := range s.Drawing.Entities {
					text, ok := e.(draw.Text)
					if !ok {
						continue
					}
					b := text.Bounds()
					if b.Min[0] < -1e-9 || b.Max[0] > 188+1e-9 {
						t.Errorf("%s, page %d: %q goes from %v to %v", name, i+1, text.Text, b.Min[0], b.Max[0])
					}
					for _, other := range seen {
						c := other.Bounds()
						if min(b.Max[0], c.Max[0])-max(b.Min[0], c.Min[0]) > 0.01 && min(b.Max[1], c.Max[1])-max(b.Min[1], c.Min[1]) > 0.01 {
							t.Errorf("%s, page %d: %q runs over %q", name, i+1, text.Text, other.Text)
						}
					}
					seen = append(seen, text)
				}
			}
		}
	}
}

// The decision comes first, with what it rests on and what has drifted since: the rule gave
// 790 mm and gives 39.394 in − 88 mm = 912.61 mm; the bore's has not moved.
func TestDecisionStandsOnTop(t *testing.T) {
	m := make1(t, four(t, decided...), "sizing", sheet.Options{})
	if first := read(m); !strings.HasPrefix(first, "Decided: 41.28 × 1.65 mm (1.625 × 0.065 in), 660.40 mm from the flange ") {
		t.Errorf("it begins with %.120s", first)
	}
	reads(t, m, "ID of 37.97 mm (1.495 in)", "± 6.35 mm (0.250 in)", "outlet OD 63.50 mm (2.500 in), length 381.00 mm (15.000 in)", "Torque low down, for hills.",
		"Primary length, 850 rule from the valve (length-850-valve); it gave 790.00 mm (31.102 in) when it was decided, and gives 912.61 mm (35.930 in) with today's figures",
		"By whom, when not recorded", "Drift When the length was decided")
	if strings.Count(read(m), " Drift When") != 1 {
		t.Error("what has not moved has drifted")
	}
	steady := slices.Clone(decided)
	steady[1] = strings.ReplaceAll(steady[1], `"length_rule_gave": 790`, `"length_rule_gave": 912.61`)
	reads(t, make1(t, four(t, steady...), "sizing", sheet.Options{}), "Drift none: what the rules")
	open := make1(t, eight(t), "sizing", sheet.Options{})
	reads(t, open, "Not decided yet To enter first: primary OD; primary wall; reason of the decision.", "nothing is decided yet")
	for _, s := range m.Sheets {
		if len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0], "4 stops, 2 warnings") {
			t.Errorf("a page bears %q", s.Warnings)
		}
		if !slices.Equal(s.Cautions, sizing.Cautions) {
			t.Errorf("a page cautions of %q", s.Cautions)
		}
	}
}

// scale is what a picture of bars has of one: places of its figures, diamonds, and of the
// line of the decision.
type scale struct {
	at, says []float64
	diamonds []float64
	chosen   float64
}

// first reads the first scale of a page.
func first(t *testing.T, d draw.Drawing) (s scale) {
	t.Helper()
	number := regexp.MustCompile(`^[0-9.]+$`)
	below := math.Inf(-1)
	for _, e := range d.Entities {
		if text, ok := e.(draw.Text); ok && text.Height == 1.8 && number.MatchString(text.Text) {
			if below == math.Inf(-1) {
				below = text.At[1]
			}
			if text.At[1] != below {
				continue
			}
			v, err := strconv.ParseFloat(text.Text, 64)
			if err != nil {
				t.Fatal(err)
			}
			s.at, s.says = append(s.at, text.At[0]), append(s.says, v)
		}
	}
	for _, e := range d.Entities {
		l, ok := e.(draw.Loop)
		if !ok || !l.Filled || l.Bounds().Min[1] < below {
			continue
		}
		b := l.Bounds()
		if x := (b.Min[0] + b.Max[0]) / 2; b.Height() > 5 {
			s.chosen = x
		} else {
			s.diamonds = append(s.diamonds, x)
		}
	}
	return s
}

// is is the value at a place of the scale.
func (s scale) is(x float64) float64 {
	n := len(s.at) - 1
	return s.says[0] + (x-s.at[0])*(s.says[n]-s.says[0])/(s.at[n]-s.at[0])
}

// What is drawn is where its figure says: by the ticks of the scale the diamonds stand at
// the bores that the rules give, and the line at the decided ID.
func TestBarsStandWhereTheySay(t *testing.T) {
	for _, tt := range []struct {
		o    sheet.Options
		unit float64
	}{{sheet.Options{}, 1}, {sheet.Options{Unit: "in"}, 25.4}} {
		w := four(t, decided...)
		m := make1(t, w, "sizing", tt.o)
		page := slices.IndexFunc(m.Sheets, func(s draw.Sheet) bool {
			return slices.ContainsFunc(s.Drawing.Entities, func(e draw.Entity) bool {
				text, ok := e.(draw.Text)
				return ok && text.Text == "How wide?"
			})
		})
		if page < 0 {
			t.Fatal("no scale")
		}
		s := first(t, m.Sheets[page].Drawing)
		if len(s.at) < 4 || len(s.diamonds) != 2 {
			t.Fatalf("%+v", s)
		}
		spread := w.Sizing().Spreads[0]
		for i, d := range s.diamonds {
			if got, want := s.is(d)*tt.unit, float64(spread.Marks[i].Value); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s stands at %v mm, want %v", spread.Marks[i].Rule, got, want)
			}
		}
		if got := s.is(s.chosen) * tt.unit; math.Abs(got-37.973) > 1e-6 {
			t.Errorf("decided stands at %v mm, want 37.973", got)
		}
	}
}

// A V8 that fires 1-8-4-3-6-5-7-2 and is numbered by banks: on the crank's circle it fires
// every 90°; with cylinders 2, 3, 6 and 7 across both collectors fire every 180° (by hand).
func TestCrankCircleOfAnEight(t *testing.T) {
	m := make1(t, eight(t), "sizing", sheet.Options{})
	reads(t, m, "Firing order 1-8-4-3-6-5-7-2, numbered 1-4/5-8: bank A front to rear 1-2-3-4; bank B front to rear 5-6-7-8", "Tubes of cylinders 2, 3, 6, 7 cross to the other bank's collector. Both collectors then fire evenly.",
		"4-2-1 A 1-4-3-2 (180, 90, 360, 90°); first into pairs 1-3 (270, 450°) and 2-4 (270, 450°)")
	page := slices.IndexFunc(m.Sheets, func(s draw.Sheet) bool {
		return strings.Contains(read(sheet.Made{Sheets: []draw.Sheet{s}}), "outer ring: first turn")
	})
	var hub draw.Pos
	rings := map[string]draw.Pos{}
	for _, e := range m.Sheets[page].Drawing.Entities {
		switch e := e.(type) {
		case draw.Circle:
			if e.Radius == 0.8 {
				hub = e.Centre
			}
		case draw.Text:
			if _, known := rings[e.Text]; !known && e.Height == 3 && e.Bold {
				rings[e.Text] = e.At
			}
		}
	}
	for i, c := range []string{"1", "8", "4", "3", "6", "5", "7", "2"} {
		r := 30.0
		if i >= 4 {
			r = 18
		}
		sin, cos := math.Sincos(float64(i) * math.Pi / 2)
		if at, known := rings[c]; !known || math.Hypot(at[0]-hub[0]-r*sin, at[1]-hub[1]-r*cos) > 1e-9 {
			t.Errorf("cylinder %s stands at %v about %v", c, at, hub)
		}
	}
}

// A 4-2-1 is drawn by the pairs that fire farthest apart: on 1-3-4-2 each fires 360° after
// the other (by hand).
func TestPairsOfAFour(t *testing.T) {
	reads(t, make1(t, four(t, `"style": "4-1"`, `"style": "4-2-1"`), "sizing", sheet.Options{}), "Which cylinders share a secondary of a 4-2-1", "1 360° 4 360° 4-2-1 1-4 fires evenly 2 360° 3 360° 4-2-1 2-3 fires evenly")
}

// What is missing is said; a sheet is there all the same.
func TestSizingOfAnEmptyJobSaysWhatItWants(t *testing.T) {
	m := make1(t, empty(t), "sizing", sheet.Options{})
	reads(t, m, "Not decided yet", "gives nothing yet to enter first", "Primary bore by mean gas speed bore; stroke; peak torque wanted at", "The firing order is not entered yet.",
		"No rule gives a bore yet", "Nothing to hold against each other yet", "No tube has a whole path yet.", "No sensor is entered.", "None is known: no slip joint")
	var no *sheet.Unmade
	if _, err := m.DXF(); !errors.As(err, &no) {
		t.Errorf("it has a DXF: %v", err)
	}
}

// Fits stand with their sources.
func TestFitsStandOnTheSheet(t *testing.T) {
	reads(t, make1(t, four(t, decided...), "sizing", sheet.Options{}),
		"Slip joint 1 (to the tailpipe) 60.20 60.00 0.20 telescoping tube, 0.20 to 0.50", "note on telescoping tube: a sliding fit needs 0.2 to 0.5 mm (published)",
		"Port 1, tube 1 136.05 119.30 1363.6 1132.5 -2.67 -1.77 13.5", "data sheet of 304/304L (published)", "own choice, since nobody entered it",
		"pipe diameters ahead of the open end 7.9 diameters at least 10 diameters no", "at least 10° above horizontal, so that water runs off (published)", "41.28 × 1.65, decided 37.97 1132.5")
}

// Whoever lists sheets knows which of them bear no rulers.
func TestListSaysWhatIsNotToScale(t *testing.T) {
	w := four(t)
	for _, e := range sheet.Of(w).Sheets {
		if e.Why != "" {
			continue
		}
		for _, s := range make1(t, w, e.Key, planned(t, w, "mm")).Sheets {
			if s.NotToScale != e.NotToScale {
				t.Errorf("%s: listed as not to scale %v, made so %v", e.Key, e.NotToScale, s.NotToScale)
			}
		}
	}
}

// Its sign changes with what it rests on, and with nothing else.
func TestSignOfTheSizing(t *testing.T) {
	before := signOf(four(t), "sizing")
	for _, tt := range []struct {
		old, new string
		changes  bool
	}{
		{`"bore": 83.4`, `"bore": 83.5`, true}, {`"style": "4-1"`, `"style": "4-2-1"`, true}, {`"width": "41,3 mm"`, `"width": "41,4 mm"`, true}, {`{"bend": 48.5,`, `{"bend": 49.5,`, true},
		{`"name": "Heron four`, `"name": "Heron`, false}, {`"id": "b2", "x": 81`, `"id": "b2", "x": 82`, false}, {`"kerf": "0.063 in"`, `"kerf": "0.064 in"`, false},
	} {
		if got := signOf(four(t, tt.old, tt.new), "sizing") != before; got != tt.changes {
			t.Errorf("%s: its sign changes: %v", tt.new, got)
		}
	}
}

func BenchmarkSizingSVG(b *testing.B) {
	w := four(b, decided...)
	for b.Loop() {
		if _, err := make1(b, w, "sizing", sheet.Options{}).SVG(); err != nil {
			b.Fatal(err)
		}
	}
}
