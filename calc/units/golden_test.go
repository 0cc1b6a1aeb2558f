package units_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// entry is a row of the table that the tablet's parser is tested with too.
type entry struct {
	Kind string     `json:"kind"` // length, angle, number
	Text string     `json:"text"`
	Def  units.Unit `json:"def"` // lengths: the default unit
	Unit units.Unit `json:"unit"`
	V    int64      `json:"v"`
	Res  int64      `json:"res"`
	Ask  string     `json:"ask"`
	Why  string     `json:"why"` // not empty: refused
}

func (e entry) parse() (units.Typed, error) {
	switch e.Kind {
	case "angle":
		return units.ParseAngle(e.Text)
	case "number":
		return units.ParseNumber(e.Text)
	}
	return units.ParseLength(e.Text, e.Def)
}

func table(t testing.TB) []entry {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/golden/typed.json")
	if err != nil {
		t.Fatal(err)
	}
	var entries []entry
	if err := json.Unmarshal(raw, &entries); err != nil {
		t.Fatal(err)
	}
	return entries
}

// The values of the table were worked out from the definitions (1 in = 25.4 mm)
// with rational numbers, not with this parser.
func TestTypedTextReadsAsTheTableSays(t *testing.T) {
	entries := table(t)
	if len(entries) < 60 {
		t.Fatalf("%d entries, want 60 or more", len(entries))
	}
	for _, e := range entries {
		got, err := e.parse()
		if e.Why != "" {
			fields := fault.All(err)
			if len(fields) != 1 {
				t.Errorf("%s %q in %q: got %+v, %v; want a field error: %s", e.Kind, e.Text, e.Def, got, err, e.Why)
				continue
			}
			f := fields[0]
			if f.Why != e.Why || f.Text != e.Text || !math.IsNaN(f.Got) || f.Name != "" {
				t.Errorf("%s %q in %q: got %+v\nwant why %s", e.Kind, e.Text, e.Def, f, e.Why)
			}
			if got != (units.Typed{}) {
				t.Errorf("%s %q in %q: refused, but with a value: %+v", e.Kind, e.Text, e.Def, got)
			}
			continue
		}
		want := units.Typed{Text: e.Text, Unit: e.Unit, V: e.V, Res: e.Res, Ask: e.Ask}
		if err != nil || got != want {
			t.Errorf("%s %q in %q:\n got %+v, %v\nwant %+v", e.Kind, e.Text, e.Def, got, err, want)
		}
	}
}

// No sentence beside a field may appear untested: every refusal of the grammar
// has a row.
func TestTableHasEveryKindOfRefusal(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range table(t) {
		seen[e.Why] = true
	}
	for _, why := range units.Whys() {
		if !seen[why] {
			t.Errorf("no row of the table is refused with: %s", why)
		}
	}
}
