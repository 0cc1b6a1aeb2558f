package tube

import (
	"math"

	"tubewright/calc/geom"
)

// Lever is how the end of a path moves when one element is off, to first order.
type Lever struct {
	// Length is of a straight, mm at the end for each mm that it is longer: its
	// direction. Of a bend it is for each mm of CLR:
	//
	//	sin A·T + (1 − cos A)·N
	Length geom.Vec
	// Clock is of the joint at the element's start: all from there on turned about
	// the tube. Of a bend it is what its rotation does.
	Clock Swing
	Turn  Swing // of a bend: bent through more
}

// Swing is what turning everything behind an axis does to the end of a path.
type Swing struct {
	Axis geom.Vec // unit; the end's aim turns about it. 0 where nothing turns
	Move geom.Vec // of the end, mm per rad: axis × arm
}

// Arm returns how far the end lies from the axis, mm, and so how many mm it moves
// for each rad.
func (s Swing) Arm() float64 { return s.Move.Norm() }

// Aim returns by how many rad the direction t changes for each rad about the axis.
func (s Swing) Aim(t geom.Vec) float64 { return s.Axis.Cross(t).Norm() }

// Levers returns a Lever for each element. They are the exact derivatives of the end
// that Walk finds. The errors are those of Walk.
//
// A mark that is 1 mm off on an OD of 44.45 mm clocks a joint by 1/22.2 rad and so
// moves an end 290 mm off the joint's axis by 13 mm: the error of clock marks is the
// largest that a header has.
func Levers(start geom.Frame, elems []Element) ([]Lever, error) {
	w, err := Walk(start, elems)
	if err != nil {
		return nil, err
	}
	end := w.End.O
	levers := make([]Lever, len(elems))
	at := start
	for i, e := range elems {
		l := Lever{Length: at.T, Clock: swing(at.O, at.T, end)}
		if b := e.Bend; b != nil {
			f := at.Turn(float64(b.Rotation))
			sin, cos := math.Sincos(float64(b.Turn))
			l.Length = f.T.Scale(sin).Add(f.N.Scale(1 - cos))
			l.Turn = swing(f.Centre(b.Radius.MM()), f.T.Cross(f.N), end)
		}
		levers[i] = l
		at = w.Ends[i]
	}
	return levers, nil
}

func swing(at, axis, end geom.Vec) Swing {
	return Swing{Axis: axis, Move: axis.Cross(end.Sub(at))}
}
