package ledger

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

type folder func([]Record) Folded

// property is a claim about any fold. It returns what it found wrong.
type property struct {
	claim string
	holds func(fold folder, seed uint64) error
}

// properties is the suite: each claim is tried for every seed, and none of them
// knows another fold to compare with.
var properties = []property{
	{"I3, I4: neither order nor repetition matters", orderAndRepeats},
	{"I5: nothing is hidden without a cause", hiddenWithCause},
	{"what has a cause is hidden", causeHides},
	{"no clock decides about a value", clockFree},
	{"an edit replaces what it names, taking it back restores, taking that back edits again", editAndBack},
	{"a choice by one who saw everything settles the slot", choiceSettles},
	{"a reading that the choice had not seen opens the question again", unseenReopens},
	{"two contradicting choices leave it disputed", contradictionStays},
	{"agreement and the head in use follow the stated resolutions", resolutions},
	{"rings of links have no effect", ringsDoNothing},
	{"links count within their slot and kind only", linksStayInside},
	{"the latest live note is shown", latestNote},
	{"a reading that cannot be read is shown and agrees with nothing", unreadableShown},
}

func checkAll(fold folder, seeds uint64) error {
	for seed := range seeds {
		for _, p := range properties {
			if err := p.holds(fold, seed); err != nil {
				return fmt.Errorf("%s: seed %d: %w", p.claim, seed, err)
			}
		}
	}
	return nil
}

func TestFoldHasItsProperties(t *testing.T) {
	if err := checkAll(Fold, 400); err != nil {
		t.Error(err)
	}
}

// The suite has to notice every way of getting the rules wrong, and nothing else.
func TestPropertiesCatchMutants(t *testing.T) {
	if err := checkAll(func(recs []Record) Folded { return plain(recs, "") }, 60); err != nil {
		t.Errorf("the plain fold without a twist: %v", err)
	}
	for _, tw := range mutants {
		err := checkAll(func(recs []Record) Folded { return plain(recs, tw) }, 400)
		if err == nil {
			t.Errorf("not caught: %s", tw)
			continue
		}
		claim, _, _ := strings.Cut(err.Error(), ": seed ")
		t.Logf("%s: caught by %s", tw, claim)
	}
}

// Fold is written for speed; the plain fold of this test says the same from the
// words of the rules.
func TestFoldFollowsTheRules(t *testing.T) {
	for seed := range uint64(3000) {
		recs := randomHistory(seed, 2+int(seed%17), seed%3 == 0)
		if got, want := dump(Fold(recs)), dump(plain(recs, "")); got != want {
			t.Fatalf("seed %d:\n%s\nfold  %s\nplain %s", seed, dumpRecords(recs), got, want)
		}
	}
}

func dump(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return string(b)
}

func dumpRecords(recs []Record) string {
	var lines []string
	for _, r := range recs {
		lines = append(lines, r.Raw())
	}
	return strings.Join(lines, "\n")
}

func orderAndRepeats(fold folder, seed uint64) error {
	recs := randomHistory(seed, 2+int(seed%14), seed%2 == 0)
	want := dump(fold(slices.Clone(recs)))
	rnd := rand.New(rand.NewPCG(seed, 1))
	for range 4 {
		other := slices.Clone(recs)
		for range rnd.IntN(4) { // sent again
			other = append(other, recs[rnd.IntN(len(recs))])
		}
		rnd.Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
		if got := dump(fold(other)); got != want {
			return fmt.Errorf("%s\nbecomes\n%s\nfor\n%s", want, got, dumpRecords(other))
		}
	}
	return nil
}

// shown is where every reading of a folded job stands.
func shown(f Folded) map[string]string {
	where := map[string]string{}
	for _, s := range f.Slots {
		for _, h := range s.Heads {
			where[h.ID] += "head"
		}
		for _, h := range s.Aside {
			where[h.ID] += "aside"
		}
		for _, id := range s.Unreadable {
			where[id] += "unreadable"
		}
	}
	return where
}

