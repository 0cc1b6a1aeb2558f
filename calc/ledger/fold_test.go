package ledger

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite golden files")

// Each testdata/history/NAME.jsonl is an invented job, one record a line, that
// tells a story; NAME.folded.json is what it means.
func TestHistoriesFoldAsWritten(t *testing.T) {
	names, err := filepath.Glob("testdata/history/*.jsonl")
	if err != nil || len(names) < 4 {
		t.Fatalf("histories: %v, %v", names, err)
	}
	for _, name := range names {
		golden := strings.TrimSuffix(name, ".jsonl") + ".folded.json"
		got, err := json.MarshalIndent(Fold(readHistory(t, name)), "", " ")
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, '\n')
		if *update {
			if err := os.WriteFile(golden, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("%s folds to\n%s\nwant\n%s", name, got, want)
		}
	}
}

func readHistory(t *testing.T, name string) []Record {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var recs []Record
	for lines := bufio.NewScanner(f); lines.Scan(); {
		r, err := Decode(lines.Text())
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		recs = append(recs, r)
	}
	return recs
}

func TestFoldOfNothingIsEmpty(t *testing.T) {
	if f := Fold(nil); len(f.Slots) != 0 || len(f.Notes) != 0 || f.Unreadable != nil || f.Unknown != 0 {
		t.Errorf("%+v", f)
	}
}

func TestFoldLeavesItsRecordsAlone(t *testing.T) {
	recs := randomHistory(3, 20, true)
	before := dumpRecords(recs)
	Fold(recs)
	if after := dumpRecords(recs); after != before {
		t.Errorf("records were\n%s\nnow\n%s", before, after)
	}
}

// A long line of edits and of retracts, and very many heads: no recursion that
// gets as deep as the history.
func TestFoldTakesLongAndDenseHistories(t *testing.T) {
	h := newHistory(1)
	last := h.reading(100, 5)
	for range 20_000 {
		last = h.reading(100, 5, last)
	}
	target := last
	for range 20_001 {
		target = h.retract(target)
	}
	s := Fold(h.recs).Slots["port/p1/width"]
	if len(s.Heads) != 1 || s.Heads[0].ID == last || s.History != 20_001 {
		t.Errorf("long: %d heads, %d readings", len(s.Heads), s.History)
	}
	h = newHistory(2)
	for range 20_000 {
		h.reading(100, 5)
	}
	if s := Fold(h.recs).Slots["port/p1/width"]; s.Kind != Agreed || len(s.Heads) != 20_000 {
		t.Errorf("dense: %s with %d heads", s.Kind, len(s.Heads))
	}
}

// FuzzFold makes a history from bytes, links forward and back, and compares with
// the plain fold and with another order.
func FuzzFold(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 0, 0, 1, 0}, uint64(1))
	f.Add([]byte("\x00\x00\x01\x05\x04\x01\x02\x06\x08\x00\x01\x07\x0c\x02\x03\x01\x10\x01\x00\x02"), uint64(2))
	f.Fuzz(func(t *testing.T, script []byte, order uint64) {
		const most = 40
		n := min(len(script)/4, most)
		ids := newHistory(0)
		id := make([]string, n+1)
		for i := range id {
			id[i] = ids.id()
		}
		recs := make([]Record, n)
		for i := range recs {
			what, a, b, c := script[4*i], script[4*i+1], script[4*i+2], script[4*i+3]
			link := func(x byte) string { return id[int(x)%len(id)] }
			r := Record{ID: id[i], Job: "j1", Slot: fmt.Sprintf("port/p%d/width", what>>3&1), HLC: Stamp(int64(c>>4), 0, "x")}
			if what>>4 == 15 {
				r.ID = link(c) // twice
			}
			switch what & 7 {
			case 0, 1, 2, 3:
				r.Kind, r.Over, r.Seen, r.Body = ReadingKind, []string{link(a), link(b)}[:what&2], []string{link(b)}, lengthBody(int64(c&7), int64(c>>3&3))
			case 4:
				r.Kind, r.Target = RetractKind, link(a)
			case 5:
				r.Kind, r.Chosen, r.Seen, r.Over = ChoiceKind, link(a), []string{link(a), link(b)}, []string{link(c)}
			case 6:
				r.Kind, r.Body = []string{NoteKind, PieceKind}[a&1], script[4*i:4*i+4]
			case 7:
				r.Kind, r.Over, r.Body = ReadingKind, []string{link(a)}, script[4*i:4*i+4]
			}
			if !json.Valid(r.Body) { // Decode lets no other body through
				r.Body = nil
			}
			recs[i] = r
		}
		got := dump(Fold(recs))
		if want := dump(plain(recs, "")); got != want {
			t.Errorf("fold  %s\nplain %s", got, want)
		}
		other := slices.Clone(recs)
		rand.New(rand.NewPCG(order, 0)).Shuffle(n, func(i, j int) { other[i], other[j] = other[j], other[i] })
		if again := dump(Fold(other)); again != got {
			t.Errorf("fold  %s\nother order %s", got, again)
		}
	})
}

