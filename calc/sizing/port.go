package sizing

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"tubewright/calc/fault"
	"tubewright/calc/flange"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Port is the outline of a port, as far as a round tube is compared with it.
type Port struct {
	Perimeter units.Length
	Area      float64 // mm²
}

// Limits of the step from a port to the tube behind it, on each side: the tube is never
// smaller and at most 0.030 in larger (builders; others see no harm in a step, above all
// at the floor). What is within sameSize is the same, since no caliper on a cast port
// says more (own choice).
const (
	LargerAtMost = 0.030 * units.Inch
	sameSize     = 0.05 * units.Millimetre
)

// StepSource is where those limits come from.
var StepSource = Source{"builders: equal to the port, or larger by at most 0.030 in on each side, never smaller; others see no harm in a step at the floor", Practice}

// PortFit is a round tube held against a port.
type PortFit struct {
	Port      Port
	Tube      tube.Section
	Perimeter units.Length // of the tube's inside
	Area      float64      // of the tube's inside, mm²

	// By how much the tube is larger than the port on each side, below 0 smaller: once
	// its perimeter is taken for that of the grown port, P + 2πs, once its area, A + sP +
	// πs². For a round port both are the same; for others area says more.
	ByPerimeter, ByArea units.Length
	// The tube's less the port's, in percent of the port's.
	PerimeterPercent, AreaPercent float64
	// Stretch is by which share the end of the tube is opened up to reach round the
	// port, in the middle of the wall, as flange.Form has it; below 0 there is too much.
	Stretch float64

	// Disagree is set where perimeter and area lead to different verdicts. Then Choices
	// has what can be done; which of them is for a person to say.
	Disagree bool
	Choices  []Choice
	Findings []Finding
}

// Choice is one way to go on where area and perimeter disagree.
type Choice struct {
	Text        string
	ID          units.Length // of the tube, in the wall that it was asked for
	Stretch     float64      // of its end, as a share
	AreaPercent float64      // of its bore less the port's
}

// Fit holds a tube against a port. The error is joined *fault.Field: a section as
// tube.Section.Check takes it, a perimeter of 20 to 1,000 mm and an area that it can
// hold, at most that of a circle.
func Fit(p Port, s tube.Section) (PortFit, error) {
	around := p.Perimeter.MM()
	if err := errors.Join(s.Check(), fault.Within("Port perimeter", around, 20, 1000, "mm")); err != nil {
		return PortFit{}, err
	}
	most := around * around / (4 * math.Pi)
	if !(p.Area >= most/20 && p.Area <= most*1.001) {
		return PortFit{}, &fault.Field{Name: "Port area", Got: p.Area, Unit: "mm²", Low: most / 20, High: most, Why: "a circle of this perimeter holds no more"}
	}
	id := s.ID().MM()
	f := PortFit{Port: p, Tube: s, Perimeter: units.Length(math.Pi * id), Area: s.Bore()}
	f.ByPerimeter = units.Length((math.Pi*id - around) / (2 * math.Pi))
	// The root that is 0 for equal areas, in the form that cancels nothing; what is
	// under it is at least 4π times the bore, as no outline holds more than a circle.
	more := f.Area - p.Area
	under := max(0, float64(around*around)+float64(4*math.Pi*more))
	f.ByArea = units.Length(2 * more / (around + math.Sqrt(under)))
	f.PerimeterPercent = 100 * (math.Pi*id/around - 1)
	f.AreaPercent = 100 * (f.Area/p.Area - 1)
	f.Stretch = p.stretch(id, s.Wall.MM())
	f.judge()
	return f, nil
}

// stretch is of the middle of the wall of a tube, from π(ID + t) round to P + πt.
func (p Port) stretch(id, wall float64) float64 {
	return (p.Perimeter.MM()+float64(math.Pi*wall))/(math.Pi*(id+wall)) - 1
}

// verdict is −1 for smaller than the port, 1 for larger by more than it may be.
func verdict(by units.Length) int {
	switch {
	case by < -sameSize:
		return -1
	case by > LargerAtMost+1e-6: // a nanometre, the step of entries
		return 1
	}
	return 0
}

func (f *PortFit) judge() {
	round, across := verdict(f.ByPerimeter), verdict(f.ByArea)
	switch {
	case round != across:
		f.Disagree = true
		f.choose()
	case round < 0:
		f.Findings = []Finding{{Severity: Stop, Rule: "header-smaller", Value: f.ByArea.MM(), Limit: 0, Unit: "mm", Source: StepSource,
			Text: fmt.Sprintf("The tube of %s ID is smaller than the port, by %s on each side by its area and by %s by its perimeter.", say(f.Tube.ID()), say(-f.ByArea), say(-f.ByPerimeter)),
			Help: fmt.Sprintf("A larger tube: %s ID reaches round the port as it is. Opening this one up means a stretch of %s %%.", say(f.Port.Perimeter/math.Pi), percent(100*f.Stretch))}}
	case round > 0:
		f.Findings = []Finding{{Severity: Note, Rule: "header-larger", Value: f.ByPerimeter.MM(), Limit: LargerAtMost.MM(), Unit: "mm", Source: StepSource,
			Text: fmt.Sprintf("The tube of %s ID is larger than the port by %s on each side.", say(f.Tube.ID()), say(f.ByPerimeter)),
			Help: "Keep the roof flush and put the step at the floor; write down which side it is on."}}
	}
}

// choose lists what can be done where the tube is enough by area and not by perimeter,
// or within by perimeter and too large by area.
func (f *PortFit) choose() {
	wall := f.Tube.Wall.MM()
	add := func(what string, id float64) Choice {
		c := Choice{ID: units.Length(id), Stretch: f.Port.stretch(id, wall), AreaPercent: 100 * (math.Pi/4*id*id/f.Port.Area - 1)}
		end := "its end is stretched by " + percent(100*c.Stretch) + " %"
		if c.Stretch < 0 {
			end = "its end has " + percent(-100*c.Stretch) + " % to spare"
		}
		c.Text = fmt.Sprintf("%s, %s ID: %s, its bore has %s %% of the port's area", what, say(c.ID), end, percent(100+c.AreaPercent))
		if c.Stretch > flange.StretchStop {
			c.Text += fmt.Sprintf("; beyond %.0f %% an end opened by hand cracks (from memory)", 100*flange.StretchStop)
		}
		f.Choices = append(f.Choices, c)
		return c
	}
	this := add("this tube", f.Tube.ID().MM())
	same := add("a tube of the port's perimeter", f.Port.Perimeter.MM()/math.Pi)
	equal := add("a tube of the port's area", across(f.Port.Area))
	text := fmt.Sprintf("By area the tube of %s ID is %s than the port on each side, by perimeter %s.", say(f.Tube.ID()), larger(f.ByArea), larger(f.ByPerimeter))
	f.Findings = []Finding{{Severity: Warn, Rule: "area-perimeter", Value: f.ByArea.MM(), Limit: LargerAtMost.MM(), Unit: "mm", Source: StepSource,
		Text: text + " They do not agree, and neither is the right one.",
		Help: "Choose: " + this.Text + "; or " + same.Text + "; or " + equal.Text + "."}}
}

// percent writes a percentage with one decimal and without a minus before nothing.
func percent(v float64) string {
	return strconv.FormatFloat(math.Round(10*v)/10+0, 'f', 1, 64) // −0 + 0 is 0
}

func larger(by units.Length) string {
	if by < 0 {
		return say(-by) + " smaller"
	}
	return say(by) + " larger"
}
