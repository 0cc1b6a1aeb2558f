package units_test

import (
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/units"
)

func read(t *testing.T, text string, def units.Unit) units.Typed {
	t.Helper()
	got, err := units.ParseLength(text, def)
	if err != nil || got.Ask != "" {
		t.Fatalf("%q in %s: %+v, %v", text, def, got, err)
	}
	return got
}

// agree checks an inch column against its mm column: they differ by no more than
// half of the last digit that is printed of the mm.
func agree(t *testing.T, what, inches, mm, source string) {
	t.Helper()
	in, metric := read(t, inches, "in"), read(t, mm, "mm")
	if gap := in.V - metric.V; 2*max(gap, -gap) > metric.Res {
		t.Errorf("%s: %s in is %s mm, published %s mm (%s)", what, inches, units.MM(in.V, 6), mm, source)
	}
}

// Conversion factors: NIST SP 811 (2008), Appendix B, and a metric conversion
// chart, as named in each row.
func TestPublishedFactors(t *testing.T) {
	// Rows of quantities that are no business of this package: areas, volumes,
	// pressure, force, power, flow, temperature, density, heat.
	elsewhere := map[string]bool{
		"square inch": true, "cubic inch": true, "cubic foot": true, "psi": true, "pound-force": true,
		"pound-force inch": true, "pound-force foot": true, "atmosphere (standard)": true, "bar": true,
		"horsepower (550 ft lbf/s)": true, "cubic foot per minute": true, "degree Fahrenheit": true,
		"per degree F (expansion)": true, "lb/in3": true, "BTU/(h ft F)": true, "BTU/(lb F)": true,
	}
	checked := 0
	for _, row := range calctest.Published(t, "units.csv") {
		typed, ok := map[string]string{"inch": "1 in", "foot": "1 ft"}[row["from"]]
		if !ok {
			if !elsewhere[row["from"]] {
				t.Errorf("row %q is neither checked here nor left to another package", row["from"])
			}
			continue
		}
		checked++
		got, want := read(t, typed, "mm"), read(t, row["factor"], units.Unit(row["to"]))
		if got.V != want.V {
			t.Errorf("%s: %d nm, published %s %s = %d nm (%s)", typed, got.V, row["factor"], row["to"], want.V, row["source"])
		}
		constant := map[string]units.Length{"inch": units.Inch, "foot": units.Foot}[row["from"]]
		if constant.NM() != want.V {
			t.Errorf("constant for %s: %d nm, published %d nm (%s)", row["from"], constant.NM(), want.V, row["source"])
		}
	}
	if checked != 2 {
		t.Errorf("%d rows checked, want inch and foot", checked)
	}
}

// Tube wall by the Birmingham gauge and sheet by the US standard gauge (15 U.S.C.
// 206), sources in each row.
func TestPublishedGauges(t *testing.T) {
	all := calctest.Published(t, "gauge.csv")
	if len(all) != 13 {
		t.Fatalf("%d rows, want 13", len(all))
	}
	for _, row := range all {
		agree(t, "tube wall, gauge "+row["gauge"], row["BWG_tube_wall_in"], row["BWG_tube_wall_mm"], row["source"])
		agree(t, "sheet, gauge "+row["gauge"], row["US_standard_sheet_in"], row["US_standard_sheet_mm"], row["source"])

		// The law gives sheet as fractions, some in 80ths and 160ths, which no rule has.
		fraction := row["US_standard_sheet_fraction_in"]
		if strings.HasSuffix(fraction, "0") {
			if got, err := units.ParseLength(fraction, "in"); err == nil {
				t.Errorf("%s in: read as %+v, want a refusal", fraction, got)
			}
			continue
		}
		agree(t, "sheet as a fraction, gauge "+row["gauge"], fraction, row["US_standard_sheet_mm"], row["source"])
	}
}

// Outside diameter and wall of pipe: ASTM D1785, ASME B36.10M, sources in each
// row. The inside diameter belongs to tube sections.
func TestPublishedPipes(t *testing.T) {
	all := calctest.Published(t, "pipe.csv")
	if len(all) != 32 {
		t.Fatalf("%d rows, want 32", len(all))
	}
	for _, row := range all {
		what := row["material_standard"] + " " + row["NPS"] + " schedule " + row["schedule"]
		agree(t, what+": OD", row["OD_in"], row["OD_mm"], row["source"])
		agree(t, what+": wall", row["wall_in"], row["wall_mm"], row["source"])
	}
}
