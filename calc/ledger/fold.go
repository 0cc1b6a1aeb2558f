package ledger

import (
	"cmp"
	"slices"

	"tubewright/calc/sorted"
)

// Kinds of State.
const (
	Missing  = "missing"  // no reading that can be used
	Agreed   = "agreed"   // all heads lie within each other's stated resolutions
	Disputed = "disputed" // they do not: a person has to choose or measure again
	Chosen   = "chosen"   // one head, and a standing choice names it
)

// Folded is what the records of one job mean.
type Folded struct {
	Slots map[string]State `json:"slots"` // every slot that a reading or a choice was ever made for
	Notes map[string]Noted `json:"notes"` // by slot
	// Pieces are the latest records of kind piece, by slot. A note in such a slot is
	// none of them, since not everybody who may write notes may say how far a piece is.
	Pieces map[string]Noted `json:"pieces"`
	// Unreadable are the readings on the table and the live notes whose body
	// cannot be read here, by id: made by a newer version, or damaged before they
	// were sent. They are kept and counted, never dropped.
	Unreadable []string `json:"unreadable,omitempty"`
	Unknown    int      `json:"unknown"` // records of kinds that this version does not know
}

// State is what is known of one slot.
type State struct {
	Slot  string `json:"slot"`
	Kind  string `json:"state"`           // Missing, Agreed, Disputed or Chosen
	Value string `json:"value"`           // id of the head in use; empty when missing
	Heads []Head `json:"heads"`           // on the table, by hybrid clock, then id
	Aside []Head `json:"aside,omitempty"` // put aside by a standing choice, in the same order
	// Unreadable are ids of readings on the table that cannot be read here. They
	// cannot agree with anything, so beside another head they make a dispute.
	Unreadable []string `json:"unreadable,omitempty"`
	Choices    []string `json:"choices,omitempty"` // standing choices, by id; the next choice names them in over
	History    int      `json:"history"`           // readings ever made for the slot, replaced and taken back ones too
}

// Head is a reading with what a person needs to weigh it.
type Head struct {
	ID  string `json:"id"`
	Dev string `json:"dev"`
	HLC string `json:"hlc"`
	Reading
}

// Noted is the note that is shown for a slot.
type Noted struct {
	ID  string `json:"id"`
	Dev string `json:"dev"`
	HLC string `json:"hlc"`
	Note
}

// Fold says what the records of one job mean. The order of recs does not matter,
// nor does a record that is there twice. The rules:
//
//  1. A record is live unless a live retract targets it.
//  2. A reading is on the table if it is live and no live reading lists it in
//     over.
//  3. A choice stands if it is live and no live choice lists it in over. A
//     reading on the table that a standing choice has seen and none has chosen is
//     put aside.
//  4. The rest are the heads. None: missing. One that a standing choice names:
//     chosen. All within each other's stated resolutions: agreed. Else disputed.
//     Two standing choices that name different heads are a dispute, however close
//     the heads are.
//  5. Of a note the one with the latest hybrid clock is shown, then the one with
//     the greatest id. Of what was said of a piece likewise.
//
// So a reading that a choice had not seen is a head, however old its clock, and
// opens the question again. No clock decides about a value.
//
// Links count within their own job and slot only. Readings (or choices) that list
// each other in over in a ring replace nothing of that ring, and retracts that
// target each other in a ring take nothing back; such rings cannot come from a
// screen, since an id is not known before its form opens.
//
// A new choice has to list State.Choices in over and both Heads and Aside in
// seen: what an earlier choice had put aside is on the table again once that
// choice is replaced, unless the new one has seen it too.
//
// The head in use is the one of finest stated resolution, then the one of least
// id. A resolution of 0 is not known and counts as coarsest; words have none.
//
// A record whose id is there twice with different text (the server sets the
// second aside) counts once, with the lesser text.
//
// The time it takes grows in proportion to the records and their links.
func Fold(recs []Record) Folded {
	l := link(recs)
	f := Folded{Slots: map[string]State{}, Notes: map[string]Noted{}, Pieces: map[string]Noted{}}
	slots := map[string]*State{}
	state := func(slot string) *State {
		s := slots[slot]
		if s == nil {
			s = &State{Slot: slot, Heads: []Head{}}
			slots[slot] = s
		}
		return s
	}
	for i, r := range l.recs {
		switch r.Kind {
		case ReadingKind:
			s := state(r.Slot)
			s.History++
			if l.dead[i] || l.covered[i] {
				continue
			}
			body, err := readReading(r.Body)
			h := Head{r.ID, r.Dev, r.HLC, body}
			switch {
			case l.aside[i]:
				s.Aside = append(s.Aside, h)
			case err != nil:
				s.Unreadable = append(s.Unreadable, r.ID)
				f.Unreadable = append(f.Unreadable, r.ID)
			default:
				s.Heads = append(s.Heads, h)
			}
		case ChoiceKind:
			s := state(r.Slot)
			if !l.dead[i] && !l.covered[i] {
				s.Choices = append(s.Choices, r.ID)
			}
		case NoteKind, PieceKind:
			if l.dead[i] {
				continue
			}
			body, err := readNote(r.Body)
			if err != nil {
				f.Unreadable = append(f.Unreadable, r.ID)
				continue
			}
			latest := f.Notes
			if r.Kind == PieceKind {
				latest = f.Pieces
			}
			if old, ok := latest[r.Slot]; !ok || cmp.Or(cmp.Compare(r.HLC, old.HLC), cmp.Compare(r.ID, old.ID)) > 0 {
				latest[r.Slot] = Noted{r.ID, r.Dev, r.HLC, body}
			}
		case RetractKind, PhotoKind, MarkKind, DenyKind:
		default:
			f.Unknown++
		}
	}
	for slot, s := range slots {
		sorted.By(s.Heads, byClock)
		sorted.By(s.Aside, byClock)
		slices.Sort(s.Unreadable)
		slices.Sort(s.Choices)
		s.judge(l.chosenHeads(s))
		f.Slots[slot] = *s
	}
	slices.Sort(f.Unreadable)
	return f
}

func byClock(a, b Head) int { return cmp.Or(cmp.Compare(a.HLC, b.HLC), cmp.Compare(a.ID, b.ID)) }
