package job

// Quantity says what kind of value a field holds and so how it is typed.
type Quantity string

const (
	LengthQ Quantity = "length" // typed in mm or in, kept as nanometres
	AngleQ  Quantity = "angle"  // typed in degrees, kept as millionths of a degree
	NumberQ Quantity = "number" // plain number, kept as millionths
	WordQ   Quantity = "word"   // one of Words, the id of an entity, or free text when both are empty
	TextQ   Quantity = "text"   // a note: the latest one is shown
	DateQ   Quantity = "date"   // a note holding YYYY-MM-DD
)

// Field is one thing that is asked for: how it is labelled and what is allowed.
// Low and High are in mm, degrees or plain numbers. Ranges are wide on purpose:
// they catch slips of the hand, not unusual designs (common practice, no source).
type Field struct {
	Name     string     `json:"name"`
	Label    string     `json:"label"`
	Quantity Quantity   `json:"quantity"`
	Unit     string     `json:"unit,omitempty"`
	Low      float64    `json:"low"`
	High     float64    `json:"high"`
	Likely   [2]float64 `json:"likely,omitzero"` // where most values lie; outside it the screen asks whether the unit is right
	Required bool       `json:"required,omitempty"`
	Whole    bool       `json:"whole,omitempty"`
	Words    []string   `json:"words,omitempty"`
	Open     bool       `json:"open,omitempty"` // Words are offers, other text is allowed
	Ref      string     `json:"ref,omitempty"`  // kind of entity whose id is meant
	When     *When      `json:"when,omitempty"` // asked only then
	Help     string     `json:"help,omitempty"`
}

// When makes a field depend on a word in the same entity.
type When struct {
	Field string   `json:"field"`
	Is    []string `json:"is"`
}

// Kind is one kind of entity with its fields, in the order in which a hand
// would measure them.
type Kind struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Plural string  `json:"plural,omitempty"`
	Single bool    `json:"single,omitempty"` // one per job, entity id "self"
	Parent string  `json:"parent,omitempty"` // field that names the entity it belongs to
	Fields []Field `json:"fields"`
}

// Self is the entity id of kinds that exist once per job.
const Self = "self"

// Stages are the nine steps of a job, in order.
var Stages = []string{"enquiry", "intake", "measure", "layout", "cut", "tack", "weld", "inspect", "deliver"}

// Styles are the ways in which primary tubes are joined.
var Styles = []string{"4-1", "4-2-1", "3-1", "6-1", "180-degree", "log"}

// Shapes are the port outlines that can be entered by a few dimensions.
var Shapes = []string{"rectangle", "round", "stadium", "oval", "d"}

