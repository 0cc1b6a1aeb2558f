package tube

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

const (
	collinear = 1e-9 // rad: a corner that turns less is no bend; it moves the end of a 1 m straight by 1e-6 mm
	foldBack  = 1e-6 // rad short of a half turn; the setback there is two million radii

	// What rounding may leave of nothing when points are read: of a straight, in
	// mm, and of an angle, in rad.
	roundLength units.Length = 1e-6
	roundAngle  units.Angle  = 1e-6

	farthest = 1e6 // mm, of a coordinate; a car is 5e3 mm long
)

// FromPoints returns the bender data of a path given by its intersection points
// and the CLR at each but the first and last. up is what the first rotation is
// measured from, see the package comment; with the zero vector the first rotation
// is 0. With d and d' the directions before and after a point and n the plane of
// the bend before it, carried,
//
//	A   = atan2(|d×d'|, d·d')
//	L   = distance − R·tan(A/2) at both ends
//	n'  = d' − (d'·d) d, made unit
//	Rot = atan2(d·(n×n'), n·n'), above −180°, at most 180°
//
// and n'·cos A − d·sin A is carried on. Points in mm, within ±1e6 mm. Against the
// elements they came from, straights are good to 1e-8 mm.
//
//   - A point at which the path turns less than 1e-9 rad is dropped, with its CLR.
//   - Two halves of a bend over 150°, as XYZ writes them, become one bend.
//   - A straight between 0 and −1e-6 mm is taken as 0.
//
// The error is one or more *fault.Field: points that coincide, a path that turns
// back on itself, a CLR that cannot be used, and every straight that the bends at
// its ends leave no room for, with what is missing. Points count from 1.
func FromPoints(pts []geom.Vec, clr []units.Length, up geom.Vec) (LRA, error) {
	corners, err := corners(pts, clr)
	if err != nil {
		return LRA{}, err
	}
	l, err := straights(pts, corners)
	if err != nil {
		return LRA{}, err
	}
	if err := rotations(l, pts, corners, up); err != nil {
		return LRA{}, err
	}
	return l.joined(), nil
}

// corner is a point that a path bends at, or one of its ends.
type corner struct {
	point int // index
	Bend
	out geom.Vec // unit direction to the next corner
}

