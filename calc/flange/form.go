package flange

import (
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
)

// End is the end of a round tube formed to a port, its bore the port's outline.
type End struct {
	// PerimeterTube and PerimeterPort are the perimeters in mm of the middle of the
	// wall before and after, which forming keeps where it only bends the wall.
	PerimeterTube, PerimeterPort float64
	// Stretch is the change of that perimeter as a share of the tube's, positive
	// where the end is opened up; Strain is ln(1 + Stretch), which adds up over
	// several steps.
	Stretch, Strain float64
	Outside         geom.Outline // of the formed end
	Opening         geom.Outline // of the flange
	Die             Die
}

// Die is what is pressed into the end to form it: a bar with this section, its
// sides straight and not tapered.
type Die struct {
	Outline   geom.Outline
	Perimeter float64 // mm
	Clearance float64 // mm all round between the die and the flange opening
}

// UsualGap is the room in mm all round between a formed tube and the opening that
// it goes through, where nobody entered one. A thread on dies leaves 3/32 in for a
// wall of 0.065 in, which is 0.73 mm beside the wall; half of it is enough to push
// the tube in, and more is to be filled by the weld. Common practice, no source.
const UsualGap = 0.4

// Limits of the stretch when a tube's end is opened by hand: beyond the first it
// cracks or gets thin corners, beyond the second it is asked for. From memory.
const (
	StretchWarn = 0.03
	StretchStop = 0.05
)

// WallWarn is the angle in rad between the wall of a transition and the tube's
// direction beyond which the flow may leave it, 10°. From memory.
const WallWarn = 10 * math.Pi / 180

// Form returns the end of a tube of the given outside diameter and wall in mm,
// formed so that its bore is the port's outline. With d the diameter, t the wall
// and P the port's perimeter, in the middle of the wall
//
//	before π(d − t)     after P + πt
//
// the second for every outline without a hollow narrower than the wall. Where the
// tube goes through the flange, the opening is the formed tube's outside and gap mm
// more all round; where it butts on, the opening is the port's outline and gap is
// not looked at. The wall gets thinner by the same share as the perimeter gets
// longer; that is not taken off.
//
// The error is a *fault.Field naming the tube's size or the gap, or says that the
// port has no outline outside of it.
func Form(port geom.Outline, od, wall float64, through bool, gap float64) (End, error) {
	if err := fault.Within("Tube OD", od, 1, 1000, "mm"); err != nil {
		return End{}, err
	}
	if !(wall > 0 && wall < od/2) {
		return End{}, &fault.Field{Name: "Tube wall", Got: wall, Unit: "mm", Low: 0, High: od / 2, Why: "the tube has to have a bore"}
	}
	p := port.Perimeter()
	if !(p > 0) {
		return End{}, fault.Refuse("Port", "it has no outline")
	}
	outside, err := Offset(port, wall)
	if err != nil {
		return End{}, fmt.Errorf("formed end: %w", err)
	}
	e := End{
		PerimeterTube: math.Pi * (od - wall), PerimeterPort: p + math.Pi*wall,
		Outside: outside, Opening: port, Die: Die{Outline: port, Perimeter: p},
	}
	e.Stretch = e.PerimeterPort/e.PerimeterTube - 1
	e.Strain = math.Log(e.PerimeterPort / e.PerimeterTube)
	if through {
		if err := fault.Within("Gap round the tube", gap, 0, 20, "mm"); err != nil {
			return End{}, err
		}
		if e.Opening, err = Offset(port, wall+gap); err != nil {
			return End{}, fmt.Errorf("flange opening: %w", err)
		}
		e.Die.Clearance = wall + gap
	}
	return e, nil
}

// DieFor returns the die for an opening as it is, of a flange that was bought: its
// outline lies inside the opening by the wall and the gap. It is an error when
// nothing is left, or several parts.
func DieFor(opening geom.Outline, wall, gap float64) (Die, error) {
	if !(wall > 0 && gap >= 0) {
		return Die{}, &fault.Field{Name: "Tube wall", Got: wall, Unit: "mm", Low: 0, High: math.Inf(1), Why: "wall and gap are taken off the opening"}
	}
	o, err := Offset(opening, -(wall + gap))
	if err != nil {
		return Die{}, fmt.Errorf("die for the opening: %w", err)
	}
	return Die{Outline: o, Perimeter: o.Perimeter(), Clearance: wall + gap}, nil
}
