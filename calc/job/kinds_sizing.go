package job

import (
	"math"
	"strings"

	"tubewright/calc/gas"
	"tubewright/calc/sizing"
)

// decision is the group of fields that say what was decided to be built. They are asked
// for where the rules stand side by side, not where the target is first entered.
const decision = "decision"

// engineSizing are what the rules for size want of an engine beside what it is.
var engineSizing = []Field{
	sized("compression", sizing.Compression, NumberQ, "Geometric, of one cylinder."),
	{Name: "fuel", Label: "Fuel", Quantity: WordQ, Words: fuels(), Help: "It decides what the exhaust gas is made of, and so how fast sound runs in it. Left open: " + gas.Petrol.Name + "."},
	{Name: "firing_intervals", Label: "Firing intervals", Quantity: WordQ, Help: "Degrees of the crank with hyphens, one after each cylinder of the firing order, 720 together: 270-450 for two on a crank of 270. Left open: all the same."},
	{Name: "exhaust_valves", Label: "Exhaust valves a cylinder", Quantity: NumberQ, Low: 1, High: 4, Whole: true, Help: "Left open: 1."},
	{Name: "throat", Label: "Diameter at the valve throat", Quantity: LengthQ, Unit: "mm", Low: 8, High: 100, Likely: [2]float64{18, 50}, Help: "The narrowest place behind the seat of one exhaust valve."},
}

