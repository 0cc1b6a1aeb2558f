package weld_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/tube"
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// The worked example of reference/welding.csv, row "worked time": 2.000 in OD × .065 wall,
// 36 in, n = 5, Q = 15 cfh gives 68.7 s; and that of the trade: a runner of 1.75 × 32 in
// holds 0.038 cu ft, 4 to 5 volumes at 10 cfh take 0.9 to 1.1 min (own arithmetic there, of
// 0.065 wall).
func TestPurgeOfTheWorkedExamples(t *testing.T) {
	row := published(t, "worked time")
	if !strings.Contains(row["unit"], "2.000 in OD x .065 wall, 36 in, n=5, Q=15 cfh -> 68.7 s") {
		t.Fatalf("the row says %q", row["unit"])
	}
	tests := []struct {
		name                 string
		od, length           float64 // in
		changes, flow        float64 // cfh
		wantMin, tol, wantCF float64
	}{
		{"worked time", 2.000, 36, 5, 15, 68.7 / 60, 0.05 / 60, math.Pi / 4 * 1.87 * 1.87 * 36 / 1728},
		{"4 volumes", 1.75, 32, 4, 10, 0.9, 0.05, 0.038},
		{"5 volumes", 1.75, 32, 5, 10, 1.1, 0.05, 0.038},
	}
	for _, tt := range tests {
		s := tube.Section{OD: units.Length(tt.od) * units.Inch, Wall: 0.065 * units.Inch}
		litres, err := weld.Volume(s, units.Length(tt.length)*units.Inch)
		if err != nil {
			t.Fatal(err)
		}
		minutes, err := weld.Minutes(litres, tt.changes, tt.flow*weld.CFH)
		if err != nil || math.Abs(minutes-tt.wantMin) > tt.tol {
			t.Errorf("%s: %v min, want %v ± %v (%v)", tt.name, minutes, tt.wantMin, tt.tol, err)
		}
		if got := litres / 28.316846592; math.Abs(got-tt.wantCF) > 0.0005 { // last digit of 0.038
			t.Errorf("%s: %v cu ft, want %v", tt.name, got, tt.wantCF)
		}
	}
}

func published(t *testing.T, item string) map[string]string {
	t.Helper()
	for _, row := range calctest.Published(t, "welding.csv") {
		if row["item"] == item {
			return row
		}
	}
	t.Fatalf("welding.csv has no %q", item)
	return nil
}

// What sources say is what the table has, the disagreement with it; a forum counts as
// common practice without a source.
func TestPurgeRulesAreThoseOfTheTable(t *testing.T) {
	var changes, flows []string
	for _, row := range calctest.Published(t, "welding.csv") {
		switch {
		case row["item"] == "volume changes before welding":
			changes = append(changes, row["value"])
		case row["topic"] == "purge" && row["unit"] == "L/min":
			flows = append(flows, row["value"])
		}
	}
	for _, tt := range []struct {
		name  string
		rules []weld.Rule
		want  []string
	}{{"changes", weld.ChangeRules, changes}, {"flows", weld.FlowRules, flows}} {
		if len(tt.rules) != len(tt.want) || len(tt.want) < 3 {
			t.Fatalf("%s: %d rules, the table has %q", tt.name, len(tt.rules), tt.want)
		}
		for i, r := range tt.rules {
			want := strings.TrimSuffix(strings.TrimPrefix(tt.want[i], "about "), ", then a trickle")
			low, high, isRange := strings.Cut(want, "-")
			if !isRange {
				high = low
			}
			if r.Low != calctest.Number(t, low) || r.High != calctest.Number(t, high) || r.Source.Grade == "" {
				t.Errorf("%s %d: %v, the table says %q", tt.name, i, r, tt.want[i])
			}
		}
		if tt.rules[0].Low == tt.rules[1].Low {
			t.Errorf("%s: sources that disagree say the same: %v", tt.name, tt.rules)
		}
	}
	for item, want := range map[string]float64{"oxygen target (colour pale straw at most)": weld.Oxygen[1].High, "oxygen target, best result": weld.Oxygen[0].High} {
		if v := calctest.Number(t, strings.TrimLeft(published(t, item)["value"], "<= ")); v != want {
			t.Errorf("%s: %v, the table says %v", item, want, v)
		}
	}
	if v := published(t, "oxygen limit, general piping")["value"]; v != "0.5 (5000 ppm)" || weld.Oxygen[2].High != 5000 {
		t.Errorf("general piping: %v, the table says %q", weld.Oxygen[2].High, v)
	}
}