func hiddenWithCause(fold folder, seed uint64) error {
	recs := randomHistory(seed, 2+int(seed%14), false)
	p := plainSet{recs: recs}
	where := shown(fold(recs))
	for _, r := range recs {
		if r.Kind != ReadingKind || where[r.ID] == "head" || where[r.ID] == "unreadable" {
			continue
		}
		named := slices.ContainsFunc(recs, func(o Record) bool {
			if o.Slot != r.Slot || !p.live(o) {
				return false
			}
			return o.Kind == RetractKind && o.Target == r.ID ||
				o.Kind == ReadingKind && slices.Contains(o.Over, r.ID) ||
				o.Kind == ChoiceKind && slices.Contains(o.Seen, r.ID) && where[r.ID] == "aside"
		})
		if !named {
			return fmt.Errorf("reading %s is %q, and no live record names it:\n%s", r.ID, where[r.ID], dumpRecords(recs))
		}
	}
	return nil
}

func causeHides(fold folder, seed uint64) error {
	recs := randomHistory(seed, 2+int(seed%14), false)
	p := plainSet{recs: recs}
	where := shown(fold(recs))
	for _, r := range recs {
		if r.Kind == ReadingKind && (!p.live(r) || p.replaced(r)) && where[r.ID] != "" {
			return fmt.Errorf("reading %s is taken back or replaced, and still %s:\n%s", r.ID, where[r.ID], dumpRecords(recs))
		}
	}
	return nil
}

func clockFree(fold folder, seed uint64) error {
	recs := randomHistory(seed, 2+int(seed%14), true)
	recs = slices.DeleteFunc(recs, func(r Record) bool { return r.Kind == NoteKind || r.Kind == PieceKind })
	sketch := func(f Folded) string {
		var lines []string
		for slot, s := range f.Slots {
			lines = append(lines, fmt.Sprint(slot, s.Kind, s.Value, s.Choices))
		}
		for id, at := range shown(f) {
			lines = append(lines, id+at)
		}
		slices.Sort(lines)
		return strings.Join(lines, "\n")
	}
	want := sketch(fold(recs))
	rnd := rand.New(rand.NewPCG(seed, 2))
	other := slices.Clone(recs)
	clock := map[string]string{} // both texts of an id given twice keep one clock
	for i := range other {
		id := other[i].ID
		if clock[id] == "" {
			clock[id] = Stamp(rnd.Int64N(4e12), 0, "x")
		}
		other[i].HLC = clock[id]
	}
	if got := sketch(fold(other)); got != want {
		return fmt.Errorf("with other clocks\n%s\nbecomes\n%s", want, got)
	}
	return nil
}

// onTable makes a random slot and returns it with what is on the table there.
func onTable(fold folder, seed uint64) (*history, State, []string) {
	h := newHistory(seed)
	h.recs = randomHistory(seed, 2+int(seed%14), false)
	s := fold(h.recs).Slots["port/p1/width"]
	var ids []string
	for _, hd := range slices.Concat(s.Heads, s.Aside) {
		ids = append(ids, hd.ID)
	}
	h.rnd = rand.New(rand.NewPCG(seed, 3))
	return h, s, append(ids, s.Unreadable...)
}

// table is a state without how it came about.
func table(s State) string {
	return dump([]any{s.Kind, s.Value, s.Heads, s.Aside, s.Unreadable})
}

func editAndBack(fold folder, seed uint64) error {
	h, before, ids := onTable(fold, seed)
	edit := h.reading(777, 5, ids...)
	edited := fold(h.recs).Slots["port/p1/width"]
	if len(edited.Heads) != 1 || edited.Heads[0].ID != edit || edited.Kind != Agreed || edited.Value != edit || len(edited.Unreadable)+len(edited.Aside) > 0 {
		return fmt.Errorf("after an edit over all: %s\n%s", dump(edited), dumpRecords(h.recs))
	}
	back := h.retract(edit)
	after := fold(h.recs).Slots["port/p1/width"]
	if before.Slot != "" && table(after) != table(before) {
		return fmt.Errorf("after taking the edit back: %s, before it: %s", table(after), table(before))
	}
	again := h.retract(back)
	if got := fold(h.recs).Slots["port/p1/width"]; table(got) != table(edited) {
		return fmt.Errorf("after taking that back: %s", table(got))
	}
	h.retract(again)
	if got := fold(h.recs).Slots["port/p1/width"]; table(got) != table(after) {
		return fmt.Errorf("after the third: %s", table(got))
	}
	return nil
}

func choiceSettles(fold folder, seed uint64) error {
	h, s, ids := onTable(fold, seed)
	for _, hd := range s.Heads {
		g := *h
		g.recs = slices.Clone(h.recs)
		choice := g.choice(hd.ID, ids, s.Choices)
		got := fold(g.recs).Slots["port/p1/width"]
		if got.Kind != Chosen || got.Value != hd.ID || len(got.Heads) != 1 || len(got.Unreadable) != 0 || !slices.Equal(got.Choices, []string{choice}) {
			return fmt.Errorf("chose %s of %v over %v: %s", hd.ID, ids, s.Choices, dump(got))
		}
	}
	return nil
}

