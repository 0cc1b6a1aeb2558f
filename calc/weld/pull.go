package weld

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// UsualPull is by how much a port weld is taken to be shorter on one side of the tube than
// on the other. Own choice; the figure of the worked example of the trade.
const UsualPull = 0.010 * units.Inch

// MostPull is more than any weld pulls, and where a small angle is no longer one.
const MostPull = 5 * units.Millimetre

// Pulled is what a weld that pulls to one side does to a tube.
type Pulled struct {
	Tilt     units.Angle
	Lever    units.Length // from the middle of the weld to the end of the tube
	Moves    units.Length // the end, in the worst direction of pull
	Sideways units.Length // of that, at most so much across the end's own direction
}

// Pull returns what a weld round a tube does to its far end when one side of it shrinks by
// pull more than the other:
//
//	tan(tilt) = pull/OD
//
// The tube then turns about some line in the plane of the weld. reach is the way from
// the weld's middle to the end of the tube and dir the direction in which it ends, both
// with the third part square to the weld, in mm. The side on which it pulls is not known,
// so the worst one is taken: about a line square to reach the end moves by 2·lever·sin(tilt/2).
// Across dir it moves at most by that times √λ/lever, λ the larger eigenvalue of
//
//	M = Pᵀ·P, P = (I − dir·dirᵀ)·[x × reach, y × reach]
//
// Closed form. Welds further on pull as well and are left out. The error joins *fault.Field:
// pull is 0 to 5 mm, OD 10 to 250 mm.
func Pull(pull units.Length, od units.Length, reach, dir [3]float64) (Pulled, error) {
	lever := math.Hypot(math.Hypot(reach[0], reach[1]), reach[2])
	if err := errors.Join(
		fault.Within("Pull of the port weld", pull.MM(), 0, MostPull.MM(), "mm"),
		tube.Section{OD: od, Wall: od / 4}.Check(),
		fault.Within("OD", od.MM(), 10, 250, "mm"),
		fault.Within("Way to the end", lever, 0, 20_000, "mm"),
		fault.Within("Length of the direction", math.Hypot(math.Hypot(dir[0], dir[1]), dir[2]), 0.999, 1.001, ""),
	); err != nil {
		return Pulled{}, err
	}
	tilt := math.Atan(pull.MM() / od.MM())
	arc := 2 * math.Sin(tilt/2)
	// x × r and y × r, less what lies along dir
	cross := func(v [3]float64) [3]float64 {
		along := float64(v[0]*dir[0]) + float64(v[1]*dir[1]) + float64(v[2]*dir[2])
		return [3]float64{v[0] - along*dir[0], v[1] - along*dir[1], v[2] - along*dir[2]}
	}
	dot := func(v, w [3]float64) float64 {
		return float64(v[0]*w[0]) + float64(v[1]*w[1]) + float64(v[2]*w[2])
	}
	x, y := cross([3]float64{0, -reach[2], reach[1]}), cross([3]float64{reach[2], 0, -reach[0]})
	a, b, c := dot(x, x), dot(y, y), dot(x, y)
	most := (a+b)/2 + math.Hypot((a-b)/2, c)
	return Pulled{units.Angle(tilt), units.Length(lever), units.Length(lever * arc), units.Length(math.Sqrt(max(0, most)) * arc)}, nil
}
