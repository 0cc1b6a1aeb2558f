package tube

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Walked is a path that has been walked from its start.
type Walked struct {
	Ends   []geom.Frame // at the end of every element; N is the plane of the bend last walked
	End    geom.Frame   // the last of Ends, or the start of a path without elements
	Length units.Length // centreline
}

// Start returns the frame in which a tube begins: at the port centre, along the
// port's aim, with the bank's up (+y) projected square to the aim as reference.
//
// An aim within 1e-6 rad of up or down has no such projection. Its reference is
// then the one towards which all aims between straight out (+z) and it tend:
// −z, into the head, for an aim straight up, +z for one straight down.
//
// The error is a *fault.Field when at or aim is not finite or aim has no
// direction.
func Start(at, aim geom.Vec) (geom.Frame, error) {
	if !at.IsFinite() {
		return geom.Frame{}, fault.Refuse("Port centre", "every coordinate has to be a finite number")
	}
	t, ok := aim.Unit()
	if !ok {
		return geom.Frame{}, fault.Refuse("Aim", "an aim needs a direction; 0, 0, 1 is straight out of the head")
	}
	up := geom.Vec{Y: 1}
	if math.Hypot(t.X, t.Z) <= geom.Parallel {
		up = geom.Vec{Z: -math.Copysign(1, t.Y)}
	}
	return geom.NewFrame(at, t, up)
}

// Walk follows the elements from start. T and N are made square and unit again
// after every bend, so that rounding stays below 1e-9 mm over the length of a
// header. The errors are those of Check without an OD, or that of a start that
// is not finite or whose T and N are not unit and square to 1e-6; the path is
// then not walked at all.
func Walk(start geom.Frame, elems []Element) (Walked, error) {
	if !isTrue(start) {
		return Walked{}, fault.Refuse("Start", "a start needs a finite place, a direction, and a reference square to it")
	}
	var faults []error
	for _, e := range elems {
		if err := e.check(0); err != nil {
			faults = append(faults, err)
		}
	}
	if err := errors.Join(faults...); err != nil {
		return Walked{}, err
	}
	w := Walked{Ends: make([]geom.Frame, 0, len(elems)), End: start}
	for _, e := range elems {
		if b := e.Bend; b != nil {
			w.End = w.End.Turn(float64(b.Rotation)).Arc(float64(b.Turn), b.Radius.MM())
		} else {
			w.End = w.End.Straight(e.Straight.MM())
		}
		w.Ends = append(w.Ends, w.End)
		w.Length += e.Length()
	}
	return w, nil
}

func isTrue(f geom.Frame) bool {
	const tol = 1e-6
	return f.O.IsFinite() &&
		math.Abs(f.T.Norm()-1) <= tol && math.Abs(f.N.Norm()-1) <= tol && math.Abs(f.T.Dot(f.N)) <= tol
}