// A big job: 20,000 records, about 3,000 slots, edits, choices, retracts.
func bigJob() []Record {
	h := newHistory(1)
	var slots [3000]struct{ heads, choices []string }
	for len(h.recs) < 20_000 {
		i := h.rnd.IntN(len(slots))
		s := &slots[i]
		r := Record{Slot: fmt.Sprintf("element/e-%d/length", i)}
		switch k := h.rnd.IntN(20); {
		case k < 3 && len(s.heads) > 1:
			r.Kind, r.Chosen, r.Seen, r.Over = ChoiceKind, s.heads[0], s.heads, s.choices
			s.choices = []string{h.add(r)}
		case k < 5 && len(s.heads) > 0:
			r.Kind, r.Target = RetractKind, s.heads[0]
			h.add(r)
			s.heads = slices.Clone(s.heads[1:])
		case k < 14:
			nm := int64(40_000_000 + h.rnd.IntN(1_000_000))
			r.Kind, r.Over, r.Seen = ReadingKind, s.heads, s.heads
			r.Body = body(Reading{Text: "40.123", Unit: "mm", NM: &nm, Res: 10_000, Tool: "caliper", Person: "Ada Invented", At: "2026-03-02T08:15:00+01:00"})
			s.heads = []string{h.add(r)}
		default:
			nm := int64(40_000_000 + h.rnd.IntN(1_000_000))
			r.Kind = ReadingKind
			r.Body = body(Reading{Text: "40.123", Unit: "mm", NM: &nm, Res: 10_000, Tool: "caliper", Person: "Ada Invented", At: "2026-03-02T08:15:00+01:00"})
			s.heads = append(slices.Clone(s.heads), h.add(r))
		}
	}
	recs := make([]Record, len(h.recs))
	for i, r := range h.recs {
		d, err := Decode(r.Raw())
		if err != nil {
			panic(err)
		}
		recs[i] = d
	}
	return recs
}

func BenchmarkFold20000(b *testing.B) {
	recs := bigJob()
	b.ReportAllocs()
	for b.Loop() {
		Fold(recs)
	}
}

func BenchmarkFold300(b *testing.B) {
	recs := bigJob()[:300]
	b.ReportAllocs()
	for b.Loop() {
		Fold(recs)
	}
}

func BenchmarkDecode20000(b *testing.B) {
	recs := bigJob()
	b.ReportAllocs()
	for b.Loop() {
		for _, r := range recs {
			if _, err := Decode(r.raw); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// How far a piece is says the latest record of kind piece, with who and when; a note
// in its slot says nothing of it, and what was taken back neither.
func TestLatestStageOfAPieceHolds(t *testing.T) {
	h := newHistory(1)
	say := func(kind, text string, ms int64) string {
		return h.add(Record{Kind: kind, Slot: "element/e2/stage", HLC: Stamp(ms, 0, "x"), Body: body(Note{Text: text, Person: "B. Invented", At: "2026-11-30T08:00:00Z"})})
	}
	say(PieceKind, "tacked", 3000)
	say(PieceKind, "cut", 1000)
	say(NoteKind, "inspected", 9000)
	taken := say(PieceKind, "welded", 5000)
	h.add(Record{Kind: RetractKind, Slot: "element/e2/stage", Target: taken})
	f := Fold(h.recs)
	if got := f.Pieces["element/e2/stage"]; got.Text != "tacked" || got.Person != "B. Invented" || got.At == "" {
		t.Errorf("got %+v", got)
	}
	if got := f.Notes["element/e2/stage"].Text; got != "inspected" || f.Unknown != 0 {
		t.Errorf("note %q, %d unknown", got, f.Unknown)
	}
}
