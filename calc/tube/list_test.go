package tube_test

import (
	"math"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

func TestPointsAreReadFromText(t *testing.T) {
	want := []geom.Vec{{X: 1, Y: -2, Z: 3.5}, {X: 4, Y: 5, Z: 6}}
	tests := []struct {
		name, text string
		unit       units.Length
		clr        float64 // of the second point
	}{
		{"what the app writes", "point,x_mm,y_mm,z_mm\r\n1,1.000,-2.000,3.500\r\n2,4.000,5.000,6.000\r\n", units.Millimetre, 0},
		{"three columns", "1,-2,3.5\n4,5,6", units.Millimetre, 0},
		{"a number in front", "1,1,-2,3.5\n2,4,5,6\n", units.Millimetre, 0},
		{"with CLR", "1,1,-2,3.5,\n2,4,5,6,76.2\n", units.Millimetre, 76.2},
		{"named in another order", "clr_mm,z,y,x\n0,3.5,-2,1\n76.2,6,5,4", units.Millimetre, 76.2},
		{"decimal commas", "x;y;z\n1,0;-2,0;3,5\n4;5;6", units.Millimetre, 0},
		{"tabs", "1\t-2\t3.5\n4\t5\t6", units.Millimetre, 0},
		{"inches in the name", "x_in,y_in,z_mm\n0.03937007874015748,-0.07874015748031496,3.5\n0.15748031496062992,0.1968503937007874,6\n", units.Millimetre, 0},
		{"inches by choice", "x_mm,y_mm,z\n1,-2,0.1377952755905512\n4,5,0.23622047244094488", units.Inch, 0},
		{"quoted, with empty lines and a mark in front", "\uFEFF\"x\",\"y\",\"z\"\n\n\"1\",\"-2\",\"3.5\"\n,,,\n4,5,6e0\n\n", units.Millimetre, 0},
		{"a true minus", "1,−2,3.5\n4,5,6", units.Millimetre, 0},
		{"other columns beside them", "name,x,y,z,remark\nport,1,-2,3.5,start\nend,4,5,6,\n", units.Millimetre, 0},
	}
	for _, tt := range tests {
		pts, clr, err := tube.ReadPoints(tt.text, tt.unit)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if len(pts) != 2 || pts[0].Sub(want[0]).Norm() > 1e-12 || pts[1].Sub(want[1]).Norm() > 1e-12 {
			t.Errorf("%s: %v, want %v", tt.name, pts, want)
		}
		if len(clr) != 2 || math.Abs(clr[1].MM()-tt.clr) > 1e-12 {
			t.Errorf("%s: CLR %v, want %v at the second", tt.name, clr, tt.clr)
		}
	}
}

// What cannot be read is refused with line and column, every fault of it.
func TestPointsThatCannotBeReadNameLineAndColumn(t *testing.T) {
	tests := []struct {
		name, text string
		want       []string
	}{
		{"nothing", " \n", []string{"no line"}},
		{"one point", "1,2,3", []string{"2 to 200"}},
		{"a word", "x,y,z\n1,2,3\n4,five,6\n", []string{`Line 3, column 2 (y)`, `"five"`}},
		{"two of them", "1,2,3\n4,5,\n6,much,9\n", []string{"Line 2, column 3 (z)", "nothing stands there", "Line 3, column 2 (y)"}},
		{"a line that ends early", "1,2,3\n4,5", []string{"Line 2, column 3"}},
		{"a column missing", "point,x_mm,y_mm\n1,2,3\n", []string{"Line 1", "named z"}},
		{"a column twice", "x,y,z,z_mm\n1,2,3,4\n", []string{"Line 1, column 4", "second time"}},
		{"an unknown unit", "x_m,y_m,z_m\n1,2,3\n", []string{"Line 1, column 1", "mm and in"}},
		{"too many columns", "1,2,3,4,5,6\n", []string{"Line 1", "6 columns"}},
		{"not finite", "1,2,3\n4,5,1e999", []string{"Line 2, column 3"}},
		{"hexadecimal", "1,2,3\n4,5,0x10", []string{"Line 2, column 3"}},
		{"too far", "1,2,3\n4,5,1e7", []string{"Line 2, column 3", "allowed"}},
		{"a radius below nothing", "1,1,2,3,\n2,4,5,6,-3", []string{"Line 2, column 5 (clr)"}},
		{"too many", strings.Repeat("1,2,3\n", 201), []string{"201"}},
	}
	for _, tt := range tests {
		_, _, err := tube.ReadPoints(tt.text, units.Millimetre)
		if err == nil || len(fault.All(err)) == 0 {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		for _, part := range tt.want {
			if !strings.Contains(err.Error(), part) {
				t.Errorf("%s: %q lacks %q", tt.name, err, part)
			}
		}
	}
}

func FuzzReadPoints(f *testing.F) {
	f.Add("point,x_mm,y_mm,z_mm\r\n1,1.000,-2.000,3.500\r\n2,4.000,5.000,6.000\r\n")
	f.Add("x;y;z\n1,0;-2,0;3,5\n4;5;6")
	f.Add("\uFEFF\"x\",\"y\"\n\n")
	f.Fuzz(func(t *testing.T, text string) {
		pts, clr, err := tube.ReadPoints(text, units.Millimetre)
		if err != nil {
			if len(fault.All(err)) == 0 {
				t.Fatalf("%q: %v is no fault of a field", text, err)
			}
			return
		}
		if len(pts) < 2 || len(pts) != len(clr) {
			t.Fatalf("%q: %d points, %d CLR", text, len(pts), len(clr))
		}
		for i, p := range pts {
			if !p.IsFinite() || !(clr[i] >= 0) {
				t.Fatalf("%q: point %v, CLR %v", text, p, clr[i])
			}
		}
	})
}
