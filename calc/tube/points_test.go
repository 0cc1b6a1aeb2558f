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

func at(xyz ...float64) (pts []geom.Vec) {
	for i := 0; i < len(xyz); i += 3 {
		pts = append(pts, geom.Vec{X: xyz[i], Y: xyz[i+1], Z: xyz[i+2]})
	}
	return pts
}

var up = geom.Vec{Y: 1}

func TestPointsThatCannotBeAPath(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name  string
		pts   []geom.Vec
		clr   []units.Length
		up    geom.Vec
		field string
		says  string
	}{
		{"no points", nil, nil, up, "Points", "at least two"},
		{"one point", at(0, 0, 0), nil, up, "Points", "at least two"},
		{"radius missing", at(0, 0, 0, 100, 0, 0, 100, 100, 0), nil, up, "CLR", "0 given for 3 points"},
		{"too many radii", at(0, 0, 0, 100, 0, 0), []units.Length{50}, up, "CLR", "1 given for 2 points"},
		{"not a number", at(0, 0, 0, 100, nan, 0), nil, up, "Point 2 y", "not a number"},
		{"infinite", at(0, 0, 0, 100, 0, -inf), nil, up, "Point 2 z", "allowed"},
		{"too far", at(0, 0, 0, 1000001, 0, 0), nil, up, "Point 2 x", "allowed -1000000 to 1000000 mm"},
		{"coincident at the start", at(5, 0, 0, 5, 0, 0, 100, 0, 0), []units.Length{50}, up, "Points 1 and 2", "coincide"},
		{"coincident inside", at(0, 0, 0, 200, 0, 0, 200, 0, 0, 200, 200, 0), []units.Length{50, 50}, up, "Points 2 and 3", "coincide"},
		{"coincident within rounding", at(0, 0, 0, 1e-7, 0, 0), nil, up, "Points 1 and 2", "coincide"},
		{"back on itself", at(0, 0, 0, 100, 0, 0, 50, 0, 0), []units.Length{20}, up, "Point 2", "enter it as two points or as LRA"},
		{"almost back on itself", at(0, 0, 0, 100, 0, 0, 50, 1e-6, 0), []units.Length{20}, up, "Point 2", "turns back on itself"},
		{"no radius", at(0, 0, 0, 100, 0, 0, 100, 100, 0), []units.Length{0}, up, "CLR at point 2", "needs a radius"},
		{"negative radius", at(0, 0, 0, 100, 0, 0, 100, 100, 0), []units.Length{-50}, up, "CLR at point 2", "-50 mm"},
		{"radius not a number", at(0, 0, 0, 100, 0, 0, 100, 100, 0), []units.Length{units.Length(nan)}, up, "CLR at point 2", "not a number"},
		{"reference along the tube", at(0, 0, 0, 0, 100, 0, 100, 100, 0), []units.Length{50}, up, "Reference", "along the first straight"},
		{"reference not a number", at(0, 0, 0, 100, 0, 0, 100, 100, 0), []units.Length{50}, geom.Vec{X: nan}, "Reference", "finite"},
		{"overrun at the start", at(0, 0, 0, 70, 0, 0, 70, 200, 0), []units.Length{76.2}, up, "Straight between points 1 and 2", "6.2 mm too short for the bend at point 2"},
		{"overrun at the end", at(0, 0, 0, 200, 0, 0, 200, 70, 0), []units.Length{76.2}, up, "Straight between points 2 and 3", "6.2 mm too short for the bend at point 2"},
		// Two right angles of 76.2 need 152.4 between them.
		{"overrun inside", at(0, 0, 0, 200, 0, 0, 200, 100, 0, 400, 100, 0), []units.Length{76.2, 76.2}, up, "Straight between points 2 and 3", "52.4 mm too short for the bends at points 2 and 3"},
		{"too long", at(0, 0, 0, 10001, 0, 0), nil, up, "Straight between points 1 and 2", "allowed 0 to 10000 mm"},
	}
	for _, tt := range tests {
		l, err := tube.FromPoints(tt.pts, tt.clr, tt.up)
		f := named(t, err, tt.field, "")
		if err == nil || !strings.Contains(f.Error(), tt.says) {
			t.Errorf("%s: got %v, want %q in it", tt.name, err, tt.says)
		}
		if l.Rows != nil || l.Last != 0 {
			t.Errorf("%s: got %v with an error, want nothing", tt.name, l)
		}
	}
}

// Every straight that is too short is named, not only the first.
func TestEveryOverrunIsNamed(t *testing.T) {
	_, err := tube.FromPoints(at(0, 0, 0, 60, 0, 0, 60, 100, 0, 120, 100, 0), []units.Length{76.2, 76.2}, up)
	if fields := fault.All(err); len(fields) != 3 || math.Abs(fields[1].Got+52.4) > 1e-9 {
		t.Errorf("got %v, want three straights, the second −52.4 mm", err)
	}
}

func TestCornerThatDoesNotTurnIsDropped(t *testing.T) {
	plain, err := tube.FromPoints(at(0, 0, 0, 200, 0, 0, 200, 200, 0, 200, 200, 200), []units.Length{50, 50}, up)
	if err != nil {
		t.Fatal(err)
	}
	// Extra points on all three straights; their radii do not matter.
	extra, err := tube.FromPoints(at(0, 0, 0, 30, 0, 0, 90, 1e-10, 0, 200, 0, 0, 200, 60, 0, 200, 200, 0, 200, 200, 199, 200, 200, 200),
		[]units.Length{0, -7, 50, 50, 50, units.Length(math.NaN())}, up)
	if err != nil {
		t.Fatal(err)
	}
	if d := differ(extra, plain); d > 1e-9 || len(plain.Rows) != 2 {
		t.Errorf("got %v, want %v", extra, plain)
	}
	straight, err := tube.FromPoints(at(0, 0, 0, 10, 0, 0, 35, 0, 0), []units.Length{50}, up)
	if err != nil || len(straight.Rows) != 0 || straight.Last != 35 {
		t.Errorf("all in line: got %v, %v, want one straight of 35", straight, err)
	}
}

