package stock_test

import (
	"math"
	"testing"

	"tubewright/calc/stock"
	"tubewright/calc/units"
)

// ASME B16.9 as trade notes give it, seen: OD, centre to end of long and short 90s,
// centre to centre of long 180s, in whole millimetres. Centre to centre of short 180s
// is from memory.
func TestElbowsAgainstB169(t *testing.T) {
	type row struct{ od, lr90, sr90, lr180, sr180 units.Length }
	want := map[string]row{
		"1-1/4": {42.2, 48, 32, 95, 64},
		"1-1/2": {48.3, 57, 38, 114, 76},
		"2":     {60.3, 76, 51, 152, 102},
	}
	got := map[string]int{}
	for _, e := range stock.Elbows() {
		w := want[e.NPS]
		across := map[string]units.Length{"90 LR": w.lr90, "90 SR": w.sr90, "180 LR": w.lr180, "180 SR": w.sr180}[e.Form()]
		// Half of the last digit printed; 180s are twice a radius that was rounded.
		if math.Abs((e.OD-w.od).MM()) > 0.05 || math.Abs((e.Across-across).MM()) > 0.5 {
			t.Errorf("NPS %s %s: OD %v, across %v; want %v, %v", e.NPS, e.Form(), e.OD, e.Across, w.od, across)
		}
		if off := math.Abs((e.Across - across).MM()); off > stock.ElbowCentreToEnd.MM() {
			t.Errorf("NPS %s %s: %v mm off, more than the standard allows", e.NPS, e.Form(), off)
		}
		got[e.NPS]++
		it := e.Item("e", 3.556, "304L")
		if it.Kind != stock.Elbow || it.LegA != 0 || it.LegB != 0 || it.Angle != e.Angle || it.CLR != e.CLR {
			t.Errorf("as stock: %+v", it)
		}
	}
	for nps := range want {
		if got[nps] != 4 {
			t.Errorf("NPS %s: %d elbows, want 4", nps, got[nps])
		}
	}
}
