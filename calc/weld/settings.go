package weld

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// Setting is a row of a table of TIG settings for steel and stainless, direct current,
// electrode negative.
type Setting struct {
	Low, High        units.Length // wall
	Tungsten, Filler string       // diameters in inches
	Amps             [2]float64
	Argon            [2]float64 // at the torch, cfh
}

var chart = sizing.Source{Text: "TIG settings by thickness for steel and stainless, DCEN: tungsten, filler, amperage and argon; 1 A per 0.001 in", Grade: sizing.Published}

// Settings are the rows of the table, by wall. Rows share their ends.
var Settings = []Setting{
	{0.020 * units.Inch, 0.040 * units.Inch, "1/16", "1/16", [2]float64{15, 50}, [2]float64{10, 15}},
	{0.040 * units.Inch, 0.060 * units.Inch, "1/16", "1/16", [2]float64{40, 80}, [2]float64{12, 18}},
	{0.060 * units.Inch, 0.093 * units.Inch, "3/32", "1/16-3/32", [2]float64{60, 110}, [2]float64{15, 20}},
	{0.093 * units.Inch, 0.125 * units.Inch, "3/32", "3/32", [2]float64{90, 150}, [2]float64{15, 25}},
	{0.125 * units.Inch, 0.188 * units.Inch, "3/32-1/8", "3/32-1/8", [2]float64{120, 200}, [2]float64{18, 28}},
}

// SettingsSource is where the table is from.
func SettingsSource() sizing.Source { return chart }

// SettingsFor returns the row of a wall; both where it lies on the end of two, none
// outside the table.
func SettingsFor(wall units.Length) (rows []Setting) {
	const same = 1e-6 // mm, the step of entries
	for _, s := range Settings {
		if wall >= s.Low-same && wall <= s.High+same {
			rows = append(rows, s)
		}
	}
	return rows
}

// Form is how two parts meet.
type Form string

const (
	Edge   Form = "butt"   // two ends
	Fillet Form = "fillet" // a tube on a plate, or a tube in a socket
)

// StainlessLess is by how much fewer amps stainless wants than mild steel.
const StainlessLess = 0.10

var mmChart = sizing.Source{Text: "TIG chart in mm for mild and stainless steel, by thickness and form of the joint; stainless about 10 % fewer amps", Grade: sizing.Published}

// inMM is that chart, mild steel: thickness in mm, amps of a butt joint and of a fillet.
var inMM = [][3]float64{{1.2, 35, 45}, {1.5, 45, 55}, {2, 60, 75}, {3, 90, 110}}

// sixteen are the walls that are called 16 gauge, in mm: 0.060 to 0.065 in, as sheet and
// as tube, with half a thousandth more each way.
var sixteen = [2]float64{0.0595 * 25.4, 0.0655 * 25.4}

// Says is what one source says to the amps of a joint.
type Says struct {
	Name      string
	Low, High float64 // A
	Source    sizing.Source
}

// Amps returns what every source says to the amps for a wall. They disagree: the rule of
// 1 A per 0.001 in is the hotter, as of a fillet, where the chart in mm gives a quarter
// less for a butt joint; between its thicknesses the latter is taken straight, beyond
// them it says nothing. What holds for mild steel is taken 10 % lower for stainless. They
// are starting values for a scrap piece. The error is a *fault.Field naming the wall, 0.3
// to 12 mm.
func Amps(wall units.Length, form Form, stainless bool) ([]Says, error) {
	if err := fault.Within("Wall", wall.MM(), 0.3, 12, "mm"); err != nil {
		return nil, err
	}
	less := 1.0
	if stainless {
		less = 1 - StainlessLess
	}
	rule := RuleAmps(wall, stainless)
	list := []Says{{"1 A per 0.001 in", rule, rule, chart}}
	rows := SettingsFor(wall)
	if len(rows) > 0 {
		low, high := rows[0].Amps[0], rows[0].Amps[1]
		for _, r := range rows {
			low, high = min(low, r.Amps[0]), max(high, r.Amps[1])
		}
		list = append(list, Says{"table by thickness", low, high, chart})
	}
	if a, known := inChart(wall.MM(), form); known {
		list = append(list, Says{"chart in mm, " + string(form), a * less, a * less, mmChart})
	}
	if form == Edge && wall.MM() >= sixteen[0] && wall.MM() <= sixteen[1] {
		list = append(list, Says{"builders, 16 gauge", 35, 40, sizing.Source{Text: "builders of headers: 35 to 40 A on 16 gauge, about 37 A with 0.035 in filler; dark welds are too hot and too fast", Grade: sizing.Practice}})
	}
	return list, nil
}

// RuleAmps is 1 A for each 0.001 in of wall, for stainless 10 % less.
func RuleAmps(wall units.Length, stainless bool) float64 {
	a := wall.MM() / 25.4 * 1000
	if stainless {
		a *= 1 - StainlessLess
	}
	return a
}

func inChart(mm float64, form Form) (float64, bool) {
	col := 1
	if form == Fillet {
		col = 2
	}
	for i, r := range inMM[1:] {
		if b := inMM[i]; mm >= b[0] && mm <= r[0] {
			return b[col] + (mm-b[0])/(r[0]-b[0])*(r[col]-b[col]), true
		}
	}
	return math.NaN(), false
}