// Twice the changes take twice as long, twice the flow half; two tubes hold what one of
// both lengths does.
func TestPurgeScales(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		od := units.Length(20 + 80*rnd.Float64())
		s := tube.Section{OD: od, Wall: od * units.Length(0.02+0.2*rnd.Float64())}
		a, b := units.Length(1000*rnd.Float64()), units.Length(1000*rnd.Float64())
		va, _ := weld.Volume(s, a)
		vb, _ := weld.Volume(s, b)
		both, err := weld.Volume(s, a+b)
		if err != nil || math.Abs(both-va-vb) > 1e-9*both {
			t.Fatalf("seed %d case %d: %v and %v L, together %v (%v)", seed, i, va, vb, both, err)
		}
		n, q := 1+20*rnd.Float64(), 1+20*rnd.Float64()
		one, _ := weld.Minutes(va, n, q)
		more, _ := weld.Minutes(va, 2*n, q)
		faster, err := weld.Minutes(va, n, 2*q)
		if err != nil || math.Abs(more-2*one) > 1e-9*one || math.Abs(faster-one/2) > 1e-9*one {
			t.Fatalf("seed %d case %d: %v, %v, %v min (%v)", seed, i, one, more, faster, err)
		}
	}
}

// What cannot be used is named.
func TestRefusalsNameTheField(t *testing.T) {
	good := tube.Section{OD: 44.45, Wall: 1.65}
	up := [3]float64{0, 0, 1}
	nan := math.NaN()
	tests := []struct {
		name, field string
		err         func() error
	}{
		{"length below 0", "Length", func() error { _, err := weld.Volume(good, -1); return err }},
		{"length no number", "Length", func() error { _, err := weld.Volume(good, units.Length(nan)); return err }},
		{"no changes", "Volume changes", func() error { _, err := weld.Minutes(1, 0, 7); return err }},
		{"too many changes", "Volume changes", func() error { _, err := weld.Minutes(1, 51, 7); return err }},
		{"no flow", "Flow", func() error { _, err := weld.Minutes(1, 5, 0); return err }},
		{"flow no number", "Flow", func() error { _, err := weld.Minutes(1, 5, nan); return err }},
		{"volume without end", "Volume", func() error { _, err := weld.Minutes(math.Inf(1), 5, 7); return err }},
		{"no wall", "Wall", func() error { _, err := weld.Amps(0, weld.Edge, false); return err }},
		{"wall no number", "Wall", func() error { _, err := weld.Amps(units.Length(nan), weld.Edge, false); return err }},
		{"pull below 0", "Pull of the port weld", func() error { _, err := weld.Pull(-0.1, 44, [3]float64{0, 0, 500}, up); return err }},
		{"pull too much", "Pull of the port weld", func() error { _, err := weld.Pull(5.1, 44, [3]float64{0, 0, 500}, up); return err }},
		{"OD no number", "OD", func() error { _, err := weld.Pull(0.2, units.Length(nan), [3]float64{0, 0, 500}, up); return err }},
		{"end without place", "Way to the end", func() error { _, err := weld.Pull(0.2, 44, [3]float64{nan, 0, 500}, up); return err }},
		{"no direction", "Length of the direction", func() error { _, err := weld.Pull(0.2, 44, [3]float64{0, 0, 500}, [3]float64{}); return err }},
	}
	for _, tt := range tests {
		var f *fault.Field
		if err := tt.err(); !errors.As(err, &f) || !strings.Contains(err.Error(), tt.field) {
			t.Errorf("%s: %v, want %s named", tt.name, err, tt.field)
		}
	}
}
