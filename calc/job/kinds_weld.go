package job

import (
	"tubewright/calc/weld"
)

// What a hold point came to.
const (
	passed = "passed"
	failed = "failed"
)

// holdPoints are the points at which work is held until a person has looked, in the order
// in which they come. Each gets a photo.
var holdPoints = []struct{ name, label, help string }{
	{"purge", "Purge", "Dams tight, in at the low end, vent at the high one, time run off: before the first arc on stainless."},
	{"tack_check", "Tack check", "All tacked and tried: neighbours, bolts and plugs, collector, lengths, the way out. After it nothing is moved any more without a saw."},
	{"daylight", "Daylight through the collector", "A lamp outside, an eye at the outlet: the gap between the tubes in the middle is shut before anything hides it."},
	{"leak_test", "Leak test", "Ports shut by a plate, low pressure inside, soapy water on every weld."},
	{"run_in", "Run in before coating", "The engine is tuned on bare tubes first: a rich mixture flakes a coating off."},
}

// weldKinds are how the header is welded, and where work is held.
var weldKinds = []Kind{
	{Name: "weld", Label: "Weld plan", Single: true, Fields: []Field{
		{Name: "template", Label: "How it is welded", Quantity: WordQ, Words: weld.Templates, Help: "Tack all, then weld; each tube by itself, then to the flange; or an order of your own. Left open: " + string(weld.TubeByTube) + "."},
		{Name: "order", Label: "Own order of joints", Quantity: WordQ, When: &When{Field: "template", Is: []string{string(weld.Own)}}, Help: "Ids of joints with blanks between them. What is missing comes behind."},
		{Name: "changes", Label: "Volume changes", Quantity: NumberQ, Low: weld.LeastChanges, High: weld.MostChanges, Likely: [2]float64{3, 12}, Help: "How often the gas in a tube is changed before it is welded. Left open: 5; others say 4, or 5 to 10."},
		{Name: "flow", Label: "Flow of the purge", Quantity: NumberQ, Unit: "L/min", Low: weld.LeastFlow, High: weld.MostFlow, Likely: [2]float64{2, 20}, Help: "1 L/min is 2.12 cfh. Left open: 7.08 L/min, 15 cfh, own choice; more flow mixes."},
		{Name: "port_pull", Label: "Pull of a port weld", Quantity: LengthQ, Unit: "mm", Low: 0, High: weld.MostPull.MM(), Likely: [2]float64{0.05, 1}, Help: "By how much one side of it shrinks more than the other. Left open: 0.010 in, own choice."},
		{Name: "rigid", Label: "Both ends held", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "Yes: the tubes are welded into the collector and that cannot move. Left open or no: they slip in."},
		{Name: "braced", Label: "Braced", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "Yes: tubes are tied to each other or to the flange between their ends."},
		{Name: "back", Label: "Purge for tacks too", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "Left open: yes, on stainless."},
	}},
	{Name: "hold", Label: "Hold points", Single: true, Fields: holdFields()},
}

func holdFields() []Field {
	var fields []Field
	for _, h := range holdPoints {
		fields = append(fields, Field{Name: h.name, Label: h.label, Quantity: WordQ, Words: []string{passed, failed}, Help: h.help})
	}
	return append(fields,
		Field{Name: "leak_pressure", Label: "Pressure of the leak test", Quantity: NumberQ, Unit: "kPa", Low: 0.5, High: 200, Likely: [2]float64{5, weld.LeakLimit}, Help: "10 kPa is 1.45 psi. A maker's limit for a complete exhaust is 1 bar, 100 kPa."},
		Field{Name: "leak_method", Label: "How leaks were looked for", Quantity: WordQ, Words: []string{"soapy water", "under water", "listen and feel"}, Open: true},
		Field{Name: "notes", Label: "Notes on the hold points", Quantity: TextQ},
	)
}