// decided are what was decided to be built, beside length, tolerance and style.
var decided = []Field{
	{Name: "od", Label: "Primary OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{25, 90}, Group: decision, Help: "Of the primaries. It holds for every tube that has no OD of its own."},
	{Name: "wall", Label: "Primary wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Group: decision, Help: "As a decimal."},
	{Name: "outlet_od", Label: "Collector outlet OD", Quantity: LengthQ, Unit: "mm", Low: 20, High: 250, Likely: [2]float64{40, 110}, Group: decision},
	{Name: "collector_length", Label: "Collector length", Quantity: LengthQ, Unit: "mm", Low: 20, High: 2000, Likely: [2]float64{75, 650}, Group: decision, Help: "From the ends of the tubes to the end of its outlet."},
	{Name: "first_length", Label: "First part of the 4-2-1", Quantity: LengthQ, Unit: "mm", Low: 50, High: 2000, Likely: [2]float64{200, 800}, Group: decision, When: stepped, Help: "From the port face to where two tubes become one. Primaries are held against it."},
	{Name: "secondary_od", Label: "Secondary OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{30, 100}, Group: decision, When: stepped},
	{Name: "secondary_wall", Label: "Secondary wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Group: decision, When: stepped},
	{Name: "length_by", Label: "Length decided by", Quantity: WordQ, Words: append(rulesNamed("length-"), ownDecision), Open: true, Group: decision, Help: "The rule on which it rests, or your own judgement."},
	{Name: "bore_by", Label: "Diameter decided by", Quantity: WordQ, Words: append(rulesNamed("gas-speed", "bore-850"), ownDecision), Open: true, Group: decision, Help: "The rule on which it rests, or your own judgement."},
	{Name: "length_rule_gave", Label: "That rule gave, length", Quantity: LengthQ, Unit: "mm", Low: 10, High: 10_000, Group: decision, Help: "When it was decided, counted from where the length is. Kept by the app, so that it can say when the figures behind it change."},
	{Name: "bore_rule_gave", Label: "That rule gave, ID", Quantity: LengthQ, Unit: "mm", Low: 1, High: 500, Group: decision, Help: "When it was decided. Kept by the app."},
	{Name: "reason", Label: "Reason of the decision", Quantity: TextQ, Group: decision, Help: "In words, for whoever asks in a year why it was built so."},
}

// ownDecision is the word for what rests on no rule.
const ownDecision = "own"

// stepped headers have two lengths and two diameters.
var stepped = &When{Field: "style", Is: []string{"4-2-1"}}

// sizingKinds are what rules for size want besides, and joints and sensors that rules
// have something to say of.
var sizingKinds = []Kind{
	{Name: "sizing", Label: "Sizing", Single: true, Fields: []Field{
		sized("tuned_rpm", sizing.TunedRPM, NumberQ, "The speed at which the length is to work. Left open: that of peak torque."),
		sized("gas_speed", sizing.FlowSpeed, NumberQ, "In the primary, over half a turn of the crank. Left open: 245 ft/s, which is 74.7 m/s."),
		sized("gas_temperature", sizing.GasTemp, NumberQ, "Mean along the primary at full load. Left open: 727 °C, from a study that was calculated and not measured."),
		sized("air_fuel", sizing.AirFuel, NumberQ, "At full load. Left open: 0.88 of what burns the fuel exactly, 12.8 on petrol."),
		sized("return_angle", sizing.ReturnAngle, AngleQ, "Of the crank, from the opening of the valve to the wave's return. Left open: half of what is open before TDC."),
		sized("first_length", sizing.ChosenFirst, LengthQ, "For the rule that has it fixed. Left open: 15 in."),
		sized("cone_in", sizing.ConeIn, LengthQ, "Where the collector's cone begins."),
		sized("cone_out", sizing.ConeOut, LengthQ, ""),
		sized("cone_taper", sizing.Taper, AngleQ, "Between axis and wall. Left open: 7.5°."),
		sized("end_correction", sizing.EndCorrection, NumberQ, "By how many inside radii a pipe sounds longer than it is. Left open: 0.6133, for an end in the open."),
		sized("opening_pressure", sizing.OpeningPressure, NumberQ, "Left open: 550 kPa, from a study that was calculated and not measured."),
		sized("opening_temperature", sizing.OpeningTemp, NumberQ, "Left open: 1,327 °C, from the same study."),
		sized("port_pressure", sizing.PortPressure, NumberQ, "Left open: the standard atmosphere."),
		sized("port_area", sizing.PortArea, NumberQ, "Of one port. Left open: the mean of the outlines that were measured."),
		{Name: "tube_hot", Label: "Tubes get as hot as", Quantity: NumberQ, Unit: "°C", Low: 50, High: sizing.Hottest, Help: "It says how much they grow. Left open: 650 °C, own choice."},
	}},
	{Name: "slip", Label: "Slip joint", Plural: "Slip joints", Fields: list(
		Field{Name: "name", Label: "What it is called", Quantity: TextQ},
		tubeOf("outer", "Outer tube"), tubeOf("inner", "Inner tube"),
		madeOf("outer", "Outer tube"), madeOf("inner", "Inner tube"),
		hot("outer", "Outer tube"), hot("inner", "Inner tube"),
		number,
	)},
	{Name: "sensor", Label: "Sensor", Plural: "Sensors", Fields: list(
		Field{Name: "what", Label: "What it measures", Quantity: WordQ, Words: []string{oxygen, thermocouple}, Required: true},
		Field{Name: "name", Label: "What it is called", Quantity: TextQ},
		Field{Name: "on", Label: "Sits on", Quantity: WordQ, Refs: []string{"tube", "collector"}},
		Field{Name: "from_engine", Label: "Distance from the port face", Quantity: LengthQ, Unit: "mm", Low: 1, High: 5000, Likely: [2]float64{30, 1500}, Help: "Along the pipe."},
		Field{Name: "to_open_end", Label: "Distance to the open end", Quantity: LengthQ, Unit: "mm", Low: 1, High: 10_000, Likely: [2]float64{100, 5000}, Help: "Along the pipe, to where it ends in the open."},
		Field{Name: "to_joint", Label: "Distance to the next joint that may leak", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-600, 600}, Help: "Along the flow. Below 0 the joint lies ahead of the sensor."},
		Field{Name: "pipe_id", Label: "Pipe ID there", Quantity: LengthQ, Unit: "mm", Low: 10, High: 250, Likely: [2]float64{25, 110}, Help: "Left open: that of the tube it sits on."},
		Field{Name: "above", Label: "Axis above horizontal", Quantity: AngleQ, Unit: "°", Low: -90, High: 90, Help: "Cable up is plus."},
		number,
	)},
}

// What a sensor measures.
const (
	oxygen       = "oxygen"
	thermocouple = "thermocouple"
)

// sized is a field of an input of the rules: label, unit and range are theirs.
func sized(name string, k sizing.Key, q Quantity, help string) Field {
	f := sizing.FieldOf(k)
	field := Field{Name: name, Label: f.Label, Quantity: q, Unit: f.Unit, Low: f.Low, High: f.High, Likely: f.Likely, Help: help}
	if f.Unit == "K" {
		field.Unit, field.Low, field.High = "°C", celsius(f.Low), celsius(f.High)
		field.Likely = [2]float64{celsius(f.Likely[0]), celsius(f.Likely[1])}
	}
	return field
}

// celsius is a temperature in K as it is entered, in steps of a millionth.
func celsius(k float64) float64 { return (math.Round(1e6*k) - 273_150_000) / 1e6 }

// kelvin is the inverse of celsius, to the bit, so that the ends of a range stay in it.
func kelvin(c float64) float64 { return (math.Round(1e6*c) + 273_150_000) / 1e6 }

func fuels() (names []string) {
	for _, f := range gas.Fuels {
		names = append(names, f.Name)
	}
	return names
}

// rulesNamed are the ids of rules: those that begin with one that ends in a hyphen, or
// are one of the names.
func rulesNamed(names ...string) (ids []string) {
	for _, r := range sizing.Rules() {
		for _, name := range names {
			if r.ID == name || strings.HasSuffix(name, "-") && strings.HasPrefix(r.ID, name) {
				ids = append(ids, r.ID)
			}
		}
	}
	return ids
}

func tubeOf(which, label string) []Field {
	return []Field{
		{Name: which + "_od", Label: label + ", OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 250, Likely: [2]float64{25, 110}, Required: true},
		{Name: which + "_wall", Label: label + ", wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Required: true, Help: "As it really is, as a decimal."},
	}
}

func madeOf(which, label string) Field {
	return Field{Name: which + "_material", Label: label + ", material", Quantity: WordQ, Words: sizing.Materials(), Open: true}
}

func hot(which, label string) Field {
	return Field{Name: which + "_hot", Label: label + " gets as hot as", Quantity: NumberQ, Unit: "°C", Low: 20, High: sizing.Hottest, Help: "With material and heat of both the gap is told hot as well."}
}
