package pwa_test

import (
	"encoding/json"
	"os"
	"testing"

	"tubewright/calc/calctest"
)

// The pipes that mock-ups are made of have the OD that ASTM D1785 gives them
// (testdata/reference/pipe.csv, with its sources), and every one that is offered stands
// there.
func TestPipesOfAMockUpAreThoseOfTheStandard(t *testing.T) {
	data, err := os.ReadFile("lib/pipes.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Pipes []struct{ NPS, OD string }
	}
	if err := json.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	printed := map[string]string{}
	for _, row := range calctest.Published(t, "pipe.csv") {
		if row["material_standard"] == "PVC (ASTM D1785)" {
			printed[row["NPS"]] = row["OD_in"]
		}
	}
	if len(table.Pipes) == 0 || len(printed) == 0 {
		t.Fatalf("%d pipes are offered, %d are published", len(table.Pipes), len(printed))
	}
	for _, p := range table.Pipes {
		if printed[p.NPS] != p.OD {
			t.Errorf("NPS %s has OD %q, published %q", p.NPS, p.OD, printed[p.NPS])
		}
	}
}
