package history

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Outcome is what is on the disks when the faults have stopped and everybody had
// time to talk.
type Outcome struct {
	Log     []*Rec    // the shop's, in order
	Chain   chain.Sum // at its end, as the shop says
	Tablets []*Disk

	Before [][]*Rec // what each party held when the faults stopped

	// Doubles are ids under which a stranger pushed other bytes. A link names an id
	// and no text, so that a link to one of them is taken for one to either. Our own
	// tablets never give one id twice, copied or not.
	Doubles map[string]bool

	// Again sends records to the shop once more and returns where its log ends then.
	Again func(recs []*Rec) (int, chain.Sum)
	// Fold says what records mean.
	Fold func(recs []*Rec) ledger.Folded
}

// Check returns the letter of the first invariant that does not hold, and what
// is wrong; letter is empty when all hold. I8 and I9 are about what happens on
// the way and are checked there.
func Check(o *Outcome, rnd *rand.Rand) (letter, text string) {
	for _, check := range []func(*Outcome, *rand.Rand) (string, string){checkLog, checkLoss, checkTablets, checkRepeats, checkMeaning, checkHidden} {
		if letter, text := check(o, rnd); letter != "" {
			return letter, text
		}
	}
	return "", ""
}

func checkLog(o *Outcome, _ *rand.Rand) (letter, text string) {
	once := make(map[string]bool, len(o.Log))
	var sum chain.Sum
	for i, r := range o.Log {
		if once[r.ID] {
			return "I3", fmt.Sprintf("record %s is in the log more than once", r.ID)
		}
		once[r.ID] = true
		if h := chain.Of(r.Text); h != r.H {
			return "I7", fmt.Sprintf("record %s at %d has other bytes than its hash says", r.ID, i+1)
		}
		sum = chain.Next(sum, r.ID, r.H)
	}
	if sum != o.Chain {
		return "I6", fmt.Sprintf("the chain over the log is %x, the shop says %x", sum[:4], o.Chain[:4])
	}
	return "", ""
}

func checkLoss(o *Outcome, _ *rand.Rand) (letter, text string) {
	said := make(map[string]bool, len(o.Log))
	for _, r := range o.Log {
		said[r.said()] = true
	}
	for _, d := range o.Tablets {
		for _, r := range d.Saved {
			if !said[r.said()] {
				return "I2", fmt.Sprintf("%s showed record %s as saved; it is not in the shop", d.Dev, r.ID)
			}
		}
	}
	for _, recs := range o.Before {
		for _, r := range recs {
			if !said[r.said()] {
				return "I2b", fmt.Sprintf("record %s was held when the faults stopped; it is not in the shop", r.ID)
			}
		}
	}
	return "", ""
}

func checkTablets(o *Outcome, _ *rand.Rand) (letter, text string) {
	for _, d := range o.Tablets {
		for i, r := range o.Log {
			h := d.Get(r.ID)
			switch {
			case h == nil:
				return "I1", fmt.Sprintf("%s does not hold record %s", d.Dev, r.ID)
			case h.Rec.H != r.H || h.Rec.Text != r.Text:
				return "I7", fmt.Sprintf("record %s has other bytes on %s", r.ID, d.Dev)
			case h.Pos != int64(i)+1:
				return "I6", fmt.Sprintf("record %s is at %d, %s says %d", r.ID, i+1, d.Dev, h.Pos)
			}
		}
		switch {
		case len(d.Recs) != len(o.Log):
			return "I1", fmt.Sprintf("%s holds %d records, the shop %d", d.Dev, len(d.Recs), len(o.Log))
		case d.Cursor != int64(len(o.Log)) || d.Chain != o.Chain:
			return "I6", fmt.Sprintf("%s stands at %d %x, the log ends at %d %x", d.Dev, d.Cursor, d.Chain[:4], len(o.Log), o.Chain[:4])
		case d.Unsent() > 0:
			return "I6", fmt.Sprintf("%s has %d records in its outbox at rest", d.Dev, d.Unsent())
		}
	}
	return "", ""
}

// checkRepeats sends a part of the log again, in any order.
func checkRepeats(o *Outcome, rnd *rand.Rand) (letter, text string) {
	some := slices.Clone(o.Log)
	rnd.Shuffle(len(some), func(i, j int) { some[i], some[j] = some[j], some[i] })
	n, sum := o.Again(some[:rnd.IntN(len(some)+1)])
	if n != len(o.Log) || sum != o.Chain {
		return "I3", fmt.Sprintf("records sent again make the log %d long, it was %d", n, len(o.Log))
	}
	return "", ""
}

