package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// orderField is the field that every entity in a list has; while it has a
// reading on the table the entity is in its list.
const orderField = "order"

// fromFolded makes facts of folded records: the reading in use for every slot.
// Readings whose text and kept figure disagree are refused rather than used.
func fromFolded(f ledger.Folded) (Facts, []Fault) {
	facts := newFacts()
	var faults []Fault
	for slot, n := range f.Notes {
		facts.Notes[slot] = n.Text
	}
	for slot, n := range f.Pieces {
		facts.Events[slot] = n.Note
	}
	for slot, s := range f.Slots {
		head, used := inUse(s)
		if !used {
			continue
		}
		v, err := value(slot, head)
		if err != nil {
			faults = append(faults, Fault{Slot: slot, Field: err})
			continue
		}
		facts.Values[slot] = v
		if isCount(slot) {
			for _, h := range s.Heads {
				facts.Heads[slot] = append(facts.Heads[slot], h.ID)
			}
		}
	}
	facts.Lists, facts.Decided = lists(facts.Values), decidedBy(f)
	for i := range faults {
		if kind, id, _, ok := SplitSlot(faults[i].Slot); ok {
			faults[i].Where = facts.title(kind, id)
		}
	}
	return facts, faults
}

// decidedBy is who said the last of what was decided, of the readings in use and the
// reason.
func decidedBy(f ledger.Folded) ledger.Note {
	reason := f.Notes[Slot("target", Self, "reason")]
	said, latest := ledger.Note{Person: reason.Person, At: reason.At}, reason.HLC
	for _, field := range slices.Concat([]string{"length", "from", "tolerance"}, namesOf(decided)) {
		if h, used := inUse(f.Slots[Slot("target", Self, field)]); used && h.HLC > latest {
			said, latest = ledger.Note{Person: h.Person, At: h.At}, h.HLC
		}
	}
	return said
}

func namesOf(fields []Field) (names []string) {
	for _, f := range fields {
		names = append(names, f.Name)
	}
	return names
}

// isCount tells whether uses are taken off from what the slot says.
func isCount(slot string) bool {
	kind, _, name, _ := SplitSlot(slot)
	return kind == "stock" && name == "on_hand"
}

func inUse(s ledger.State) (ledger.Head, bool) {
	for _, h := range s.Heads {
		if h.ID == s.Value {
			return h, true
		}
	}
	return ledger.Head{}, false
}

// place is where in its list an entity stands with an order key, from 1.
func (f Facts) place(kind, id, key string) int {
	parent := ""
	for _, e := range f.Lists[kind] {
		if e.ID == id {
			parent = e.Parent
		}
	}
	n := 1
	for _, e := range f.in(kind, parent) {
		if e.ID != id && (e.Order < key || e.Order == key && e.ID < id) {
			n++
		}
	}
	return n
}

// value reads a reading as the quantity of its slot.
func value(slot string, h ledger.Head) (Value, *fault.Field) {
	v := Value{Text: h.Text, Unit: units.Unit(h.Unit), From: h.ID}
	kind, _, name, _ := SplitSlot(slot)
	k, _ := KindOf(kind)
	field, known := k.Field(name)
	if !known { // order, parent, or a field of a newer version
		return v, nil
	}
	kept, parse := (*int64)(nil), units.ParseNumber
	switch field.Quantity {
	case LengthQ:
		kept, parse = h.NM, func(s string) (units.Typed, error) { return units.ParseLength(s, v.Unit) }
	case AngleQ:
		kept, parse = h.UDeg, units.ParseAngle
	case NumberQ:
		kept = h.Micro
	default:
		return v, nil
	}
	refuse := func(why string) (Value, *fault.Field) {
		return v, &fault.Field{Name: field.Label, Text: h.Text, Got: math.NaN(), Unit: field.Unit, Low: field.Low, High: field.High, Why: why}
	}
	if kept == nil {
		return refuse(fmt.Sprintf("it was entered as something else than a %s", field.Quantity))
	}
	v.V = *kept
	typed, err := parse(h.Text)
	if err != nil || typed.V != v.V {
		return refuse("the text and the figure kept with it do not say the same; take the reading again")
	}
	return v, nil
}

// lists finds the entities: whatever has an order, and whose parent is there.
func lists(values map[string]Value) map[string][]Entity {
	found := map[string][]Entity{}
	for slot, v := range values {
		kind, id, field, ok := SplitSlot(slot)
		k, known := KindOf(kind)
		if !ok || !known || field != orderField {
			continue
		}
		e := Entity{ID: id, Order: v.Text}
		if k.Parent != "" {
			e.Parent = values[Slot(kind, id, k.Parent)].Text
		}
		found[kind] = append(found[kind], e)
	}
	here := map[string]bool{}
	for _, k := range Kinds { // parents come before their children in the table
		var kept []Entity
		for _, e := range found[k.Name] {
			if k.Parent == "" || here[k.Parent+"/"+e.Parent] {
				kept = append(kept, e)
				here[k.Name+"/"+e.ID] = true
			}
		}
		sortEntities(kept)
		found[k.Name] = kept
	}
	return found
}

// sayReading writes one reading of a slot for a sentence: value, tool, person.
func (f Facts) sayReading(slot string, h ledger.Head) string {
	text := h.Text
	if kind, id, name, _ := SplitSlot(slot); name == orderField {
		text = fmt.Sprintf("place %d", f.place(kind, id, h.Text))
	} else if h.NM != nil {
		text = say(units.LengthNM(*h.NM))
	} else if h.UDeg != nil {
		text = fmt.Sprintf("%g°", float64(*h.UDeg)/1e6)
	}
	var by []string
	for _, s := range []string{h.Person, h.Tool} {
		if s != "" {
			by = append(by, s)
		}
	}
	if len(by) == 0 {
		return text
	}
	return text + " by " + strings.Join(by, ", ")
}
