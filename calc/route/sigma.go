package route

import (
	"errors"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// Sigmas is how far what is done next will be off, one standard deviation each.
type Sigmas struct {
	// Of what is still to be cut, or recut.
	Turn   units.Angle
	Length units.Length
	// Of a joint that is still to be tacked: Clock as it will be marked, Fixture when
	// it is set with an angle tool in the fixture.
	Clock, Fixture units.Angle
	// Of what is cut or tacked and was measured.
	TurnMeasured   units.Angle
	LengthMeasured units.Length
	ClockMeasured  units.Angle
	// Of the start: 0 for a port, which is the datum; see UsualEnd for a free end.
	// StartAim is about each of the two axes square to the tube, StartClock about it.
	Start                units.Length // along each axis
	StartAim, StartClock units.Angle
}

// UsualSigmas returns what is taken where a shop has no figures of its own:
//
//	cut angle         0.5°    squareness of a cut, navy tube manual (seen); as one sigma: ours
//	cut length        0.5 mm  the error that headers were tried with; common practice, no source
//	clock by a mark   0.5 mm  on the OD, half a division of a rule; common practice, no source
//	clock by a tool   0.3°    in the fixture; common practice, no source
//	angle measured    0.2°    an angle gauge shows 0.1° and is good for 0.2°; from memory
//	length measured   0.3 mm  common practice, no source
//	clock measured    0.3°    as by a tool
//
// Not in it: squareness of cuts out of a bend's plane, the CLR, and what welding
// pulls.
func UsualSigmas(od units.Length) Sigmas {
	return Sigmas{
		Turn: 0.5 * units.Degree, Length: 0.5,
		Clock: units.Angle(0.5 / (od.MM() / 2)), Fixture: 0.3 * units.Degree,
		TurnMeasured: 0.2 * units.Degree, LengthMeasured: 0.3, ClockMeasured: 0.3 * units.Degree,
	}
}

// UsualEnd returns s for a start that is a measured free end: 0.5 mm along each
// axis, 0.2° of aim (an angle gauge, from memory), clock as measured. Common
// practice, no source.
func (s Sigmas) UsualEnd() Sigmas {
	s.Start, s.StartAim, s.StartClock = 0.5, 0.2*units.Degree, s.ClockMeasured
	return s
}

func (s Sigmas) check() error {
	angle := func(name string, a units.Angle) error { return fault.Within(name, a.Deg(), 0, 90, "°") }
	length := func(name string, l units.Length) error { return fault.Within(name, l.MM(), 0, 100, "mm") }
	return errors.Join(
		angle("Sigma of a cut angle", s.Turn), length("Sigma of a cut length", s.Length),
		angle("Sigma of a clock", s.Clock), angle("Sigma of a clock in the fixture", s.Fixture),
		angle("Sigma of a measured angle", s.TurnMeasured), length("Sigma of a measured length", s.LengthMeasured),
		angle("Sigma of a measured clock", s.ClockMeasured), length("Sigma of the start", s.Start),
		angle("Sigma of the start's aim", s.StartAim), angle("Sigma of the start's clock", s.StartClock))
}

// Source is one thing that may come out wrong, and what it does to the end.
type Source struct {
	// Kind is Turn for the clock of a joint, Bend for an angle, Straight for a length.
	// The start has its own: StartPlace, StartAim, StartClock.
	Kind  Kind
	Joint int // of a turn; as in Change
	// Element is the index in Elems of what is off, for a turn of the bend that is
	// turned; −1 for the start.
	Element int
	Todo    bool         // still to be done, and so in the hand of the shop; otherwise measured
	Sigma   float64      // of it: rad, or mm of a length
	Miss    units.Length // one sigma of it at the end
	Aim     units.Angle
}

// The start as a source.
const (
	StartPlace Kind = "start"
	StartAim   Kind = "start aim"
	StartClock Kind = "start clock"
)

// Spread is how far the end may come out from where an answer puts it, by what is
// still to be cut and tacked and by what was measured, to first order.
type Spread struct {
	Miss   units.Length // root of the sum of the squares along all three axes, one sigma
	Aim    units.Angle  // likewise about both axes
	Length units.Length
	// Likely is how likely the end comes within all tolerances, 0 to 1, for errors
	// that are normal and independent; good to ± 0.01 (one sigma of 2,048 draws).
	Likely  float64
	Sources []Source  // largest Miss first
	Fixture []Fixture // which joints to set in the fixture, most worth first
}

// Fixture is a joint to set in the fixture.
type Fixture struct {
	Joint  int
	Likely float64 // Spread.Likely with this joint and those before it set there
}
