package store

import (
	"slices"
	"testing"
)

func putAside(t testing.TB, s *Store, dev string, raws ...string) Appended {
	t.Helper()
	a, err := s.PutAside(t.Context(), dev, raws, Room{1000, 1 << 20})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func asideOf(t testing.TB, s *Store, dev string) int {
	t.Helper()
	n, err := s.AsideOf(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return n[dev].Open
}

func TestTL8WhatIsPutAsideIsKeptBesideTheLogUntilItIsTakenIn(t *testing.T) {
	s, path := testOpen(t)
	all := raws("a", 0, 30)
	push(t, s, all[:10]...)
	before := mustCheck(t, path)
	for range 2 { // sent again it is not a second case
		a := putAside(t, s, "a", all[5:]...)
		if len(a.Stored) != 0 || len(a.Known) != 5 || len(a.Quarantined) != 20 || a.Pos != 10 {
			t.Fatalf("%+v", a)
		}
	}
	putAside(t, s, "b", raw("b", 1, 7))
	if a := putAside(t, s, "a", "no record", raw("a", 3, 7)); len(a.Refused) != 1 || len(a.Quarantined) != 1 {
		t.Errorf("%+v", a)
	}
	if r := mustCheck(t, path); r.Chain != before.Chain || r.High != 10 || r.Quarantine != 22 {
		t.Errorf("%+v", r)
	}
	if n := asideOf(t, s, "a"); n != 20 { // not the one whose id the log holds with other text
		t.Errorf("%d could be taken in", n)
	}
	for _, want := range []int{20, 0} {
		if n, err := s.TakeIn(t.Context(), "a"); err != nil || n != want {
			t.Errorf("took in %d, %v; want %d", n, err, want)
		}
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 30 || r.Quarantine != 2 {
		t.Errorf("%+v", r)
	}
	page, err := s.After(t.Context(), 10, 1<<20)
	if err != nil || !slices.EqualFunc(page.Rows, all[10:], func(r Row, raw string) bool { return r.Raw == raw }) {
		t.Errorf("taken in as %+v, %v", page.Rows, err)
	}
	if asideOf(t, s, "a") != 0 || asideOf(t, s, "b") != 1 {
		t.Errorf("left %d and %d", asideOf(t, s, "a"), asideOf(t, s, "b"))
	}
}

// A device has so much room beside the log, in records and in bytes. What is beyond
// is named and not kept, what lies there stays, what lies there already needs no
// room, and no device takes another's.
func TestTL8WhatIsPutAsideOfOneDeviceIsBounded(t *testing.T) {
	s, path := testOpen(t)
	all := raws("a", 0, 30)
	put := func(dev string, room Room, raws ...string) Appended {
		t.Helper()
		a, err := s.PutAside(t.Context(), dev, raws, room)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	ten := Room{10, 1 << 20}
	if a := put("a", ten, all[:12]...); len(a.Quarantined) != 10 || !slices.Equal(a.NoRoom, []string{testID("a", 10), testID("a", 11)}) {
		t.Fatalf("%+v", a)
	}
	if a := put("a", ten, all[5:15]...); len(a.Quarantined) != 5 || len(a.NoRoom) != 5 {
		t.Errorf("sent again: %+v", a)
	}
	if a := put("b", ten, raw("b", 1, 7)); len(a.Quarantined) != 1 {
		t.Errorf("another device: %+v", a)
	}
	n, err := s.AsideOf(t.Context())
	if err != nil || n["a"].Open != 10 || n["a"].Used.Records != 10 {
		t.Fatalf("%+v, %v", n, err)
	}
	full := Room{1000, n["a"].Used.Bytes + int64(len(all[10]))}
	if a := put("a", full, all[10:12]...); len(a.Quarantined) != 1 || len(a.NoRoom) != 1 {
		t.Errorf("room in bytes for one: %+v", a)
	}
	if r := mustCheck(t, path); r.Quarantine != 12 {
		t.Errorf("%d lie there, want 12", r.Quarantine)
	}
	if n, err := s.TakeIn(t.Context(), "a"); err != nil || n != 11 {
		t.Errorf("took in %d, %v", n, err)
	}
	if a := put("a", ten, all...); len(a.Known) != 11 || len(a.Quarantined) != 10 || len(a.NoRoom) != 9 {
		t.Errorf("after that: %+v", a)
	}
}

// What could be taken in can be looked at first, each record once, the first come first.
func TestWhatCouldBeTakenInIsRead(t *testing.T) {
	s, _ := testOpen(t)
	all := raws("a", 0, 30)
	push(t, s, all[:10]...)
	putAside(t, s, "a", raw("a", 3, 7)) // the log holds this id
	putAside(t, s, "a", all[10:]...)
	putAside(t, s, "a", raw("a", 12, 9)) // another text for one set aside
	putAside(t, s, "b", raw("b", 1, 7))
	for _, limit := range []int{1, 15, 20, 100} {
		got, err := s.AsideTexts(t.Context(), "a", limit)
		if err != nil {
			t.Fatal(err)
		}
		want := all[10:min(10+limit, 30)]
		if !slices.EqualFunc(got, want, func(a Aside, raw string) bool { return a.Raw == raw && !a.At.IsZero() }) {
			t.Errorf("limit %d: %d records, want %d", limit, len(got), len(want))
		}
	}
	if got, err := s.AsideTexts(t.Context(), "nobody", 20); err != nil || len(got) != 0 {
		t.Errorf("%v, %v", got, err)
	}
}

// What one tablet may not write, another may bring: then it is in the log and no
// longer aside.
func TestStoringARecordClearsWhatWasSetAside(t *testing.T) {
	s, path := testOpen(t)
	r, other := raw("a", 1, 7), raw("a", 1, 8)
	putAside(t, s, "b", r, other)
	if a := push(t, s, r); len(a.Stored) != 1 {
		t.Fatalf("%+v", a)
	}
	if rep := mustCheck(t, path); rep.Quarantine != 1 || len(rep.SetAside) != 1 || rep.SetAside[0].Other != other {
		t.Errorf("%+v", rep)
	}
}
