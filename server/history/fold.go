package history

import (
	"cmp"
	"slices"

	"tubewright/calc/ledger"
)

// Fold says what records mean.
func Fold(recs []*Rec) ledger.Folded { return ledger.Fold(envelopes(recs)) }

// fold is Fold, and for broken variants what they make of it.
func (w *world) fold(recs []*Rec) ledger.Folded {
	b := w.broken
	list := envelopes(recs)
	if b.HideForever {
		kinds := map[string]string{}
		for _, r := range list {
			kinds[r.ID] = r.Kind
		}
		list = slices.DeleteFunc(list, func(r ledger.Record) bool {
			return r.Kind == ledger.RetractKind && kinds[r.Target] == ledger.RetractKind
		})
	}
	if b.ChoiceAll {
		for i, r := range list {
			if r.Kind != ledger.ChoiceKind {
				continue
			}
			var all []string
			for _, o := range list {
				if o.Kind == ledger.ReadingKind && o.Slot == r.Slot {
					all = append(all, o.ID)
				}
			}
			list[i].Seen = all
		}
	}
	f := ledger.Fold(list)
	if b.LastWins {
		for name, s := range f.Slots {
			if len(s.Heads) > 1 {
				s.Heads = []ledger.Head{slices.MaxFunc(s.Heads, func(a, b ledger.Head) int { return cmp.Compare(a.HLC, b.HLC) })}
				f.Slots[name] = s
			}
		}
	}
	if b.LastArrived {
		at := map[string]int{}
		for i, r := range list {
			at[r.ID] = i
		}
		for name, s := range f.Slots {
			if len(s.Heads) > 1 {
				s.Heads = []ledger.Head{slices.MaxFunc(s.Heads, func(a, b ledger.Head) int { return cmp.Compare(at[a.ID], at[b.ID]) })}
				f.Slots[name] = s
			}
		}
	}
	return f
}
