package job_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

const benchJob = "../../testdata/job/bench.job.json"

// One bend in one plane, cut 1° long, with 2° of clock and a straight 1 mm long: where
// the end comes has a closed form, and so has how far that is from the plan.
func TestAsCutMovesTheEndAsItsClosedFormSays(t *testing.T) {
	p := plan(t, strings.NewReplacer(
		`{"bend":72,"clr":"3 in","rotation":180}`, `{"bend":72,"clr":"3 in","rotation":180,"as_cut":{"angle":73},"as_clocked":178,"stage":"tacked"}`,
		`{"straight":"3.4 in"}`, `{"straight":"3.4 in","as_cut":{"length":87.36}}`).Replace(oneTube))
	const r, s1, s2 = 76.2, 38.1, 87.36
	rad := math.Pi / 180
	end := func(turn, clock, last float64) [3]float64 {
		out, down := r*(1-math.Cos(turn))+last*math.Sin(turn), s1+r*math.Sin(turn)+last*math.Cos(turn)
		// Rotation counts right-hand about travel from up: about z from y towards −x.
		return [3]float64{40 - out*math.Sin(clock), 28 + out*math.Cos(clock), down}
	}
	got, want := at(t, p, "tubes", 0, "made"), end(73*rad, 178*rad, s2)
	planned := end(72*rad, 180*rad, 86.36)
	miss := 0.0
	for i := range want {
		if v := at(t, got, "at", i).(float64); math.Abs(v-want[i]) > 1e-6 {
			t.Errorf("axis %d: %v, want %v (closed form)", i, v, want[i])
		}
		miss += (want[i] - planned[i]) * (want[i] - planned[i])
	}
	for what, v := range map[string]float64{"miss": math.Sqrt(miss), "longer": r*rad + 1, "centreline": s1 + r*73*rad + s2,
		"aim_off": math.Acos(math.Sin(73*rad)*math.Sin(72*rad)*math.Cos(2*rad)+math.Cos(73*rad)*math.Cos(72*rad)) / rad} {
		if g := at(t, got, what).(float64); math.Abs(g-v) > 1e-6 {
			t.Errorf("%s: %v, want %v (closed form)", what, g, v)
		}
	}
	if at(t, got, "to") != "plan" || at(t, got, "closes") != false || !hasFinding(t, p, "warn", "chain-open") || !hasFinding(t, p, "warn", "off-plan") {
		t.Errorf("made %v, findings %v", got, at(t, p, "findings"))
	}
	piece := at(t, p, "tubes", 0, "pieces", 1)
	for what, v := range map[string]float64{"clock_off": -2, "clock_arc_off": -2 * rad * 44.45 / 2, "as_clocked": 178} {
		if g := at(t, piece, what).(float64); math.Abs(g-v) > 1e-6 {
			t.Errorf("%s: %v, want %v", what, g, v)
		}
	}
	if c := at(t, piece, "as_cut"); math.Abs(at(t, c, "angle_off").(float64)-1) > 1e-6 || at(t, c, "clr") != nil || math.Abs(at(t, c, "length").(float64)-r*73*rad) > 1e-6 {
		t.Errorf("as cut %v", c)
	}
	if p := plan(t, oneTube); at(t, p, "tubes", 0, "made") != nil || hasFinding(t, p, "warn", "chain-open") {
		t.Error("a tube of which nothing is cut does not close")
	}
}

// A piece made of straights in a row has one length as cut.
func TestStraightsInARowAreCutAsOne(t *testing.T) {
	split := strings.Replace(oneTube, `{"straight":"3.4 in"}`, `{"straight":0},{"straight":40,"as_cut":{"length":87}},{"straight":46.36}`, 1)
	p := plan(t, split)
	if got := at(t, p, "tubes", 0, "made", "longer").(float64); math.Abs(got-0.64) > 1e-6 {
		t.Errorf("longer by %v, want 0.64", got)
	}
	p = plan(t, strings.Replace(oneTube, `{"straight":"3.4 in"}`, `{"straight":40},{"straight":46.36,"as_cut":{"length":87}}`, 1))
	if !hasFinding(t, p, "warn", "made-elsewhere") {
		t.Error("a length at a part with which no piece begins is lost without a word")
	}
}