// Kinds is the table of everything that can be entered.
var Kinds = []Kind{
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
	}},
	{Name: "target", Label: "Target", Single: true, Fields: []Field{
		{Name: "length", Label: "Primary length", Quantity: LengthQ, Unit: "mm", Low: 50, High: 3000, Likely: [2]float64{250, 1300}, Required: true, Help: "Along the centreline of one primary tube."},
		{Name: "from", Label: "Length counted from", Quantity: WordQ, Words: []string{"flange", "valve"}, Required: true, Help: "Port face of the flange, or valve head. People mean different things by the same number."},
		{Name: "tolerance", Label: "Length tolerance ±", Quantity: LengthQ, Unit: "mm", Low: 0.1, High: 200, Likely: [2]float64{2, 30}, Required: true},
		{Name: "style", Label: "Header style", Quantity: WordQ, Words: Styles, Open: true},
	}},
	{Name: "shop", Label: "Saw", Single: true, Fields: []Field{
		{Name: "kerf", Label: "Kerf", Quantity: LengthQ, Unit: "mm", Low: 0, High: 6, Likely: [2]float64{0.8, 3.2}, Help: "Width of metal that one cut takes."},
		{Name: "facing", Label: "Dressing per face", Quantity: LengthQ, Unit: "mm", Low: 0, High: 5, Likely: [2]float64{0.1, 2}, Help: "What the sander takes off each cut face."},
	}},
	{Name: "bank", Label: "Bank", Plural: "Banks", Fields: []Field{
		{Name: "thickness", Label: "Flange thickness", Quantity: LengthQ, Unit: "mm", Low: 1, High: 50, Likely: [2]float64{5, 14}, Required: true},
		{Name: "material", Label: "Flange material", Quantity: WordQ, Words: []string{"mild steel", "304", "321", "347"}, Open: true},
		{Name: "datum", Label: "Datum bolt hole", Quantity: WordQ, Ref: "bolt", Required: true, Help: "Its centre, on the port face, is x = 0, y = 0."},
		{Name: "along", Label: "Second bolt hole, along x", Quantity: WordQ, Ref: "bolt", Required: true, Help: "The x axis points from the datum bolt through this one, so nothing has to be level."},
	}},
	{Name: "bolt", Label: "Bolt", Plural: "Bolts", Parent: "bank", Fields: []Field{
		{Name: "x", Label: "Bolt x", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-800, 800}, Required: true, Help: "Right of the datum is plus, seen facing the port face."},
		{Name: "y", Label: "Bolt y", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-250, 250}, Required: true, Help: "Up is plus."},
		{Name: "hole", Label: "Bolt hole diameter", Quantity: LengthQ, Unit: "mm", Low: 3, High: 40, Likely: [2]float64{6, 16}, Required: true},
		{Name: "number", Label: "Number on the part", Quantity: NumberQ, Low: 1, High: 99, Whole: true, Help: "What is chalked or stamped on it. It stays when the list is put in another order."},
	}},
	{Name: "port", Label: "Port", Plural: "Ports", Parent: "bank", Fields: []Field{
		{Name: "cylinder", Label: "Cylinder", Quantity: NumberQ, Low: 1, High: 16, Required: true, Whole: true},
		{Name: "shape", Label: "Port shape", Quantity: WordQ, Words: Shapes, Required: true},
		{Name: "width", Label: "Port width", Quantity: LengthQ, Unit: "mm", Low: 5, High: 200, Likely: [2]float64{20, 80}, Required: true, When: &When{"shape", []string{"rectangle", "stadium", "oval"}}},
		{Name: "height", Label: "Port height", Quantity: LengthQ, Unit: "mm", Low: 5, High: 200, Likely: [2]float64{20, 80}, Required: true, When: &When{"shape", []string{"rectangle", "stadium", "oval"}}},
		{Name: "corner", Label: "Port corner radius", Quantity: LengthQ, Unit: "mm", Low: 0, High: 100, Likely: [2]float64{2, 40}, Required: true, When: &When{"shape", []string{"rectangle", "d"}}},
		{Name: "diameter", Label: "Port diameter", Quantity: LengthQ, Unit: "mm", Low: 5, High: 200, Likely: [2]float64{20, 80}, Required: true, When: &When{"shape", []string{"round"}}},
		{Name: "radius", Label: "Port round-side radius", Quantity: LengthQ, Unit: "mm", Low: 5, High: 200, Likely: [2]float64{10, 60}, Required: true, When: &When{"shape", []string{"d"}}},
		{Name: "flat", Label: "Centre to flat side", Quantity: LengthQ, Unit: "mm", Low: 0, High: 200, Likely: [2]float64{5, 50}, Required: true, When: &When{"shape", []string{"d"}}, Help: "From the centre of the round side to the flat. The centre of the port is that centre too."},
		{Name: "x", Label: "Port centre x", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-800, 800}, Required: true},
		{Name: "y", Label: "Port centre y", Quantity: LengthQ, Unit: "mm", Low: -2000, High: 2000, Likely: [2]float64{-250, 250}, Required: true},
		{Name: "aim_x", Label: "Aim to the right", Quantity: NumberQ, Low: -1, High: 1, Help: "Direction in which gas leaves the port: right, up, out. Leave all three open for straight out."},
		{Name: "aim_y", Label: "Aim up", Quantity: NumberQ, Low: -1, High: 1},
		{Name: "aim_z", Label: "Aim out of the head", Quantity: NumberQ, Low: 0, High: 1},
		{Name: "number", Label: "Number on the part", Quantity: NumberQ, Low: 1, High: 99, Whole: true, Help: "What is chalked or stamped on it. It stays when the list is put in another order."},
	}},
	{Name: "tube", Label: "Tube", Plural: "Tubes", Fields: []Field{
		{Name: "port", Label: "Starts at port", Quantity: WordQ, Ref: "port", Required: true},
		{Name: "od", Label: "Tube OD", Quantity: LengthQ, Unit: "mm", Low: 10, High: 200, Likely: [2]float64{25, 90}, Required: true, Help: "Outside diameter."},
		{Name: "wall", Label: "Tube wall", Quantity: LengthQ, Unit: "mm", Low: 0.3, High: 12, Likely: [2]float64{0.7, 4}, Required: true, Help: "As a decimal. Gauge numbers mean different walls for tube and for sheet."},
		{Name: "material", Label: "Tube material", Quantity: WordQ, Words: []string{"mild steel", "304", "321", "347"}, Open: true},
		{Name: "number", Label: "Number on the part", Quantity: NumberQ, Low: 1, High: 99, Whole: true, Help: "What is chalked or stamped on it. It stays when the list is put in another order."},
	}},
	{Name: "element", Label: "Piece of the path", Plural: "Path", Parent: "tube", Fields: []Field{
		{Name: "type", Label: "Straight or bend", Quantity: WordQ, Words: []string{"straight", "bend"}, Required: true},
		{Name: "length", Label: "Straight length", Quantity: LengthQ, Unit: "mm", Low: 0, High: 3000, Likely: [2]float64{10, 800}, Required: true, When: &When{"type", []string{"straight"}}, Help: "Centreline, from tangent point to tangent point."},
		{Name: "turn", Label: "Bent through", Quantity: AngleQ, Unit: "°", Low: 0.1, High: 180, Required: true, When: &When{"type", []string{"bend"}}, Help: "The angle by which the tube turns; 180 is a U."},
		{Name: "clr", Label: "Centreline radius (CLR)", Quantity: LengthQ, Unit: "mm", Low: 5, High: 1000, Likely: [2]float64{30, 300}, Required: true, When: &When{"type", []string{"bend"}}},
		{Name: "rotation", Label: "Rotation (clocking)", Quantity: AngleQ, Unit: "°", Low: -360, High: 360, Required: true, When: &When{"type", []string{"bend"}}, Help: "About the direction of travel, right-hand positive, from the bend before; 0 bends on the same way, 180 the other way. For the first bend from up."},
	}},
}

// KindOf returns the kind of the given name.
func KindOf(name string) (Kind, bool) {
	for _, k := range Kinds {
		if k.Name == name {
			return k, true
		}
	}
	return Kind{}, false
}

// Field returns the field of the given name.
func (k Kind) Field(name string) (Field, bool) {
	for _, f := range k.Fields {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}

// fieldOf returns a field by the names of its kind and itself; the zero Field where
// the table has none, such as for the order of a list.
func fieldOf(kind, name string) Field {
	k, _ := KindOf(kind)
	f, _ := k.Field(name)
	return f
}

// isNote tells whether the field is low-stakes text, of which the latest is shown.
func (f Field) isNote() bool { return f.Quantity == TextQ || f.Quantity == DateQ }
