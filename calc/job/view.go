package job

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"strings"

	"tubewright/calc/ledger"
)

// View is everything a screen shows of one job: what is known of every slot,
// the lists, what is still to be measured, what cannot be used, and the plan.
type View struct {
	Hash   string                  `json:"hash"` // of the records it was made from
	Slots  map[string]ledger.State `json:"slots"`
	Notes  map[string]ledger.Noted `json:"notes"`
	Lists  map[string][]ListItem   `json:"lists"`
	Todo   []Todo                  `json:"todo"`
	Faults []FaultOut              `json:"faults"`
	Plan   Plan                    `json:"plan"`
}

// ListItem is one entity of a list.
type ListItem struct {
	ID     string `json:"id"`
	Parent string `json:"parent,omitempty"`
	Order  string `json:"order"`
	Title  string `json:"title"`
}

// FaultOut is a value that cannot be used, as JSON gives it.
type FaultOut struct {
	Slot  string
	Fault Fault
}

// MarshalJSON writes the fault's own keys with the slot beside them.
func (f FaultOut) MarshalJSON() ([]byte, error) {
	b, err := json.Marshal(f.Fault.Field)
	if err != nil {
		return nil, err
	}
	slot, err := json.Marshal(f.Slot)
	if err != nil {
		return nil, err
	}
	return append(append([]byte(`{"slot":`), append(slot, ',')...), b[1:]...), nil
}

// FromRecords makes the view of one job from its records and those of the shop's own
// job, each in any order.
func FromRecords(recs []ledger.Record, shop ...ledger.Record) View {
	return fromFold(ledger.Fold(recs), SharedOf(shop), Hash(slices.Concat(recs, shop)))
}

// Hash names a set of records: the same set gives the same hash in any order. It
// tells answers apart and guards nothing, so it need not be a cryptographic one,
// which would make the tablet's module 150 kB larger. Ids are 128 random bits.
func Hash(recs []ledger.Record) string {
	ids := make([]string, len(recs))
	for i, r := range recs {
		ids[i] = r.ID
	}
	slices.Sort(ids)
	h := fnv.New128a()
	for _, id := range slices.Compact(ids) {
		h.Write([]byte(id)) // never fails; all ids are of one length
	}
	return hex.EncodeToString(h.Sum(nil))
}

func fromFold(folded ledger.Folded, shared Shared, hash string) View {
	facts, unread := fromFolded(folded)
	facts.Shared = shared
	v := View{Hash: hash, Slots: folded.Slots, Notes: folded.Notes, Lists: map[string][]ListItem{}, Todo: []Todo{}, Faults: []FaultOut{}}
	for _, k := range Kinds {
		if k.Single {
			continue
		}
		items := []ListItem{}
		for _, e := range facts.Lists[k.Name] {
			items = append(items, ListItem{ID: e.ID, Parent: e.Parent, Order: e.Order, Title: facts.title(k.Name, e.ID)})
		}
		v.Lists[k.Name] = items
	}
	disputed := disputedSlots(folded, facts)
	plan, todo, faults := planned(folded, facts, unread, disputed)
	plan.vary(folded, facts, disputed)
	plan.fit()
	v.Plan, v.Todo = plan, append(v.Todo, todo...)
	for _, f := range faults {
		v.Faults = append(v.Faults, FaultOut{f.Slot, f})
	}
	return v
}

// planned works the facts out and puts what the records themselves have to say
// before the findings of the plan: what is in dispute, what cannot be used.
func planned(folded ledger.Folded, f Facts, unread []Fault, disputed []string) (Plan, []Todo, []Fault) {
	plan, todo, faults := fromFacts(f)
	faults = slices.Concat(unread, faults)
	plan.Findings = slices.Concat(disputeFindings(folded, f, disputed), faultFindings(faults), plan.Findings, newerFindings(folded))
	if plan.Findings == nil {
		plan.Findings = []Finding{} // Concat of nothing is nil, and scripts expect a list
	}
	return plan, todo, faults
}

// fromFacts checks the facts and plans what is usable.
func fromFacts(f Facts) (Plan, []Todo, []Fault) {
	usable, faults, todo := check(f)
	unusable := map[string]bool{}
	for _, fault := range faults {
		unusable[fault.Slot] = true
	}
	j, more := build(usable, unusable)
	return NewPlan(j), todo, append(faults, more...)
}

// disputedSlots lists the slots in dispute that belong to something still in the
// job, in order.
func disputedSlots(folded ledger.Folded, f Facts) []string {
	var slots []string
	for _, slot := range slices.Sorted(maps.Keys(folded.Slots)) {
		kind, id, _, ok := SplitSlot(slot)
		k, known := KindOf(kind)
		if ok && known && folded.Slots[slot].Kind == ledger.Disputed && (k.Single || f.has(kind, id)) {
			slots = append(slots, slot)
		}
	}
	return slots
}

// disputedRule is the rule of findings about readings that differ.
const disputedRule = "disputed"

func disputeFindings(folded ledger.Folded, f Facts, disputed []string) []Finding {
	var fs []Finding
	for _, slot := range disputed {
		kind, id, name, _ := SplitSlot(slot)
		k, _ := KindOf(kind)
		label := name
		if field, known := k.Field(name); known {
			label = field.Label
		} else if name == orderField {
			label = "place in the list"
		}
		var says []string
		for _, h := range folded.Slots[slot].Heads {
			says = append(says, f.sayReading(slot, h))
		}
		fs = append(fs, Finding{Severity: Stop, Rule: disputedRule, Where: []string{id}, Slots: []string{slot}, Grade: given,
			Text: fmt.Sprintf("%s, %s: readings differ: %s.", f.title(kind, id), label, strings.Join(says, "; ")),
			Help: "Choose one, or take another reading. Nothing is cut before."})
	}
	return fs
}

// newerFindings counts what this version keeps and passes on but cannot read.
func newerFindings(folded ledger.Folded) []Finding {
	n := folded.Unknown + len(folded.Unreadable)
	if n == 0 {
		return nil
	}
	return []Finding{{Severity: Note, Rule: "newer-records", Where: []string{}, Slots: []string{}, Value: num(float64(n)), Grade: given,
		Text: fmt.Sprintf("%s by a newer version of the app. They are kept and passed on, but not shown or used here.", count(n, "record was made", "records were made")),
		Help: "Update this tablet."}}
}

// unusableRule is the rule of findings about entries that are refused.
const unusableRule = "unusable"

func faultFindings(faults []Fault) []Finding {
	var fs []Finding
	for _, f := range faults {
		_, id, _, _ := SplitSlot(f.Slot)
		fs = append(fs, Finding{Severity: Stop, Rule: unusableRule, Where: []string{id}, Slots: []string{f.Slot}, Grade: given, Text: f.Error(), Help: "Enter it again."})
	}
	return fs
}