// corners checks the points and leaves out those where nothing bends. The first
// and last of the result are the ends.
func corners(pts []geom.Vec, clr []units.Length) ([]corner, error) {
	if len(pts) < 2 {
		return nil, fault.Refuse("Points", "a path needs at least two points")
	}
	if len(clr) != len(pts)-2 {
		return nil, fault.Refuse("CLR", fmt.Sprintf("%d given for %d points; every point but the first and the last needs one", len(clr), len(pts)))
	}
	var faults []error // sentences are made only for what is wrong: this runs on every edit
	for i, p := range pts {
		faults = append(faults, placed(i, p)...)
		if i > 0 && p.Sub(pts[i-1]).Norm() < roundLength.MM() {
			faults = append(faults, fault.Refuse(fmt.Sprintf("Points %d and %d", i, i+1), "they coincide; leave one out"))
		}
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	list := make([]corner, 1, len(pts))
	for i := 1; i < len(pts)-1; i++ {
		last := &list[len(list)-1]
		in, next := pts[i].Sub(pts[last.point]), pts[i+1].Sub(pts[i])
		turn := in.Angle(next)
		if turn < collinear {
			continue
		}
		if turn > math.Pi-foldBack {
			faults = append(faults, fault.Refuse(fmt.Sprintf("Point %d", i+1), "the path turns back on itself, so the bend has no intersection point; enter it as two points or as LRA"))
			continue
		}
		r := clr[i-1]
		if !(r > 0 && r <= longest) {
			faults = append(faults, above(fmt.Sprintf("CLR at point %d", i+1), r.MM(), 0, longest, "mm", "a bend needs a radius"))
		}
		last.out, _ = in.Unit()
		list = append(list, corner{point: i, Bend: Bend{Radius: r}})
	}
	end := len(pts) - 1
	last := &list[len(list)-1]
	last.out, _ = pts[end].Sub(pts[last.point]).Unit()
	// Turns between the corners that are left, so that slight ones do not add up.
	for i := 1; i < len(list); i++ {
		list[i].Turn = units.Angle(list[i-1].out.Angle(list[i].out))
	}
	return append(list, corner{point: end}), errors.Join(faults...)
}

// placed returns which coordinates of point i cannot be used.
func placed(i int, p geom.Vec) (faults []error) {
	for axis, at := range [3]float64{p.X, p.Y, p.Z} {
		if !(math.Abs(at) <= farthest) {
			faults = append(faults, fault.Within(fmt.Sprintf("Point %d %c", i+1, "xyz"[axis]), at, -farthest, farthest, "mm"))
		}
	}
	return faults
}

// straights returns the rows, still without rotations.
func straights(pts []geom.Vec, list []corner) (LRA, error) {
	var l LRA
	if n := len(list) - 2; n > 0 {
		l.Rows = make([]Row, 0, n)
	}
	var faults []error
	for i, c := range list[1:] {
		from := list[i]
		length := units.Length(pts[c.point].Sub(pts[from.point]).Norm()) - from.setback() - c.setback()
		if length < 0 && length > -roundLength {
			length = 0
		}
		if !(length >= 0 && length.MM() <= longest) {
			f := &fault.Field{Name: fmt.Sprintf("Straight between points %d and %d", from.point+1, c.point+1),
				Got: length.MM(), Unit: "mm", Low: 0, High: longest}
			if length < 0 {
				f.Why = fmt.Sprintf("%.4g mm too short for %s", -length.MM(), bendsAt(from, c, len(pts)))
			}
			faults = append(faults, f)
		}
		if i == len(list)-2 {
			l.Last = length
		} else {
			l.Rows = append(l.Rows, Row{Length: length, Turn: c.Turn, Radius: c.Radius})
		}
	}
	return l, errors.Join(faults...)
}

// bendsAt says which bends take up the straight between two corners.
func bendsAt(a, b corner, points int) string {
	switch {
	case a.point == 0:
		return fmt.Sprintf("the bend at point %d", b.point+1)
	case b.point == points-1:
		return fmt.Sprintf("the bend at point %d", a.point+1)
	}
	return fmt.Sprintf("the bends at points %d and %d", a.point+1, b.point+1)
}

// rotations fills in how each bend lies to the one before.
func rotations(l LRA, pts []geom.Vec, list []corner, up geom.Vec) error {
	if len(l.Rows) == 0 {
		return nil
	}
	if !up.IsFinite() {
		return fault.Refuse("Reference", "every part has to be a finite number")
	}
	var n geom.Vec // zero as long as there is nothing to measure from
	if up != (geom.Vec{}) {
		f, err := geom.NewFrame(pts[0], list[0].out, up)
		if err != nil {
			return fault.Refuse("Reference", "it lies along the first straight; give one that stands square to it")
		}
		n = f.N
	}
	for i := range l.Rows {
		before, after := list[i].out, list[i+1].out
		plane, _ := after.Sub(before.Scale(after.Dot(before))).Unit()
		if n != (geom.Vec{}) {
			l.Rows[i].Rotation = above180(math.Atan2(before.Dot(n.Cross(plane)), n.Dot(plane)))
		}
		sin, cos := math.Sincos(float64(l.Rows[i].Turn))
		n = plane.Scale(cos).Sub(before.Scale(sin))
	}
	return nil
}

// above180 returns the rotation as +180° where rounding has made it −180°: a
// bend on the other way has one name.
func above180(rot float64) units.Angle {
	if rot < -math.Pi+1e-9 {
		rot += 2 * math.Pi
	}
	return units.Angle(rot)
}
