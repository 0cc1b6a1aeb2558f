package sizing

import (
	"fmt"
	"math"
	"strconv"

	"tubewright/calc/units"
)

// What engines are like, beyond single figures.
var (
	boreStroke  = band{0.6, 1.6, Source{"engines as they are built", Memory}}
	rodStroke   = band{1.4, 2.3, Source{"engines as they are built", Memory}}
	pistonSpeed = band{0, 25, Source{"engines as they are built; racing engines reach some 25 m/s", Memory}}
	geometry    = Source{"geometry", Computed}
)

type band struct {
	low, high float64
	source    Source
}

func (b band) holds(v float64) bool { return v >= b.low && v <= b.high }

// Sane looks at what was entered of an engine: figures that are unlikely, and figures
// that cannot stand beside each other. What is outside its range is Inputs.Check's.
func Sane(in Inputs) []Finding {
	var fs []Finding
	for _, f := range Fields {
		v, ok := in.usable(f.Key)
		if !ok || f.Likely == [2]float64{} || v >= f.Likely[0]-1e-9 && v <= f.Likely[1]+1e-9 {
			continue
		}
		limit := f.Likely[0]
		if v > limit {
			limit = f.Likely[1]
		}
		s := Source{f.Source, f.Grade}
		if s.Text == "" {
			s.Text = "engines as they are built"
		}
		fs = append(fs, Finding{Severity: Note, Rule: "unlikely-" + string(f.Key), Value: v, Limit: limit, Unit: f.Unit, Source: s,
			Text: fmt.Sprintf("%s: %s is unusual; %s to %s is what most have.", f.Label, figure(v, f.Unit), figure(f.Likely[0], f.Unit), figure(f.Likely[1], f.Unit)),
			Help: "Right if it was meant so."})
	}
	get := func(k Key) float64 {
		if v, ok := in.usable(k); ok {
			return v
		}
		return math.NaN() // every comparison below is false then
	}
	bore, stroke, rod := get(Bore), get(Stroke), get(Rod)
	if q := bore / stroke; !math.IsNaN(q) && !boreStroke.holds(q) {
		fs = append(fs, ratio("bore-stroke", "Bore over stroke", q, boreStroke))
	}
	if rod <= stroke/2 {
		fs = append(fs, Finding{Severity: Stop, Rule: "rod-too-short", Value: rod, Limit: stroke / 2, Unit: "mm", Source: geometry,
			Text: fmt.Sprintf("A rod of %s cannot turn a crank with a throw of %s.", say(units.Length(rod)), say(units.Length(stroke/2))), Help: "Look at both again."})
	} else if q := rod / stroke; !math.IsNaN(q) && !rodStroke.holds(q) {
		fs = append(fs, ratio("rod-ratio", "Rod over stroke", q, rodStroke))
	}
	if torque, power := get(TorqueRPM), get(PowerRPM); torque >= power {
		fs = append(fs, Finding{Severity: Warn, Rule: "torque-above-power", Value: torque, Limit: power, Unit: "rpm", Source: geometry,
			Text: fmt.Sprintf("Peak torque at %.0f rpm does not lie below peak power at %.0f rpm. Power is torque times speed, so its peak comes later.", torque, power), Help: "Perhaps the two are exchanged."})
	}
	if v := 2 * stroke / 1000 * get(PowerRPM) / 60; v > pistonSpeed.high {
		fs = append(fs, Finding{Severity: Warn, Rule: "piston-speed", Value: v, Limit: pistonSpeed.high, Unit: "m/s", Source: pistonSpeed.source,
			Text: fmt.Sprintf("At peak power the mean piston speed is %.1f m/s.", v), Help: "Look at the stroke and at the rpm."})
	}
	for _, p := range []struct {
		key  Key
		rule string
	}{{ThroatArea, "throat-in-bore"}, {PortArea, "port-in-bore"}} {
		if a, whole := get(p.key), math.Pi/4*bore*bore; a >= whole {
			fs = append(fs, Finding{Severity: Stop, Rule: p.rule, Value: a, Limit: whole, Unit: "mm²", Source: geometry,
				Text: fmt.Sprintf("%s: %.0f mm² is no less than the whole cylinder, %.0f mm².", FieldOf(p.key).Label, a, whole), Help: "Perhaps it was entered for several ports, or in another unit."})
		}
	}
	return fs
}

func ratio(rule, name string, q float64, b band) Finding {
	limit := b.low
	if q > limit {
		limit = b.high
	}
	return Finding{Severity: Note, Rule: rule, Value: q, Limit: limit, Source: b.source,
		Text: fmt.Sprintf("%s is %.2f; %.1f to %.1f is what most have.", name, q, b.low, b.high), Help: "Look at both again."}
}

// figure writes a value with its unit, lengths in both.
func figure(v float64, unit string) string {
	if unit == "mm" {
		return say(units.Length(v))
	}
	text := strconv.FormatFloat(math.Round(1000*v)/1000, 'f', -1, 64)
	switch unit {
	case "":
		return text
	case "°":
		return text + unit
	}
	return text + " " + unit
}
