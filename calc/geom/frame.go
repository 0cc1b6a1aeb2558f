package geom

import (
	"errors"
	"math"
)

// Parallel is the angle in rad below which a reference counts as lying along
// the direction of travel, so that it fixes no plane. Angles are typed to
// millionths of a degree, 1.7e-8 rad; a projection shorter than 1e-6 turns by
// more than 1° with that last digit.
const Parallel = 1e-6

// Frame is where a path is and how it heads: O the point in mm, T the unit
// direction of travel, N the unit reference square to T. A bend turns T towards
// N. T, N, T×N are right-handed.
type Frame struct {
	O Vec `json:"at"`
	T Vec `json:"dir"`
	N Vec `json:"ref"`
}

// NewFrame returns the frame at o that travels along t, with up projected square
// to t as its reference. Neither t nor up need be of unit length. It is an error
// when o is not finite, when t or up has no direction, or when up lies within
// Parallel of the line of t.
func NewFrame(o, t, up Vec) (Frame, error) {
	if !o.IsFinite() {
		return Frame{}, errors.New("origin is not finite")
	}
	travel, ok := t.Unit()
	if !ok {
		return Frame{}, errors.New("direction of travel has no direction")
	}
	ref, ok := up.Unit()
	if !ok {
		return Frame{}, errors.New("reference has no direction")
	}
	across := square(ref, travel)
	if !(across.Norm() > Parallel) {
		return Frame{}, errors.New("reference is parallel to the direction of travel")
	}
	n, _ := across.Unit()
	return Frame{o, travel, n}.trued(), nil
}

// Straight returns the frame after l mm along T.
func (f Frame) Straight(l float64) Frame {
	f.O = f.O.Add(f.T.Scale(l))
	return f
}

// Turn returns the frame with its reference rotated by rot rad about T,
// right-hand positive (Rodrigues' formula for a vector square to the axis):
//
//	N' = cos(rot)·N + sin(rot)·T×N
func (f Frame) Turn(rot float64) Frame {
	sin, cos := math.Sincos(rot)
	f.N = f.N.Scale(cos).Add(f.T.Cross(f.N).Scale(sin))
	return f.trued()
}

// Centre returns the centre of a bend of the given radius that starts here.
func (f Frame) Centre(radius float64) Vec { return f.O.Add(f.N.Scale(radius)) }

// Arc returns the frame after a bend through turn rad on the given radius in mm,
// towards N:
//
//	O' = O + R·sin A·T + R·(1 − cos A)·N
//	T' = cos A·T + sin A·N
//	N' = cos A·N − sin A·T
//
// 1 − cos A is taken as 2·sin²(A/2), which keeps its digits at small bends.
func (f Frame) Arc(turn, radius float64) Frame {
	sin, cos := math.Sincos(turn)
	half := math.Sin(turn / 2)
	return Frame{
		O: f.O.Add(f.T.Scale(radius * sin)).Add(f.N.Scale(radius * 2 * half * half)),
		T: f.T.Scale(cos).Add(f.N.Scale(sin)),
		N: f.N.Scale(cos).Sub(f.T.Scale(sin)),
	}.trued()
}

// trued makes T and N unit and square again, so that rounding does not add up
// over the elements of a path. A frame that is not finite is left as it is: NaN
// must stay visible.
func (f Frame) trued() Frame {
	t, ok := f.T.Unit()
	if !ok {
		return f
	}
	n, ok := square(f.N, t).Unit()
	if !ok {
		return f
	}
	f.T, f.N = t, n
	return f
}

// square returns the part of v square to the unit vector t.
func square(v, t Vec) Vec { return v.Sub(t.Scale(v.Dot(t))) }
