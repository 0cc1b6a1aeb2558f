package store

import (
	"testing"

	logchain "tubewright/calc/chain"
	"tubewright/calc/ledger"
)

func TestPagesJoinWithoutGapOrRepeat(t *testing.T) {
	s, _ := testOpen(t)
	want := raws("a", 0, 50)
	push(t, s, want...)
	one := len(want[0])
	for _, maxBytes := range []int{0, 1, one, 3 * one, 7*one + 1, 1 << 20} {
		var got []string
		pos := int64(0)
		for {
			p, err := s.After(t.Context(), pos, maxBytes)
			if err != nil {
				t.Fatal(err)
			}
			if p.From != pos || p.To != pos+int64(len(p.Rows)) {
				t.Fatalf("page after %d: from %d to %d with %d rows", pos, p.From, p.To, len(p.Rows))
			}
			if chain, ok, err := s.ChainAt(t.Context(), p.To); err != nil || !ok || chain != p.Chain {
				t.Fatalf("chain at %d: %x %v %v, page says %x", p.To, chain, ok, err, p.Chain)
			}
			if len(p.Rows) == 0 {
				break
			}
			size := 0
			for _, r := range p.Rows {
				got = append(got, r.Raw)
				size += len(r.Raw)
			}
			if size > maxBytes && len(p.Rows) > 1 {
				t.Fatalf("page of %d bytes, at most %d wanted", size, maxBytes)
			}
			pos = p.To
		}
		if len(got) != len(want) {
			t.Fatalf("%d bytes a page: %d records, want %d", maxBytes, len(got), len(want))
		}
		for i := range got {
			if got[i] != want[i] {
				t.Errorf("%d bytes a page: record %d is %s", maxBytes, i, got[i])
			}
		}
	}
}

func TestPositionsThatAreNotThere(t *testing.T) {
	s, _ := testOpen(t)
	if p, err := s.After(t.Context(), 0, 100); err != nil || p.To != 0 || len(p.Rows) != 0 || p.Chain != [32]byte{} {
		t.Errorf("empty log: %+v, %v", p, err)
	}
	push(t, s, raws("a", 0, 3)...)
	for _, pos := range []int64{-1, 4, 1 << 40} {
		if p, err := s.After(t.Context(), pos, 100); err == nil {
			t.Errorf("after %d: %+v", pos, p)
		}
		if _, ok, err := s.ChainAt(t.Context(), pos); ok || err != nil {
			t.Errorf("chain at %d: %v, %v", pos, ok, err)
		}
	}
	if chain, ok, err := s.ChainAt(t.Context(), 0); !ok || err != nil || chain != [32]byte{} {
		t.Errorf("chain at 0: %x %v %v", chain, ok, err)
	}
	if recs, err := s.Job(t.Context(), "nobody wrote about it"); len(recs) != 0 || err != nil {
		t.Errorf("%v, %v", recs, err)
	}
}

// follow reads the feed from a position to the end, checks positions and chain on
// the way, and returns where it stands then.
func follow(t *testing.T, s *Store, pos int64, chain [32]byte, seen func(id string)) (int64, [32]byte) {
	for {
		p, err := s.After(t.Context(), pos, 16<<10)
		if err != nil {
			t.Error(err)
			return pos, chain
		}
		for _, r := range p.Rows {
			pos++
			if r.Pos != pos {
				t.Errorf("position %d where %d was due", r.Pos, pos)
			}
			if _, err := ledger.Decode(r.Raw); err != nil {
				t.Error(err)
			}
			chain = logchain.Next(chain, r.ID, logchain.Of(r.Raw))
			seen(r.ID)
		}
		if p.Chain != chain || p.To != pos {
			t.Errorf("page ends at %d with chain %x, want %d %x", p.To, p.Chain, pos, chain)
		}
		if len(p.Rows) == 0 {
			return pos, chain
		}
	}
}

func BenchmarkAfter512KiB(b *testing.B) {
	s, _ := testOpen(b)
	for i := range 20 {
		push(b, s, raws("a", 200*i, 200)...)
	}
	for b.Loop() {
		p, err := s.After(b.Context(), 100, 512<<10)
		if err != nil || len(p.Rows) < 500 {
			b.Fatalf("%d rows, %v", len(p.Rows), err)
		}
	}
}

func BenchmarkAfterAtTheEnd(b *testing.B) {
	s, _ := testOpen(b)
	push(b, s, raws("a", 0, 200)...)
	for b.Loop() {
		if _, err := s.After(b.Context(), 200, 512<<10); err != nil {
			b.Fatal(err)
		}
	}
}
