package dxf

import (
	"fmt"
	"strings"
)

// unit is a unit of length that a file can be in.
type unit struct {
	name, word string
	mm         float64
	metric     bool
}

// insUnits are the codes of $INSUNITS that a flange can be drawn in.
var insUnits = map[int]unit{
	1: {"in", "inches", 25.4, false},
	2: {"ft", "feet", 304.8, false},
	4: {"mm", "millimetres", 1, true},
	5: {"cm", "centimetres", 10, true},
	6: {"m", "metres", 1000, true},
}

func unitNamed(name string) (unit, bool) {
	for _, u := range insUnits {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}

// said is what the header says of units; −1 stands for nothing.
type said struct{ insUnits, measurement int }

// header keeps the two variables that speak of units.
func (r *reader) header() error {
	name := ""
	for {
		g, ok, err := r.next()
		if err != nil || !ok {
			return err
		}
		switch {
		case g.code == 0 && strings.TrimSpace(g.value) == "ENDSEC":
			return nil
		case g.code == 9:
			name = strings.ToUpper(strings.TrimSpace(g.value))
		case g.code == 70 && name == "$INSUNITS":
			r.units.insUnits, err = g.whole()
		case g.code == 70 && name == "$MEASUREMENT":
			r.units.measurement, err = g.whole()
		}
		if err != nil {
			return err
		}
	}
}

// setUnit settles how many mm one unit of the file has, or why a person must say.
func (r *reader) setUnit() {
	u, known := insUnits[r.units.insUnits]
	r.ask, r.scale = "", 1
	if given, ok := unitNamed(r.opts.Unit); ok {
		r.scale = given.mm
		if known && u != given {
			r.note("the file says that its figures are %s; they were taken as %s, as you said", u.word, given.word)
		}
		return
	}
	other := map[int]string{0: "inch", 1: "metric"}[r.units.measurement]
	switch {
	case r.units.insUnits <= 0 && other == "":
		r.ask = "the file does not say which unit its figures are in"
	case r.units.insUnits <= 0:
		r.ask = "the file does not say which unit its figures are in, only that it was drawn with " + other + " settings"
	case !known:
		r.ask = fmt.Sprintf("the file gives its unit as number %d, in which no flange is drawn", r.units.insUnits)
	case other != "" && u.metric != (r.units.measurement == 1):
		r.ask = fmt.Sprintf("the file contradicts itself: its unit is %s, its settings are %s ones", u.word, other)
	default:
		r.scale = u.mm
	}
}

func (r *reader) note(format string, args ...any) {
	r.notes = append(r.notes, fmt.Sprintf(format, args...))
}
