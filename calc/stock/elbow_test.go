package stock_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"tubewright/calc/stock"
	"tubewright/calc/units"
)

// ASME B16.9 as trade notes give it, seen: OD, centre to end of long and short 90s,
// centre to centre of long 180s, in whole millimetres. Centre to centre of short 180s,
// centre to end of 45s and all of NPS 2-1/2 but its OD are from memory.
func TestElbowsAgainstB169(t *testing.T) {
	type row struct{ od, lr90, sr90, lr180, sr180, lr45 units.Length }
	want := map[string]row{
		"1-1/4": {42.2, 48, 32, 95, 64, 25},
		"1-1/2": {48.3, 57, 38, 114, 76, 29},
		"2":     {60.3, 76, 51, 152, 102, 35},
		"2-1/2": {73.0, 95, 64, 190, 127, 44},
	}
	got := map[string]int{}
	for _, e := range stock.Elbows() {
		w := want[e.NPS]
		across := map[string]units.Length{"90 LR": w.lr90, "90 SR": w.sr90, "180 LR": w.lr180, "180 SR": w.sr180, "45 LR": w.lr45}[e.Form()]
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
		if got[nps] != 5 {
			t.Errorf("NPS %s: %d elbows, want 5", nps, got[nps])
		}
	}
}

// A 45 of NPS 1-1/2: 29 mm by the standard, of which 57.15·tan 22.5° = 23.672 mm are what
// its CLR comes to; 1.5 times the nominal size is 57.15 mm, exact. A 90 has nothing beyond.
func TestSmall45sAreLongerThanTheirRadius(t *testing.T) {
	for _, e := range stock.Elbows() {
		if e.Form() != "45 LR" {
			if e.Beyond() != 0 {
				t.Errorf("NPS %s %s: %v mm beyond its radius", e.NPS, e.Form(), e.Beyond())
			}
			continue
		}
		if e.Beyond() < 3 { // more than the standard lets it differ by: it is no rounding
			t.Errorf("NPS %s: %v mm", e.NPS, e.Beyond())
		}
		if e.NPS == "1-1/2" && (math.Abs(e.Beyond().MM()-5.328) > 0.0005 || math.Abs(e.CLR.MM()-57.15) > 1e-9) {
			t.Errorf("NPS 1-1/2: %v mm beyond CLR %v", e.Beyond(), e.CLR)
		}
	}
}

// OD and the walls of 40 and 80 row by row against ASME B36.10M as printed; 5S and 10S
// by ASME B36.19M in millimetres, from memory.
func TestPipeAgainstB36(t *testing.T) {
	type key struct{ nps, schedule string }
	wall, od := map[key]float64{}, map[string]float64{}
	f, err := os.Open("../../testdata/reference/pipe.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r[0] != "steel (ASME B36.10M)" {
			continue
		}
		for i, to := range map[int]*float64{4: new(float64), 6: new(float64)} {
			if *to, err = strconv.ParseFloat(r[i], 64); err != nil {
				t.Fatal(err)
			}
			if i == 4 {
				od[r[1]] = *to
			} else {
				wall[key{r[1], r[2]}] = *to
			}
		}
	}
	for nps, w := range map[string][2]float64{"1-1/4": {1.65, 2.77}, "1-1/2": {1.65, 2.77}, "2": {1.65, 2.77}, "2-1/2": {2.11, 3.05}} {
		wall[key{nps, "5S"}], wall[key{nps, "10S"}] = w[0], w[1]
	}
	within := map[string]float64{"40": 0.0005, "80": 0.0005, "5S": 0.005, "10S": 0.005} // half the last digit
	n := map[string]int{}
	before := units.Length(0)
	for _, p := range stock.PipeWalls() {
		want := wall[key{p.NPS, p.Schedule}]
		if math.Abs(p.Wall.MM()-want) > within[p.Schedule] {
			t.Errorf("NPS %s, schedule %s: wall %v, want %v", p.NPS, p.Schedule, p.Wall, want)
		}
		if n[p.NPS]++; n[p.NPS] > 1 && p.Wall <= before {
			t.Errorf("NPS %s, schedule %s: not thicker than the one before", p.NPS, p.Schedule)
		}
		before = p.Wall
	}
	for _, e := range stock.Elbows() {
		if n[e.NPS] != 4 || math.Abs(e.OD.MM()-od[e.NPS]) > 0.0005 {
			t.Errorf("NPS %s: %d walls, OD %v, want %v", e.NPS, n[e.NPS], e.OD, od[e.NPS])
		}
	}
}
