package job

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// Fault is a value that cannot be used, and the slot it was entered in.
type Fault struct {
	Slot string
	*fault.Field
	dangling bool // it names an entity that is not there
}

// Todo is a value that is still to be entered before everything can be worked out.
type Todo struct {
	Slot  string `json:"slot"`
	Label string `json:"label"`
	Where string `json:"where"`
}

// check holds every value against its field. It returns the facts without the
// values that cannot be used, so that one slip does not take the rest along.
func check(f Facts) (usable Facts, faults []Fault, todo []Todo) {
	usable = f
	usable.Values = make(map[string]Value, len(f.Values))
	for _, k := range Kinds {
		for _, id := range f.ids(k) {
			for n := range k.Fields {
				field := &k.Fields[n]
				v, entered := f.Values[Slot(k.Name, id, field.Name)] // which is not kept, and so costs no memory
				if !entered && !field.Required || field.isNote() || !field.asked(f, k.Name, id) {
					continue
				}
				slot := Slot(k.Name, id, field.Name)
				if !entered {
					if _, known := usable.Values[field.Else]; known {
						continue
					}
					todo = append(todo, Todo{Slot: slot, Label: field.Label, Where: f.title(k.Name, id)})
					continue
				}
				if err := checkValue(f, k, id, *field, v); err != nil {
					err.Where = f.where(k.Name, id, v)
					faults = append(faults, Fault{Slot: slot, Field: err, dangling: len(field.Refs) > 0})
					continue
				}
				usable.Values[slot] = v
			}
		}
	}
	for _, k := range Kinds {
		if (k.Name == "bank" || k.Name == "port" || k.Name == "tube") && len(f.Lists[k.Name]) == 0 {
			todo = append(todo, Todo{Slot: k.Name, Label: k.Plural, Where: "none entered yet"})
		}
	}
	return usable, faults, slices.Concat(todo, fewPoints(f),
		short(f, "port", "cylinder", f.number("engine", Self, "cylinders")),
		short(f, "tube", "port", Opt[float64]{float64(len(f.Lists["port"])), true}))
}

// short tells how many entities are still to be entered where there are fewer
// than of what each belongs to one of.
func short(f Facts, kind, of string, want Opt[float64]) []Todo {
	k, _ := KindOf(kind)
	have := len(f.Lists[kind])
	if !want.Known || have == 0 || float64(have) >= want.V {
		return nil // none at all is asked for elsewhere, and two ports to a cylinder are possible
	}
	return []Todo{{Slot: kind, Label: k.Plural, Where: fmt.Sprintf("%d of %g entered, one for each %s", have, want.V, of)}}
}

// asked tells whether the field is asked of this entity.
func (field *Field) asked(f Facts, kind, id string) bool {
	for w := field.When; w != nil; w = w.And {
		if !slices.Contains(w.Is, f.word(kind, id, w.Field)) {
			return false
		}
	}
	return true
}

func checkValue(f Facts, k Kind, id string, field Field, v Value) *fault.Field {
	if field.Quantity == WordQ {
		switch {
		case len(field.Refs) > 0 && !slices.Contains(field.Words, v.Text) && !f.names(k, id, field.Refs, v.Text):
			return refuseWord(field, v, fmt.Sprintf("there is no %s of that name%s", strings.Join(field.Refs, ", no "), ofBank(k, id)))
		case len(field.Words) > 0 && len(field.Refs) == 0 && !field.Open && !slices.Contains(field.Words, v.Text):
			return refuseWord(field, v, "it has to be one of "+strings.Join(field.Words, ", "))
		case field.Name == "firing_order":
			if _, why := firingOrder(v.Text); why != "" {
				return refuseWord(field, v, why)
			}
		case field.Name == "firing_intervals":
			if _, why := firingIntervals(v.Text); why != "" {
				return refuseWord(field, v, why)
			}
		case field.Name == "path":
			if _, err := ParsePath(v.Text); err != nil {
				return fault.Refuse(field.Label, err.Error())
			}
		}
		return nil
	}
	got := field.read(v)
	if !(got >= field.Low && got <= field.High) {
		return &fault.Field{Name: field.Label, Text: v.Text, Got: got, Unit: field.Unit, Low: field.Low, High: field.High}
	}
	if field.Whole && got != math.Trunc(got) {
		return &fault.Field{Name: field.Label, Text: v.Text, Got: got, Unit: field.Unit, Low: field.Low, High: field.High, Why: "it has to be a whole number"}
	}
	return nil
}

