package store

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/ledger"
)

func TestPushingAgainChangesNothing(t *testing.T) {
	s, path := testOpen(t)
	all := raws("a", 0, 20)
	push(t, s, all[:7]...)
	before := mustCheck(t, path)
	for _, again := range [][]string{all[:7], all[2:5], {all[6], all[0]}, {all[3], all[3]}, nil} {
		if a := push(t, s, again...); len(a.Stored) != 0 || len(a.Known) != len(again) || a.Pos != 7 {
			t.Errorf("again: %+v", a)
		}
	}
	if after := mustCheck(t, path); after.Chain != before.Chain || after.Records != 7 {
		t.Errorf("log changed: %+v, was %+v", after, before)
	}
	a := push(t, s, all[9], all[3], all[9]) // new, known, and new twice in one push
	if !slices.Equal(a.Stored, []string{testID("a", 9)}) || !slices.Equal(a.Known, []string{testID("a", 3), testID("a", 9)}) || a.Pos != 8 {
		t.Errorf("mixed: %+v", a)
	}
}

func TestSameIDWithOtherTextIsSetAside(t *testing.T) {
	s, path := testOpen(t)
	first, other := raw("a", 1, 40_000_000), raw("a", 1, 41_000_000)
	push(t, s, first)
	for range 2 {
		a := push(t, s, other, raw("a", 2, 1))
		if !slices.Equal(a.Quarantined, []string{testID("a", 1)}) || len(a.Stored)+len(a.Known) != 1 {
			t.Errorf("%+v", a)
		}
	}
	page, err := s.After(t.Context(), 0, 1<<20)
	if err != nil || len(page.Rows) != 2 || page.Rows[0].Raw != first {
		t.Errorf("log: %+v, %v", page, err)
	}
	if r := mustCheck(t, path); r.Quarantine != 1 || !r.OK() {
		t.Errorf("check: %+v", r)
	}
	var aside struct {
		ID, Dev string
		Raw     []byte
	}
	if err := s.read.Get(&aside, `SELECT id, dev, raw FROM quarantine`); err != nil || aside.ID != testID("a", 1) || aside.Dev != "tab" || string(aside.Raw) != other {
		t.Errorf("set aside: %+v, %v", aside, err)
	}
}

func TestOneBadTextDoesNotLoseTheOthers(t *testing.T) {
	s, _ := testOpen(t)
	a := push(t, s, raw("a", 0, 1), `{"id":`, raw("a", 1, 2), `{"id":"short","kind":"reading","job":"j"}`)
	if len(a.Stored) != 2 || len(a.Refused) != 2 || a.Refused[0].Index != 1 || a.Refused[1].Index != 3 || !strings.Contains(a.Refused[1].Reason, "id") {
		t.Errorf("%+v", a)
	}
}

// SY10: whatever a newer version adds survives byte for byte; SY3: nothing is
// refused for its time.
func TestNewerAndOddRecordsAreKeptByteForByte(t *testing.T) {
	s, _ := testOpen(t)
	want := []string{
		` { "kind":"weld-pass", "id":"` + testID("n", 1) + `","job":"j1","newer":{"Ω":[1.0,1e400]},"body":"\ud800" } `,
		`{"id":"` + testID("n", 2) + `","dev":"x","hlc":"9999999999999-0000-x","kind":"reading","job":"j1","slot":"\u0000","sv":900,"body":null}`,
	}
	if a := push(t, s, want...); len(a.Stored) != 2 {
		t.Fatalf("%+v", a)
	}
	recs, err := s.Job(t.Context(), "j1")
	if err != nil || len(recs) != 2 || recs[0].Raw() != want[0] || recs[1].Raw() != want[1] {
		t.Errorf("%v, %v", recs, err)
	}
}

func TestAppendWithoutTimeLeftKeepsNothing(t *testing.T) {
	s, _ := testOpen(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.Append(ctx, "tab", raws("a", 0, 3)); !errors.Is(err, context.Canceled) {
		t.Errorf("append: %v", err)
	}
	if _, err := s.After(ctx, 0, 100); !errors.Is(err, context.Canceled) {
		t.Errorf("after: %v", err)
	}
	if high, err := s.High(t.Context()); high != 0 || err != nil {
		t.Errorf("high %d, %v", high, err)
	}
	if a := push(t, s, raws("a", 0, 3)...); a.Pos != 3 {
		t.Errorf("%+v", a)
	}
}

// What was folded from the store is what was folded before it went in.
func TestStoreFoldsLikeItsRecords(t *testing.T) {
	s, _ := testOpen(t)
	all := raws("a", 0, 60)
	var recs []ledger.Record
	for _, r := range all {
		rec, err := ledger.Decode(r)
		if err != nil {
			t.Fatal(err)
		}
		if rec.Job == "j2" {
			recs = append(recs, rec)
		}
	}
	push(t, s, all...)
	back, err := s.Job(t.Context(), "j2")
	if err != nil {
		t.Fatal(err)
	}
	got, _ := json.Marshal(ledger.Fold(back))
	want, _ := json.Marshal(ledger.Fold(recs))
	if string(got) != string(want) || len(got) < 100 {
		t.Errorf("%s, want %s", got, want)
	}
}

func BenchmarkAppend1(b *testing.B)   { benchmarkAppend(b, 1) }
func BenchmarkAppend200(b *testing.B) { benchmarkAppend(b, 200) }

func benchmarkAppend(b *testing.B, n int) {
	s, _ := testOpen(b)
	at := 0
	for b.Loop() {
		b.StopTimer()
		batch := raws("a", at, n)
		at += n
		b.StartTimer()
		if _, err := s.Append(b.Context(), "tab", batch); err != nil {
			b.Fatal(err)
		}
	}
}
