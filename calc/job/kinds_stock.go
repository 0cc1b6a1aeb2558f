package job

// made is the group of fields that say what came out at the bench. They are asked for
// there, not where a path is laid out.
const made = "made"

// PieceStages are how far a piece has come, in order. The latest that was said holds.
var PieceStages = []string{"cut", "deburred", "tacked", "welded", "inspected"}

// StockForms are the words for what a bend is sold as.
var StockForms = []string{"U", "J", "90", "45", "other"}

// madeFields are what a piece of the path came out as. A piece made of several
// straights in a row bears them at the first of them that is not 0.
var madeFields = []Field{
	{Name: "cut_turn", Label: "Bent through, as cut", Quantity: AngleQ, Unit: "°", Low: 0.1, High: 180, Group: made, When: &When{Field: "type", Is: []string{"bend"}}, Help: "Between the two cut faces, measured on the piece."},
	{Name: "cut_clr", Label: "CLR, as cut", Quantity: LengthQ, Unit: "mm", Low: 5, High: 1000, Likely: [2]float64{30, 300}, Group: made, When: &When{Field: "type", Is: []string{"bend"}}, Help: "True centreline radius of the piece. Of what was a whole U: from the outside of one leg to the inside of the other, halved. Left open: as planned."},
	{Name: "cut_length", Label: "Straight length, as cut", Quantity: LengthQ, Unit: "mm", Low: 0, High: 3000, Likely: [2]float64{10, 800}, Group: made, When: &When{Field: "type", Is: []string{"straight"}}, Help: "Of the whole piece, face to face; of a leg from the tangent line."},
	{Name: "clocked", Label: "Rotation, as tacked", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Group: made, When: &When{Field: "type", Is: []string{"bend"}}, Help: "Counted as the rotation is: about the direction of travel, right-hand positive, from the bend before as it sits; for the first bend from up."},
	{Name: "stage", Label: "Stage of the piece", Quantity: TextQ, Words: PieceStages, Event: true, Group: made},
}

// stockKinds are what pieces are cut from, and what was measured while they are tacked.
var stockKinds = []Kind{
	{Name: "stock", Label: "Stock item", Plural: "Stock", Fields: []Field{
		{Name: "type", Label: "Bend, length or elbow", Quantity: WordQ, Words: []string{"bend", "length", "elbow"}, Required: true, Help: "An elbow is made for welding pipe and has no straight at its ends."},
		{Name: "form", Label: "Form", Quantity: WordQ, Words: StockForms, When: bent},
		{Name: "od", Label: "Tube OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{25, 90}, Required: true},
		{Name: "wall", Label: "Tube wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Required: true},
		{Name: "material", Label: "Tube material", Quantity: WordQ, Words: []string{"mild steel", "304", "321", "347"}, Open: true},
		{Name: "clr", Label: "Centreline radius (CLR)", Quantity: LengthQ, Unit: "mm", Low: 5, High: 1000, Likely: [2]float64{30, 300}, Required: true, When: bent, Help: "As it is sold. Of a long-radius 90 elbow it is the distance from its centre to an end."},
		{Name: "angle", Label: "Angle", Quantity: AngleQ, Unit: "°", Low: 1, High: 180, Required: true, When: bent, Help: "By which it turns: 180 is a U. Of an off-cut what is left."},
		{Name: "leg_a", Label: "First leg", Quantity: LengthQ, Unit: "mm", Low: 0, High: 3000, Likely: [2]float64{20, 400}, When: legged, Help: "Straight tube at one end, from the tangent line. Left open: none."},
		{Name: "leg_b", Label: "Second leg", Quantity: LengthQ, Unit: "mm", Low: 0, High: 3000, Likely: [2]float64{20, 400}, When: legged},
		{Name: "length", Label: "Length", Quantity: LengthQ, Unit: "mm", Low: 10, High: 10_000, Likely: [2]float64{100, 6500}, Required: true, When: &When{Field: "type", Is: []string{"length"}}},
		{Name: "across_a", Label: "Outside of one leg to inside of the other", Quantity: LengthQ, Unit: "mm", Low: 10, High: 2000, Likely: [2]float64{60, 600}, When: legged, Help: "Only on a bend of exactly 180°, square across both legs: it is twice the true CLR, and bends sold by one CLR differ."},
		{Name: "across_b", Label: "The same from the other leg", Quantity: LengthQ, Unit: "mm", Low: 10, High: 2000, Likely: [2]float64{60, 600}, When: legged, Help: "From its outside to the inside of the first. The mean of both counts."},
		{Name: "price", Label: "Price", Quantity: NumberQ, Low: 0, High: 100_000, Help: "Of one, in the shop's money."},
		{Name: "supplier", Label: "Supplier", Quantity: TextQ},
		{Name: "on_hand", Label: "On hand", Quantity: NumberQ, Low: 0, High: 10_000, Whole: true, Help: "Counted on the rack. What is sawn afterwards is taken off by itself; count again when in doubt. Left open: none."},
		{Name: "offcut", Label: "Off-cut", Quantity: WordQ, Words: []string{"yes", "no"}, Help: "What was left of a piece of stock: it cannot be bought. Left open: no."},
		{Name: "name", Label: "What it is called", Quantity: TextQ},
		number,
	}},
	{Name: "use", Label: "Use", Plural: "Uses", Parent: "stock", Fields: []Field{
		{Name: "job", Label: "For the job", Quantity: WordQ},
		{Name: "count", Label: "How many were taken", Quantity: NumberQ, Low: 1, High: 10_000, Whole: true, Required: true},
		{Name: "counted", Label: "Counted before", Quantity: WordQ, Required: true, Help: "The reading of what was on hand from which this is taken off. A later count has it in already."},
	}},
	{Name: "tack", Label: "Free end", Plural: "Free ends, measured", Parent: "tube", Fields: list(
		Field{Name: "element", Label: "Behind the piece", Quantity: WordQ, Refs: []string{"element"}, Required: true, Help: "The last one that was tacked when the free end was measured."},
		place("", "Centre of the free end", Field{Required: true, Help: "In the frame of the tube's bank."}),
		heading("aim_", "Aim", Field{Help: "Direction of travel at the free end: right, up, out. Open, all three: as the pieces say."}),
	)},
}

var (
	bent   = &When{Field: "type", Is: []string{"bend", "elbow"}}
	legged = &When{Field: "type", Is: []string{"bend"}}
)