func unseenReopens(fold folder, seed uint64) error {
	h := newHistory(seed)
	a, b := h.reading(100, 5), h.reading(120, 5)
	h.choice(a, []string{a, b}, nil)
	old := h.add(Record{Kind: ReadingKind, HLC: Stamp(0, 0, "old"), Seen: []string{a, b}, Body: lengthBody(300, 5)})
	s := fold(h.recs).Slots["port/p1/width"]
	if heads := headIDs(s); s.Kind != Disputed || !sameSet(heads, a, old) || len(s.Aside) != 1 || s.Aside[0].ID != b {
		return fmt.Errorf("%s", dump(s))
	}
	return nil
}

func contradictionStays(fold folder, seed uint64) error {
	h := newHistory(seed)
	a, b, c := h.reading(100, 5), h.reading(100+5*int64(h.rnd.IntN(3)), 5), h.reading(300, 5)
	all := []string{a, b, c}
	h.choice(a, all, nil)
	second := h.choice(b, all, nil)
	s := fold(h.recs).Slots["port/p1/width"]
	if s.Kind != Disputed || !sameSet(headIDs(s), a, b) || len(s.Choices) != 2 {
		return fmt.Errorf("%s", dump(s))
	}
	h.choice(c, all, s.Choices)
	if s := fold(h.recs).Slots["port/p1/width"]; s.Kind != Chosen || s.Value != c {
		return fmt.Errorf("after a third over both: %s", dump(s))
	}
	h.retract(second) // already replaced: changes nothing
	if s := fold(h.recs).Slots["port/p1/width"]; s.Kind != Chosen || s.Value != c {
		return fmt.Errorf("after taking a replaced choice back: %s", dump(s))
	}
	return nil
}

func resolutions(fold folder, seed uint64) error {
	type r = [2]int64 // figure, resolution
	for _, tt := range []struct {
		name     string
		readings []r
		kind     string
		use      int // index; -1: least id
	}{
		{"one", []r{{100, 5}}, Agreed, 0},
		{"equal", []r{{100, 5}, {100, 5}}, Agreed, -1},
		{"apart by the finer", []r{{100, 10}, {105, 5}}, Agreed, 1},
		{"apart by more than the finer", []r{{100, 10}, {106, 5}}, Disputed, 1},
		{"neighbours within, ends not", []r{{100, 5}, {104, 5}, {108, 5}}, Disputed, -1},
		{"equal, unknown", []r{{100, 0}, {100, 0}}, Agreed, -1},
		{"not equal, one unknown", []r{{100, 0}, {101, 5}}, Disputed, 1},
		{"equal, one unknown", []r{{100, 0}, {100, 5}}, Agreed, 1},
		{"finest in use", []r{{100, 20}, {100, 5}, {100, 10}}, Agreed, 1},
	} {
		h := newHistory(seed)
		var ids []string
		for _, x := range tt.readings {
			ids = append(ids, h.reading(x[0], x[1]))
		}
		want := slices.Min(ids)
		if tt.use >= 0 {
			want = ids[tt.use]
		}
		if s := fold(h.recs).Slots["port/p1/width"]; s.Kind != tt.kind || s.Value != want || len(s.Heads) != len(ids) {
			return fmt.Errorf("%s: want %s %s: %s", tt.name, tt.kind, want, dump(s))
		}
	}
	h := newHistory(seed)
	h.add(Record{Kind: ReadingKind, Body: wordBody("304")})
	h.add(Record{Kind: ReadingKind, Body: wordBody("304")})
	if s := fold(h.recs).Slots["port/p1/width"]; s.Kind != Agreed {
		return fmt.Errorf("equal words: %s", dump(s))
	}
	h.add(Record{Kind: ReadingKind, Body: wordBody("321")})
	if s := fold(h.recs).Slots["port/p1/width"]; s.Kind != Disputed {
		return fmt.Errorf("other word: %s", dump(s))
	}
	return nil
}

