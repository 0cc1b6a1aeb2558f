package job

// GapKinds are what a neighbour can be, in the order in which they are offered.
// Which gap each wants stands in gaprules.go; other words are allowed.
var GapKinds = []string{"steering", "brake", "fuel", "wiring", "starter", "plug boot", "dipstick or filter", "mount, metal", "mount, rubber",
	"frame or bolt head", "clutch linkage", "clutch hydraulics", "floor or firewall", "plastic body", "bonnet", "ground", "scrub line"}

// NeighbourShapes are what a neighbour can be made of.
var NeighbourShapes = []string{"sphere", "rod", "box", "plane", "sleeve"}

// open is what a word is that has not been entered.
var open = []string{""}

// solid shapes have one place; a sleeve has points of its own.
var solid = &When{Field: "shape", Is: []string{"sphere", "rod", "box", "plane"}}

// aroundKinds are what the tubes must clear and reach, and how their places were found.
var aroundKinds = []Kind{
	{Name: "tie", Label: "Point of two frames", Plural: "Points of two frames", Fields: list(
		Field{Name: "a", Label: "First frame", Quantity: WordQ, Words: []string{Car}, Refs: []string{"bank"}, Required: true, Help: "The same point measured twice, once in each frame. Three are needed, not in one line; more tell how well the frames fit."},
		place("a", "In the first frame", Field{Required: true}),
		Field{Name: "b", Label: "Second frame", Quantity: WordQ, Words: []string{Car}, Refs: []string{"bank"}, Required: true},
		place("b", "In the second frame", Field{Required: true}),
		number,
	)},
	{Name: "point", Label: "Taped point", Plural: "Taped points", Fields: list(
		Field{Name: "what", Label: "What it is", Quantity: TextQ},
		frame,
		Field{Name: "side", Label: "On which side of what it was taped from", Quantity: WordQ, Words: []string{"+x", "-x", "+y", "-y", "+z", "-z"}, Help: "Tapes from points in one plane fit two places, one on each side. +z is out of the head."},
		Field{Name: "sigma", Label: "How far off one tape reading may be (1 sigma)", Quantity: LengthQ, Unit: "mm", Low: 0.05, High: 50, Likely: [2]float64{0.3, 5}, Help: "Two readings in three are no farther off. Left open: 1 mm."},
		place("", "Point", Field{Help: "Only where it was measured directly; open for a point that is taped."}),
		number,
	)},
	{Name: "tape", Label: "Tape", Plural: "Tapes", Parent: "point", Fields: list(
		Field{Name: "from", Label: "Taped from", Quantity: WordQ, Refs: []string{"bolt", "port", "point"}, Required: true, Help: "The centre of a bolt hole on the port face, the centre of a port, or another point."},
		Field{Name: "distance", Label: "Distance", Quantity: LengthQ, Unit: "mm", Low: 1, High: 5000, Likely: [2]float64{30, 1500}, Required: true, Help: "Straight, from centre to point."},
	)},
	{Name: "neighbour", Label: "Neighbour", Plural: "Neighbours", Fields: list(
		Field{Name: "name", Label: "What it is called", Quantity: TextQ},
		Field{Name: "what", Label: "What it is", Quantity: WordQ, Words: GapKinds, Open: true, Required: true, Help: "It decides which gap is wanted. Measure to the joint, the clip or the bolt head that stands out farthest, not to the plain shaft."},
		frame,
		Field{Name: "gap", Label: "Gap wanted", Quantity: LengthQ, Unit: "mm", Low: 0, High: 500, Likely: [2]float64{3, 100}, Help: "Left open: what is usual for such a thing."},
		Field{Name: "fixed_to", Label: "Fixed to", Quantity: WordQ, Words: []string{"car", "engine"}, Help: "What is fixed to the engine rolls with it. Left open: to the car."},
		Field{Name: "moves", Label: "Moves", Quantity: WordQ, Words: []string{"stays", "turns", "slides"}, Help: "Steering turns, a clutch rod slides. The gap is looked for over the whole range."},
		place("axis_at_", "Point on the axis", Field{Required: true, When: &When{Field: "moves", Is: []string{"turns"}}}),
		heading("axis_", "Axis", Field{Required: true, When: &When{Field: "moves", Is: []string{"turns", "slides"}}}),
		Field{Name: "turn_low", Label: "Turns from", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Required: true, When: &When{Field: "moves", Is: []string{"turns"}}, Help: "About the axis, right-hand positive, from where it was measured."},
		Field{Name: "turn_high", Label: "Turns to", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Required: true, When: &When{Field: "moves", Is: []string{"turns"}}},
		Field{Name: "slide_low", Label: "Slides from", Quantity: LengthQ, Unit: "mm", Low: -500, High: 500, Required: true, When: &When{Field: "moves", Is: []string{"slides"}}, Help: "Along the axis, from where it was measured."},
		Field{Name: "slide_high", Label: "Slides to", Quantity: LengthQ, Unit: "mm", Low: -500, High: 500, Required: true, When: &When{Field: "moves", Is: []string{"slides"}}},
		number,
	)},
	{Name: "part", Label: "Shape", Plural: "Shapes", Parent: "neighbour", Fields: list(
		Field{Name: "shape", Label: "Shape", Quantity: WordQ, Words: NeighbourShapes, Required: true, Help: "A rod is round, with round ends; a sleeve is a hose or lead through several points. Several shapes make one neighbour."},
		Field{Name: "point", Label: "At the taped point", Quantity: WordQ, Refs: []string{"point"}, When: solid, Help: "Instead of coordinates."},
		place("", "Place", Field{Required: true, Help: "The middle of a sphere or box, one end of a rod, any point of a plane.", When: &When{Field: "point", Is: open, And: solid}}),
		Field{Name: "to_point", Label: "To the taped point", Quantity: WordQ, Refs: []string{"point"}, When: &When{Field: "shape", Is: []string{"rod"}}},
		place("to_", "Second end", Field{Required: true, When: &When{Field: "to_point", Is: open, And: &When{Field: "shape", Is: []string{"rod"}}}}),
		Field{Name: "radius", Label: "Radius", Quantity: LengthQ, Unit: "mm", Low: 0, High: 1000, Likely: [2]float64{3, 120}, Required: true, When: &When{Field: "shape", Is: []string{"sphere", "rod", "sleeve"}}},
		size("size_x", "Size along its own x"), size("size_y", "Size along its own y"), size("size_z", "Size along its own z"),
		heading("dir_", "Direction", Field{When: &When{Field: "shape", Is: []string{"plane", "box"}}, Help: "Of a plane, which needs it, square to it and towards the tubes; of a box its own x. Left open: the frame's x."}),
		heading("up_", "The box's own y", Field{When: &When{Field: "shape", Is: []string{"box"}}, Help: "Left open: the frame's y."}),
	)},
	{Name: "corner", Label: "Point of the sleeve", Plural: "Points of the sleeve", Parent: "part", Fields: list(
		Field{Name: "point", Label: "At the taped point", Quantity: WordQ, Refs: []string{"point"}, Help: "Instead of coordinates."},
		place("", "Point", Field{Required: true, When: &When{Field: "point", Is: open}}),
	)},
	{Name: "plug", Label: "Plug", Plural: "Spark plugs", Parent: "bank", Fields: list(
		place("", "Plug seat", Field{Required: true}),
		heading("dir_", "Comes out towards", Field{Required: true}),
		Field{Name: "od", Label: "Socket OD", Quantity: LengthQ, Unit: "mm", Low: 5, High: 80, Likely: [2]float64{15, 40}, Required: true, Help: "Of your own plug socket, or of the boot if that is larger."},
		Field{Name: "withdraw", Label: "Room to draw it out", Quantity: LengthQ, Unit: "mm", Low: 10, High: 500, Likely: [2]float64{40, 250}, Required: true, Help: "Plug and socket together, along its axis."},
		number,
	)},
	{Name: "tool", Label: "Tool", Plural: "Tools", Fields: list(
		Field{Name: "name", Label: "What it is called", Quantity: TextQ},
		Field{Name: "od", Label: "OD of the socket", Quantity: LengthQ, Unit: "mm", Low: 3, High: 80, Likely: [2]float64{8, 40}, Required: true, Help: "Measure your own. It has to reach one of the bolts at least."},
		Field{Name: "length", Label: "Length from the flange", Quantity: LengthQ, Unit: "mm", Low: 5, High: 600, Likely: [2]float64{20, 250}, Required: true, Help: "Of all that has to pass: socket, bolt head, and the bolt where it is drawn out."},
		number,
	)},
}

