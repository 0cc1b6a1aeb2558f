package job_test

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// Written and read again, every job file of ours says the same: every value, note and
// stage, and so the plan. Only where a value stands in the file may be another place.
func TestWrittenJobFileSaysTheSame(t *testing.T) {
	files, err := filepath.Glob("../../testdata/job/*.job.json")
	demo, err2 := filepath.Glob("../../cmd/tubewright/demo/*.job.json")
	if files = append(files, demo...); err != nil || err2 != nil || len(files) < 8 {
		t.Fatal(files, err, err2)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			was, err := job.ReadFile(data)
			if err != nil {
				t.Fatal(err)
			}
			written, left, err := job.FileOf(recordsOf(t, was))
			if len(left) > 0 || err != nil {
				t.Errorf("left out: %q, %v", left, err)
			}
			got, err := job.ReadFile(written)
			if err != nil {
				t.Fatalf("%v\n%s", err, written)
			}
			if len(got.Unknown) > 0 {
				t.Errorf("keys that are not read: %+v", got.Unknown)
			}
			same(t, was, got)
			again, _, _ := job.FileOf(recordsOf(t, got))
			if string(again) != string(written) {
				t.Error("written once more it is another file")
			}
			a, errA := job.PlanFile(data)
			b, errB := job.PlanFile(written)
			if errA != nil || errB != nil {
				t.Fatal(errA, errB)
			}
			wasUnknown := func(f job.Finding) bool { return f.Rule == "unknown-key" }
			a.Findings = slices.DeleteFunc(a.Findings, wasUnknown)
			if x, y := marshal(t, a), marshal(t, b); x != y {
				t.Errorf("another plan:\n%s\n%s", x, y)
			}
		})
	}
}

func same(t *testing.T, was, got job.Facts) {
	t.Helper()
	for slot, v := range was.Values {
		g := got.Values[slot]
		if fieldQ := quantityOf(slot); g.V != v.V || (fieldQ == job.WordQ) && g.Text != v.Text {
			t.Errorf("%s was %q %d, is %q %d", slot, v.Text, v.V, g.Text, g.V)
		}
	}
	for slot, v := range got.Values {
		if _, known := was.Values[slot]; !known {
			t.Errorf("%s came up: %q", slot, v.Text)
		}
	}
	maps.DeleteFunc(was.Notes, func(_, text string) bool { return text == "" })
	if !maps.Equal(was.Notes, got.Notes) || !maps.Equal(was.Events, got.Events) {
		t.Errorf("notes or stages differ:\n%v %v\n%v %v", was.Notes, was.Events, got.Notes, got.Events)
	}
	for _, k := range job.Kinds {
		if !slices.Equal(was.Lists[k.Name], got.Lists[k.Name]) {
			t.Errorf("%s: %+v, were %+v", k.Plural, got.Lists[k.Name], was.Lists[k.Name])
		}
	}
}

func quantityOf(slot string) job.Quantity {
	kind, _, name, _ := job.SplitSlot(slot)
	k, _ := job.KindOf(kind)
	f, _ := k.Field(name)
	return f.Quantity
}

func marshal(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// What tablets write has ids of its own for pieces of a path and shapes, which a job file
// names by their place, and what names them follows. The shop's stock and saw go along.
func TestWrittenJobFileRenamesAndTakesTheShopAlong(t *testing.T) {
	recs := recordsOf(t, job.Facts{
		Lists: map[string][]job.Entity{"tube": {{ID: "t1", Order: "a"}}, "tack": {{ID: "k9", Parent: "t1", Order: "a"}},
			"element": {{ID: "ezz", Parent: "t1", Order: "a"}, {ID: "eopen", Parent: "t1", Order: "b"}, {ID: "eaa", Parent: "t1", Order: "c"}}},
		Values: map[string]job.Value{
			"element/ezz/type": {Text: "straight"}, "element/ezz/length": {Text: "1 5/8", Unit: "in", V: 41_275_000},
			"element/eopen/type": {Text: "bend"}, "element/eopen/clr": {Text: "76.2", Unit: "mm", V: 76_200_000},
			"element/eaa/type": {Text: "straight"}, "element/eaa/length": {Text: "38,1", Unit: "mm", V: 38_100_000},
			"tack/k9/element": {Text: "eaa"}, "tack/k9/x": {Text: "1", Unit: "mm", V: 1e6},
		},
	})
	shop := recordsOf(t, job.Facts{
		Lists: map[string][]job.Entity{"stock": {{ID: "t1", Order: "a"}}},
		Values: map[string]job.Value{"shop/self/kerf": {Text: "1.6", Unit: "mm", V: 1_600_000}, "stock/t1/type": {Text: "bend"},
			"stock/t1/clr": {Text: "3", Unit: "in", V: 76_200_000}, "stock/t1/od": {Text: "9999", Unit: "mm", V: 9_999_000_000}},
	})
	written, left, err := job.FileOf(recs, shop...)
	if err != nil {
		t.Fatal(err)
	}
	text := string(written)
	for _, want := range []string{`{"straight": "1 5/8 in"}`, `{"straight": 38.1}`, `"element": "t1-e2"`, `"shop": {"kerf": 1.6}`, `"clr": "3 in"`} {
		if !strings.Contains(text, want) {
			t.Errorf("it lacks %s:\n%s", want, text)
		}
	}
	if !slices.Equal(left, []string{"Tube 1, piece 2: Centreline radius (CLR)", "Tube 1, piece 2: Straight or bend"}) {
		t.Errorf("left out: %q", left)
	}
	if got, err := job.ReadFile(written); err != nil || len(got.Lists["stock"]) != 1 || got.Lists["stock"][0].ID == "t1" {
		t.Errorf("%v, %+v", err, got.Lists)
	}
}

// recordsOf makes records of facts, as a tablet would.
func recordsOf(t *testing.T, f job.Facts) (recs []ledger.Record) {
	t.Helper()
	for i, d := range f.Drafts() {
		recs = append(recs, record(t, 1, i, d))
	}
	return recs
}
