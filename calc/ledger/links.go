package ledger

// linked is a set of records with what its links do, by index into recs.
type linked struct {
	recs    []Record
	at      map[string]int // id to index
	dead    []bool         // a live retract targets it
	covered []bool         // a live record of its kind lists it in over
	aside   []bool         // seen by a standing choice and chosen by none
	chosen  []bool         // a standing choice names it
}

func link(recs []Record) *linked {
	l := &linked{recs: make([]Record, 0, len(recs)), at: make(map[string]int, len(recs))}
	for _, r := range recs {
		i, twice := l.at[r.ID]
		if !twice {
			l.at[r.ID] = len(l.recs)
			l.recs = append(l.recs, r)
		} else if r.Raw() < l.recs[i].Raw() {
			l.recs[i] = r
		}
	}
	l.retract()
	l.cover()
	l.choose()
	return l
}

// find returns the index of the record that a link of record i names, and
// whether there is one in the same job and slot.
func (l *linked) find(i int, id string) (int, bool) {
	to, ok := l.at[id]
	return to, ok && l.recs[to].Slot == l.recs[i].Slot && l.recs[to].Job == l.recs[i].Job
}

// retract finds what is dead. A retract has one target, so retracts form chains
// that end in what they are about, or run into a ring of retracts that is about
// nothing. Along a chain, whatever no live retract targets is live.
func (l *linked) retract() {
	l.dead = make([]bool, len(l.recs))
	target := make([]int, len(l.recs)) // -1: no effect
	waits := make([]int, len(l.recs))  // retracts of this one that are not settled
	for i, r := range l.recs {
		target[i] = -1
		if r.Kind != RetractKind {
			continue
		}
		if to, ok := l.find(i, r.Target); ok {
			target[i] = to
			waits[to]++
		}
	}
	var settled []int
	for i := range l.recs {
		if waits[i] == 0 {
			settled = append(settled, i)
		}
	}
	for len(settled) > 0 {
		i := settled[len(settled)-1]
		settled = settled[:len(settled)-1]
		to := target[i]
		if to < 0 {
			continue
		}
		if !l.dead[i] {
			l.dead[to] = true
		}
		if waits[to]--; waits[to] == 0 {
			settled = append(settled, to)
		}
	}
}

// cover finds what a live record of its kind lists in over. A link between two
// records of one ring has no effect.
func (l *linked) cover() {
	l.covered = make([]bool, len(l.recs))
	edges := make([][]int, len(l.recs))
	for i, r := range l.recs {
		if l.dead[i] || r.Kind != ReadingKind && r.Kind != ChoiceKind {
			continue
		}
		for _, id := range r.Over {
			if to, ok := l.find(i, id); ok && !l.dead[to] && l.recs[to].Kind == r.Kind {
				edges[i] = append(edges[i], to)
			}
		}
	}
	ring := rings(edges)
	for from, tos := range edges {
		for _, to := range tos {
			if ring[from] != ring[to] {
				l.covered[to] = true
			}
		}
	}
}

// choose finds what the standing choices have put aside.
func (l *linked) choose() {
	l.aside = make([]bool, len(l.recs))
	l.chosen = make([]bool, len(l.recs))
	for i, r := range l.recs {
		if r.Kind != ChoiceKind || l.dead[i] || l.covered[i] {
			continue
		}
		for _, id := range r.Seen {
			if to, ok := l.find(i, id); ok {
				l.aside[to] = true
			}
		}
		if to, ok := l.find(i, r.Chosen); ok {
			l.chosen[to] = true
		}
	}
	for i, chosen := range l.chosen {
		if chosen {
			l.aside[i] = false
		}
	}
}

// chosenHeads counts the heads of s that a standing choice names.
func (l *linked) chosenHeads(s *State) int {
	n := 0
	for _, h := range s.Heads {
		if l.chosen[l.at[h.ID]] {
			n++
		}
	}
	return n
}
