package tube

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// Element is one straight or one bend of a tube. Elements are in order from the
// port.
type Element struct {
	ID       string
	Number   int          // that the piece made of it bears; 0 where it was given none
	Straight units.Length // length of a straight, ≥ 0; not used when Bend is set
	Bend     *Bend
}

// Length returns the centreline length of the element: the straight, or the
// bend's R·θ. It does not check; see Check.
func (e Element) Length() units.Length {
	if e.Bend != nil {
		return e.Bend.arc(0)
	}
	return e.Straight
}

// Bend is a bend about a fixed centre.
type Bend struct {
	Turn     units.Angle  // bent through: 0 < turn ≤ 180°, not the angle between the legs
	Radius   units.Length // centreline radius, CLR, more than half the OD
	Rotation units.Angle  // of the bend's plane about travel, see the package comment
}

// Developed returns the length of tube that the bend uses, along the centreline:
//
//	L = R·θ
//
// with the CLR R in mm and the turn θ in rad, 0 < θ ≤ π. The formula is closed
// form and has no error of its own. A drawn bend stretches its outside wall;
// taking the centreline as neutral is common practice for mandrel bends, no
// source. The error is a *fault.Field naming the radius or the turn.
func (b Bend) Developed() (units.Length, error) {
	if err := b.check(0); err != nil {
		return 0, err
	}
	return b.arc(0), nil
}

// Outside returns the arc length along the outside of the bend, the extrados:
//
//	L = (R + OD/2)·θ
func (b Bend) Outside(od units.Length) units.Length { return b.arc(od / 2) }

// Inside returns the arc length along the inside of the bend, the intrados:
//
//	L = (R − OD/2)·θ
//
// It is positive for a bend that Check accepts.
func (b Bend) Inside(od units.Length) units.Length { return b.arc(-od / 2) }

// Setback returns the distance from a tangent point to the intersection point:
//
//	S = R·tan(θ/2)
//
// mm; trade rule for bend layout, closed form. A half turn has no intersection
// point: within 1e-6 rad of it the error is a *fault.Field naming the turn.
func (b Bend) Setback() (units.Length, error) {
	if err := b.check(0); err != nil {
		return 0, err
	}
	if b.Turn > math.Pi-foldBack {
		return 0, &fault.Field{Name: "Bent through", Got: b.Turn.Deg(), Unit: "°", Low: 0, High: 179.9999,
			Why: "a half turn has no intersection point"}
	}
	return b.setback(), nil
}

func (b Bend) setback() units.Length {
	return b.Radius * units.Length(math.Tan(float64(b.Turn)/2))
}

func (b Bend) arc(out units.Length) units.Length {
	return (b.Radius + out) * units.Length(b.Turn)
}
