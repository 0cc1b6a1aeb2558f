package survey

import (
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// threeSigma is what a miss may be in its sigmas: one sound joint in 370 is more.
const threeSigma = 3

// newJoint judges a miss against its sigma,
//
//	σ_m = σ √(v_a + v_b),  v = 1/n + (x − x̄)²/Σ(x − x̄)²
//
// with x the foot of the common perpendicular along each axis.
func newJoint(miss, sigma float64, middle geom.Vec) *Joint {
	return &Joint{Miss: units.Length(miss), Sigma: units.Length(sigma), Failed: miss > threeSigma*sigma, Middle: middle}
}
