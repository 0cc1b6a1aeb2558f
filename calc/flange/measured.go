package flange

import (
	"fmt"

	"tubewright/calc/geom"
)

// Measured is an outline that was measured point by point.
type Measured struct {
	Curve geom.Outline // through all the points
	Short Shortfall    // what so many points leave open about the curve
	// Fits are the shapes laid through the points, see Fits, without those of more
	// parameters than Offered.
	Fits []Fit
	// Offered is the one of Fits with the fewest parameters of which no point is
	// further than Near away, −1 when there is none: the port is none of these
	// shapes. It is an offer; the curve is what was measured.
	Offered int
}

const (
	// Near is the greatest distance of a point from a shape, in mm, at which the
	// shape is offered for the port; own rule.
	Near = 0.5
	// EnoughPoints is how many points of a port are asked for. With fewer the
	// corners of a rectangle are lost.
	EnoughPoints = 16
	// UsualNoise is how far measured points scatter, in mm, where nobody knows
	// better: a scribed print of a port, read with a rule.
	UsualNoise = 0.3
)

// FromPoints returns the outline through 8 to 1,000 points in mm, in order round
// the port, as geom.Points has it, with its errors; and beside it what the number
// of points costs and the shape that it may be. noise is how far points scatter in
// mm, 0 to 2.
func FromPoints(pts [][2]float64, noise float64) (Measured, error) {
	if !(noise >= 0 && noise <= 2) {
		return Measured{}, fmt.Errorf("scatter %v mm: want 0 to 2", noise)
	}
	curve, err := geom.Points(pts)
	if err != nil {
		return Measured{}, err
	}
	m := Measured{Curve: curve, Fits: fits(pts, func(f Fit) bool { return f.Worst <= Near }), Offered: -1}
	m.Short = ShortfallOf(len(pts), noise, Measures(curve).EqualPerimeter)
	for i, f := range m.Fits {
		if f.Worst <= Near && (m.Offered < 0 || f.Parameters == m.Fits[m.Offered].Parameters && f.Sigma < m.Fits[m.Offered].Sigma) {
			m.Offered = i
		}
	}
	return m, nil
}
