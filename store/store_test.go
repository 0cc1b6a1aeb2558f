package store

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	logchain "tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// testID names record n of a device, always the same.
func testID(dev string, n int) string {
	h := sha256.Sum256(binary.BigEndian.AppendUint64([]byte(dev), uint64(n)))
	return ledger.ID([16]byte(h[:16]))
}

// raw is record n of a device, always the same, with the figure nm.
func raw(dev string, n int, nm int64) string {
	body, err := json.Marshal(ledger.Reading{Text: fmt.Sprintf("%.3f", float64(nm)/1e6), Unit: "mm", NM: &nm, Res: 10_000, Tool: "caliper", Person: "Ada Invented", At: "2026-03-02T08:15:00+01:00"})
	if err != nil {
		panic(err)
	}
	return ledger.Encode(ledger.Record{
		ID: testID(dev, n), Dev: dev, N: int64(n), HLC: ledger.Stamp(1764025441123+int64(n), 0, dev),
		Kind: ledger.ReadingKind, Job: fmt.Sprintf("j%d", n%3), Slot: fmt.Sprintf("port/p%d/width", n%8), SV: 1, Body: body,
	})
}

// raws are records from to from+n-1 of a device, always the same.
func raws(dev string, from, n int) []string {
	var out []string
	for i := from; i < from+n; i++ {
		out = append(out, raw(dev, i, int64(40_000_000+i)))
	}
	return out
}

func testOpen(t testing.TB) (*Store, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "shop.db")
	return reopen(t, path), path
}

func reopen(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func push(t testing.TB, s *Store, raws ...string) Appended {
	t.Helper()
	a, err := s.Append(context.Background(), "tab", raws)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func mustCheck(t testing.TB, path string) Report {
	t.Helper()
	r, err := Check(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The whole way once: what is appended can be read, in order, with its chain,
// after closing and opening again.
func TestAppendedRecordsComeBack(t *testing.T) {
	s, path := testOpen(t)
	s.Now = func() time.Time { return time.UnixMilli(1764000000000) }
	want := raws("a", 0, 10)
	a := push(t, s, want...)
	if len(a.Stored) != 10 || a.Pos != 10 || a.Known != nil || a.Quarantined != nil || a.Refused != nil {
		t.Fatalf("append: %+v", a)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = reopen(t, path)
	page, err := s.After(t.Context(), 0, 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	var chain [32]byte
	for i, row := range page.Rows {
		if row.Raw != want[i] || row.Pos != int64(i+1) || row.ID != testID("a", i) {
			t.Errorf("row %d: %+v, want %s", i, row, want[i])
		}
		chain = logchain.Next(chain, row.ID, logchain.Of(want[i]))
	}
	if len(page.Rows) != 10 || page.From != 0 || page.To != 10 || page.Chain != chain {
		t.Errorf("page from %d to %d, %d rows, chain %x, want chain %x", page.From, page.To, len(page.Rows), page.Chain, chain)
	}
	if at, ok, err := s.ChainAt(t.Context(), 10); err != nil || !ok || at != chain {
		t.Errorf("chain at 10: %x %v %v", at, ok, err)
	}
	if recs, err := s.Job(t.Context(), "j1"); err != nil || len(recs) != 3 || recs[0].Raw() != want[1] {
		t.Errorf("job j1: %d records, %v", len(recs), err)
	}
	if recs, err := s.All(t.Context()); err != nil || len(recs) != 10 {
		t.Errorf("all: %d records, %v", len(recs), err)
	}
	if r := mustCheck(t, path); !r.OK() || r.Records != 10 || r.High != 10 || r.Chain != chain || r.Schema != version {
		t.Errorf("check: %+v", r)
	}
	var ms []int64
	if err := s.read.Select(&ms, `SELECT DISTINCT recv_ms FROM records`); err != nil || len(ms) != 1 || ms[0] != 1764000000000 {
		t.Errorf("arrival %v, %v", ms, err)
	}
}
