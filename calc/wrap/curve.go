package wrap

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

const (
	// widest is the largest OD that is taken, as in package tube.
	widest = 500 * units.Millimetre
	// steepest is the largest angle between a cut and a square one. A saw of the trade
	// goes to 45 or 60°; beyond, the cut is longer than the wrap is round (own choice).
	steepest = 60 * units.Degree
	// thickest is the thickest paper that a wrap is drawn for (own choice).
	thickest = 1 * units.Millimetre
)

// Curve is a cut round a tube laid flat.
type Curve struct {
	OD    units.Length
	along func(phi float64) float64
}

// At returns how far along the tube the cut lies at the angle round from the outside
// line.
func (c Curve) At(round units.Angle) units.Length { return units.Length(c.along(float64(round))) }

// Points returns the curve on paper of a thickness in mm that is wrapped round the tube,
// n+1 points (n at least 4) from one seam to the other, the outside line in the middle:
//
//	x = φ·(OD + paper)/2, y = y(φ), −π ≤ φ ≤ π
//
// x is on the middle of the paper, which neither stretches nor shrinks, so its width is
// π·(OD + paper). Between two points the curve is off a straight line by less than
// (π/n)²/2 times how far the cut goes along the tube, save where a branch as wide as its
// tube runs out over the sides.
func (c Curve) Points(n int, paper units.Length) [][2]float64 {
	n = max(n, 4)
	list := make([][2]float64, n+1)
	r := (c.OD + paper).MM() / 2
	for i := range list {
		phi := math.Pi * (2*float64(i)/float64(n) - 1)
		list[i] = [2]float64{r * phi, c.along(phi)}
	}
	return list
}

// Width returns how wide a wrap once round a tube is on paper of a thickness, π·(OD +
// paper): the length check before a wrap is used. The error names what is out of range.
func Width(od, paper units.Length) (units.Length, error) {
	if err := errors.Join(checkOD("OD", od), fault.Within("Paper thickness", paper.MM(), 0, thickest.MM(), "mm")); err != nil {
		return 0, err
	}
	return math.Pi * (od + paper), nil
}

// Square returns the square cut: a straight line at 0.
func Square(od units.Length) (Curve, error) {
	if err := checkOD("OD", od); err != nil {
		return Curve{}, err
	}
	return Curve{od, func(float64) float64 { return 0 }}, nil
}

// Squareness is how far a cut may be out of square: half a degree (a navy manual on
// tube work, seen).
const Squareness = 0.5 * units.Degree

// OutOfSquare returns how far a cut that leans by an angle is longer on one side of the
// tube than on the other, which a square shows:
//
//	OD·tan(lean)
//
// Closed form.
func OutOfSquare(od units.Length, lean units.Angle) units.Length {
	return od * units.Length(math.Tan(float64(lean)))
}

// Lean returns the angle that OutOfSquare came from.
func Lean(od, difference units.Length) units.Angle {
	return units.Angle(math.Atan2(difference.MM(), od.MM()))
}

// Mitre returns the cut by a plane that leans by cut from square, 0 to 60°, longest at
// the angle long round from the outside line:
//
//	y = OD/2·tan(cut)·cos(φ − long)
//
// 0 where the plane cuts the centreline. Closed form. The greatest and the least are the
// cutback of the trade, OD/2·tan(cut), either way.
func Mitre(od units.Length, cut, long units.Angle) (Curve, error) {
	if err := errors.Join(checkOD("OD", od), fault.Within("Cut angle", cut.Deg(), 0, steepest.Deg(), "°"), fault.Within("Long side", long.Deg(), -360, 360, "°")); err != nil {
		return Curve{}, err
	}
	k, from := od.MM()/2*math.Tan(float64(cut)), float64(long)
	return Curve{od, func(phi float64) float64 { return k * math.Cos(phi-from) }}, nil
}

func checkOD(name string, od units.Length) error { return above(name, od, 0, widest) }

// above is fault.Within with low itself excluded.
func above(name string, got, low, high units.Length) error {
	if got > low && got <= high {
		return nil
	}
	f := &fault.Field{Name: name, Got: got.MM(), Unit: "mm", Low: low.MM(), High: high.MM()}
	if got == low {
		f.Why = "it has to be more than that"
	}
	return f
}
