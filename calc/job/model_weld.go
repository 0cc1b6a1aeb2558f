package job

import (
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// Welding is how a header is welded, with what is usual where nothing is entered.
type Welding struct {
	Template      weld.Template
	Order         string // as entered, empty where it is not
	Changes, Flow float64
	Pull          units.Length
	Rigid, Braced bool
	TackedBare    bool              // tacks go without purge
	Holds         map[string]string // by name of the point, passed or failed; not in it while open
}