// refuseWord is the fault of a word, which has neither value nor range.
func refuseWord(field Field, v Value, why string) *fault.Field {
	return fault.Refuse(field.Label, fmt.Sprintf("%q cannot be used: %s", clip(v.Text), why))
}

func ofBank(k Kind, id string) string {
	if k.Name == "bank" {
		return " in bank " + id
	}
	return ""
}

// names tells whether word is the id of an entity of one of the kinds refs that an
// entity of kind k may name: a bank names bolts of its own only.
func (f Facts) names(k Kind, id string, refs []string, word string) bool {
	return slices.ContainsFunc(refs, func(ref string) bool {
		of, _ := KindOf(ref)
		return slices.ContainsFunc(f.Lists[ref], func(e Entity) bool {
			return e.ID == word && (of.Parent != k.Name || e.Parent == id)
		})
	})
}

// read returns a value in the unit of its field: mm, degrees or a plain number.
func (field Field) read(v Value) float64 {
	if field.Quantity == LengthQ {
		return units.LengthNM(v.V).MM()
	}
	return float64(v.V) / 1e6
}

// firingOrder reads cylinder numbers with hyphens or commas between them. why is
// empty when they can be used.
func firingOrder(text string) (order []int, why string) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == '-' || r == ',' || r == ' ' })
	for _, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || n < 1 || n > 16 {
			return nil, "write cylinder numbers from 1 to 16 with hyphens, for example 1-3-4-2"
		}
		if slices.Contains(order, n) {
			return nil, fmt.Sprintf("cylinder %d stands in it twice", n)
		}
		order = append(order, n)
	}
	if len(order) == 0 {
		return nil, "write cylinder numbers from 1 to 16 with hyphens, for example 1-3-4-2"
	}
	return order, ""
}

// within is how what belongs to another thing is called after that one's name.
var within = map[string]string{"element": "piece", "mark": "mock-up point", "crook": "mock-up bend", "tape": "tape", "part": "shape", "corner": "point",
	"rim": "outline point", "spot": "outline point", "hole": "hole", "opening": "opening", "tack": "free end", "use": "use"}

// called is what a person called an entity, or else what it is, in brackets.
func (f Facts) called(kind, id string) string {
	for _, name := range []string{f.Notes[Slot(kind, id, "name")], f.Notes[Slot(kind, id, "what")], f.word(kind, id, "what")} {
		if name != "" {
			return " (" + name + ")"
		}
	}
	return ""
}

// title names an entity for people, by the number that it bears or else by its
// place in the list: "Port 3", "Tube 2, piece 1".
func (f Facts) title(kind, id string) string {
	k, known := KindOf(kind)
	if !known || k.Single {
		return k.Label
	}
	for _, e := range f.Lists[kind] {
		if e.ID != id {
			continue
		}
		n := f.numberOf(kind, e)
		switch {
		case kind == "bank":
			return "Bank " + id
		case k.Parent == "" || k.Parent == "bank":
			return fmt.Sprintf("%s %d", k.Label, n) + f.called(kind, id)
		}
		return fmt.Sprintf("%s, %s %d", f.title(k.Parent, e.Parent), within[kind], n)
	}
	return k.Label + " " + id
}

// numberOf is the number that an entity bears, or else its place in its list.
func (f Facts) numberOf(kind string, e Entity) int {
	if own := f.number(kind, e.ID, "number"); own.Known {
		return int(own.V)
	}
	n := 0
	for _, o := range f.Lists[kind] {
		if o.Parent != e.Parent {
			continue
		}
		n++
		if o.ID == e.ID {
			return n
		}
	}
	return 0
}

// where tells where a value that cannot be used stands: the path in a job file,
// else the entity as the screen calls it.
func (f Facts) where(kind, id string, v Value) string {
	if strings.ContainsAny(v.From, ".[") {
		return v.From
	}
	return f.title(kind, id)
}
