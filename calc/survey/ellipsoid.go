package survey

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/units"
)

// Ellipsoid is how well a point is known: its covariance. Two of three times the
// point is nearer than one sigma along any one line; inside the ellipsoid of one
// sigma, in all directions at once, it is one time in five.
type Ellipsoid struct {
	Axis  [3]geom.Vec     // unit, square to each other, the longest first
	Sigma [3]units.Length // along Axis
	Along geom.Vec        // sigma along x, y and z, mm
}

// RMS returns how far off the point is, root mean square: √(σ₁² + σ₂² + σ₃²).
func (e Ellipsoid) RMS() units.Length {
	return units.Length(math.Sqrt(e.Along.Dot(e.Along)))
}

// newEllipsoid takes a covariance in mm².
func newEllipsoid(cov num.Square) (e Ellipsoid) {
	m, axes := principal(cov)
	e.Axis = axes
	for i, v := range m {
		e.Sigma[i] = units.Length(math.Sqrt(v))
	}
	root := func(i int) float64 { return math.Sqrt(max(cov.At(i, i), 0)) }
	e.Along = geom.Vec{X: root(0), Y: root(1), Z: root(2)}
	return e
}

// addOuter adds k·v·vᵀ to a 3 × 3 matrix.
func addOuter(m num.Square, k float64, v geom.Vec) {
	for i, a := range [3]float64{v.X, v.Y, v.Z} {
		for j, b := range [3]float64{v.X, v.Y, v.Z} {
			m.Add(i, j, k*a*b)
		}
	}
}

// Advice is a further reference point and what it would bring.
type Advice struct {
	At     geom.Vec
	Before units.Length // root mean square error of the target as measured
	After  units.Length // and with this point too
}

// Apart returns how far from the point, in mm along the direction of off, another
// measurement of the same point lies at one sigma, and at the most that is put down
// to chance. sigma is how far off that measurement may be along each axis itself:
//
//	expected = |off|/√χ², most = expected·√(3 + 3√6), χ² = Σ (off·aᵢ)²/(σᵢ² + σ²)
//
// with the three axes aᵢ of the ellipsoid: dof + 3√(2·dof) for three degrees of
// freedom, as for other sums of squares here. Of places as good as stated 1.6 % are
// farther apart than most. Where off is zero it has no direction: the worst is taken.
func (e Ellipsoid) Apart(off geom.Vec, sigma units.Length) (expected, most units.Length) {
	own := sigma.MM() * sigma.MM()
	chi2 := 0.0
	for i, a := range e.Axis {
		along, s := off.Dot(a), e.Sigma[i].MM()
		chi2 += along * along / (s*s + own)
	}
	expected = units.Length(math.Hypot(e.Sigma[0].MM(), sigma.MM()))
	if chi2 > 0 {
		expected = units.Length(off.Norm() / math.Sqrt(chi2))
	}
	return expected, expected * units.Length(math.Sqrt(chiLimit(3)))
}
