package collector_test

import (
	"math"
	"testing"

	"tubewright/calc/collector"
	"tubewright/calc/geom"
)

var downstream = geom.Frame{O: geom.Vec{X: 310, Y: -240, Z: 420}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}

// Width over the corners of touching tubes, in tube ODs: closed forms 1 + 1/sin(π/n).
// A trade page gives 4.22 in for four of 1 3/4 in, and 3.77 in for three.
func TestBundleOfTouchingTubes(t *testing.T) {
	for n, want := range map[int]float64{2: 2, 3: 2.1547, 4: 2.4142, 5: 2.7013, 6: 3} {
		if got := 1 + 2*collector.Ring(n, 1); math.Abs(got-want) > 5e-5 {
			t.Errorf("%d tubes: %v ODs, want %v", n, got, want)
		}
	}
	for n, want := range map[int]float64{4: 4.22, 3: 3.77} {
		if got := 1.75 + 2*collector.Ring(n, 1.75); math.Abs(got-want) > 0.006 {
			t.Errorf("%d tubes of 1 3/4 in: %v in, want %v", n, got, want)
		}
	}
}

func TestSocketsCountRightHandAboutTheFlow(t *testing.T) {
	for _, n := range []int{1, 2, 3, 4, 6, 12} {
		mouths := collector.InRing(downstream, n, 45)
		for i, m := range mouths {
			if n > 1 {
				if d := m.O.Sub(mouths[(i+1)%n].O).Norm(); math.Abs(d-45) > 1e-9 {
					t.Errorf("%d sockets: %d and the next are %v mm apart", n, i+1, d)
				}
			}
			if m.T != downstream.T || math.Abs(m.O.Sub(downstream.O).Dot(downstream.T)) > 1e-9 {
				t.Errorf("socket %d of %d: %+v", i+1, n, m)
			}
			// right-hand about the flow: from N towards T × N
			next := mouths[(i+1)%n]
			if turn := downstream.T.Dot(m.N.Cross(next.N)); n > 2 && turn <= 0 {
				t.Errorf("socket %d of %d is followed the other way round", i+1, n)
			}
		}
		if up := mouths[0].N.Dot(downstream.N); math.Abs(up-1) > 1e-12 {
			t.Errorf("socket 1 of %d lies at %v", n, mouths[0].N)
		}
	}
}

func TestRowIsCentred(t *testing.T) {
	mouths := collector.InRow(downstream, 4, 50)
	for i, want := range []float64{-75, -25, 25, 75} {
		if got := mouths[i].O.Sub(downstream.O); math.Abs(got.Y-want) > 1e-12 || math.Abs(got.X)+math.Abs(got.Z) > 1e-12 {
			t.Errorf("socket %d: %v", i+1, got)
		}
	}
}

func TestEnter(t *testing.T) {
	mouth := geom.Frame{T: geom.Vec{X: 1}, N: geom.Vec{Y: 1}}
	sin, cos := math.Sincos(0.1)
	e := collector.Enter(mouth, geom.Frame{O: geom.Vec{X: 12, Y: 3, Z: -4}, T: geom.Vec{X: cos, Z: sin}, N: geom.Vec{Y: 1}})
	if math.Abs(e.Offset-5) > 1e-12 || math.Abs(e.Insert-12) > 1e-12 || math.Abs(e.Aim-0.1) > 1e-12 {
		t.Errorf("%+v", e)
	}
	if back := collector.Enter(mouth, geom.Frame{O: geom.Vec{X: -2}, T: geom.Vec{X: -1}}); back.Insert != -2 || math.Abs(back.Aim-math.Pi) > 1e-12 {
		t.Errorf("the wrong way round: %+v", back)
	}
	if got := collector.Lean(45.1, 44.5, 30); math.Abs(got-math.Atan(0.02)) > 1e-12 {
		t.Errorf("lean %v", got)
	}
	if collector.Lean(44, 44.5, 30) != 0 || collector.Lean(45, 44, 0) != math.Pi/2 {
		t.Error("lean at the ends of its range")
	}
}
