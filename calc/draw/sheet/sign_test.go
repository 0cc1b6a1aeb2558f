package sheet_test

import (
	"slices"
	"testing"

	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
)

// The sign of a sheet changes with what the sheet is made from, and with nothing else:
// a print whose rulers were measured stays good while a tube is laid out.
func TestSignOfASheetIsOfItsOwnContent(t *testing.T) {
	signs := func(edit ...string) map[string]string {
		list := map[string]string{}
		for _, e := range sheet.Of(worked(t, edit...)).Sheets {
			if e.Why == "" && !isOfTubes(e.Key) && e.Key != "sizing" {
				list[e.Key] = e.Sign
			}
		}
		return list
	}
	before := signs()
	head := []string{"flange-A", "flange-A-head", "ports-A", "dies-A", "pattern-g1", "pattern-s1"}
	held := []string{"fixture", "base"}
	every := slices.Concat(head, held, []string{"transition-t1", "transition-t4", "weld"})
	for _, tt := range []struct {
		name, old, new string
		want           []string // the sheets that become others
	}{
		{"the name of the job", `"name": "Siskin four,`, `"name": "Siskin,`, nil},
		{"the target of the tubes", `"length": 360`, `"length": 370`, nil},
		{"how a tube runs on", `"straight": 200`, `"straight": 201`, append(slices.Clone(held), "weld")},
		{"a bolt", `"id": "b5", "x": 55`, `"id": "b5", "x": 55.1`, slices.Concat(head, held)},
		{"the revision", `"revision": "A"`, `"revision": "B"`, every},
		{"a measured point", `[5.72, -16.44]`, `[5.73, -16.44]`, head},
		{"how far a tube is formed", `"transition": 45`, `"transition": 46`, append(slices.Clone(head), "transition-t1")},
		{"a hole of the drawn flange", `"diameter": 8.8}`, `"diameter": 8.9}`, []string{"pattern-s1"}},
		{"a ruler of a print", `"across": 97.1`, `"across": 97.2`, nil},
	} {
		after := signs(tt.old, tt.new)
		var got []string
		for key, s := range before {
			if after[key] != s {
				got = append(got, key)
			}
		}
		slices.Sort(got)
		want := slices.DeleteFunc(slices.Clone(tt.want), func(key string) bool { return before[key] == "" })
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s changes %v, want %v", tt.name, got, want)
		}
	}
}

// It stands on the sheet itself, whatever the unit of the figures and the day are.
func TestSignStandsOnTheSheet(t *testing.T) {
	w := worked(t)
	for _, e := range sheet.Of(w).Sheets {
		if e.Why != "" || e.Key == "cuts" {
			continue
		}
		for _, o := range []sheet.Options{{}, {Unit: "in", Date: "2026-12-24"}} {
			for _, s := range make1(t, w, e.Key, o).Sheets {
				if e.Sign == "" || s.Title.Inputs != e.Sign {
					t.Errorf("%s bears %q, its sign is %q", e.Key, s.Title.Inputs, e.Sign)
				}
			}
		}
	}
}

// signOf is the sign of a sheet.
func signOf(w job.Worked, key string) string {
	list := sheet.Of(w).Sheets
	return list[slices.IndexFunc(list, func(e sheet.Entry) bool { return e.Key == key })].Sign
}
