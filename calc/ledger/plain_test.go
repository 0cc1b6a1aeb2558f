package ledger

import (
	"cmp"
	"slices"
)

// twist is a way to get Fold wrong.
type twist string

// mutants are kept as tests: a suite of properties that lets one of them pass is
// not accepted.
var mutants = []twist{
	"last writer wins by clock",
	"last arrival wins",
	"a choice puts aside what it had not seen",
	"choices without effect",
	"a replaced choice still stands",
	"chosen by one is put aside by another",
	"contradicting choices settled by clock",
	"over without effect",
	"over by a dead reading still hides",
	"over hides readings of other slots",
	"over by an unknown kind hides",
	"a ring of readings hides all of them",
	"retracts without effect",
	"retract of a retract without effect",
	"retract in a chain by arrival",
	"coarser resolution decides agreement",
	"unknown resolution agrees with anything",
	"neighbours agree, ends do not",
	"coarsest in use",
	"unknown resolution is finest",
	"in use by clock",
	"unreadable dropped",
	"unreadable counts as nothing beside a head",
	"first of two with one id",
	"first note wins",
	"note by arrival",
	"retracted note shown",
	"note in the place of a piece",
}

// plain folds records straight from the rules, slowly and in another way than
// Fold does. With a twist it gets one of them wrong.
func plain(recs []Record, tw twist) Folded {
	var set []Record
	for _, r := range recs {
		i := slices.IndexFunc(set, func(o Record) bool { return o.ID == r.ID })
		switch {
		case i < 0:
			set = append(set, r)
		case tw != "first of two with one id" && r.Raw() < set[i].Raw():
			set[i] = r
		}
	}
	p := plainSet{set, tw}
	f := Folded{Slots: map[string]State{}, Notes: map[string]Noted{}, Pieces: map[string]Noted{}}
	for _, r := range set {
		switch r.Kind {
		case ReadingKind, ChoiceKind:
			if _, done := f.Slots[r.Slot]; !done {
				f.Slots[r.Slot] = p.state(r.Slot)
				f.Unreadable = append(f.Unreadable, f.Slots[r.Slot].Unreadable...)
			}
		case NoteKind, PieceKind:
			if !p.live(r) && tw != "retracted note shown" {
				continue
			}
			body, err := readNote(r.Body)
			if err != nil {
				f.Unreadable = append(f.Unreadable, r.ID)
				continue
			}
			n := Noted{r.ID, r.Dev, r.HLC, body}
			shown := map[string]map[string]Noted{NoteKind: f.Notes, PieceKind: f.Pieces}[r.Kind]
			if tw == "note in the place of a piece" {
				shown = f.Pieces
			}
			old, there := shown[r.Slot]
			later := cmp.Or(cmp.Compare(n.HLC, old.HLC), cmp.Compare(n.ID, old.ID)) > 0
			switch tw {
			case "first note wins":
				later = !later
			case "note by arrival":
				later = true
			}
			if !there || later {
				shown[r.Slot] = n
			}
		case RetractKind, PhotoKind, MarkKind, DenyKind:
		default:
			f.Unknown++
		}
	}
	slices.Sort(f.Unreadable)
	return f
}

type plainSet struct {
	recs []Record
	twist
}

func (p plainSet) get(from Record, id string) (Record, bool) {
	i := slices.IndexFunc(p.recs, func(r Record) bool { return r.ID == id })
	if i < 0 || p.recs[i].Job != from.Job || p.recs[i].Slot != from.Slot && p.twist != "over hides readings of other slots" {
		return Record{}, false
	}
	return p.recs[i], true
}

// inRetractRing follows the targets and sees whether they come back. A retract
// has one target, so nothing that is shown can hang on a ring.
func (p plainSet) inRetractRing(r Record) bool {
	at := r
	for range p.recs {
		next, ok := p.get(at, at.Target)
		if !ok || next.Kind != RetractKind {
			return false
		}
		if next.ID == r.ID {
			return true
		}
		at = next
	}
	return false
}

func (p plainSet) live(r Record) bool {
	if p.twist == "retracts without effect" {
		return true
	}
	for i, other := range p.recs {
		if other.Kind != RetractKind || other.Target != r.ID {
			continue
		}
		if _, ok := p.get(other, r.ID); !ok {
			continue
		}
		if p.inRetractRing(other) {
			continue
		}
		switch p.twist {
		case "retract of a retract without effect":
			return false
		case "retract in a chain by arrival": // takes effect unless taken back before
			before := plainSet{p.recs[:i], p.twist}
			if before.live(other) {
				return false
			}
			continue
		}
		if p.live(other) {
			return false
		}
	}
	return true
}

// reaches follows over from a, among live records of its kind.
func (p plainSet) reaches(a, b Record, seen map[string]bool) bool {
	if a.ID == b.ID {
		return true
	}
	if seen[a.ID] {
		return false
	}
	seen[a.ID] = true
	for _, id := range a.Over {
		if next, ok := p.get(a, id); ok && next.Kind == a.Kind && p.live(next) && p.reaches(next, b, seen) {
			return true
		}
	}
	return false
}

