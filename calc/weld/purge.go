package weld

import (
	"errors"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// CFH is one cubic foot an hour in litres a minute: 28.316846592 l (exact, from the inch)
// in 60 minutes.
const CFH = 28.316846592 / 60

// What a purge is reckoned with where nothing is entered.
const (
	UsualChanges = 5        // see ChangeRules
	UsualFlow    = 15 * CFH // L/min; own choice, between what is named for thin tube and for pipe
)

// Limits of what can be entered. Own choices: wider than any source.
const (
	LeastChanges, MostChanges = 1.0, 50.0
	LeastFlow, MostFlow       = 0.5, 60.0 // L/min
)

// Volume returns what a tube of that length holds, in litres:
//
//	V = π/4·ID²·L
//
// of a round bore all along; what an end formed to a port holds less, and what dams and
// hoses hold besides, is left out. The error joins *fault.Field.
func Volume(s tube.Section, length units.Length) (litres float64, err error) {
	if err := errors.Join(s.Check(), fault.Within("Length", length.MM(), 0, 20_000, "mm")); err != nil {
		return 0, err
	}
	id := s.ID().MM()
	return math.Pi / 4 * id * id * length.MM() / 1e6, nil
}

// Minutes returns how long so many changes of a volume take at a flow in L/min:
//
//	t = n·V/Q
//
// Closed form. It takes gas to push gas out; flow that is too high mixes instead and takes
// longer. The error joins *fault.Field.
func Minutes(litres, changes, flow float64) (float64, error) {
	if err := errors.Join(
		fault.Within("Volume", litres, 0, 1000, "L"),
		fault.Within("Volume changes", changes, LeastChanges, MostChanges, ""),
		fault.Within("Flow", flow, LeastFlow, MostFlow, "L/min"),
	); err != nil {
		return 0, err
	}
	return changes * litres / flow, nil
}

// Rule is what somebody says to a purge: how often the gas is changed, or at which flow.
type Rule struct {
	Name      string
	Low, High float64 // changes, or L/min
	Source    sizing.Source
}

// ChangeRules are how often the gas in a tube is changed before it is welded. They do not
// agree.
var ChangeRules = []Rule{
	{"about 5 volumes", 5, 5, sizing.Source{Text: "pre-purge general rule: about five volume changes, typical flow in the region of 20 L/min", Grade: sizing.Published}},
	{"4 volumes", 4, 4, sizing.Source{Text: "notes on backup purge: flush with four times the volume, then reduce to a slight positive pressure", Grade: sizing.Published}},
	{"5 to 10 volumes", 5, 10, sizing.Source{Text: "usual range of trade guidance", Grade: sizing.Memory}},
}

// FlowRules are flows that are named, in L/min. They do not agree either.
var FlowRules = []Rule{
	{"20 L/min", 20, 20, ChangeRules[0].Source},
	{"12 to 18 L/min", 12, 18, sizing.Source{Text: "forum citing API RP 582: argon 12 to 18 L/min, in at the low point, vent at the top", Grade: sizing.Practice}},
	{"2 to 3 L/min", 2, 3, sizing.Source{Text: "welding forum, small thin-wall exhaust tube with its joints taped: 2 to 3 L/min, then a trickle", Grade: sizing.Practice}},
}

// While is the flow while it is welded, 5 to 10 cfh, in L/min.
var While = Rule{"5 to 10 cfh while welding", 5 * CFH, 10 * CFH, sizing.Source{Text: "flow while welding 5 to 10 cfh, a slight positive pressure: a glove over the end stays barely inflated", Grade: sizing.Memory}}

// Oxygen is how much oxygen may be left in the tube before the arc is struck, in ppm. The
// three differ by 250.
var Oxygen = []Rule{
	{"best result", 0, 20, sizing.Source{Text: "root protection of stainless welds: at most 20 ppm oxygen", Grade: sizing.Published}},
	{"colour pale straw at most", 0, 50, sizing.Source{Text: "Australian Stainless Steel Development Association, purging to minimise heat tint: below 50 ppm (AS/NZS 1554.6; AWS D18.1:2009 level 3)", Grade: sizing.Published}},
	{"general piping", 0, 5000, sizing.Source{Text: "API RP 582 as a forum quotes it: 0.5 %", Grade: sizing.Practice}},
}
