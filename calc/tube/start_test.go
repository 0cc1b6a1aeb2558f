package tube_test

import (
	"math"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
)

// Bank frame: x right, y up, z out of the head. A first bend with rotation 0 goes
// up, 180° down; right-hand about the aim, +90° goes to the left as seen facing
// the head, since the aim comes towards the eye.
func TestFirstBendIsFromTheBanksUp(t *testing.T) {
	start, err := tube.Start(geom.Vec{X: 40, Y: 28}, geom.Vec{Z: 2})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		rotation float64
		want     geom.Vec // direction after a quarter turn
	}{{0, geom.Vec{Y: 1}}, {180, geom.Vec{Y: -1}}, {90, geom.Vec{X: -1}}, {-90, geom.Vec{X: 1}}} {
		w := walk(t, start, tube.LRA{Rows: []tube.Row{row(38.1, tt.rotation, 90, 76.2)}})
		if w.End.T.Sub(tt.want).Norm() > 1e-15 {
			t.Errorf("rotation %v°: heads %v, want %v", tt.rotation, w.End.T, tt.want)
		}
		at := geom.Vec{X: 40, Y: 28, Z: 38.1 + 76.2}.Add(tt.want.Scale(76.2))
		if w.End.O.Sub(at).Norm() > 1e-12 {
			t.Errorf("rotation %v°: ends at %v, want %v", tt.rotation, w.End.O, at)
		}
	}
}

// A second bend's rotation is from the plane of the first carried through it: 0°
// bends on the same way.
func TestRotationIsFromTheBendBefore(t *testing.T) {
	start, err := tube.Start(geom.Vec{}, geom.Vec{Z: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		rotation float64
		want     geom.Vec
	}{
		{0, geom.Vec{Z: -1}},  // up, then on over backwards into the head
		{180, geom.Vec{Z: 1}}, // an S
		// Heading up with the plane carried to −z; right-hand about up turns −z to −x.
		{90, geom.Vec{X: -1}},
		{-90, geom.Vec{X: 1}},
	} {
		w := walk(t, start, tube.LRA{Rows: []tube.Row{row(10, 0, 90, 76.2), row(10, tt.rotation, 90, 76.2)}})
		if w.End.T.Sub(tt.want).Norm() > 1e-15 {
			t.Errorf("rotation %v°: heads %v, want %v", tt.rotation, w.End.T, tt.want)
		}
	}
}

func TestAimStraightUpOrDown(t *testing.T) {
	for _, tt := range []struct{ aim, want geom.Vec }{
		{geom.Vec{Y: 1}, geom.Vec{Z: -1}}, {geom.Vec{Y: -3}, geom.Vec{Z: 1}},
		{geom.Vec{Y: 1, Z: 1e-7}, geom.Vec{Z: -1}},
		// Just beyond the tolerance the projection says the same.
		{geom.Vec{Y: 1, Z: 1e-5}, geom.Vec{Z: -1}}, {geom.Vec{Y: -1, Z: 1e-5}, geom.Vec{Z: 1}},
	} {
		f, err := tube.Start(geom.Vec{}, tt.aim)
		if err != nil || f.N.Sub(tt.want).Norm() > 2e-5 || math.Abs(f.N.Dot(f.T)) > 1e-15 {
			t.Errorf("aim %v: got %v, %v, want reference %v", tt.aim, f, err, tt.want)
		}
	}
}

func TestStartRefuses(t *testing.T) {
	nan := math.NaN()
	_, err := tube.Start(geom.Vec{}, geom.Vec{})
	named(t, err, "Aim", "")
	_, err = tube.Start(geom.Vec{}, geom.Vec{X: nan, Z: 1})
	named(t, err, "Aim", "")
	_, err = tube.Start(geom.Vec{Y: nan}, geom.Vec{Z: 1})
	named(t, err, "Port centre", "")
	for _, f := range []geom.Frame{{}, {T: geom.Vec{Z: 1}}, {T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1, Z: 0.1}}, {O: geom.Vec{X: nan}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}} {
		_, err := tube.Walk(f, nil)
		named(t, err, "Start", "")
	}
	_, err = tube.Walk(alongX, []tube.Element{{ID: "e1", Straight: -1}})
	named(t, err, "Straight", "element e1")
}
