package job

import (
	"fmt"
	"slices"

	"tubewright/calc/flange"
)

// Outlines that no few dimensions give: measured point by point, or drawn.
const (
	byPoints = "points"
	drawn    = "drawn"
)

// making is the group of fields that say how a flange is made. They are asked for
// where it is drawn, not where the head is measured.
const making = "making"

// bankMaking are the fields of the flange that is made for a bank.
var bankMaking = []Field{
	{Name: "bolt_size", Label: "Bolt size", Quantity: WordQ, Words: boltSizes(), Group: making, Help: "Of the studs or bolts that hold the flange. Left open: the holes are made as they were measured."},
	{Name: "hole_class", Label: "Hole class", Quantity: WordQ, Words: []string{"close", "normal", "loose"}, Group: making, When: &When{Field: "bolt_size", Is: boltSizes()}, Help: "How much larger than the bolt its hole is. Left open: normal."},
	{Name: "opening", Label: "Flange opening", Quantity: WordQ, Words: []string{"port", "tube"}, Group: making, Help: "As the port: the tube butts on. Round the tube: it goes through, so its wall has to fit too. Left open: as the port."},
	{Name: "opening_gap", Label: "Gap round the tube", Quantity: LengthQ, Unit: "mm", Low: 0, High: 5, Likely: [2]float64{0.1, 1.5}, Group: making, When: &When{Field: "opening", Is: []string{"tube"}}, Help: fmt.Sprintf("Between the formed tube and the flange, on each side. Left open: %g mm.", flange.UsualGap)},
	{Name: "pieces", Label: "Pieces", Quantity: WordQ, Words: []string{"one piece", "one piece, sawn", "separate"}, Group: making, Help: "A long flange bows when its ports are welded and pulls at its studs when it is hot; cuts between the ports let it go. Left open: one piece."},
	{Name: "edge", Label: "Metal round bolt holes", Quantity: LengthQ, Unit: "mm", Low: 1, High: 60, Likely: [2]float64{4, 20}, Group: making, Help: "From the side of the hole to the outside edge. Left open: as much as the hole is wide."},
	{Name: "web", Label: "Metal round openings", Quantity: LengthQ, Unit: "mm", Low: 1, High: 60, Likely: [2]float64{4, 20}, Group: making, Help: fmt.Sprintf("From the opening to the outside edge. Left open: %g mm.", flange.UsualWeb)},
	{Name: "fixed", Label: "Hole that stays round", Quantity: WordQ, Refs: []string{"bolt"}, Group: making, Help: "Hot, the flange grows away from it, so the other holes become slots. Left open: all holes are round."},
	{Name: "hot", Label: "Flange gets as hot as", Quantity: NumberQ, Unit: "°C", Low: 50, High: 1000, Group: making, Help: fmt.Sprintf("It says how long the slots are. Left open: %d °C.", flange.UsualHot)},
	{Name: "washer", Label: "Washer OD", Quantity: LengthQ, Unit: "mm", Low: 5, High: 60, Likely: [2]float64{10, 30}, Group: making, Help: "Of the washer, or of the nut or bolt head where there is none. Left open: as usual for the bolt size."},
	{Name: "revision", Label: "Revision", Quantity: WordQ, Group: making, Help: "A letter that stands on every sheet. Take the next one when something is changed after a sheet has left the shop."},
}

// outline asks for the outline of a port or an opening, by what it is called.
func outline(what string, shapes []string) []Field {
	of := func(names ...string) *When { return &When{Field: "shape", Is: names} }
	size := func(name, label string, low, high float64, likely [2]float64, when *When) Field {
		return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: low, High: high, Likely: likely, Required: true, When: when}
	}
	across := of("rectangle", "stadium", "oval")
	flat := size("flat", "Centre to flat side", 0, 200, [2]float64{5, 50}, of("d"))
	flat.Help = "From the centre of the round side to the flat. The centre of the " + what + " is that centre too."
	called := string(what[0]-'a'+'A') + what[1:]
	return []Field{
		{Name: "shape", Label: called + " shape", Quantity: WordQ, Words: shapes, Required: true, Help: "points: measured point by point round the outline, where no shape fits."},
		size("width", called+" width", 5, 200, [2]float64{20, 80}, across),
		size("height", called+" height", 5, 200, [2]float64{20, 80}, across),
		size("corner", called+" corner radius", 0, 100, [2]float64{2, 40}, of("rectangle", "d")),
		size("diameter", called+" diameter", 5, 200, [2]float64{20, 80}, of("round")),
		size("radius", called+" round-side radius", 5, 200, [2]float64{10, 60}, of("d")),
		flat,
		{Name: "turn", Label: called + " turned by", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, When: of(slices.DeleteFunc(slices.Clone(shapes), func(s string) bool { return s == "round" || s == drawn })...),
			Help: "Counter-clockwise, seen facing it. A D that is not turned has its flat on the left. Left open: 0."},
	}
}

