package survey_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/units"
)

// Along an axis of the ellipsoid the two variances add; closed form. The limit is
// that of other sums of squares, dof + 3√(2·dof), for three: √(3 + 3√6) = 3.2169 sigmas.
func TestPlacesOfOnePointByHand(t *testing.T) {
	e := survey.Ellipsoid{Axis: [3]geom.Vec{{Y: 1}, {Z: 1}, {X: 1}}, Sigma: [3]units.Length{12, 4, 3}}
	for _, tt := range []struct {
		off         geom.Vec
		sigma, want units.Length
		from        string
	}{
		{geom.Vec{Y: 1}, 5, 13, "closed form, √(12² + 5²)"},
		{geom.Vec{X: -70}, 4, 5, "closed form, √(3² + 4²)"},
		{geom.Vec{Z: 2}, 0, 4, "closed form"},
		{geom.Vec{X: 3, Z: 4}, 0, units.Length(5 / math.Sqrt2), "by hand: 5/√((3/3)² + (4/4)²)"},
		{geom.Vec{}, 5, 13, "no direction: the worst one"},
	} {
		expected, most := e.Apart(tt.off, tt.sigma)
		if math.Abs((expected-tt.want).MM()) > 1e-12 || math.Abs((most-tt.want*3.2169).MM()) > 1e-3 {
			t.Errorf("%v with %v: %v, at most %v, want %v (%s)", tt.off, tt.sigma, expected, most, tt.want, tt.from)
		}
	}
}

// Two places that are as good as stated are called too far apart about as often as
// a sum of squares of three is above 3 + 3√6: 1.58 % (closed form, erfc(√(x/2)) +
// √(2x/π)·exp(−x/2)).
func TestPlacesOfOnePointAreSeldomTooFarApart(t *testing.T) {
	const seed, cases, sigma = 5, 40000, 1.5
	rnd := rand.New(rand.NewPCG(seed, 0))
	e := survey.Ellipsoid{Axis: [3]geom.Vec{{X: 0.6, Y: 0.8}, {X: -0.8, Y: 0.6}, {Z: 1}}, Sigma: [3]units.Length{7, 2, 0.5}}
	over := 0
	for range cases {
		off := geom.Vec{X: sigma * rnd.NormFloat64(), Y: sigma * rnd.NormFloat64(), Z: sigma * rnd.NormFloat64()}
		for i, a := range e.Axis {
			off = off.Add(a.Scale(e.Sigma[i].MM() * rnd.NormFloat64()))
		}
		if _, most := e.Apart(off, sigma); off.Norm() > most.MM() {
			over++
		}
	}
	if share := 100 * float64(over) / cases; math.Abs(share-1.58) > 0.25 { // four sigmas of the count
		t.Errorf("seed %d: %.2f %% are too far apart", seed, share)
	}
}