func ringsDoNothing(fold folder, seed uint64) error {
	for n := range 4 { // a ring of n+1 readings beside one that they all name
		h := newHistory(seed)
		ids := make([]string, n+1)
		for i := range ids {
			ids[i] = h.id()
		}
		below := h.reading(100, 5)
		for i, id := range ids {
			h.add(Record{ID: id, Kind: ReadingKind, Over: []string{ids[(i+1)%len(ids)], below}, Body: lengthBody(100, 5)})
		}
		if s := fold(h.recs).Slots["port/p1/width"]; !sameSet(headIDs(s), ids...) {
			return fmt.Errorf("ring of %d readings: %s", n+1, dump(s))
		}
		h.recs = nil
		a := h.reading(100, 5)
		for i, id := range ids {
			h.add(Record{ID: id, Kind: RetractKind, Target: ids[(i+1)%len(ids)]})
		}
		if s := fold(h.recs).Slots["port/p1/width"]; !sameSet(headIDs(s), a) {
			return fmt.Errorf("ring of %d retracts: %s", n+1, dump(s))
		}
	}
	h := newHistory(seed)
	a, one, two := h.reading(100, 5), h.id(), h.id()
	h.add(Record{ID: one, Kind: RetractKind, Target: two})
	h.add(Record{ID: two, Kind: RetractKind, Target: one})
	n := h.note("kept", Stamp(1, 0, "x"))
	h.retract(one) // from outside the ring
	f := fold(h.recs)
	if s := f.Slots["port/p1/width"]; !sameSet(headIDs(s), a) || f.Notes["port/p1/width"].ID != n {
		return fmt.Errorf("ring of retracts with one from outside: %s", dump(f))
	}
	return nil
}

func linksStayInside(fold folder, seed uint64) error {
	h := newHistory(seed)
	a := h.reading(100, 5)
	h.add(Record{Kind: ReadingKind, Slot: "port/p1/height", Over: []string{a}, Body: lengthBody(50, 5)})
	h.add(Record{Kind: ChoiceKind, Slot: "port/p1/height", Seen: []string{a}})
	h.add(Record{Kind: RetractKind, Slot: "port/p1/height", Target: a})
	h.add(Record{Kind: "later", Over: []string{a}, Seen: []string{a}, Target: a})
	h.add(Record{Kind: ReadingKind, Job: "j2", Slot: "x", Over: []string{a}, Body: lengthBody(50, 5)})
	h.add(Record{Kind: ChoiceKind, Over: []string{a}})
	f := fold(h.recs)
	if s := f.Slots["port/p1/width"]; s.Kind != Agreed || !sameSet(headIDs(s), a) || f.Unknown != 1 {
		return fmt.Errorf("%d unknown, %s", f.Unknown, dump(s))
	}
	return nil
}

func latestNote(fold folder, seed uint64) error {
	h := newHistory(seed)
	h.note("first", Stamp(5, 0, "x"))
	a, b := h.note("a", Stamp(9, 0, "x")), h.note("b", Stamp(9, 0, "x"))
	h.note("older, sent late", Stamp(7, 0, "x"))
	top := max(a, b)
	if got := fold(h.recs).Notes["port/p1/width"]; got.ID != top {
		return fmt.Errorf("shows %q", got.Text)
	}
	h.retract(top)
	if got := fold(h.recs).Notes["port/p1/width"]; got.ID != min(a, b) {
		return fmt.Errorf("after taking it back shows %q", got.Text)
	}
	return nil
}

func unreadableShown(fold folder, seed uint64) error {
	h := newHistory(seed)
	odd := h.add(Record{Kind: ReadingKind, Body: json.RawMessage(`{"text":"40","unit":"newer"}`)})
	f := fold(h.recs)
	if s := f.Slots["port/p1/width"]; s.Kind != Missing || s.Value != "" || !sameSet(s.Unreadable, odd) || !sameSet(f.Unreadable, odd) {
		return fmt.Errorf("alone: %s", dump(s))
	}
	a := h.reading(100, 5)
	s := fold(h.recs).Slots["port/p1/width"]
	if s.Kind != Disputed || s.Value != a || !sameSet(s.Unreadable, odd) {
		return fmt.Errorf("beside a head: %s", dump(s))
	}
	return nil
}

func headIDs(s State) []string {
	var ids []string
	for _, h := range s.Heads {
		ids = append(ids, h.ID)
	}
	return ids
}

func sameSet(got []string, want ...string) bool {
	got, want = slices.Clone(got), slices.Clone(want)
	slices.Sort(got)
	slices.Sort(want)
	return slices.Equal(got, want)
}
