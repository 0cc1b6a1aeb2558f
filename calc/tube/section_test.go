package tube_test

import (
	"math"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// pipe.csv: steel pipe is OD − 2·wall to the last digit of the table. PVC pipe
// (ASTM D1785) is tabulated with its minimum wall; real walls are thicker, so the
// tabulated average ID is smaller than OD − 2·wall.
func TestIDAgainstPipeTables(t *testing.T) {
	steel, pvc := 0, 0
	for _, row := range calctest.Published(t, "pipe.csv") {
		s := tube.Section{OD: units.Length(calctest.Number(t, row["OD_in"])) * inch, Wall: units.Length(calctest.Number(t, row["wall_in"])) * inch}
		got, want := float64(s.ID()/inch), calctest.Number(t, row["ID_in_tabulated"])
		name := row["material_standard"] + " " + row["NPS"] + " schedule " + row["schedule"]
		if err := s.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if row["wall_kind"] == "min" {
			pvc++
			if !(want < got) {
				t.Errorf("%s: average ID %v in, want below %v (%s)", name, want, got, row["source"])
			}
			continue
		}
		steel++
		if math.Abs(got-want) > 0.0005 {
			t.Errorf("%s: ID %v in, want %v ± 0.0005 (%s)", name, got, want, row["source"])
		}
		if od, mm := s.OD.MM(), calctest.Number(t, row["OD_mm"]); math.Abs(od-mm) > 0.0005 {
			t.Errorf("%s: OD %v mm, want %v", name, od, mm)
		}
	}
	if steel != 16 || pvc != 16 {
		t.Errorf("%d rows of steel and %d of PVC, want 16 each", steel, pvc)
	}
}

// header_rules.csv gives a bore of 1.500 in as 1.76715 in² and 1.50786 in as
// 1.785714 in² (own arithmetic of the rows of the 88,200 relation).
func TestBoreArea(t *testing.T) {
	for _, tt := range []struct{ id, want, tol float64 }{{1.5, 1.76715, 0.000005}, {1.50786, 1.785714, 0.00001}} {
		s := tube.Section{OD: units.Length(tt.id+0.13) * inch, Wall: 0.065 * inch}
		if got := s.Bore() / (25.4 * 25.4); math.Abs(got-tt.want) > tt.tol {
			t.Errorf("ID %v in: bore %v in², want %v", tt.id, got, tt.want)
		}
	}
}

func TestSectionRefuses(t *testing.T) {
	nan, inf := units.Length(math.NaN()), units.Length(math.Inf(1))
	tests := []struct {
		s    tube.Section
		name string
		says string
	}{
		{tube.Section{OD: 0, Wall: 1}, "OD", "wider than nothing"},
		{tube.Section{OD: -44.45, Wall: 1.65}, "OD", "allowed 0 to 500 mm"},
		{tube.Section{OD: 500.1, Wall: 1.65}, "OD", "allowed 0 to 500 mm"},
		{tube.Section{OD: nan, Wall: 1.65}, "OD", "not a number"},
		{tube.Section{OD: inf, Wall: 1.65}, "OD", "allowed 0 to 500 mm"},
		{tube.Section{OD: 44.45, Wall: 0}, "Wall", "thicker than nothing"},
		{tube.Section{OD: 44.45, Wall: -1}, "Wall", "allowed 0 to 22.225 mm"},
		{tube.Section{OD: 44.45, Wall: 22.225}, "Wall", "two walls fill the tube"},
		{tube.Section{OD: 44.45, Wall: 22.3}, "Wall", "allowed 0 to 22.225 mm"},
		{tube.Section{OD: 44.45, Wall: nan}, "Wall", "not a number"},
	}
	for _, tt := range tests {
		err := tt.s.Check()
		if f := named(t, err, tt.name, ""); !strings.Contains(f.Error(), tt.says) {
			t.Errorf("%v: got %v, want %q in it", tt.s, err, tt.says)
		}
	}
	if n := len(fault.All(tube.Section{}.Check())); n != 2 {
		t.Errorf("an empty section has %d faults, want 2", n)
	}
	if err := (tube.Section{OD: 44.45, Wall: 1.651}).Check(); err != nil {
		t.Error(err)
	}
}

func TestCheckNamesElementAndRange(t *testing.T) {
	s := tube.Section{OD: 44.45, Wall: 1.651}
	bend := func(turn, clr, rot float64) tube.Element {
		return tube.Element{ID: "e2", Bend: &tube.Bend{Turn: units.Angle(turn) * deg, Radius: units.Length(clr), Rotation: units.Angle(rot) * deg}}
	}
	tests := []struct {
		e    tube.Element
		says string
	}{
		{tube.Element{ID: "e2", Straight: -0.001}, "element e2: Straight: cannot use -0.001 mm; allowed 0 to 10000 mm"},
		{tube.Element{ID: "e2", Straight: 10001}, "element e2: Straight: cannot use 10001 mm; allowed 0 to 10000 mm"},
		{tube.Element{ID: "e2", Straight: units.Length(math.NaN())}, "element e2: Straight: not a number; allowed 0 to 10000 mm"},
		{bend(0, 76.2, 0), "element e2: Bent through: cannot use 0° (a bend of 0° is a straight); allowed 0 to 180°"},
		{bend(-10, 76.2, 0), "element e2: Bent through: cannot use -10°; allowed 0 to 180°"},
		{bend(180.01, 76.2, 0), "element e2: Bent through: cannot use 180.01°; allowed 0 to 180°"},
		{bend(90, 22.225, 0), "element e2: CLR: cannot use 22.225 mm (the inside of the bend would have no radius left); allowed 22.225 to 10000 mm"},
		{bend(90, 20, 0), "element e2: CLR: cannot use 20 mm; allowed 22.225 to 10000 mm"},
		{bend(90, 76.2, 361), "element e2: Rotation: cannot use 361°; allowed -360 to 360°"},
	}
	for _, tt := range tests {
		err := tube.Check(s, []tube.Element{{ID: "e1", Straight: 20}, tt.e})
		if err == nil || err.Error() != tt.says {
			t.Errorf("got  %v\nwant %s", err, tt.says)
		}
	}
	for _, fine := range []tube.Element{{}, {Straight: 10000}, bend(180, 22.226, 360), bend(1e-6, 76.2, -360)} {
		if err := tube.Check(s, []tube.Element{fine}); err != nil {
			t.Errorf("%v: %v, want no fault", fine, err)
		}
	}
	all := tube.Check(tube.Section{}, []tube.Element{{ID: "e1", Straight: -1}, bend(200, -1, 400)})
	if n := len(fault.All(all)); n != 6 {
		t.Errorf("%d faults, want 6: %v", n, all)
	}
}
