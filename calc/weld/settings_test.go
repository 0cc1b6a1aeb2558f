package weld_test

import (
	"math"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// Every row of reference/tig_settings.csv (source in each row) is in the table, and no more.
func TestSettingsAreThoseOfTheTable(t *testing.T) {
	rows := calctest.Published(t, "tig_settings.csv")
	if len(rows) != len(weld.Settings) {
		t.Fatalf("%d settings, the table has %d rows", len(weld.Settings), len(rows))
	}
	n := func(row map[string]string, col string) float64 { return calctest.Number(t, row[col]) }
	for i, row := range rows {
		s := weld.Settings[i]
		got := [6]float64{s.Low.MM() / 25.4, s.High.MM() / 25.4, s.Amps[0], s.Amps[1], s.Argon[0], s.Argon[1]}
		want := [6]float64{n(row, "thickness_min_in"), n(row, "thickness_max_in"), n(row, "amps_min"), n(row, "amps_max"), n(row, "argon_min_cfh"), n(row, "argon_max_cfh")}
		for k := range got {
			if math.Abs(got[k]-want[k]) > 1e-9 {
				t.Errorf("row %d: %v, the table says %v", i+1, got, want)
				break
			}
		}
		if s.Tungsten != row["tungsten_in"] || s.Filler != row["filler_in"] {
			t.Errorf("row %d: tungsten %s, filler %s; the table says %s, %s", i+1, s.Tungsten, s.Filler, row["tungsten_in"], row["filler_in"])
		}
	}
}

// A wall on the end of two rows has both, one beyond them none.
func TestRowsOfAWall(t *testing.T) {
	for _, tt := range []struct {
		wall float64
		rows int
	}{{0.019, 0}, {0.020, 1}, {0.040, 2}, {0.049, 1}, {0.060, 2}, {0.065, 1}, {0.093, 2}, {0.125, 2}, {0.188, 1}, {0.189, 0}} {
		if got := weld.SettingsFor(units.Length(tt.wall) * units.Inch); len(got) != tt.rows {
			t.Errorf("%v in: %d rows, want %d", tt.wall, len(got), tt.rows)
		}
	}
}

// reference/welding.csv: mild steel butt 35/45/60/90 A at 1.2/1.5/2.0/3.0 mm, fillet
// 45/55/75/110, where the rule of 1 A per 0.001 in gives 47/59/79/118; 0.125 in gives 125;
// 18 gauge (.049) 49; stainless about 10 % less. The rule is the hotter one everywhere.
func TestAmpsDisagreeAsTheSourcesDo(t *testing.T) {
	row := published(t, "mild steel 1.2 / 1.5 / 2.0 / 3.0 mm, butt")
	if row["value"] != "35 / 45 / 60 / 90" || !strings.Contains(row["note"], "fillet 45/55/75/110") || !strings.Contains(row["note"], "gives 47/59/79/118") {
		t.Fatalf("the row says %q, %q", row["value"], row["note"])
	}
	if row := published(t, "current rule"); row["note"] != "0.125 in -> 125 A" {
		t.Fatalf("the rule's example is %q", row["note"])
	}
	tests := []struct {
		mm, rule, butt, fillet float64
	}{{1.2, 47, 35, 45}, {1.5, 59, 45, 55}, {2, 79, 60, 75}, {3, 118, 90, 110}}
	for _, tt := range tests {
		wall := units.Length(tt.mm)
		for _, s := range []struct {
			form  weld.Form
			chart float64
		}{{weld.Edge, tt.butt}, {weld.Fillet, tt.fillet}} {
			for _, stainless := range []bool{false, true} {
				less := 1.0
				if stainless {
					less = 0.9
				}
				says, err := weld.Amps(wall, s.form, stainless)
				if err != nil {
					t.Fatal(err)
				}
				rule, chart := named(t, says, "1 A per"), named(t, says, "chart in mm")
				if math.Abs(rule.Low-less*tt.rule) > 0.5 || math.Abs(chart.Low-less*s.chart) > 1e-9 {
					t.Errorf("%v mm, %s, stainless %v: rule %v, chart %v; want %v, %v", tt.mm, s.form, stainless, rule.Low, chart.Low, less*tt.rule, less*s.chart)
				}
				if !(rule.Low > chart.Low) {
					t.Errorf("%v mm: the rule, %v A, is not the hotter one", tt.mm, rule.Low)
				}
			}
		}
	}
	for in, want := range map[float64]float64{0.125: 125, 0.049: 49} {
		if got := weld.RuleAmps(units.Length(in)*units.Inch, false); math.Abs(got-want) > 1e-9 {
			t.Errorf("%v in: %v A, want %v", in, got, want)
		}
	}
}

func named(t *testing.T, says []weld.Says, name string) weld.Says {
	t.Helper()
	for _, s := range says {
		if strings.HasPrefix(s.Name, name) {
			return s
		}
	}
	t.Fatalf("nothing says %q: %v", name, says)
	return weld.Says{}
}

// On 16 gauge builders name 35 to 40 A (common practice, no source), half of what the rule
// gives; between its thicknesses the chart is taken straight: 0.065 in is 1.651 mm, so
// 45 + 0.151/0.5·15 = 49.53 A, by hand.
func TestAmpsOfSixteenGauge(t *testing.T) {
	says, err := weld.Amps(0.065*units.Inch, weld.Edge, false)
	if err != nil || len(says) != 4 {
		t.Fatalf("%v, %v", says, err)
	}
	if b := named(t, says, "builders"); b.Low != 35 || b.High != 40 || b.Source.Grade != sizing.Practice {
		t.Errorf("builders: %v", b)
	}
	if c := named(t, says, "chart"); math.Abs(c.Low-49.53) > 1e-9 {
		t.Errorf("the chart gives %v A, want 49.53", c.Low)
	}
	if r := named(t, says, "table"); r.Low != 60 || r.High != 110 {
		t.Errorf("the table gives %v to %v A, want 60 to 110", r.Low, r.High)
	}
	for _, in := range []float64{0.049, 0.083} {
		says, err := weld.Amps(units.Length(in)*units.Inch, weld.Edge, true)
		for _, s := range says {
			if strings.HasPrefix(s.Name, "builders") {
				t.Errorf("%v in is no 16 gauge: %v", in, s)
			}
		}
		if err != nil || len(says) < 2 {
			t.Errorf("%v in: %v, %v", in, says, err)
		}
	}
	if says, err := weld.Amps(6, weld.Edge, false); err != nil || len(says) != 1 {
		t.Errorf("6 mm is beyond table and chart: %v, %v", says, err)
	}
}

// reference/welding.csv, topic filler; 309L for mild steel to any stainless and for 409
// stands in the same source. The rest is from memory or not known.
func TestFillersOfTheTable(t *testing.T) {
	tests := []struct{ a, b, item, class string }{
		{"304", "304", "304/304L to itself", "ER308L"}, {"304", "304L", "304/304L to itself", "ER308L"},
		{"321", "321", "321 (and 347)", "ER347"}, {"321", "347", "321 (and 347)", "ER347"},
		{"304", "mild steel", "304 to mild steel", "ER309L"},
		{"409", "409", "409 to itself or to 304L", "ER309L"}, {"409", "304L", "409 to itself or to 304L", "ER309L"},
	}
	for _, tt := range tests {
		if row := published(t, tt.item); row["value"] != tt.class {
			t.Fatalf("%s: the table says %q", tt.item, row["value"])
		}
		for _, pair := range [][2]string{{tt.a, tt.b}, {tt.b, tt.a}} {
			got := weld.Fillers(pair[0], pair[1])
			if len(got) == 0 || got[0].Class != tt.class || got[0].Source.Grade != sizing.Published {
				t.Errorf("%v: %v, want %s", pair, got, tt.class)
			}
		}
	}
	for _, tt := range []struct{ a, b, class string }{{"321", "mild steel", "ER309L"}, {"mild steel", "mild steel", "ER70S-2"}, {"316L", "316L", "ER316L"}, {"304", "321", "ER347"}} {
		if got := weld.Fillers(tt.a, tt.b); len(got) == 0 || got[0].Class != tt.class {
			t.Errorf("%s to %s: %v, want %s", tt.a, tt.b, got, tt.class)
		}
	}
	for _, pair := range [][2]string{{"", "304"}, {"titanium", "titanium"}, {"nickel alloy 625", "304"}, {"316L", "304"}, {"409", "321"}} {
		if got := weld.Fillers(pair[0], pair[1]); got != nil {
			t.Errorf("%v: %v, though no source here says anything", pair, got)
		}
	}
}
