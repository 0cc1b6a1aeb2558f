package job

// headKinds are the job, the engine, what is wanted, and the face that the tubes start from.
var headKinds = []Kind{
	{Name: "job", Label: "Job", Single: true, Fields: []Field{
		{Name: "name", Label: "Name", Quantity: TextQ, Help: "What the shop calls this job. It is shown on the wall."},
		{Name: "customer", Label: "Customer", Quantity: TextQ, Help: "Never shown on the wall."},
		{Name: "use", Label: "Use", Quantity: TextQ, Words: []string{"street", "track", "show"}, Open: true},
		{Name: "due", Label: "Due", Quantity: DateQ},
		{Name: "stage", Label: "Stage", Quantity: TextQ, Words: Stages},
		{Name: "blocked", Label: "Blocked by", Quantity: TextQ, Help: "What the job waits for, in words. Empty when it can go on."},
	}},
	{Name: "engine", Label: "Engine", Single: true, Fields: []Field{
		{Name: "cylinders", Label: "Cylinders", Quantity: NumberQ, Low: 1, High: 16, Required: true, Whole: true},
		{Name: "bore", Label: "Bore", Quantity: LengthQ, Unit: "mm", Low: 20, High: 250, Likely: [2]float64{50, 130}, Required: true},
		{Name: "stroke", Label: "Stroke", Quantity: LengthQ, Unit: "mm", Low: 20, High: 250, Likely: [2]float64{40, 130}, Required: true},
		{Name: "rod", Label: "Rod length", Quantity: LengthQ, Unit: "mm", Low: 40, High: 500, Likely: [2]float64{90, 200}, Help: "Centre to centre."},
		{Name: "firing_order", Label: "Firing order", Quantity: WordQ, Help: "Cylinder numbers with hyphens, for example 1-3-4-2."},
		{Name: "numbering", Label: "Cylinder numbering", Quantity: WordQ, Words: []string{"inline", "odd-even", "1-4/5-8", "boxer"}, Open: true, Help: "Makers number cylinders differently; the same firing order then means other cylinders."},
		{Name: "peak_torque_rpm", Label: "Peak torque wanted at", Quantity: NumberQ, Unit: "rpm", Low: 500, High: 20000},
		{Name: "peak_power_rpm", Label: "Peak power wanted at", Quantity: NumberQ, Unit: "rpm", Low: 500, High: 20000},
		{Name: "exhaust_opens_bbdc", Label: "Exhaust opens before BDC", Quantity: AngleQ, Unit: "°", Low: 0, High: 120},
		{Name: "exhaust_closes_atdc", Label: "Exhaust closes after TDC", Quantity: AngleQ, Unit: "°", Low: -40, High: 100},
		{Name: "valve_to_face", Label: "Valve to port face", Quantity: LengthQ, Unit: "mm", Low: 10, High: 400, Likely: [2]float64{40, 160}, Help: "Along the middle of the port, from the valve head."},
		{Name: "roll", Label: "Engine rolls by ±", Quantity: AngleQ, Unit: "°", Low: 0, High: 15, Likely: [2]float64{0.3, 4}, Help: "On its mounts, each way. Open: 1.5°."},
		{Name: "roll_y", Label: "Roll axis y", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Help: "The engine rolls about a line along the first bank's x: near the crankshaft. Open: gaps are looked for without roll."},
		{Name: "roll_z", Label: "Roll axis z", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000},
	}},
	{Name: "target", Label: "Target", Single: true, Fields: []Field{
		{Name: "length", Label: "Primary length", Quantity: LengthQ, Unit: "mm", Low: 50, High: 3000, Likely: [2]float64{250, 1300}, Required: true, Help: "Along the centreline of one primary tube."},
		{Name: "from", Label: "Length counted from", Quantity: WordQ, Words: []string{"flange", "valve"}, Required: true, Help: "Port face of the flange, or valve head. People mean different things by the same number."},
		{Name: "tolerance", Label: "Length tolerance ±", Quantity: LengthQ, Unit: "mm", Low: 0.1, High: 200, Likely: [2]float64{2, 30}, Required: true},
		{Name: "gap", Label: "Gap wanted between tubes", Quantity: LengthQ, Unit: "mm", Low: 0, High: 100, Likely: [2]float64{2, 15}, Help: "Open: 3 mm, so that hot tubes do not rub."},
		{Name: "style", Label: "Header style", Quantity: WordQ, Words: Styles, Open: true},
	}},
	{Name: "shop", Label: "Saw", Single: true, Fields: []Field{
		{Name: "kerf", Label: "Kerf", Quantity: LengthQ, Unit: "mm", Low: 0, High: 6, Likely: [2]float64{0.8, 3.2}, Help: "Width of metal that one cut takes."},
		{Name: "facing", Label: "Dressing per face", Quantity: LengthQ, Unit: "mm", Low: 0, High: 5, Likely: [2]float64{0.1, 2}, Help: "What the sander takes off each cut face."},
	}},
	{Name: "bank", Label: "Bank", Plural: "Banks", Fields: list(
		Field{Name: "thickness", Label: "Flange thickness", Quantity: LengthQ, Unit: "mm", Low: 1, High: 50, Likely: [2]float64{5, 14}, Required: true},
		Field{Name: "material", Label: "Flange material", Quantity: WordQ, Words: []string{"mild steel", "304", "321", "347"}, Open: true},
		Field{Name: "datum", Label: "Datum bolt hole", Quantity: WordQ, Refs: []string{"bolt"}, Required: true, Help: "Its centre, on the port face, is x = 0, y = 0."},
		Field{Name: "along", Label: "Second bolt hole, along x", Quantity: WordQ, Refs: []string{"bolt"}, Required: true, Help: "The x axis points from the datum bolt through this one, so nothing has to be level."},
		bankMaking,
	)},
	{Name: "bolt", Label: "Bolt", Plural: "Bolts", Parent: "bank", Fields: []Field{
		{Name: "x", Label: "Bolt x", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-800, 800}, Required: true, Help: "Right of the datum is plus, seen facing the port face."},
		{Name: "y", Label: "Bolt y", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-250, 250}, Required: true, Help: "Up is plus."},
		{Name: "hole", Label: "Bolt hole diameter", Quantity: LengthQ, Unit: "mm", Low: 3, High: 40, Likely: [2]float64{6, 16}, Required: true},
		number,
	}},
	{Name: "port", Label: "Port", Plural: "Ports", Parent: "bank", Fields: list(
		Field{Name: "cylinder", Label: "Cylinder", Quantity: NumberQ, Low: 1, High: 16, Required: true, Whole: true},
		outline("port", Shapes),
		Field{Name: "x", Label: "Port centre x", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-800, 800}, Required: true},
		Field{Name: "y", Label: "Port centre y", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-250, 250}, Required: true},
		Field{Name: "aim_x", Label: "Aim to the right", Quantity: NumberQ, Low: -1, High: 1, Help: "Direction in which gas leaves the port: right, up, out. Leave all three open for straight out."},
		Field{Name: "aim_y", Label: "Aim up", Quantity: NumberQ, Low: -1, High: 1},
		Field{Name: "aim_z", Label: "Aim out of the head", Quantity: NumberQ, Low: 0, High: 1},
		number,
	)},
}
