package job_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/job"
)

// The points of each tube of the four, written out as CSV with nine decimals, make
// the tube again: the same lengths, turns and rotations, starting at its port.
func TestPointsOfATubeMakeItAgain(t *testing.T) {
	recs := entered(t, "../../testdata/job/four.job.json")
	for _, tp := range job.FromRecords(recs).Plan.Tubes {
		var csv strings.Builder
		csv.WriteString("point,x_mm,y_mm,z_mm\r\n")
		for i, p := range tp.XYZ {
			fmt.Fprintf(&csv, "%d,%.9f,%.9f,%.9f\r\n", i+1, p.X, p.Y, p.Z)
		}
		clr := fmt.Sprintf("%.6f mm", float64(tp.LRA[0].CLR)) // all bends of these tubes have one CLR
		got, err := job.FromList(recs, tp.ID, csv.String(), clr, "mm")
		if err != nil {
			t.Fatalf("%s: %v", tp.ID, err)
		}
		if math.Abs(float64(got.Length-*tp.Centreline)) > 1e-5 || float64(*got.StartOff) > 1e-8 || float64(*got.AimOff) > 1e-5 {
			t.Errorf("%s: length %v, want %v; start off by %v, aim by %v", tp.ID, got.Length, *tp.Centreline, *got.StartOff, *got.AimOff)
		}
		row := 0
		for _, e := range got.Elements {
			if e.Type != "bend" {
				continue
			}
			want := tp.LRA[row]
			if math.Abs(float64(*e.Turn-want.Angle)) > 1e-5 || *e.CLR != want.CLR || math.Abs(math.Remainder(float64(*e.Rotation-want.Rotation), 360)) > 1e-4 {
				t.Errorf("%s, bend %d: %v° at %v, want %v° at %v", tp.ID, row+1, *e.Turn, *e.Rotation, want.Angle, want.Rotation)
			}
			row++
		}
		if row != len(tp.LRA) {
			t.Errorf("%s: %d bends, want %d", tp.ID, row, len(tp.LRA))
		}
	}
}

// By hand: 100 mm, a bend of 90° with CLR 50, 80 mm, away from the port's place.
func TestListedPathIsPutToItsPort(t *testing.T) {
	recs := entered(t, "../../testdata/job/four.job.json")
	tube := job.FromRecords(recs).Plan.Tubes[0]
	csv := "x,y,z,clr\n0,0,10,\n0,0,160,50\n0,130,160,\n"
	got, err := job.FromList(recs, tube.ID, csv, "", "mm")
	if err != nil {
		t.Fatal(err)
	}
	if want := 100 + 50*math.Pi/2 + 80; math.Abs(float64(got.Length)-want) > 1e-9 {
		t.Errorf("length %v, want %v", got.Length, want)
	}
	port := tube.XYZ[0]
	if want := math.Sqrt(port.X*port.X + port.Y*port.Y + 100); math.Abs(float64(*got.StartOff)-want) > 1e-9 {
		t.Errorf("start off by %v, want %v", *got.StartOff, want)
	}
	if got.XYZ[0] != port {
		t.Errorf("the path starts at %v, want the port's %v", got.XYZ[0], port)
	}
	if r := got.Elements[1].Rotation; math.Abs(float64(*r)) > 1e-9 { // it bends up
		t.Errorf("rotation %v, want 0", *r)
	}
	free, err := job.FromList(nil, "t1", csv, "", "mm")
	if err != nil || free.StartOff != nil || free.AimOff != nil || len(free.Elements) != 3 {
		t.Errorf("without a port: %+v, %v", free, err)
	}
}

func TestListThatCannotBeUsedSaysWhy(t *testing.T) {
	tests := []struct{ name, text, clr, unit, want string }{
		{"a word", "x,y,z\n0,0,0\n0,0,ten\n", "", "mm", "Line 3, column 3 (z)"},
		{"no CLR", "0,0,0\n0,0,100\n0,100,100", "", "mm", "CLR at point 2"},
		{"a CLR that cannot be read", "0,0,0\n0,0,100\n0,100,100", "3 /", "in", "Centreline radius (CLR)"},
		{"a CLR out of range", "0,0,0\n0,0,100\n0,100,100", "2", "mm", "Centreline radius (CLR)"},
		{"no room", "0,0,0\n0,0,100\n0,100,100", "150 mm", "mm", "too short"},
		{"twice the same", "0,0,0\n0,0,0", "", "mm", "Points 1 and 2"},
	}
	for _, tt := range tests {
		_, err := job.FromList(nil, "t1", tt.text, tt.clr, tt.unit)
		if err == nil || len(fault.All(err)) == 0 || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want a fault with %q", tt.name, err, tt.want)
		}
	}
}
