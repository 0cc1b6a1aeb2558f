package job

import (
	"math"

	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Decision is what was decided to be built, beside what the target asks for anyway.
type Decision struct {
	OD, Wall                  Opt[units.Length] // of the primaries
	OutletOD, CollectorLength Opt[units.Length]
	FirstLength               Opt[units.Length] // of a 4-2-1, likewise the next two
	SecondaryOD               Opt[units.Length]
	SecondaryWall             Opt[units.Length]
	LengthBy, BoreBy          string            // id of the rule on which it rests, ownDecision, or empty
	LengthGave, BoreGave      Opt[units.Length] // by that rule, when it was decided
	Reason                    string
	By, At                    string // who said the last of it and when, RFC 3339; empty where a job file says it
}

// missing are the fields of the target without which nothing is decided.
func (t Target) missing() (fields []string) {
	for _, f := range []struct {
		name  string
		known bool
	}{
		{"od", t.Decided.OD.Known}, {"wall", t.Decided.Wall.Known}, {"length", t.Length.Known}, {"from", t.From != ""}, {"tolerance", t.Tolerance.Known},
		{"reason", t.Decided.Reason != "" || t.Decided.LengthBy != "" || t.Decided.BoreBy != ""},
	} {
		if !f.known {
			fields = append(fields, f.name)
		}
	}
	return fields
}

// decided is what was decided in short, nil while it is not.
func (t Target) decided() *DecidedPlan {
	section, known := t.Decided.section()
	if !known || len(t.missing()) > 0 {
		return nil
	}
	return &DecidedPlan{out(section.OD), out(section.Wall), out(section.ID()), out(t.Length.V), t.From, t.Style}
}

// section is the cross-section that was decided for the primaries.
func (d Decision) section() (s tube.Section, ok bool) {
	return tube.Section{OD: d.OD.V, Wall: d.Wall.V}, d.OD.Known && d.Wall.Known
}

// primary is the length that is wanted of one primary tube, where it is counted from and
// the field that says it. Of a 4-2-1 the target's length runs to the end of the
// secondaries, as the rules divide it; once its first part is decided, a primary is as
// long as that.
func (t Target) primary() (length Opt[units.Length], from, field string) {
	if first := t.Decided.FirstLength; t.Style == "4-2-1" && first.Known {
		return first, string(sizing.Flange), "first_length"
	}
	return t.Length, t.From, "length"
}

// fromStart is the length that is wanted as it is counted from valve or flange; not known
// where the port's length is wanted for that and is not.
func (j Job) fromStart(l Opt[units.Length], start sizing.Start) Opt[units.Length] {
	port, from := j.Engine.ValveToFace, sizing.Start(j.Target.From)
	switch {
	case from == "" || !l.Known:
		return Opt[units.Length]{}
	case from == start:
		return l
	case start == sizing.Valve:
		return Opt[units.Length]{l.V + port.V, port.Known}
	}
	return Opt[units.Length]{l.V - port.V, port.Known}
}

// ThroatArea is the area, in mm², at the throats of the exhaust valves of one cylinder.
func (e Engine) ThroatArea() Opt[float64] {
	d := e.Throat.V.MM()
	return Opt[float64]{e.ExhaustValves.Or(1) * math.Pi / 4 * d * d, e.Throat.Known}
}

// Slip is one tube that goes into another.
type Slip struct {
	ID, Title    string
	Outer, Inner SlipTube
}

// SlipTube is one side of a slip joint.
type SlipTube struct {
	OD, Wall Opt[units.Length]
	Material string
	Hot      Opt[float64] // °C
}

func (t SlipTube) section() (s tube.Section, ok bool) {
	return tube.Section{OD: t.OD.V, Wall: t.Wall.V}, t.OD.Known && t.Wall.Known
}

// Sensor is where a sensor sits.
type Sensor struct {
	ID, Title, What, On            string // On is the id of a tube or a collector
	FromEngine, ToOpenEnd, ToJoint Opt[units.Length]
	PipeID                         Opt[units.Length]
	Above                          Opt[units.Angle]
}
