package sizing

import (
	"math"

	"tubewright/calc/units"
)

// SensorPlace is where an oxygen sensor sits. What is not known is NaN; a rule that
// wants it is open then.
type SensorPlace struct {
	FromEngine units.Length // along the pipe from the port face
	ToOpenEnd  units.Length // along the pipe to where it ends in the open
	ToJoint    units.Length // to the next joint that may leak, behind it; below 0 that joint lies ahead of the sensor
	PipeID     units.Length
	Above      units.Angle // of its axis above horizontal, cable up
}

// Judged is a rule for the place of a sensor, and whether it is kept.
type Judged struct {
	Rule      string // id
	Text      string
	Value     float64
	Low, High float64 // High is +Inf where there is none
	Unit      string
	Source    Source
	OK        bool
	Open      bool // what it wants is not known
}

var (
	sensorNotes = Source{"fitting notes of a wideband sensor, as copied in a forum: at least 10° above horizontal, so that water runs off", Published}
	sensorTrade = Source{"builders: 12 to 48 in from the engine, at least 10 pipe diameters ahead of the open end, or it reads lean at low speed; ahead of any joint that may leak, a few inches before the collector flange", Practice}
	egtTrade    = Source{"builders: never nearer than 1.5 in to the head, for the probe's life", Practice}
	egtSame     = Source{"a builder's diary: 2.65 in ± 0.07 in on all cylinders, after hours of trial", Practice}
)

// Judge holds the place against all rules for oxygen sensors. The maker's own notes for
// the sensor come first.
func (p SensorPlace) Judge() []Judged {
	return []Judged{
		judge("sensor-angle", "tilted above horizontal, cable up", p.Above.Deg(), 10, 90, "°", sensorNotes),
		judge("sensor-engine", "distance from the engine", p.FromEngine.MM(), 12*25.4, 48*25.4, "mm", sensorTrade),
		judge("sensor-open-end", "pipe diameters ahead of the open end", p.ToOpenEnd.MM()/p.PipeID.MM(), 10, math.Inf(1), "diameters", sensorTrade),
		judge("sensor-joint", "ahead of any joint that may leak", p.ToJoint.MM(), 0, math.Inf(1), "mm", sensorTrade),
	}
}

// sameEGT is how far thermocouples may differ in their distance from the flange: twice
// what the diary's builder reached either way.
const sameEGT = 2 * 0.07 * units.Inch

// JudgeThermocouples holds the places of exhaust gas thermocouples, each by its distance
// from the head, against the rules for them: not too near, and all alike.
func JudgeThermocouples(fromHead []units.Length) []Judged {
	nearest, farthest := math.NaN(), math.NaN()
	for i, l := range fromHead {
		if d := l.MM(); i == 0 {
			nearest, farthest = d, d
		} else {
			nearest, farthest = min(nearest, d), max(farthest, d)
		}
	}
	return []Judged{
		judge("egt-head", "distance from the head", nearest, 1.5*25.4, math.Inf(1), "mm", egtTrade),
		judge("egt-same", "distances differ by", farthest-nearest, 0, sameEGT.MM(), "mm", egtSame),
	}
}

func judge(rule, text string, v, low, high float64, unit string, s Source) Judged {
	open := !finite(v)
	const slack = 1e-6 // mm or °: the step of entries
	return Judged{Rule: rule, Text: text, Value: v, Low: low, High: high, Unit: unit, Source: s, Open: open, OK: !open && v >= low-slack && v <= high+slack}
}