// The smallest turn that can be typed, a millionth of a degree, is a bend.
func TestSmallestTurnIsABend(t *testing.T) {
	l := tube.LRA{Rows: []tube.Row{row(100, 0, 1e-6, 76.2)}, Last: 100}
	back, err := tube.FromPoints(tube.XYZ(alongX, l), l.Radii(), up)
	if err != nil || len(back.Rows) != 1 || differ(back, l) > 1e-8 {
		t.Errorf("got %v, %v, want %v", back, err, l)
	}
}

// Corners too slight to be bends do not add up unseen: 2,000 of them, each half
// of what counts, on 20 m still end where the last point is.
func TestSlightCornersDoNotAddUp(t *testing.T) {
	const n, each = 2000, 0.5e-9 // rad
	pts := make([]geom.Vec, n+1)
	for i := range n {
		sin, cos := math.Sincos(float64(i) * each)
		pts[i+1] = pts[i].Add(geom.Vec{X: 10 * cos, Y: 10 * sin})
	}
	clr := make([]units.Length, n-1)
	for i := range clr {
		clr[i] = 50
	}
	l, err := tube.FromPoints(pts, clr, up)
	if err != nil {
		t.Fatal(err)
	}
	w, err := tube.Walk(alongX, l.Elements())
	if off := w.End.O.Sub(pts[n]).Norm(); err != nil || off > 2e-5 { // the first leg is known to 1e-9 rad
		t.Errorf("ends %v mm off, %v, want 2e-5", off, err)
	}
}

func TestStraightOfNothingBetweenBends(t *testing.T) {
	// 76.2 + 76.2 between two right angles leaves exactly nothing.
	l, err := tube.FromPoints(at(0, 0, 0, 100, 0, 0, 100, 152.4, 0, 200, 152.4, 0), []units.Length{76.2, 76.2}, up)
	if err != nil || len(l.Rows) != 2 || l.Rows[1].Length < 0 || l.Rows[1].Length > 1e-9 {
		t.Errorf("got %v, %v, want two bends with 0 between", l, err)
	}
	// A micrometre is no rounding.
	_, err = tube.FromPoints(at(0, 0, 0, 100, 0, 0, 100, 152.399, 0, 200, 152.399, 0), []units.Length{76.2, 76.2}, up)
	named(t, err, "Straight between points 2 and 3", "")
}

func TestBendOver150HasTwoPoints(t *testing.T) {
	for _, tt := range []struct {
		turn   float64
		points int
	}{{149.9999, 3}, {150, 3}, {150.0001, 4}, {180, 4}} {
		l := tube.LRA{Rows: []tube.Row{row(20, 33, tt.turn, 76.2)}, Last: 10}
		pts := tube.XYZ(alongX, l)
		if len(pts) != tt.points || len(l.Radii()) != tt.points-2 {
			t.Errorf("%v°: %d points and %d radii, want %d points", tt.turn, len(pts), len(l.Radii()), tt.points)
		}
		back, err := tube.FromPoints(pts, l.Radii(), up)
		if err != nil || differ(back, l) > 1e-8 {
			t.Errorf("%v°: came back as %v, %v", tt.turn, back, err)
		}
		if len(back.Rows) == 1 && back.Rows[0].Turn > math.Pi {
			t.Errorf("%v°: came back as %v rad, more than a half turn", tt.turn, back.Rows[0].Turn)
		}
	}
}

// Two bends in a row that are not halves of one stay two.
func TestOnlyHalvesAreJoined(t *testing.T) {
	for name, second := range map[string]tube.Row{
		"straight between": row(0.1, 0, 80, 76.2),
		"rotation":         row(0, 0.1, 80, 76.2),
		"other CLR":        row(0, 0, 80, 63.5),
		"other turn":       row(0, 0, 79, 76.2),
	} {
		l := tube.LRA{Rows: []tube.Row{row(20, 10, 80, 76.2), second}, Last: 10}
		back, err := tube.FromPoints(tube.XYZ(alongX, l), l.Radii(), up)
		if err != nil || differ(back, l) > 1e-8 {
			t.Errorf("%s: %v came back as %v, %v", name, l, back, err)
		}
	}
	for _, turn := range []float64{60, 75, 95} { // together up to 150°, or over 180°
		l := tube.LRA{Rows: []tube.Row{row(20, 10, turn, 76.2), row(0, 0, turn, 76.2)}, Last: 10}
		back, err := tube.FromPoints(tube.XYZ(alongX, l), l.Radii(), up)
		if err != nil || differ(back, l) > 1e-8 {
			t.Errorf("twice %v°: came back as %v, %v", turn, back, err)
		}
	}
}

// A flat S turns the other way by +180°, however rounding falls.
func TestOtherWayIsPlus180(t *testing.T) {
	for _, z := range []float64{0, 1e-13, -1e-13} {
		l, err := tube.FromPoints(at(0, 0, 0, 100, 0, 0, 100, 200, z, 200, 200, 0), []units.Length{50, 50}, up)
		if err != nil || math.Abs(l.Rows[1].Rotation.Deg()-180) > 1e-9 {
			t.Errorf("z %v: got %v, %v, want 180°", z, l, err)
		}
	}
}