// A free end that was measured is where the tube goes on from, whatever its pieces say.
func TestMeasuredFreeEndTakesTheirPlace(t *testing.T) {
	for _, tt := range []struct {
		name, tack string
		at         [3]float64
		finding    string
	}{
		{"with its aim", `{"element":"t1-e2","at":[41,-24,110],"aim":[0,-1,0]}`, [3]float64{41, -24 - 86.36, 110}, "chain-open"},
		{"without", `{"element":"t1-e2","at":[40,-22,110]}`, [3]float64{40, -22 - 86.36*math.Sin(72*math.Pi/180), 110 + 86.36*math.Cos(72*math.Pi/180)}, "chain-open"},
		{"the last one counts", `{"element":"t1-e1","at":[50,28,40]},{"element":"t1-e2","at":[41,-24,110],"aim":[0,-1,0]}`, [3]float64{41, -24 - 86.36, 110}, "chain-open"},
		{"aim that points back", `{"element":"t1-e2","at":[40,-24,110],"aim":[0,1,-0.2]}`, [3]float64{}, "free-end-aim"},
		{"far off", `{"element":"t1-e2","at":[60,-24,110]}`, [3]float64{60, -24 - 86.36*math.Sin(72*math.Pi/180), 110 + 86.36*math.Cos(72*math.Pi/180)}, "free-end-off"},
	} {
		p := plan(t, strings.Replace(oneTube, `"path":[`, `"tacks":[`+tt.tack+`],"path":[`, 1))
		if !hasFinding(t, p, "warn", tt.finding) {
			t.Errorf("%s: no finding %s", tt.name, tt.finding)
		}
		made := at(t, p, "tubes", 0, "made")
		if (made == nil) != (tt.at == [3]float64{}) {
			t.Errorf("%s: made %v", tt.name, made)
			continue
		}
		for i := range tt.at {
			if made != nil && math.Abs(at(t, made, "at", i).(float64)-tt.at[i]) > 1e-6 {
				t.Errorf("%s: end %v, want %v (closed form)", tt.name, at(t, made, "at"), tt.at)
				break
			}
		}
	}
}

// Who said how far a piece is, and when, stands beside it; the latest holds.
func TestStageOfAPieceSaysWhoAndWhen(t *testing.T) {
	recs := entered(t, four)
	say := func(n int, stage, who string) {
		recs = append(recs, record(t, 2, n, job.Draft{Slot: "element/t2-e2/stage", Piece: &ledger.Note{Text: stage, Person: who, At: fmt.Sprintf("2026-11-30T08:00:%02dZ", n-900)}}))
	}
	say(902, "tacked", "B. Invented")
	say(901, "cut", "A. Invented")
	recs = append(recs, record(t, 2, 903, job.Draft{Slot: "element/t2-e2/stage", Note: &ledger.Note{Text: "inspected"}}))
	v := job.FromRecords(recs)
	p := v.Plan.Tubes[1].Pieces[1]
	if p.ID != "t2-2" || p.Stage != "tacked" || p.StageBy != "B. Invented" || p.StageAt != "2026-11-30T08:00:02Z" {
		t.Errorf("piece %+v", p)
	}
	c := job.Summarise("j1", recs).Pieces
	if c.All != 28 || c.Tacked != 1 || c.Cut != 0 {
		t.Errorf("counts %+v, want one of 28 tacked", c)
	}
}

// Numbers that pieces bear are their names, wherever they come in the path.
func TestPiecesAreNamedByTheirNumbers(t *testing.T) {
	p := plan(t, strings.NewReplacer(`{"straight":"1.5 in"}`, `{"straight":"1.5 in","number":7}`, `"rotation":180}`, `"rotation":180,"number":2}`).Replace(oneTube))
	for i, want := range []string{"t1-7", "t1-2", "t1-1"} {
		pc := at(t, p, "tubes", 0, "pieces", i)
		if at(t, pc, "id") != want || at(t, pc, "joint_before") != float64(i) {
			t.Errorf("piece %d: %v, want %s behind joint %d", i, pc, want, i)
		}
	}
	if after := at(t, p, "tubes", 0, "pieces", 2, "joint_after"); after != nil {
		t.Errorf("a joint %v behind the last piece", after)
	}
	twice := plan(t, strings.NewReplacer(`{"straight":"1.5 in"}`, `{"straight":"1.5 in","number":2}`, `"rotation":180}`, `"rotation":180,"number":2}`).Replace(oneTube))
	if !hasFinding(t, twice, "warn", "piece-number-twice") || at(t, twice, "tubes", 0, "pieces", 1, "id") != "t1-1" {
		t.Errorf("two of one number: %v", at(t, twice, "tubes", 0, "pieces"))
	}
}

