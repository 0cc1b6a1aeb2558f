package job

import "slices"

// Quantity says what kind of value a field holds and so how it is typed.
type Quantity string

const (
	LengthQ Quantity = "length" // typed in mm or in, kept as nanometres
	AngleQ  Quantity = "angle"  // typed in degrees, kept as millionths of a degree
	NumberQ Quantity = "number" // plain number, kept as millionths
	WordQ   Quantity = "word"   // one of Words, the id of an entity of Refs, or free text when both are empty
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
	Open     bool       `json:"open,omitempty"`  // Words are offers, other text is allowed
	Event    bool       `json:"event,omitempty"` // said at the bench, in a record of its own kind; the latest is shown, with who and when
	Refs     []string   `json:"refs,omitempty"`  // kinds of entities of which one's id is meant; Words beside them are allowed too
	When     *When      `json:"when,omitempty"`  // asked only then
	Group    string     `json:"group,omitempty"` // asked for together, apart from the rest; "" is what is measured or entered first
	Else     string     `json:"else,omitempty"`  // left open, the value of this slot counts
	Help     string     `json:"help,omitempty"`
}

// When makes a field depend on a word in the same entity: it is asked while that is
// one of Is, of which "" stands for open, and what And says holds too.
type When struct {
	Field string   `json:"field"`
	Is    []string `json:"is"`
	And   *When    `json:"and,omitempty"`
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

// Shapes are the port outlines that can be entered: by a few dimensions, or point by
// point.
var Shapes = []string{"rectangle", "round", "stadium", "oval", "d", byPoints}

// Kinds is the table of everything that can be entered, parents before what belongs
// to them.
var Kinds = slices.Concat(headKinds, flangeKinds, tubeKinds, aroundKinds, stockKinds, sizingKinds, fixtureKinds, weldKinds, inspectKinds)

// KindOf returns the kind of the given name.
func KindOf(name string) (Kind, bool) {
	for i := range Kinds {
		if k := &Kinds[i]; k.Name == name {
			return *k, true
		}
	}
	return Kind{}, false
}

// Field returns the field of the given name.
func (k Kind) Field(name string) (Field, bool) {
	for i := range k.Fields {
		if f := &k.Fields[i]; f.Name == name {
			return *f, true
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
func (f *Field) isNote() bool { return f.Quantity == TextQ || f.Quantity == DateQ }
