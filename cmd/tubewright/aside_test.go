package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/calc/ledger"
	"tubewright/store"
)

// A person who is asked whether to take records in reads the words of the screens.
func TestWhatWasSetAsideIsSaidInWords(t *testing.T) {
	st, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "tubewright.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	n := 0
	id := func(n int) string { return strings.Repeat("a", 25) + string(rune('a'+n)) }
	rec := func(kind, slot string, set func(*ledger.Record), body any) string {
		n++
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r := ledger.Record{ID: id(n), Dev: "tab-1", N: int64(n), HLC: ledger.Stamp(1764025441123+int64(n), 0, "tab-1"), Kind: kind, Job: "j1", Slot: slot, SV: 1, Body: b}
		if set != nil {
			set(&r)
		}
		return ledger.Encode(r)
	}
	const at = "2026-11-29T08:15:00+01:00"
	nm := int64(41_300_000)
	name := rec(ledger.NoteKind, "job/self/name", nil, ledger.Note{Text: "Yard car", Person: "Kim", At: at})
	width := rec(ledger.ReadingKind, "port/p1/width", nil, ledger.Reading{Text: "41.3", Unit: "mm", NM: &nm, Tool: "caliper", Person: "Kim", At: at})
	if _, err := st.Append(t.Context(), "tab-1", []string{name, width}); err != nil {
		t.Fatal(err)
	}
	late := []string{
		rec(ledger.ReadingKind, "port/p2/width", nil, ledger.Reading{Text: "1 5/8", Unit: "in", NM: &nm, Person: "Kim", At: at}),
		rec(ledger.ChoiceKind, "port/p1/width", func(r *ledger.Record) { r.Chosen = id(2) }, map[string]string{"person": "Lee", "at": at}),
		rec(ledger.RetractKind, "port/p1/width", func(r *ledger.Record) { r.Target = id(2) }, map[string]string{}),
		rec(ledger.NoteKind, "job/self/name", func(r *ledger.Record) { r.Job = "j2" }, ledger.Note{Text: "New " + strings.Repeat("x", 200)}),
		rec("dream", "port/p1/hue", func(r *ledger.Record) { r.Job = "j3" }, nil),
	}
	if _, err := st.PutAside(t.Context(), "tab-1", late, store.Room{Records: 100, Bytes: 1 << 20}); err != nil {
		t.Fatal(err)
	}
	got, err := (&shopDesk{store: st}).Aside(t.Context(), "tab-1")
	if err != nil || len(got) != len(late) {
		t.Fatalf("%+v, %v", got, err)
	}
	for i, want := range []string{
		"Yard car|Port p2 · Port width|1 5/8 in|Kim", "Yard car|Port p1 · Port width|chosen: 41.3 mm|Lee", "Yard car|Port p1 · Port width|taken back: 41.3 mm|",
		"New x|Job · Name|New x|", "j3|port/p1/hue|dream|",
	} {
		g := got[i]
		said := fmt.Sprintf("%s|%s|%s|%s", g.Job, g.Slot, g.Value, g.Who)
		if i == 3 { // a note of any length is cut
			if len([]rune(g.Value)) != valueShown {
				t.Errorf("a note of %d characters", len([]rune(g.Value)))
			}
			said = "New x|" + g.Slot + "|New x|" + g.Who
		}
		if said != want {
			t.Errorf("%q, want %q", said, want)
		}
	}
	if when, err := time.Parse(time.RFC3339, at); err != nil || !got[0].At.Equal(when) || time.Since(got[2].At) > time.Hour {
		t.Errorf("at %v and %v", got[0].At, got[2].At)
	}
}
