package stock

import (
	"math"

	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// A WeldElbow is a butt-weld elbow by ASME B16.9: a bend of pipe without legs, its
// size named by pipe size.
type WeldElbow struct {
	NPS    string // nominal pipe size: "1-1/2"
	Long   bool   // long radius, 1.5 times the nominal size in inches; short is 1 times
	OD     units.Length
	Angle  units.Angle // 90° or 180°
	CLR    units.Length
	Across units.Length // centre to end of a 90, centre to centre of a 180
}

// What ASME B16.9 lets an elbow of these sizes differ by, NPS 1/2 to 2-1/2; the
// wall may be an eighth thinner than that of the pipe. From trade notes of the
// standard, seen.
const (
	ElbowODMore       units.Length = 1.6 // mm, at the bevel
	ElbowODLess       units.Length = 0.8
	ElbowCentreToEnd  units.Length = 2 // either way
	ElbowLeastWallRel              = 0.875
)

// Elbows returns the elbows of the sizes that headers are made of. The radius is
// exact in inches, 1.5 or 1 times the nominal size, and an elbow has no straight at
// its ends, so that centre to end of a 90 is the CLR, and centre to centre of a 180
// twice that: the standard prints both in whole millimetres.
func Elbows() []WeldElbow {
	sizes := []struct {
		nps         string
		nominal, od units.Length // in
	}{
		{"1-1/4", 1.25, 1.660},
		{"1-1/2", 1.5, 1.900},
		{"2", 2, 2.375},
	}
	var list []WeldElbow
	for _, s := range sizes {
		for _, long := range [2]bool{true, false} {
			clr := s.nominal * units.Inch
			if long {
				clr *= 1.5
			}
			for _, turn := range [2]units.Angle{90 * units.Degree, 180 * units.Degree} {
				across := clr
				if turn > 90*units.Degree {
					across = 2 * clr
				}
				list = append(list, WeldElbow{NPS: s.nps, Long: long, OD: s.od * units.Inch, Angle: turn, CLR: clr, Across: across})
			}
		}
	}
	return list
}

// Form returns how the elbow is named: "90 LR", "180 SR".
func (e WeldElbow) Form() string {
	form := "90"
	if e.Angle > math.Pi*3/4 {
		form = "180"
	}
	if e.Long {
		return form + " LR"
	}
	return form + " SR"
}

// Item returns the elbow as stock, of pipe with a wall, under an id.
func (e WeldElbow) Item(id string, wall units.Length, material string) Item {
	return Item{ID: id, Kind: Elbow, Section: tube.Section{OD: e.OD, Wall: wall}, Material: material, Angle: e.Angle, CLR: e.CLR}
}
