package job

import (
	"strconv"
	"strings"

	"tubewright/calc/flange"
	"tubewright/calc/units"
)

// hole returns how large a bolt's hole is made, in mm: by the tables once the bolt size
// is known, as it was measured until then.
func (m Making) hole(b Bolt) float64 {
	if d, _, err := flange.HoleFor(m.BoltSize, m.HoleClass); err == nil {
		return d
	}
	return b.Hole.V.MM()
}

// bolt returns the diameter of the flange's bolts in mm, 0 while it is not known: what
// the name of the size says.
func (m Making) bolt() float64 {
	if metric, ok := strings.CutPrefix(m.BoltSize, "M"); ok {
		d, _ := strconv.ParseFloat(metric, 64)
		return d
	}
	over, under, _ := strings.Cut(m.BoltSize, "/")
	n, err1 := strconv.ParseFloat(over, 64)
	d, err2 := strconv.ParseFloat(under, 64)
	if err1 != nil || err2 != nil {
		return 0
	}
	return (units.Length(n/d) * units.Inch).MM()
}

// through tells whether the tube goes through the flange.
func (m Making) through() bool { return m.Opening == "tube" }

// gap is the room round the tube then, in mm.
func (m Making) gap() float64 { return m.OpeningGap.Or(flange.UsualGap).MM() }

// boltSizes are the names of the bolts that have a table.
func boltSizes() []string {
	var names []string
	for _, b := range flange.BoltSizes {
		names = append(names, b.Name)
	}
	return names
}
