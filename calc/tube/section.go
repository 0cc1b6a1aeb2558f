package tube

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// widest is the largest outside diameter that is taken for a tube, in mm; about
// four times the largest collector outlet. Common practice, no source.
const widest = 500.0

// Section is the cross-section of a round tube: outside diameter and wall, mm.
type Section struct{ OD, Wall units.Length }

// ID returns the inside diameter, OD − 2·wall.
func (s Section) ID() units.Length { return s.OD - 2*s.Wall }

// Bore returns the inside cross-section area in mm², π·ID²/4.
func (s Section) Bore() float64 {
	id := s.ID().MM()
	return math.Pi * id * id / 4
}

// Check returns what is wrong with the section, joined *fault.Field, or nil:
// 0 < OD ≤ 500 mm and 0 < wall < OD/2.
func (s Section) Check() error {
	od := above("OD", s.OD.MM(), 0, widest, "mm", "a tube has to be wider than nothing")
	// Without a usable OD there is no range to name for the wall.
	if od != nil {
		return errors.Join(od, above("Wall", s.Wall.MM(), 0, widest/2, "mm", "a wall has to be thicker than nothing"))
	}
	half := s.OD.MM() / 2
	if s.Wall.MM() == half {
		return &fault.Field{Name: "Wall", Got: half, Unit: "mm", Low: 0, High: half, Why: "two walls fill the tube"}
	}
	return above("Wall", s.Wall.MM(), 0, half, "mm", "a wall has to be thicker than nothing")
}

// above is fault.Within with low itself excluded; atLow says why.
func above(name string, got, low, high float64, unit, atLow string) error {
	if got > low && got <= high {
		return nil
	}
	f := &fault.Field{Name: name, Got: got, Unit: unit, Low: low, High: high}
	if got == low {
		f.Why = atLow
	}
	return f
}