func (p plainSet) replaced(r Record) bool {
	for _, other := range p.recs {
		sameKind := other.Kind == r.Kind
		if p.twist == "over by an unknown kind hides" {
			sameKind = sameKind || other.Kind == "later"
		}
		if !sameKind || !slices.Contains(other.Over, r.ID) {
			continue
		}
		if _, ok := p.get(other, r.ID); !ok {
			continue
		}
		if !p.live(other) && p.twist != "over by a dead reading still hides" {
			continue
		}
		if p.twist != "a ring of readings hides all of them" && p.reaches(r, other, map[string]bool{}) {
			continue
		}
		return true
	}
	return false
}

func (p plainSet) state(slot string) State {
	s := State{Slot: slot, Heads: []Head{}}
	var choices []Record
	for _, r := range p.recs {
		if r.Kind == ChoiceKind && r.Slot == slot && p.live(r) && (p.twist == "a replaced choice still stands" || !p.replaced(r)) {
			choices = append(choices, r)
			s.Choices = append(s.Choices, r.ID)
		}
	}
	slices.Sort(s.Choices)
	if p.twist == "contradicting choices settled by clock" && len(choices) > 1 {
		choices = []Record{slices.MaxFunc(choices, func(a, b Record) int { return cmp.Compare(a.HLC, b.HLC) })}
	}
	if p.twist == "choices without effect" {
		choices = nil
	}
	chosen := map[string]bool{}
	for _, r := range p.recs {
		if r.Kind != ReadingKind || r.Slot != slot {
			continue
		}
		s.History++
		if !p.live(r) || p.twist != "over without effect" && p.replaced(r) {
			continue
		}
		seen, named := false, false
		for _, c := range choices {
			if c.Job != r.Job {
				continue
			}
			here := slices.Contains(c.Seen, r.ID) || p.twist == "a choice puts aside what it had not seen"
			seen = seen || here
			if p.twist == "chosen by one is put aside by another" && here && c.Chosen != r.ID {
				named = false
				chosen[r.ID] = false
				break
			}
			named = named || c.Chosen == r.ID
		}
		body, err := readReading(r.Body)
		h := Head{r.ID, r.Dev, r.HLC, body}
		switch {
		case seen && !named:
			s.Aside = append(s.Aside, h)
		case err != nil:
			if p.twist != "unreadable dropped" {
				s.Unreadable = append(s.Unreadable, r.ID)
			}
		default:
			s.Heads = append(s.Heads, h)
			chosen[r.ID] = named
		}
	}
	switch {
	case p.twist == "last writer wins by clock" && len(s.Heads) > 1:
		s.Heads = []Head{slices.MaxFunc(s.Heads, byClock)}
	case p.twist == "last arrival wins" && len(s.Heads) > 1:
		s.Heads = s.Heads[len(s.Heads)-1:]
	}
	slices.SortFunc(s.Heads, byClock)
	slices.SortFunc(s.Aside, byClock)
	slices.Sort(s.Unreadable)
	s.Kind, s.Value = p.kind(s, chosen)
	return s
}

func (p plainSet) kind(s State, chosen map[string]bool) (kind, value string) {
	if len(s.Heads) == 0 {
		return Missing, ""
	}
	use := s.Heads[0]
	for _, h := range s.Heads[1:] {
		finer := false
		rh, ru := h.Res, use.Res
		if k, _ := h.value(); k == word {
			rh = 0
		}
		if k, _ := use.value(); k == word {
			ru = 0
		}
		known := rh > 0 && ru > 0
		switch {
		case p.twist == "in use by clock":
		case p.twist == "coarsest in use":
			finer = rh > ru || rh == ru && h.ID < use.ID
		case rh == ru:
			finer = h.ID < use.ID
		case known || p.twist == "unknown resolution is finest":
			finer = rh < ru
		default:
			finer = rh > 0
		}
		if finer {
			use = h
		}
	}
	named := 0
	for _, h := range s.Heads {
		if chosen[h.ID] {
			named++
		}
	}
	if len(s.Unreadable) > 0 && p.twist != "unreadable counts as nothing beside a head" || named > 1 {
		return Disputed, use.ID
	}
	if named == 1 && len(s.Heads) == 1 {
		return Chosen, use.ID
	}
	byValue := slices.Clone(s.Heads)
	slices.SortStableFunc(byValue, func(a, b Head) int {
		_, va := a.value()
		_, vb := b.value()
		return cmp.Compare(va, vb)
	})
	for i, a := range byValue {
		for j, b := range byValue[:i] {
			if p.twist == "neighbours agree, ends do not" && j != i-1 {
				continue
			}
			ka, va := a.value()
			kb, vb := b.value()
			allowed := min(a.Res, b.Res)
			switch {
			case p.twist == "coarser resolution decides agreement":
				allowed = max(a.Res, b.Res)
			case p.twist == "unknown resolution agrees with anything" && allowed == 0:
				allowed = maxInt
			}
			if ka != kb || ka == word && a.Text != b.Text || max(va-vb, vb-va) > allowed {
				return Disputed, use.ID
			}
		}
	}
	return Agreed, use.ID
}
