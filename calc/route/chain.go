package route

import (
	"errors"
	"math"
	"strconv"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// State says what of a piece can still be changed; see the package comment.
type State int8

// The states, in the order of the work.
const (
	Uncut State = iota // a drawing so far
	Cut                // cut, and not tacked
	Fixed              // tacked: the joint at its start holds
)

// LeastTurn is the least angle of a piece of a bend, 8°: a shorter one cannot be
// held in a saw. Common practice, no source.
const LeastTurn = 8 * units.Degree

// Piece is one piece of a chain.
type Piece struct {
	ID    string // as it is shown: "t1-3"
	State State
	// Element is the piece as it is: angle, length and CLR as cut and rotation as
	// clocked where these are known, otherwise as planned.
	Element tube.Element
	MaxTurn units.Angle  // of a bend, or another in its place: the most that its stock gives; 0 for 180°
	Least   units.Length // of a straight: what has to stay for a grip, a bolt head or a socket
	Most    units.Length // of a straight, or another in its place: the most that its stock gives; 0 for 10,000 mm
	NoStock bool         // there is nothing that another could be cut from where this one is cut
}

// Chain is what lies between a start that is known and an end that has to come
// somewhere.
type Chain struct {
	// Start is the port, or the free end of what is tacked, see FreeEnd.
	Start  geom.Frame
	Before units.Length // centreline up to Start, counted into every length
	OD     units.Length // for the arcs of turns
	Pieces []Piece      // in order from Start
}

// Target is where the end of a chain has to come. Zero values of the tolerances
// stand for the usual ones.
type Target struct {
	At        geom.Vec     // centre of the end, mm
	Aim       geom.Vec     // direction of travel there, of any length
	Within    units.Length // from At; 0 for 1.5 mm
	AimWithin units.Angle  // from Aim; 0 for 0.5°
	// The end may lie so much further along Aim than At (Deeper), or so much before
	// it (Shorter), without counting as off: what the socket has of slip.
	Deeper, Shorter units.Length
	// Length is the centreline wanted, from where Before counts, and LengthWithin
	// how far off it may be; 0 leaves the length free.
	Length, LengthWithin units.Length
}

// Usual tolerances of an end: what a slip socket of a tube takes up. Ours, no source.
const (
	UsualWithin    = 1.5 * units.Millimetre
	UsualAimWithin = 0.5 * units.Degree
)

// FreeEnd returns the start of a chain behind what is tacked: the measured centre
// and aim of the free end, with the plane of the last bend as walked, carried
// there. The error is a *fault.Field when the measured aim lies square to where
// the tacked part should point, where its plane says nothing.
func FreeEnd(walked geom.Frame, at, aim geom.Vec) (geom.Frame, error) {
	f, err := geom.NewFrame(at, aim, walked.N)
	if err != nil || !(f.T.Dot(walked.T) > 0) {
		return geom.Frame{}, fault.Refuse("Free end", "its centre and aim have to be numbers, and its aim within 90° of where the tacked pieces should point")
	}
	return f, nil
}

// longest is the longest straight that Check of a tube accepts, mm.
const longest = 10_000.0

// mostPieces is the most that a chain may have; the tube of a header has about ten.
// With three knobs each at most, a set of them fits into the bits of a word.
const mostPieces = 20

// check returns everything that is wrong with a chain, as joined *fault.Field.
func (c Chain) check() error {
	var faults []error
	if n := len(c.Pieces); n == 0 || n > mostPieces {
		faults = append(faults, &fault.Field{Name: "Pieces", Got: float64(n), Low: 1, High: mostPieces})
	}
	elems := make([]tube.Element, len(c.Pieces))
	for i, p := range c.Pieces {
		elems[i] = p.Element
		elems[i].ID = p.name(i)
		faults = append(faults, p.check(i))
	}
	// A wall of a tenth stands for any: only OD and CLR matter here.
	faults = append(faults,
		tube.Check(tube.Section{OD: c.OD, Wall: c.OD / 10}, elems),
		fault.Within("Centreline before", c.Before.MM(), 0, 10*longest, "mm"))
	if _, err := tube.Walk(c.Start, nil); err != nil {
		faults = append(faults, err)
	}
	return errors.Join(faults...)
}

func (p Piece) name(i int) string {
	if p.ID != "" {
		return p.ID
	}
	return strconv.Itoa(i + 1)
}

func (p Piece) check(i int) error {
	var err error
	switch {
	case p.State < Uncut || p.State > Fixed:
		err = &fault.Field{Name: "State", Got: float64(p.State), Low: float64(Uncut), High: float64(Fixed)}
	case p.Element.Bend != nil:
		err = fault.Within("Stock angle", p.MaxTurn.Deg(), 0, 180, "°")
	default:
		err = errors.Join(
			fault.Within("Least straight", p.Least.MM(), 0, longest, "mm"),
			fault.Within("Longest straight", p.Most.MM(), 0, longest, "mm"))
	}
	return fault.At(err, fault.Field{Where: "piece " + p.name(i)})
}

// ready returns the target with its usual values filled in and its aim unit.
func (t Target) ready() (Target, error) {
	if t.Within == 0 {
		t.Within = UsualWithin
	}
	if t.AimWithin == 0 {
		t.AimWithin = UsualAimWithin
	}
	aim, ok := t.Aim.Unit()
	t.Aim = aim
	var faults []error
	if !t.At.IsFinite() || !(t.At.Norm() <= 10*longest) {
		faults = append(faults, fault.Refuse("Target", "its centre has to be finite numbers, within 100 m"))
	}
	if !ok {
		faults = append(faults, fault.Refuse("Target aim", "an aim needs a direction"))
	}
	return t, errors.Join(append(faults,
		fault.Within("Tolerance of the end", t.Within.MM(), 0.01, 100, "mm"),
		fault.Within("Tolerance of the aim", t.AimWithin.Deg(), 0.01, 30, "°"),
		fault.Within("Slip deeper", t.Deeper.MM(), 0, 500, "mm"),
		fault.Within("Slip shorter", t.Shorter.MM(), 0, 500, "mm"),
		fault.Within("Target length", t.Length.MM(), 0, 10*longest, "mm"),
		fault.Within("Tolerance of the length", t.LengthWithin.MM(), 0, longest, "mm"))...)
}

// off is how far an end is from a target.
type off struct {
	miss   float64 // mm, beyond the slip
	along  float64 // mm, past At along Aim
	aim    float64 // rad
	length float64 // mm too long, signed; 0 where the length is free
}

// of returns how far an end with a centreline of length mm is from the target.
func (t Target) of(end geom.Frame, length float64) off {
	d := end.O.Sub(t.At)
	o := off{along: d.Dot(t.Aim), aim: end.T.Angle(t.Aim)}
	o.miss = d.Sub(t.Aim.Scale(t.slipped(o.along))).Norm()
	if t.LengthWithin > 0 {
		o.length = length - t.Length.MM()
	}
	return o
}

// slipped returns as much of along as the socket takes up.
func (t Target) slipped(along float64) float64 {
	return max(-t.Shorter.MM(), min(t.Deeper.MM(), along))
}

// holds reports whether all is within tolerance. A NaN does not.
func (t Target) holds(o off) bool {
	return o.miss <= t.Within.MM() && o.aim <= float64(t.AimWithin) && math.Abs(o.length) <= t.LengthWithin.MM()
}
