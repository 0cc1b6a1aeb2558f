package geom

import (
	"errors"
	"math"
)

// Move is a rigid move: a rotation about the origin, then a shift in mm. The
// zero value is not a move; Still is the one that changes nothing.
type Move struct {
	x, y, z Vec // where the axes go
	shift   Vec
}

// Still leaves everything where it is.
var Still = Move{x: Vec{1, 0, 0}, y: Vec{0, 1, 0}, z: Vec{0, 0, 1}}

// NewMove returns the move that rotates by angle rad about axis through the
// origin, right-hand positive, and then shifts by shift mm. An axis without
// direction is an error unless the angle is 0.
func NewMove(axis Vec, angle float64, shift Vec) (Move, error) {
	m := Still
	m.shift = shift
	if angle == 0 {
		return m, nil
	}
	a, ok := axis.Unit()
	if !ok || math.IsNaN(angle) || math.IsInf(angle, 0) {
		return Move{}, errors.New("rotation needs an axis and a finite angle")
	}
	sin, cos := math.Sincos(angle)
	turned := func(v Vec) Vec {
		return v.Scale(cos).Add(a.Cross(v).Scale(sin)).Add(a.Scale(a.Dot(v) * (1 - cos)))
	}
	m.x, m.y, m.z = turned(m.x), turned(m.y), turned(m.z)
	return m, nil
}

// Point returns where the point p goes.
func (m Move) Point(p Vec) Vec { return m.Dir(p).Add(m.shift) }

// Dir returns where the direction d goes; a shift does not change it.
func (m Move) Dir(d Vec) Vec {
	return m.x.Scale(d.X).Add(m.y.Scale(d.Y)).Add(m.z.Scale(d.Z))
}

// Frame returns where the frame f goes.
func (m Move) Frame(f Frame) Frame {
	return Frame{m.Point(f.O), m.Dir(f.T), m.Dir(f.N)}.trued()
}

// Then returns the move that does m first and n after it.
func (m Move) Then(n Move) Move {
	return Move{n.Dir(m.x), n.Dir(m.y), n.Dir(m.z), n.Point(m.shift)}
}

// Inverse returns the move that puts everything back.
func (m Move) Inverse() Move {
	back := Move{
		x: Vec{m.x.X, m.y.X, m.z.X},
		y: Vec{m.x.Y, m.y.Y, m.z.Y},
		z: Vec{m.x.Z, m.y.Z, m.z.Z},
	}
	back.shift = back.Dir(m.shift).Scale(-1)
	return back
}
