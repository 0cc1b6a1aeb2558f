package job

import (
	"slices"

	"tubewright/calc/ledger"
)

// HeadPlan is what the plan becomes with one of several readings of a slot: only
// what is not the same with all of them. Lengths are mm, areas mm², angles
// degrees; lists are sorted by id, never nil.
type HeadPlan struct {
	ID       string        `json:"id"`     // of the reading
	InUse    bool          `json:"in_use"` // the plan on the screens is worked out with it
	Rests    bool          `json:"rests"`  // some figure changes with the slot, or is lost without it; the same for all
	Tubes    []HeadTube    `json:"tubes"`
	Ports    []HeadPort    `json:"ports"`
	SweptCC  *out          `json:"swept_cc"` // null when the same with all, or not known with this one; likewise Spread
	Spread   *out          `json:"spread"`
	Findings []HeadFinding `json:"findings"` // stand with this reading, and not with all in these words
	Gone     []HeadFinding `json:"gone"`     // stand with another reading and not with this one
	Todo     []Todo        `json:"todo"`     // still to be entered with this reading and not with all
}

// HeadTube is a tube of which the readings make different things. What Differs
// names and is null cannot be worked out with this reading.
type HeadTube struct {
	ID        string   `json:"id"`
	Differs   []string `json:"differs"` // of length, deviation, end, bore, pieces
	Length    *out     `json:"length"`
	Deviation *out     `json:"deviation"` // length less target
	Within    *bool    `json:"within"`    // of the tolerance; null while that or the deviation is not known
	End       *point   `json:"end"`       // where it ends
	Bore      *out     `json:"bore"`
}

// HeadPort is a port of which the readings make different outlines; null when this
// one makes none.
type HeadPort struct {
	ID        string `json:"id"`
	Perimeter *out   `json:"perimeter"`
	Area      *out   `json:"area"`
	EqualArea *out   `json:"equal_area"` // bore of the round tube of equal area
}

// HeadFinding is a finding in short.
type HeadFinding struct {
	Severity Severity `json:"severity"`
	Rule     string   `json:"rule"`
	Text     string   `json:"text"`
}

// With works the plan out once for every reading of a slot that is on the table,
// those put aside by a choice too, with all other slots as in use: heads first,
// then those aside, each by hybrid clock, then id. The order of recs does not
// matter. A reading that cannot be used gives the plan without a value and the
// finding that says why. Where no reading is on the table the list is empty. shop are
// the records of the shop's own job.
func With(recs []ledger.Record, slot string, shop ...ledger.Record) []HeadPlan {
	folded := ledger.Fold(recs)
	state := folded.Slots[slot]
	facts, unread := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	unread = slices.DeleteFunc(unread, func(f Fault) bool { return f.Slot == slot })
	heads := slices.Concat(state.Heads, state.Aside)
	tries := make([]try, 0, len(heads))
	for _, h := range heads {
		f, faults := facts.without(slot), unread
		if v, err := value(slot, h); err == nil {
			f = facts.with(slot, v)
		} else {
			kind, id, _, _ := SplitSlot(slot)
			err.Where = facts.title(kind, id)
			faults = append(slices.Clip(unread), Fault{Slot: slot, Field: err})
		}
		others := slices.DeleteFunc(disputedSlots(folded, f), func(s string) bool { return s == slot })
		plan, todo, _ := planned(folded, f, faults, others)
		tries = append(tries, try{plan, todo})
	}
	plans := make([]HeadPlan, len(heads))
	for i, h := range heads {
		plans[i] = HeadPlan{ID: h.ID, InUse: h.ID == state.Value}
	}
	compare(tries, plans)
	rest := slices.ContainsFunc(plans, HeadPlan.says) || len(tries) > 0 && rests(tries[0].plan, facts.without(slot))
	for i := range plans {
		plans[i].Rests = rest
	}
	return plans
}

// rests tells whether a figure of the plan is another one without the slot.
func rests(p Plan, without Facts) bool {
	other, _, _ := fromFacts(without)
	return len(differing(p.parts(), []Plan{other})) > 0
}

// says tells whether there is anything that is not the same with every reading.
func (p HeadPlan) says() bool {
	return len(p.Tubes)+len(p.Ports)+len(p.Findings)+len(p.Gone)+len(p.Todo) > 0 || p.SweptCC != nil || p.Spread != nil
}

// try is what one reading leads to.
type try struct {
	plan Plan
	todo []Todo
}
