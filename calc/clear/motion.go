package clear

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Motion is how a part moves: one thing after another that it can do, from low to
// high, every position between included. The zero value stands still.
type Motion struct {
	poses     []geom.Move
	turns     bool
	slides    bool
	at, along geom.Vec // axis, or the way it slides in at once
	low, high float64  // rad or mm
}

// Turning returns a rotation about the axis through a point, right-hand positive,
// low ≤ high, each from −360° to 360°: engine roll, a lever, a steering joint.
func Turning(through, axis geom.Vec, low, high units.Angle) (Motion, error) {
	if err := placed("Axis", through); err != nil {
		return Motion{}, err
	}
	dir, ok := axis.Unit()
	if !ok {
		return Motion{}, fault.Refuse("Axis", "a rotation needs an axis with a direction")
	}
	if err := fault.Within("Lowest turn", low.Deg(), -360, 360, "°"); err != nil {
		return Motion{}, err
	}
	if err := fault.Within("Highest turn", high.Deg(), low.Deg(), 360, "°"); err != nil {
		return Motion{}, err
	}
	return Motion{turns: true, at: through, along: dir, low: float64(low), high: float64(high)}, nil
}

// Sliding returns a travel along a direction, low ≤ high, each from −10,000 to
// 10,000 mm: a clutch rod, a slip joint. along need not be of unit length.
func Sliding(along geom.Vec, low, high units.Length) (Motion, error) {
	dir, ok := along.Unit()
	if !ok {
		return Motion{}, fault.Refuse("Direction", "a travel needs a direction")
	}
	if err := fault.Within("Lowest travel", low.MM(), -widest, widest, "mm"); err != nil {
		return Motion{}, err
	}
	if err := fault.Within("Highest travel", high.MM(), low.MM(), widest, "mm"); err != nil {
		return Motion{}, err
	}
	return Motion{slides: true, along: dir, low: low.MM(), high: high.MM()}, nil
}

// Standing returns a part that is in one of the poses at a time; what lies between
// them is not looked at.
func Standing(poses ...geom.Move) (Motion, error) {
	for _, p := range poses {
		if err := placed("Position", p.Point(geom.Vec{})); err != nil {
			return Motion{}, err
		}
		if !(math.Abs(norm(p.Dir(geom.Vec{X: 1}))-1) < 1e-9) {
			return Motion{}, fault.Refuse("Position", "a position needs a rotation and a shift")
		}
	}
	return Motion{poses: poses}, nil
}

func (m *Motion) still() bool { return !m.turns && !m.slides && len(m.poses) == 0 }

// pose returns where the part is at t: rad, mm, or the number of a pose.
func (m *Motion) pose(t float64) geom.Move {
	switch {
	case m.slides:
		move, _ := geom.NewMove(geom.Vec{}, 0, m.along.Scale(t))
		return move
	case m.turns:
		turn, _ := geom.NewMove(m.along, t, geom.Vec{})
		move, _ := geom.NewMove(m.along, t, m.at.Sub(turn.Dir(m.at)))
		return move
	case len(m.poses) > 0:
		return m.poses[int(t)]
	}
	return geom.Still
}

// speed returns how far anything in the sphere goes per rad or mm, at most.
func (m *Motion) speed(c geom.Vec, r float64) float64 {
	if m.slides {
		return 1
	}
	v := c.Sub(m.at)
	return norm(v.Sub(m.along.Scale(v.Dot(m.along)))) + r
}

// curvature returns that of the way of a point which goes at speed: the circle on
// which it turns.
func (m *Motion) curvature(speed float64) float64 {
	if m.turns && speed > 0 {
		return 1 / speed
	}
	return 0
}

// swept returns a sphere about all that the sphere passes through, or with back
// all that it passes through as seen from the part that moves.
func (m *Motion) swept(c geom.Vec, r float64, back bool) (geom.Vec, float64) {
	pose := func(t float64) geom.Move {
		if back {
			return m.pose(t).Inverse()
		}
		return m.pose(t)
	}
	switch {
	case m.turns || m.slides:
		half := (m.high - m.low) / 2
		return pose(m.low + half).Point(c), r + half*m.speed(c, r)
	case len(m.poses) > 0:
		first, reach := pose(0).Point(c), 0.0
		for i := range m.poses {
			reach = max(reach, norm(pose(float64(i)).Point(c).Sub(first)))
		}
		return first, reach + r
	}
	return c, r
}