// checkMeaning compares what the records mean on different parties, and in any order.
func checkMeaning(o *Outcome, rnd *rand.Rand) (letter, text string) {
	want := o.Fold(o.Log)
	back := slices.Clone(o.Log)
	slices.Reverse(back)
	twice := append(slices.Clone(o.Log), o.Log[:rnd.IntN(len(o.Log)+1)]...)
	rnd.Shuffle(len(twice), func(i, j int) { twice[i], twice[j] = twice[j], twice[i] })
	if !reflect.DeepEqual(o.Fold(back), want) || !reflect.DeepEqual(o.Fold(twice), want) {
		return "I4", "the records mean something else in another order"
	}
	if len(o.Tablets) > 0 { // they all hold the same, in orders of their own: one is enough
		d := o.Tablets[rnd.IntN(len(o.Tablets))]
		recs := make([]*Rec, len(d.Recs))
		for i, h := range d.Recs {
			recs[i] = h.Rec
		}
		if !reflect.DeepEqual(o.Fold(recs), want) {
			return "I1", fmt.Sprintf("the same records mean something else on %s", d.Dev)
		}
	}
	return "", ""
}

// checkHidden works out by itself why each reading is not on the table.
func checkHidden(o *Outcome, _ *rand.Rand) (letter, text string) {
	shown, aside := map[string]bool{}, map[string]bool{}
	for _, s := range o.Fold(o.Log).Slots {
		for _, h := range s.Heads {
			shown[h.ID] = true
		}
		for _, h := range s.Aside {
			aside[h.ID] = true
		}
		for _, id := range s.Unreadable {
			shown[id] = true
		}
	}
	c := causes{byTarget: map[string][]*Rec{}, over: map[string][]*Rec{}, doubles: o.Doubles}
	for _, r := range o.Log {
		if r.Kind == ledger.RetractKind {
			c.byTarget[r.Target] = append(c.byTarget[r.Target], r)
		}
		for _, id := range r.Over {
			c.over[id] = append(c.over[id], r)
		}
		if r.Kind == ledger.ChoiceKind {
			c.choices = append(c.choices, r)
		}
	}
	for _, r := range o.Log {
		if r.Kind != ledger.ReadingKind {
			continue
		}
		taken := c.retracted(r)
		switch {
		case shown[r.ID] && taken != nil:
			return "I5", fmt.Sprintf("reading %s is on the table although %s takes it back", r.ID, taken.ID)
		case aside[r.ID] && !c.putAside(r):
			return "I5", fmt.Sprintf("reading %s is put aside and no standing choice had seen it", r.ID)
		case !shown[r.ID] && !aside[r.ID] && !c.hidden(r):
			return "I5", fmt.Sprintf("reading %s is off the table without a cause that had seen it", r.ID)
		}
	}
	return "", ""
}

// causes are the records of a log that can take a reading off the table.
type causes struct {
	byTarget, over map[string][]*Rec
	choices        []*Rec
	doubles        map[string]bool
}

// retracted returns the live retract that takes r back, or nil.
func (c *causes) retracted(r *Rec) *Rec {
	for _, by := range c.byTarget[r.ID] {
		if by.Slot == r.Slot && c.retracted(by) == nil {
			return by
		}
	}
	return nil
}

// covered returns the live record of its kind that stands over r, or nil. With
// seen its maker must have had r on the screen.
func (c *causes) covered(r *Rec, seen bool) *Rec {
	for _, by := range c.over[r.ID] {
		if by.Kind == r.Kind && by.Slot == r.Slot && c.retracted(by) == nil && (!seen || by.saw(r, c.doubles[r.ID])) {
			return by
		}
	}
	return nil
}

func (c *causes) hidden(r *Rec) bool {
	if c.covered(r, true) != nil {
		return true
	}
	by := c.retracted(r)
	return by != nil && by.saw(r, c.doubles[r.ID])
}

func (c *causes) putAside(r *Rec) bool {
	return slices.ContainsFunc(c.choices, func(by *Rec) bool {
		return by.Slot == r.Slot && slices.Contains(by.Seen, r.ID) && by.saw(r, c.doubles[r.ID]) &&
			c.retracted(by) == nil && c.covered(by, false) == nil
	})
}