func TestFindingsOfPiecesAndStock(t *testing.T) {
	bench := string(readFile(t, benchJob))
	tests := []struct{ rule, severity, old, new string }{
		{"small-piece", "warn", `{"bend": 31.0`, `{"bend": 7.5`},
		{"wall-left", "note", `"od": "1 5/8 in", "wall": "0.065 in", "material": "304", "path": [
   {"straight": "2 1/8 in"`, `"od": "1 7/8 in", "wall": "0.065 in", "material": "304", "path": [
   {"straight": "2 1/8 in"`},
		{"no-stock", "note", `{"bend": 31.0, "clr": "2 1/2 in"`, `{"bend": 31.0, "clr": "3 in"`},
		{"no-stock", "note", `"wall": "0.065 in", "material": "304", "path"`, `"wall": "0.049 in", "material": "304", "path"`},
		{"no-stock", "note", `"wall": "0.065 in", "material": "304", "path"`, `"wall": "0.065 in", "material": "321", "path"`},
		{"beyond-stock", "note", `"angle": 180`, `"angle": 110`},
		{"off-plan", "warn", `"as_cut": {"angle": 58.1}`, `"as_cut": {"angle": 58.6}`},
		{"off-plan", "warn", `"as_cut": {"length": 147.6}`, `"as_cut": {"length": 145.9}`},
		{"piece-number-twice", "warn", `"number": 3, "as_cut"`, `"number": 2, "as_cut"`},
	}
	count := func(file, rule string) int {
		n := 0
		for _, f := range at(t, plan(t, file), "findings").([]any) {
			if at(t, f, "rule") == rule {
				n++
			}
		}
		return n
	}
	// A bend of the other angle says nothing of its CLR.
	bench = strings.Replace(bench, `, "clr_measured": [128.4, 128.2]`, ``, 1)
	for _, tt := range tests {
		file := strings.Replace(bench, tt.old, tt.new, 1)
		if file == bench {
			t.Fatalf("%q is not in the file", tt.old)
		}
		if !hasFinding(t, plan(t, file), tt.severity, tt.rule) || count(file, tt.rule) <= count(bench, tt.rule) {
			t.Errorf("%q for %q: no further %s of rule %s", tt.new, tt.old, tt.severity, tt.rule)
		}
	}
	if !hasFinding(t, plan(t, string(readFile(t, benchJob))), "note", "true-clr") || count(bench, "true-clr") != 0 {
		t.Error("a CLR measured 0.65 mm larger than it is sold by is not told, or one that was not measured is")
	}
}

func TestRefusalsOfStockAndOfWhatWasMade(t *testing.T) {
	bench := string(readFile(t, benchJob))
	for _, tt := range []struct{ name, old, new, where, says string }{
		{"across legs that are not parallel", `"angle": 180`, `"angle": 170`, "stock[0].clr_measured[0]", "exactly 180"},
		{"three readings across", `[128.4, 128.2]`, `[128.4, 128.2, 128]`, "stock[0].clr_measured", "one or two"},
		{"stock tighter than its tube", `"clr": "2 1/2 in", "angle": 90`, `"clr": 20, "angle": 90`, "stock[1].clr", "20.637 to 1000 mm"},
		{"wall thicker than its tube", `"od": 48.3, "wall": 3.68`, `"od": 12, "wall": 7`, "stock[4].wall", "0.3 to 6 mm"},
		{"half an item", `"on_hand": 2`, `"on_hand": 2.5`, "stock[0].on_hand", "whole number"},
		{"unknown form", `"form": "U"`, `"form": "W"`, "stock[0].form", "U, J, 90"},
		{"unknown stage", `"stage": "deburred"`, `"stage": "polished"`, "tubes[1].path[2].stage", "cut, deburred"},
		{"as cut tighter than the tube", `"clr": 63.5}`, `"clr": 20}`, "tubes[1].path[1].as_cut.clr", "20.637 to 1000 mm"},
		{"free end of another tube", `"element": "t3-e4"`, `"element": "t2-e4"`, "tubes[2].tacks[0].element", "another tube"},
		{"free end of nothing", `"element": "t3-e4"`, `"element": "t3-e9"`, "tubes[2].tacks[0].element", "no element"},
	} {
		file := strings.Replace(bench, tt.old, tt.new, 1)
		if file == bench {
			t.Fatalf("%q is not in the file", tt.old)
		}
		_, err := job.PlanFile([]byte(file))
		fields := fault.All(err)
		if len(fields) == 0 || fields[0].Where != tt.where || !strings.Contains(fields[0].Error(), tt.says) {
			t.Errorf("%s: got %v, want %q at %s", tt.name, err, tt.says, tt.where)
		}
	}
}

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
