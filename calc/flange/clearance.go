package flange

import (
	"slices"
	"strings"

	"tubewright/calc/fault"
)

// BoltSize is a bolt that holds a flange, and what it needs. All in mm.
type BoltSize struct {
	Name                 string
	Close, Normal, Loose float64 // clearance holes
	Washer, Socket       float64 // outside diameters
	Source               string  // of the holes
}

const (
	inchHoles   = "ASME B18.2.8"
	metricHoles = "ISO 273 (BS 4186, Machinery's Handbook, 31st ed., p. 2173)"
	perInch     = 25.4
)

// BoltSizes are the clearance holes of ASME B18.2.8 and ISO 273, which a test
// compares with the published table. Washers are ISO 7089 and the plain narrow inch
// series, sockets those of a common hand socket for the usual hexagon; both from
// memory.
var BoltSizes = []BoltSize{
	{"M6", 6.4, 6.6, 7, 12, 15, metricHoles},
	{"M8", 8.4, 9, 10, 16, 18, metricHoles},
	{"M10", 10.5, 11, 12, 20, 23.5, metricHoles},
	{"M12", 13, 14, 15, 24, 26, metricHoles},
	{"1/4", 0.266 * perInch, 0.281 * perInch, 0.297 * perInch, 15.9, 16, inchHoles},
	{"5/16", 0.328 * perInch, 0.344 * perInch, 0.359 * perInch, 17.5, 18, inchHoles},
	{"3/8", 0.391 * perInch, 0.406 * perInch, 0.422 * perInch, 20.6, 20.5, inchHoles},
	{"7/16", 0.453 * perInch, 0.469 * perInch, 0.484 * perInch, 23.4, 23, inchHoles},
}

// HoleFor returns the diameter in mm of the hole for a bolt, and by what rule. The
// class is close, normal or loose; empty is normal. The error is a *fault.Field.
func HoleFor(bolt, class string) (diameter float64, rule string, err error) {
	i := slices.IndexFunc(BoltSizes, func(b BoltSize) bool { return b.Name == bolt })
	if i < 0 {
		var names []string
		for _, b := range BoltSizes {
			names = append(names, b.Name)
		}
		return 0, "", fault.Refuse("Bolt size", "the tables have "+strings.Join(names, ", "))
	}
	b := BoltSizes[i]
	switch class {
	case "close":
		diameter = b.Close
	case "", "normal":
		class, diameter = "normal", b.Normal
	case "loose":
		diameter = b.Loose
	default:
		return 0, "", fault.Refuse("Hole class", "it is close, normal or loose")
	}
	return diameter, bolt + " " + class + ", " + b.Source, nil
}
