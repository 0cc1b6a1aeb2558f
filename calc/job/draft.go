package job

import (
	"maps"
	"slices"

	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// Draft is a record without its envelope: what is said about one slot. Exactly
// one of Reading, Note and Piece is set. Whoever writes records gives it an id, a time
// and a person; this package has neither clock nor chance.
type Draft struct {
	Slot    string
	Reading *ledger.Reading
	Note    *ledger.Note
	Piece   *ledger.Note // for a record of kind piece
}

// Record returns the kind and the body of the record that a draft becomes.
func (d Draft) Record() (kind string, body any) {
	switch {
	case d.Piece != nil:
		return ledger.PieceKind, d.Piece
	case d.Note != nil:
		return ledger.NoteKind, d.Note
	}
	return ledger.ReadingKind, d.Reading
}

// Drafts turns facts back into what a person would have entered, sorted by slot,
// list membership included.
func (f Facts) Drafts() []Draft {
	var ds []Draft
	word := func(slot, text string) {
		ds = append(ds, Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: "word"}})
	}
	for _, slot := range slices.Sorted(maps.Keys(f.Notes)) {
		ds = append(ds, Draft{Slot: slot, Note: &ledger.Note{Text: f.Notes[slot]}})
	}
	for _, slot := range slices.Sorted(maps.Keys(f.Events)) {
		ds = append(ds, Draft{Slot: slot, Piece: &ledger.Note{Text: f.Events[slot].Text}})
	}
	for _, k := range Kinds {
		for _, e := range f.Lists[k.Name] {
			word(Slot(k.Name, e.ID, orderField), e.Order)
			if k.Parent != "" {
				word(Slot(k.Name, e.ID, k.Parent), e.Parent)
			}
		}
	}
	for _, slot := range slices.Sorted(maps.Keys(f.Values)) {
		ds = append(ds, Draft{Slot: slot, Reading: reading(slot, f.Values[slot])})
	}
	return ds
}

func reading(slot string, v Value) *ledger.Reading {
	kind, _, name, _ := SplitSlot(slot)
	field := fieldOf(kind, name)
	r := &ledger.Reading{Text: v.Text, Unit: string(v.Unit)}
	var typed units.Typed
	switch field.Quantity {
	case LengthQ:
		typed, _ = units.ParseLength(v.Text, v.Unit)
		r.NM = &v.V
	case AngleQ:
		typed, _ = units.ParseAngle(v.Text)
		r.UDeg = &v.V
	case NumberQ:
		typed, _ = units.ParseNumber(v.Text)
		r.Micro = &v.V
	default:
		r.Unit = "word"
	}
	r.Res = typed.Res
	return r
}
