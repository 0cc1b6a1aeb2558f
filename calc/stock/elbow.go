package stock

import (
	"math"
	"strconv"

	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// A WeldElbow is a butt-weld elbow by ASME B16.9: a bend of pipe, its size named by pipe
// size.
type WeldElbow struct {
	NPS    string // nominal pipe size: "1-1/2"
	Long   bool   // long radius, 1.5 times the nominal size in inches; short is 1 times
	OD     units.Length
	Angle  units.Angle // 45°, 90° or 180°
	CLR    units.Length
	Across units.Length // centre to end of a 45 and a 90, centre to centre of a 180
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

// pipes are the sizes that headers are made of: nominal and true size, the wall by
// schedule, and centre to end of a 45 by ASME B16.9 in mm. OD and walls of 40 and 80 by
// ASME B36.10M, seen; those of 5S and 10S by ASME B36.19M, and what a 45 measures, from
// memory.
var pipes = []struct {
	nps         string
	nominal, od units.Length    // in
	walls       [4]units.Length // in, of schedules
	end45       units.Length
}{
	{"1-1/4", 1.25, 1.660, [4]units.Length{0.065, 0.109, 0.140, 0.191}, 25},
	{"1-1/2", 1.5, 1.900, [4]units.Length{0.065, 0.109, 0.145, 0.200}, 29},
	{"2", 2, 2.375, [4]units.Length{0.065, 0.109, 0.154, 0.218}, 35},
	{"2-1/2", 2.5, 2.875, [4]units.Length{0.083, 0.120, 0.203, 0.276}, 44},
}

var schedules = [4]string{"5S", "10S", "40", "80"}

// Elbows returns the elbows of the sizes that headers are made of: long ones of 90, 45
// and 180, short ones of 90 and 180; the standard has no short 45. The radius is exact in
// inches, 1.5 or 1 times the nominal size. A 90 and a 180 have no straight at their ends,
// so that centre to end of a 90 is the CLR, and centre to centre of a 180 twice that: the
// standard prints both in whole millimetres. Small 45s are longer by it than their CLR
// comes to, see Beyond.
func Elbows() []WeldElbow {
	var list []WeldElbow
	for _, p := range pipes {
		for _, long := range [2]bool{true, false} {
			clr := p.nominal * units.Inch
			if long {
				clr *= 1.5
			}
			e := WeldElbow{NPS: p.nps, Long: long, OD: p.od * units.Inch, CLR: clr}
			e.Angle, e.Across = 90*units.Degree, clr
			list = append(list, e)
			if long {
				e.Angle, e.Across = 45*units.Degree, p.end45
				list = append(list, e)
			}
			e.Angle, e.Across = 180*units.Degree, 2*clr
			list = append(list, e)
		}
	}
	return list
}

// Beyond is how much farther the centre of a 45 lies from its ends by the standard than
// it would with its CLR, CLR·tan(½·45°); 0 for other elbows. What it is made of, a larger
// radius or short straights, the standard leaves to the maker: a person has to measure one.
func (e WeldElbow) Beyond() units.Length {
	if e.turns() != 45 {
		return 0
	}
	return e.Across - e.CLR*units.Length(math.Tan(float64(e.Angle)/2))
}

// Form returns how the elbow is named: "90 LR", "180 SR".
func (e WeldElbow) Form() string {
	form := strconv.Itoa(e.turns())
	if e.Long {
		return form + " LR"
	}
	return form + " SR"
}

func (e WeldElbow) turns() int { return int(e.Angle.Deg() + 0.5) }

// Item returns the elbow as stock, of pipe with a wall, under an id.
func (e WeldElbow) Item(id string, wall units.Length, material string) Item {
	return Item{ID: id, Kind: Elbow, Section: tube.Section{OD: e.OD, Wall: wall}, Material: material, Angle: e.Angle, CLR: e.CLR}
}

// PipeWall is the wall of pipe of a nominal size by its schedule.
type PipeWall struct {
	NPS, Schedule string
	Wall          units.Length
}

// PipeWalls returns the walls of the pipe that Elbows are made of, thinnest first.
func PipeWalls() []PipeWall {
	var list []PipeWall
	for _, p := range pipes {
		for i, wall := range p.walls {
			list = append(list, PipeWall{p.nps, schedules[i], wall * units.Inch})
		}
	}
	return list
}
