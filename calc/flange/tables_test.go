package flange_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/flange"
)

// Clearance holes, ASME B18.2.8 and ISO 273, every row and class.
func TestHolesAreThePublishedOnes(t *testing.T) {
	rows := calctest.Published(t, "clearance_holes.csv")
	if len(rows) != len(flange.BoltSizes) {
		t.Errorf("%d sizes, published %d", len(flange.BoltSizes), len(rows))
	}
	for _, row := range rows {
		for _, class := range []string{"close", "normal", "loose"} {
			got, rule, err := flange.HoleFor(row["fastener"], class)
			if err != nil {
				t.Errorf("%s: %v", row["fastener"], err)
				continue
			}
			want := 0.0
			if mm := row[class+"_mm"]; mm != "" {
				want = calctest.Number(t, mm)
			} else {
				want = calctest.Number(t, row[class+"_in"]) * 25.4
			}
			if math.Abs(got-want) > 1e-9 || !strings.Contains(rule, class) {
				t.Errorf("%s %s: %v mm by %q, published %v (%s)", row["fastener"], class, got, rule, want, row["source"])
			}
		}
	}
}

func TestHoleRefuses(t *testing.T) {
	for _, tt := range []struct{ bolt, class, field string }{
		{"", "normal", "Bolt size"}, {"M9", "normal", "Bolt size"}, {"M8", "tight", "Hole class"},
	} {
		_, _, err := flange.HoleFor(tt.bolt, tt.class)
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != tt.field {
			t.Errorf("%q %q: %v, want %q named", tt.bolt, tt.class, err, tt.field)
		}
	}
	if d, _, err := flange.HoleFor("M8", ""); err != nil || d != 9 {
		t.Errorf("no class: %v, %v", d, err)
	}
}

// Mean expansion of carbon steel against every row of ASME BPVC II D, table TE-1,
// group 1: the table is rounded to 0.1e-6/°F, so is what lies between.
func TestSteelGrowsAsPublished(t *testing.T) {
	m, ok := flange.MaterialOf("mild steel")
	if !ok {
		t.Fatal("no mild steel")
	}
	for _, row := range calctest.Published(t, "materials_cte_steel.csv") {
		at, want := calctest.Number(t, row["T_C"]), calctest.Number(t, row["mean_CTE_from_21C_um_per_mK"])
		if at < 90 {
			continue // the first one stands for what is below it
		}
		if got := m.Mean(at) * 1e6; math.Abs(got-want) > 0.13 {
			t.Errorf("at %v °C: %v, published %v", at, got, want)
		}
		// The published total, in per 100 ft, has two digits.
		total := calctest.Number(t, row["linear_expansion_in_per_100ft"])
		if got, err := m.Growth(1200, at); err != nil || math.Abs(got-total) > 0.09+0.01*total {
			t.Errorf("at %v °C 100 ft grow by %v in, published %v; %v", at, got, total, err)
		}
	}
}

// Stainless: the data sheets that the figures are from, row by row of the table.
func TestStainlessIsThePublishedOne(t *testing.T) {
	for name, source := range map[string]string{"304": "[MAT1]", "321": "[MAT5]", "mild steel": "[MAT14]"} {
		m, ok := flange.MaterialOf(name)
		if !ok {
			t.Fatalf("no %s", name)
		}
		found := false
		for _, row := range calctest.Published(t, "materials.csv") {
			if !strings.HasPrefix(row["source"], source) {
				continue
			}
			found = true
			if want := calctest.Number(t, row["density_kg_m3"]); m.Density != want {
				t.Errorf("%s: density %v, published %v", name, m.Density, want)
			}
			if name == "mild steel" {
				continue // its expansion has a table of its own
			}
			for _, column := range []string{"low", "mid", "high"} {
				_, upTo, _ := strings.Cut(row["mean_CTE_"+column+"_range_C"], "-")
				at, want := calctest.Number(t, upTo), calctest.Number(t, row["mean_CTE_"+column+"_um_per_mK"])
				if got := m.Mean(at) * 1e6; math.Abs(got-want) > 1e-9 {
					t.Errorf("%s to %v °C: %v, published %v", name, at, got, want)
				}
			}
		}
		if !found {
			t.Errorf("%s: no row from %s", name, source)
		}
	}
}

// A worked figure of the trade: along a 16 in flange of 304 and over 700 °F, 0.12 in,
// with a mean coefficient (from memory) that is 4 % above that of the data sheet.
func TestGrowthOfATradeFigure(t *testing.T) {
	m, _ := flange.MaterialOf("304")
	got, err := m.Growth(16, 20+700/1.8)
	if err != nil || math.Abs(got-0.12) > 0.01 {
		t.Errorf("%v in, want 0.12; %v", got, err)
	}
	for _, hot := range []float64{19, 1001, math.NaN(), math.Inf(1)} {
		if _, err := m.Growth(16, hot); err == nil {
			t.Errorf("at %v °C: no error", hot)
		}
	}
}

// Hotter means longer, for every material and at every step.
func TestGrowthNeverFalls(t *testing.T) {
	for _, m := range flange.Materials {
		last := -1.0
		for hot := 20.0; hot <= 1000; hot += 5 {
			g, err := m.Growth(400, hot)
			if err != nil || !(g > last) {
				t.Fatalf("%s at %v °C: %v after %v, %v", m.Name, hot, g, last, err)
			}
			last = g
		}
	}
}

func TestSlotIsTwiceTheGrowthRoundedUp(t *testing.T) {
	for _, tt := range []struct{ growth, want float64 }{
		{0, 0}, {0.09, 0}, {0.1, 0.5}, {0.25, 0.5}, {0.26, 1}, {1.5, 3}, {3.05, 6.5}, {math.NaN(), 0}, {-1, 0},
	} {
		if got := flange.SlotFor(tt.growth); got != tt.want {
			t.Errorf("growth %v: slot %v, want %v", tt.growth, got, tt.want)
		}
	}
}
