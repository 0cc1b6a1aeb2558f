package job

import "fmt"

// Ways in which the header lies in its fixture.
const (
	standing = "standing"
	lying    = "lying"
)

// Ways in which the flange is held down.
const (
	onStuds = "studs"
	onBolts = "bolts"
)

// clamping is the group of fields that are said while a mock-up or a tube is clamped.
const clamping = "clamping"

// What is taken for a fixture where nothing is entered, in mm and degrees.
const (
	usualPost      = 16.0 // own choice: a bar that does not bend under a hand
	usualClamp     = 20.0 // own choice
	usualTorch     = 20.0 // own choice: a gas cup of 16 mm that is tilted
	usualWrap      = 180.0
	usualFixGap    = 3.0  // own choice
	usualStud      = 25.0 // own choice
	usualPlate     = 20.0 // 3/4 in of steel, from memory
	usualMargin    = 40.0 // own choice
	usualBelow     = 60.0 // own choice: room for a hand below the lowest tube
	clampedNearest = 2.0  // own choice: nearer than this a station is where it belongs
)

var (
	isLying   = &When{Field: "base", Is: []string{lying}}
	isOnStuds = &When{Field: "flange_held", Is: []string{onStuds, ""}}
)

// fixtureKinds are how a header is held while it is tacked, and where.
var fixtureKinds = []Kind{
	{Name: "fixture", Label: "Fixture", Single: true, Fields: []Field{
		{Name: "bank", Label: "For the flange of bank", Quantity: WordQ, Refs: []string{"bank"}, Help: "Left open: the first."},
		{Name: "base", Label: "How it stands on the plate", Quantity: WordQ, Words: []string{standing, lying}, Help: "On its flange, or lying with the flange on an upright. Left open: " + standing + "."},
		{Name: "base_turn", Label: "Which way is down", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, When: isLying, Help: "From the bank's down (−y), counter-clockwise as seen facing the port face. Left open: 0."},
		fixLength("base_below", "From the datum bolt down to the plate", 0, 2000, [2]float64{100, 800}, isLying, fmt.Sprintf("Left open: %g mm below the lowest tube.", usualBelow)),
		fixLength("mock_up_od", "OD of the mock-up", 5, 200, [2]float64{15, 80}, nil, "Of the pipe that stands for the tubes. Cradles fit the tubes; a thinner mock-up takes spacers."),
		{Name: "mock_up_conducts", Label: "Mock-up conducts", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "A plastic one does not, so nothing is earthed through it. Left open: no."},
		fixLength("post_diameter", "Post OD", 3, 80, [2]float64{8, 40}, nil, left(usualPost)),
		fixLength("clamp_width", "Width of a clamp", 3, 150, [2]float64{10, 50}, nil, "Along the tube. "+left(usualClamp)),
		fixLength("torch_room", "Room for the torch", 0, 150, [2]float64{10, 50}, nil, "Between a joint and the nearest clamp. "+left(usualTorch)),
		{Name: "wrap", Label: "Cradles reach round by", Quantity: AngleQ, Unit: "°", Low: 20, High: 180, Help: "180 is a half shell, 90 a vee. Left open: 180."},
		fixLength("clearance", "Air round posts and clamps", 0, 50, [2]float64{1, 10}, nil, left(usualFixGap)),
		{Name: "flange_held", Label: "Flange is held by", Quantity: WordQ, Words: []string{onStuds, onBolts}, Help: "Bolts are drawn before the header comes out; off studs it has to slide first. Left open: " + onStuds + "."},
		fixLength("stud_length", "Studs stand out of the plate by", 1, 200, [2]float64{10, 60}, isOnStuds, left(usualStud)),
		fixLength("plate_thickness", "Thickness of the base plate", 2, 100, [2]float64{6, 40}, nil, left(usualPlate)),
		fixLength("plate_margin", "Plate round posts and flange", 0, 300, [2]float64{10, 100}, nil, left(usualMargin)),
		{Name: "earth", Label: "Earth clamp sits on", Quantity: WordQ, Words: []string{"plate"}, Refs: []string{"bank", "collector", "station", "tube"}, Help: "Left open: the base plate."},
	}},
	{Name: "station", Label: "Station", Plural: "Stations", Fields: []Field{
		{Name: "on", Label: "Holds", Quantity: WordQ, Refs: []string{"tube", "collector"}, Required: true},
		fixLength("along", "Along the centreline", 0, 5000, [2]float64{10, 1500}, nil, "To the middle of the clamp: of a tube from the port face, of a collector from its socket mouths."),
		{Name: "opening", Label: "Cradle is open towards", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Help: "About the way of the gas, right-hand from straight off the plate. Left open: away from what carries it."},
		{Name: "wrap", Label: "Cradle reaches round by", Quantity: AngleQ, Unit: "°", Low: 20, High: 180, Else: Slot("fixture", Self, "wrap")},
		fixLength("arm", "Arm to a post at the side", 0, 500, [2]float64{10, 150}, nil, "Left open: the post stands straight below, or at the side where nothing else is free. 0: straight below."),
		{Name: "arm_angle", Label: "The post stands towards", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Help: "From the tube, on the plate, counter-clockwise from its x."},
		{Name: "removable", Label: "Comes off the plate", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "Left open: as it has to, so that the header comes out."},
		{Name: "leave_out", Label: "None here", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "Yes: this straight stays without a station."},
		fixGroup(fixLength("clamped_at", "Clamped at", 0, 5000, [2]float64{10, 1500}, nil, "As along, measured where it really sits.")),
		fixGroup(Field{Name: "checked", Label: "Checked", Quantity: WordQ, Words: []string{"yes", "no"}}),
		number,
	}},
}

func left(usual float64) string { return fmt.Sprintf("Left open: %g mm.", usual) }

func fixLength(name, label string, low, high float64, likely [2]float64, when *When, help string) Field {
	return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: low, High: high, Likely: likely, When: when, Help: help}
}

func fixGroup(f Field) Field {
	f.Group = clamping
	return f
}
