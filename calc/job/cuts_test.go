package job_test

import (
	"encoding/json"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
)

// plain turns what is worked out into JSON, as a script sees it.
func plain(t *testing.T, v any) any {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func whole(t *testing.T, file string) map[string]any {
	t.Helper()
	p, err := job.WholeFile([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	return plain(t, p).(map[string]any)
}

// What is cut and what is left stands once, as a piece or as the leg of one, and marks
// on stock whose CLR was measured are for that.
func TestEveryPieceIsCutOnce(t *testing.T) {
	p := whole(t, string(readFile(t, benchJob)))
	found := map[string]int{}
	for _, s := range at(t, p, "cuts", "stock").([]any) {
		for _, c := range at(t, s, "cuts").([]any) {
			c := c.(map[string]any)
			found[c["piece"].(string)]++
			for _, leg := range []string{"leg_a", "leg_b"} {
				if l, has := c[leg]; has {
					found[at(t, l, "piece").(string)]++
				}
			}
			to, isBend := c["to"]
			if !isBend {
				continue
			}
			clr, od := 63.5, 41.275
			if at(t, s, "stock") == "u1" {
				clr = (128.4 + 128.2) / 4 // the mean of both readings, halved
			}
			a := at(t, to, "angle").(float64) * math.Pi / 180
			for mark, r := range map[string]float64{"outside": clr + od/2, "inside": clr - od/2, "centreline": clr} {
				if got := at(t, to, mark).(float64); math.Abs(got-r*a) > 1e-5 {
					t.Errorf("%v on %v: %s mark at %v, want %v (closed form)", c["piece"], at(t, s, "stock"), mark, got, r*a)
				}
			}
		}
	}
	for _, id := range at(t, p, "cuts", "done").([]any) {
		found[id.(string)]++
	}
	pieces := 0
	for _, tube := range at(t, p, "tubes").([]any) {
		for _, pc := range at(t, tube, "pieces").([]any) {
			pieces++
			id := at(t, pc, "id").(string)
			isDone := slices.Contains(at(t, p, "cuts", "done").([]any), any(id))
			if found[id] != 1 || isDone != (at(t, pc, "stage") != "") {
				t.Errorf("%s stands %d times, done %v", id, found[id], isDone)
			}
		}
	}
	if pieces != len(found) || at(t, p, "cuts", "optimal") != true {
		t.Errorf("%d pieces, %d of them in the plan of cuts", pieces, len(found))
	}
}

func TestCutsSayWhatIsShort(t *testing.T) {
	bench := string(readFile(t, benchJob))
	rules := func(file string) map[string]int {
		n := map[string]int{}
		for _, f := range at(t, whole(t, file), "findings").([]any) {
			n[at(t, f, "rule").(string)]++
		}
		return n
	}
	for _, tt := range []struct{ rule, old, new string }{
		{"stock-short", `"on_hand": 2`, `"on_hand": 1`},
		{"kerf-open", `"kerf": "0.063 in", `, ``},
		{"piece-without-stock", `"wall": "0.065 in", "material": "304", "length"`, `"wall": "0.049 in", "material": "304", "length"`},
		{"piece-split", `"angle": 180, "leg_a"`, `"angle": 100, "leg_a"`},
		{"true-clr-marks", ``, ``},
		{"price-open", `"price": 38.5, `, ``},
		{"stock-open", `"stock": [`, `"stock": [], "former": [`},
	} {
		file := strings.Replace(bench, tt.old, tt.new, 1)
		if tt.rule == "piece-split" {
			file = strings.Replace(file, `, "clr_measured": [128.4, 128.2]`, ``, 1)
		}
		if rules(file)[tt.rule] == 0 {
			t.Errorf("%q for %q: nothing of rule %s in %v", tt.new, tt.old, tt.rule, rules(file))
		}
	}
	got := rules(bench)
	for _, rule := range []string{"kerf-open", "piece-without-stock", "piece-split", "price-open", "stock-open"} {
		if got[rule] != 0 {
			t.Errorf("rule %s speaks up on the job as it is", rule)
		}
	}
	if rules(strings.Replace(bench, `"stock": [`, `"stock": [], "former": [`, 1))["piece-without-stock"] != 0 {
		t.Error("each piece is called without stock where none is entered at all")
	}
}

// Two headers of one kind need every piece twice.
func TestSecondSetIsCutToo(t *testing.T) {
	file := strings.Replace(string(readFile(t, four)), `"style": "4-1"`, `"style": "4-1", "sets": 2`, 1)
	file = strings.TrimSuffix(strings.TrimSpace(file), "}") + `, "stock": [
		{"id": "u", "od": "1 5/8 in", "wall": "0.065 in", "material": "304", "clr": "2 1/2 in", "angle": 180, "leg_a": 100, "leg_b": 100, "price": 38},
		{"id": "l", "od": "1 5/8 in", "wall": "0.065 in", "material": "304", "length": 6000, "price": 60}]}`
	sets := map[string][]float64{}
	for _, s := range at(t, whole(t, file), "cuts", "stock").([]any) {
		for _, c := range at(t, s, "cuts").([]any) {
			id := at(t, c, "piece").(string)
			sets[id] = append(sets[id], at(t, c, "set").(float64))
		}
	}
	for _, bend := range []string{"t1-2", "t2-4", "t4-6"} {
		of := sets[bend]
		slices.Sort(of)
		if !slices.Equal(of, []float64{1, 2}) {
			t.Errorf("%s of sets %v, want 1 and 2", bend, of)
		}
	}
}

// Nobody waits for what nobody wants any more.
func TestLongWorkEndsWhenItIsToldTo(t *testing.T) {
	w, err := job.WorkFile(readFile(t, benchJob))
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	stop := func(float64) bool { asked++; return false }
	if _, err := job.Cuts(w.Job, stop); err != nil {
		t.Error(err)
	}
	for _, c := range job.Corrections(w.Job, stop) {
		if len(c.Others) > 0 && c.Complete {
			t.Errorf("%s was tried to the end", c.Tube)
		}
	}
	if asked == 0 {
		t.Error("nobody was asked whether to go on")
	}
}

// A tube without a material finds no stock, nor does one whose material no item of its size
// is said to be of: it is said once a tube, and where to enter it, not once for each piece.
func TestCutsSayThatAMaterialIsNotEntered(t *testing.T) {
	bench := string(readFile(t, benchJob))
	const first, length = `"wall": "0.065 in", "material": "304", "path"`, `"wall": "0.065 in", "material": "304", "length": "48 in"`
	without := strings.Replace(bench, first, `"wall": "0.065 in", "path"`, 1)
	for name, tt := range map[string]struct {
		file  string
		want  map[string]int // of rule material-open, by severity and first slot
		out   string         // why pieces are in no plan
		other bool           // there are findings of pieces without stock
	}{
		"of a tube":    {without, map[string]int{"note tube/t1/material": 1, "warn tube/t1/material": 1}, "material", false},
		"of an item":   {strings.Replace(bench, length, `"wall": "0.065 in", "length": "48 in"`, 1), map[string]int{"warn stock/len/material": 4}, "material", false},
		"of none":      {bench, map[string]int{}, "", false},
		"another tube": {strings.Replace(bench, first, `"wall": "0.049 in", "path"`, 1), map[string]int{}, "there is no", true},
	} {
		plan := whole(t, tt.file)
		got := map[string]int{}
		other := false
		for _, f := range at(t, plan, "findings").([]any) {
			switch at(t, f, "rule").(string) {
			case "material-open":
				got[at(t, f, "severity").(string)+" "+at(t, f, "slots").([]any)[0].(string)]++
			case "piece-without-stock", "no-stock":
				other = true
			}
		}
		if !maps.Equal(got, tt.want) || other != tt.other {
			t.Errorf("%s: %v, want %v; others %v", name, got, tt.want, other)
		}
		list := at(t, plan, "cuts", "out").([]any)
		if (len(list) > 0) != (tt.out != "") {
			t.Errorf("%s: %v", name, list)
		}
		for _, o := range list {
			if why := at(t, o, "why").(string); !strings.Contains(why, tt.out) {
				t.Errorf("%s: %s is out because %s", name, at(t, o, "piece"), why)
			}
		}
	}
}

// A plan of which nothing is to be said has a list of nothing, as screens and scripts count
// on: a job without a tube, and one that has all it needs.
func TestCutsWithoutFindingsHaveAList(t *testing.T) {
	bench := string(readFile(t, benchJob))
	for name, file := range map[string]string{
		"no tube":      `{"tubewright": 1, "engine": {"cylinders": 4}}`,
		"all it needs": strings.Replace(strings.Replace(bench, `, "clr_measured": [128.4, 128.2]`, ``, 1), `"on_hand": 2`, `"on_hand": 9`, 1),
	} {
		p, err := job.CutsOf(enteredFrom(t, []byte(file)), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		plan := plain(t, p)
		if list, is := at(t, plan, "findings").([]any); !is || len(list) != 0 {
			t.Errorf("%s: findings are %v", name, at(t, plan, "findings"))
		}
		for _, key := range []string{"stock", "buy", "out", "splits", "done"} {
			if _, is := at(t, plan, key).([]any); !is {
				t.Errorf("%s: %s is no list", name, key)
			}
		}
	}
}