// rimPoint asks for one point of a measured outline.
func rimPoint(kind, parent string) Kind {
	at := func(name, label, help string) Field {
		return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: -300, High: 300, Likely: [2]float64{-60, 60}, Required: true, Help: help}
	}
	return Kind{Name: kind, Label: "Outline point", Plural: "Outline points", Parent: parent, Fields: []Field{
		at("x", "Outline point x", "From the centre, right is plus. Go round the outline one way; 8 points are the least, 16 or more are asked for."),
		at("y", "Outline point y", "From the centre, up is plus."),
	}}
}

// flangeKinds are measured outlines, what the head is compared with, and printed sheets.
var flangeKinds = []Kind{
	rimPoint("rim", "port"),
	{Name: "pattern", Label: "Pattern", Plural: "Flanges and gaskets to compare", Parent: "bank", Fields: []Field{
		{Name: "what", Label: "What it is", Quantity: WordQ, Words: []string{"flange", "gasket", "drawing"}, Required: true, Help: "Bought or drawn, with measures of its own. They are laid over those of the head."},
		{Name: "name", Label: "What it is called", Quantity: TextQ},
		{Name: "side", Label: "Seen from", Quantity: WordQ, Words: []string{"tubes", "head"}, Help: "tubes: x to the right as for the head itself. head: seen from the gasket face, so left and right change places. Left open: whichever fits better."},
		{Name: "path", Label: "Outside edge", Quantity: WordQ, Help: pathHelp},
		number,
	}},
	{Name: "hole", Label: "Hole", Plural: "Holes", Parent: "pattern", Fields: []Field{
		patternPlace("x", "Hole x", "From any origin and along any line of the pattern; all its holes and openings from the same."),
		patternPlace("y", "Hole y", ""),
		{Name: "diameter", Label: "Hole diameter", Quantity: LengthQ, Unit: "mm", Low: 3, High: 40, Likely: [2]float64{6, 16}, Required: true},
		number,
	}},
	{Name: "opening", Label: "Opening", Plural: "Openings", Parent: "pattern", Fields: list(
		outline("opening", slices.Concat(Shapes, []string{drawn})),
		Field{Name: "path", Label: "Drawn outline", Quantity: WordQ, Required: true, When: &When{Field: "shape", Is: []string{drawn}}, Help: pathHelp},
		patternPlace("x", "Opening centre x", "A drawn outline has its own place: then 0."),
		patternPlace("y", "Opening centre y", ""),
		number,
	)},
	rimPoint("spot", "opening"),
	{Name: "print", Label: "Printed sheet", Plural: "Printed sheets", Fields: []Field{
		{Name: "sheet", Label: "Which sheet", Quantity: WordQ, Required: true},
		{Name: "of", Label: "Printed from", Quantity: WordQ, Help: "The sign that stands on the sheet beside its revision."},
		ruler("across", "Ruler across"), ruler("up", "Ruler up"),
		number,
	}},
}

const pathHelp = "Corners in mm, x and y and, before an arc, its bulge, joined by semicolons. It comes from a drawing that is read in."

func patternPlace(name, label, help string) Field {
	return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: -3000, High: 3000, Likely: [2]float64{-1000, 1000}, Required: true, Help: help}
}

// ruler asks for one of the two lines of 100 mm that every sheet bears.
func ruler(name, label string) Field {
	return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: 20, High: 500, Likely: [2]float64{99, 101}, Required: true, Help: "Measured on the paper with a steel rule or a caliper. It is drawn 100 mm long."}
}
