package sizing

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// SlipBand is a gap that somebody calls a good slip fit: outer ID less inner OD.
type SlipBand struct {
	Name      string
	Low, High units.Length
	Source    Source
}

// SlipBands are those that are named. They do not agree.
var SlipBands = []SlipBand{
	{"telescoping tube", 0.2, 0.5, Source{"note on telescoping tube: a sliding fit needs 0.2 to 0.5 mm", Published}},
	{"snug, no hammer", 0.010 * units.Inch, 0.020 * units.Inch, Source{"builders: snug, no hammer; the figures 0.010 to 0.020 in", Memory}},
	{"made by hand", 0.005 * units.Inch, 0.015 * units.Inch, Source{"slip joints made by hand: 0.005 to 0.015 in", Memory}},
}

// How far a slip joint reaches over its tube: 1 to 1.5 in, about 0.75 of the diameter.
// From memory.
const (
	EngagementLeast = 1.0 * units.Inch
	EngagementMost  = 1.5 * units.Inch
)

// SlipFit is how one tube goes into another, by their real walls.
type SlipFit struct {
	Outer, Inner tube.Section
	Gap          units.Length // outer ID less inner OD, on diameter; below 0 it does not go
	Goes         bool
	In, NotIn    []SlipBand // those that the gap is within, and the others
	Findings     []Finding
}

// Slip holds two tubes against each other as they are sold: with the nominal sizes, not
// with what a draw bench made of them. The error is joined *fault.Field.
func Slip(outer, inner tube.Section) (SlipFit, error) {
	if err := errors.Join(
		fault.At(outer.Check(), fault.Field{Where: "outer tube"}),
		fault.At(inner.Check(), fault.Field{Where: "inner tube"}),
	); err != nil {
		return SlipFit{}, err
	}
	s := SlipFit{Outer: outer, Inner: inner, Gap: outer.ID() - inner.OD}
	s.Goes = s.Gap > 0
	widest := SlipBands[0].High
	tightest := widest
	for _, b := range SlipBands {
		widest, tightest = max(widest, b.High), min(tightest, b.Low)
		if s.Gap >= b.Low-1e-6 && s.Gap <= b.High+1e-6 { // a nanometre, the step of entries
			s.In = append(s.In, b)
		} else {
			s.NotIn = append(s.NotIn, b)
		}
	}
	f := Finding{Value: s.Gap.MM(), Unit: "mm"}
	switch {
	case !s.Goes:
		f.Severity, f.Rule, f.Limit, f.Source = Stop, "slip-does-not-go", 0, Source{"geometry", Computed}
		f.Text = fmt.Sprintf("%s OD does not go into %s ID: %s are missing.", say(inner.OD), say(outer.ID()), say(-s.Gap))
		f.Help = "A thinner wall outside, the next size, or sizing the ends."
	case s.Gap < tightest-1e-6:
		f.Severity, f.Rule, f.Limit, f.Source = Warn, "slip-tight", tightest.MM(), SlipBands[2].Source
		f.Text = fmt.Sprintf("The slip joint has %s of room, less than anybody calls a slip fit.", say(s.Gap))
		f.Help = "Measure both ends: out of round by as much, they do not go."
	case s.Gap > widest+1e-6:
		f.Severity, f.Rule, f.Limit, f.Source = Warn, "slip-loose", widest.MM(), SlipBands[1].Source
		f.Text = fmt.Sprintf("The slip joint has %s of room, more than anybody calls a slip fit.", say(s.Gap))
		f.Help = "It leaks and rattles; a thicker wall outside, or the ends sized to each other."
	default:
		return s, nil
	}
	s.Findings = []Finding{f}
	return s, nil
}

// NextUp is Slip into the next size that tube is sold in, 1/8 in more OD, for each of
// the walls.
func NextUp(inner tube.Section, walls []units.Length) ([]SlipFit, error) {
	var fits []SlipFit
	for _, w := range walls {
		s, err := Slip(tube.Section{OD: inner.OD + units.Inch/8, Wall: w}, inner)
		if err != nil {
			return nil, err
		}
		fits = append(fits, s)
	}
	return fits, nil
}

// Hot returns the least and the most gap when both tubes are hot, in °C each, by all
// coefficients of their materials. Below 0 the joint is tight and takes up no growth
// along the tube. The inner tube carries the gas and is the hotter one.
func (s SlipFit) Hot(outer string, outerC float64, inner string, innerC float64) (least, most units.Length, err error) {
	out, err1 := Growth(outer, s.Outer.ID(), outerC)
	in, err2 := Growth(inner, s.Inner.OD, innerC)
	if err := errors.Join(err1, err2); err != nil {
		return 0, 0, err
	}
	least, most = units.Length(math.Inf(1)), units.Length(math.Inf(-1))
	for _, a := range out {
		for _, b := range in {
			least, most = min(least, s.Gap+a.By-b.By), max(most, s.Gap+a.By-b.By)
		}
	}
	return least, most, nil
}
