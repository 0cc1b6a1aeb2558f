package job

// tubeKinds are the collectors, the tubes with their paths, and mock-ups of them.
var tubeKinds = []Kind{
	{Name: "collector", Label: "Collector", Plural: "Collectors", Fields: list(
		frame,
		Field{Name: "sockets", Label: "Sockets", Quantity: NumberQ, Low: 1, High: 12, Required: true, Whole: true},
		Field{Name: "nest", Label: "Nest", Quantity: WordQ, Words: Nests, Required: true, Help: "How the sockets lie together. A ring of three is a triangle, of four a square."},
		Field{Name: "socket_id", Label: "Socket ID", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{25, 95}, Required: true, Help: "Inside diameter, into which the tube slips."},
		Field{Name: "socket_depth", Label: "Socket depth", Quantity: LengthQ, Unit: "mm", Low: 0, High: 200, Likely: [2]float64{15, 80}},
		Field{Name: "pitch", Label: "Socket centre to centre", Quantity: LengthQ, Unit: "mm", Low: 10, High: 400, Likely: [2]float64{25, 120}, Help: "Of two neighbours. Left open: sockets that touch, of the tube's own wall."},
		Field{Name: "outlet_od", Label: "Outlet OD", Quantity: LengthQ, Unit: "mm", Low: 20, High: 250, Likely: [2]float64{40, 110}, Else: Slot("target", Self, "outlet_od"), Help: "Left open: as decided."},
		place("at_", "Middle of the socket mouths", Field{Required: true, Help: "The middle of the nest, in the plane in which the tubes enter."}),
		heading("axis_", "Gas flows towards", Field{Required: true, Help: "Direction of the collector's axis, with the flow."}),
		Field{Name: "roll", Label: "Roll", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Help: "Where socket 1 sits: right-hand about the flow, from the frame's y. The others follow the same way. Left open: 0."},
		number, collectorInspect,
	)},
	{Name: "tube", Label: "Tube", Plural: "Tubes", Fields: list([]Field{
		{Name: "port", Label: "Starts at port", Quantity: WordQ, Refs: []string{"port"}, Required: true},
		{Name: "od", Label: "Tube OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{25, 90}, Required: true, Else: Slot("target", Self, "od"), Help: "Outside diameter. Left open: as decided."},
		{Name: "wall", Label: "Tube wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Required: true, Else: Slot("target", Self, "wall"), Help: "As a decimal. Gauge numbers mean different walls for tube and for sheet. Left open: as decided."},
		{Name: "collector", Label: "Ends in collector", Quantity: WordQ, Refs: []string{"collector"}},
		{Name: "socket", Label: "Socket", Quantity: NumberQ, Low: 1, High: 12, Whole: true, Help: "Counted right-hand about the flow, from where the roll says."},
		{Name: "material", Label: "Tube material", Quantity: WordQ, Words: []string{"mild steel", "304", "321", "347"}, Open: true},
		number,
		{Name: "transition", Label: "Length of the formed end", Quantity: LengthQ, Unit: "mm", Low: 3, High: 300, Likely: [2]float64{15, 100}, Help: "Over which the tube's end goes from the port's shape to round. Left open: as long as its OD."},
		{Name: "survey_sigma", Label: "How far off a mock-up point may be (1 sigma)", Quantity: LengthQ, Unit: "mm", Low: 0.05, High: 20, Likely: [2]float64{0.3, 3}, Help: "Along each axis: two in three are no farther off. Left open: 1 mm."},
		{Name: "trust_length", Label: "How far off a straight may be (1 sigma)", Quantity: LengthQ, Unit: "mm", Low: 0.05, High: 50, Likely: [2]float64{0.3, 5}, Help: "For a path taken off a mock-up piece by piece. With all three entered it is adjusted to the socket."},
		{Name: "trust_turn", Label: "How far off a bend may be (1 sigma)", Quantity: AngleQ, Unit: "°", Low: 0.05, High: 20},
		{Name: "trust_rotation", Label: "How far off a rotation may be (1 sigma)", Quantity: AngleQ, Unit: "°", Low: 0.05, High: 45},
	}, tubeInspect)},
	{Name: "mark", Label: "Mock-up point", Plural: "Points of the mock-up", Parent: "tube", Fields: list(
		Field{Name: "straight", Label: "On straight", Quantity: NumberQ, Low: 1, High: 20, Required: true, Whole: true, Help: "Counted from the port. Three points on each are asked for: with two nobody can tell which one is off."},
		place("", "Centre", Field{Required: true, Help: "Of the mock-up's middle, in the frame of the tube's bank."}),
	)},
	{Name: "crook", Label: "Mock-up bend", Plural: "Bends of the mock-up", Parent: "tube", Fields: list(
		Field{Name: "after", Label: "After straight", Quantity: NumberQ, Low: 1, High: 19, Required: true, Whole: true},
		Field{Name: "clr", Label: "Centreline radius (CLR)", Quantity: LengthQ, Unit: "mm", Low: 5, High: 1000, Likely: [2]float64{30, 300}, Required: true},
		place("crown_", "Middle of the bend", Field{Help: "The centre of the mock-up half-way round the bend. It tells whether the CLR is true, from about 60° on."}),
	)},
	{Name: "element", Label: "Piece of the path", Plural: "Path", Parent: "tube", Fields: list(
		Field{Name: "type", Label: "Straight or bend", Quantity: WordQ, Words: []string{"straight", "bend"}, Required: true},
		Field{Name: "length", Label: "Straight length", Quantity: LengthQ, Unit: "mm", Low: 0, High: 3000, Likely: [2]float64{10, 800}, Required: true, When: &When{Field: "type", Is: []string{"straight"}}, Help: "Centreline, from tangent point to tangent point."},
		Field{Name: "turn", Label: "Bent through", Quantity: AngleQ, Unit: "°", Low: 0.1, High: 180, Required: true, When: &When{Field: "type", Is: []string{"bend"}}, Help: "The angle by which the tube turns; 180 is a U."},
		Field{Name: "clr", Label: "Centreline radius (CLR)", Quantity: LengthQ, Unit: "mm", Low: 5, High: 1000, Likely: [2]float64{30, 300}, Required: true, When: &When{Field: "type", Is: []string{"bend"}}},
		Field{Name: "rotation", Label: "Rotation (clocking)", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Required: true, When: &When{Field: "type", Is: []string{"bend"}}, Help: "About the direction of travel, right-hand positive, from the bend before; 0 bends on the same way, 180 the other way. For the first bend from up."},
		number, madeFields,
	)},
}

// Nests are the ways in which the sockets of a collector lie together.
var Nests = []string{"ring", "row"}
