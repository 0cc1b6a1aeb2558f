package flange

import (
	"math"

	"tubewright/calc/fault"
)

// Material is what a flange is cut from.
type Material struct {
	Name    string
	Density float64 // kg/m³
	// Expansion has, in order, temperatures in °C and the mean coefficient from about
	// 20 °C to there in 1e-6/K.
	Expansion [][2]float64
	Source    string
}

// Materials are those that a flange or tube can be named by. A test compares them
// with the published tables, as far as there are. Sources disagree by 2 % on
// densities and by 4 % on expansion below 100 °C; stainless means are from 0 °C.
var Materials = []Material{
	{"mild steel", 7850, [][2]float64{{93.3, 12.06}, {204.4, 12.78}, {315.6, 13.32}, {426.7, 14.04}, {537.8, 14.58}, {648.9, 14.94}, {704.4, 15.12}},
		"expansion ASME BPVC II D, table TE-1, group 1; density of steel 1.0301 (C10)"},
	{"304", 8000, [][2]float64{{100, 17.2}, {315, 17.8}, {538, 18.4}}, "data sheet of 304/304L"},
	{"321", 8000, [][2]float64{{100, 16.7}, {315, 17.1}, {540, 18.5}, {925, 20.5}}, "data sheet of 321 plate"},
	{"347", 8000, [][2]float64{{100, 17.3}, {538, 18.6}}, "from memory"},
}

// MaterialOf returns the material of that name, and false where it is not known.
func MaterialOf(name string) (Material, bool) {
	for _, m := range Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// Cold is the temperature in °C at which a flange is measured and cut.
const Cold = 20

// Mean returns the mean coefficient of expansion per K from 20 °C to hot: straight
// between the temperatures of the table, the first one's below it, and along the
// last two beyond.
func (m Material) Mean(hot float64) float64 {
	e := m.Expansion
	if hot <= e[0][0] {
		return e[0][1] * 1e-6
	}
	i := 1
	for i < len(e)-1 && hot > e[i][0] {
		i++
	}
	a, b := e[i-1], e[i]
	return (a[1] + (hot-a[0])*(b[1]-a[1])/(b[0]-a[0])) * 1e-6
}

// UsualHot is how hot in °C a flange is taken to get where nobody entered it. From
// memory: it is cooled by the head, the tubes are hotter.
const UsualHot = 500

const (
	// SlotStep is in mm the step to which a slot's length is rounded up, so that it
	// can be read off a cutter's scale. Our own choice.
	SlotStep = 0.5
	// SlotFrom is the growth in mm from which a hole becomes a slot; less is lost in
	// the hole's tolerance (H13, 0.22 mm on 9 mm). Our own choice.
	SlotFrom = 0.1
)

// Growth returns by how many mm a length of the material grows when it gets from
// 20 °C to hot:
//
//	ΔL = L · α · (hot − 20)
//
// The head's own growth is left out. Aluminium has 23e-6/K and water-cooled heads
// stay near 100 °C, so an aluminium head grows by about a fifth of a stainless
// flange at 500 °C and an iron one by a tenth (from memory); a slot for the whole
// growth has that to spare. The error is a *fault.Field: hot is 20 to 1,000 °C.
func (m Material) Growth(length, hot float64) (float64, error) {
	if err := fault.Within("Flange gets as hot as", hot, Cold, 1000, "°C"); err != nil {
		return 0, err
	}
	return length * m.Mean(hot) * (hot - Cold), nil
}

// SlotFor returns the length in mm between the centres of a slot in the middle of
// which the bolt stands cold, and that lets it be growth mm to one side hot. The
// slot goes as far to the other side, since a flange may get cold or hot before its
// head:
//
//	2·growth, rounded up to SlotStep
//
// 0 where the growth is below SlotFrom. Practice has 1.5 to 2 times the growth
// (from memory); the clearance of the hole is left for what is not where it was
// drawn.
func SlotFor(growth float64) float64 {
	if !(growth >= SlotFrom) {
		return 0
	}
	return math.Ceil(2*growth/SlotStep-1e-9) * SlotStep
}