// Car is the word for the frame of the car (x forward, y left, z up), which no bank is.
const Car = "car"

var frame = Field{Name: "frame", Label: "Measured in the frame of", Quantity: WordQ, Words: []string{Car}, Refs: []string{"bank"}, Help: "Left open: the first bank."}

var number = Field{Name: "number", Label: "Number on the part", Quantity: NumberQ, Low: 1, High: 99, Whole: true, Help: "What is chalked or stamped on it. It stays when the list is put in another order."}

// place asks for the three coordinates of a point in the frame of what it belongs
// to; when, required and help are those of like.
func place(prefix, label string, like Field) []Field {
	return triple(prefix, label, like, func(f *Field) {
		f.Quantity, f.Unit, f.Low, f.High, f.Likely = LengthQ, "mm", -3000, 3000, [2]float64{-1500, 1500}
	})
}

// heading asks for the three parts of a direction, of whatever length.
func heading(prefix, label string, like Field) []Field {
	return triple(prefix, label, like, func(f *Field) { f.Quantity, f.Low, f.High = NumberQ, -1, 1 })
}

func triple(prefix, label string, like Field, set func(*Field)) []Field {
	fs := make([]Field, 3)
	for i, axis := range []string{"x", "y", "z"} {
		fs[i] = like
		fs[i].Name, fs[i].Label = prefix+axis, label+" "+axis
		set(&fs[i])
		if i > 0 {
			fs[i].Help = ""
		}
	}
	return fs
}

func size(name, label string) Field {
	return Field{Name: name, Label: label, Quantity: LengthQ, Unit: "mm", Low: 0.1, High: 3000, Likely: [2]float64{5, 800}, Required: true, When: &When{Field: "shape", Is: []string{"box"}}}
}

// list makes one list of fields and of groups of fields.
func list(parts ...any) []Field {
	var fs []Field
	for _, p := range parts {
		switch p := p.(type) {
		case Field:
			fs = append(fs, p)
		case []Field:
			fs = append(fs, p...)
		}
	}
	return fs
}
