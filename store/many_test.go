package store

import (
	"context"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// SY8: eight tablets push, partly the same records, while one reads the feed.
func TestFeedHasNoGapAndNoRepeat(t *testing.T) {
	const pushers, each = 8, 60
	s, path := testOpen(t)
	var wg sync.WaitGroup
	var pushing atomic.Int32
	pushing.Store(pushers)
	for p := range pushers {
		wg.Go(func() {
			defer pushing.Add(-1)
			rnd := rand.New(rand.NewPCG(1, uint64(p)))
			own := raws(string(rune('a'+p)), 0, each)
			shared := raws("shared", 0, each)
			for len(own) > 0 {
				n := min(1+rnd.IntN(7), len(own))
				batch := append(append([]string{}, own[:n]...), shared[rnd.IntN(each)], shared[rnd.IntN(each)])
				own = own[n:]
				if _, err := s.Append(t.Context(), "tab", batch); err != nil {
					t.Error(err)
				}
			}
			if _, err := s.Append(t.Context(), "tab", shared); err != nil {
				t.Error(err)
			}
		})
	}
	seen := map[string]int{}
	var pos int64
	var chain [32]byte
	for last := false; ; {
		pos, chain = follow(t, s, pos, chain, func(id string) { seen[id]++ })
		if last {
			break
		}
		last = pushing.Load() == 0
	}
	wg.Wait()
	if want := (pushers + 1) * each; len(seen) != want || pos != int64(want) {
		t.Errorf("%d records at %d, want %d", len(seen), pos, want)
	}
	for id, n := range seen {
		if n != 1 {
			t.Errorf("%s came %d times", id, n)
		}
	}
	if r := mustCheck(t, path); !r.OK() || r.Chain != chain {
		t.Errorf("check: %+v", r)
	}
}

// Sixteen writers and sixteen readers, and nobody is told that it is busy.
func TestDB7ManyWritersAndReadersAreNeverBusy(t *testing.T) {
	s, path := testOpen(t)
	ctx, cancel := context.WithTimeout(t.Context(), 1500*time.Millisecond)
	defer cancel()
	var wg sync.WaitGroup
	var wrote, read atomic.Int64
	for w := range 16 {
		wg.Go(func() {
			dev := string(rune('A' + w))
			for n := 0; ctx.Err() == nil; n++ {
				_, err := s.Append(t.Context(), dev, raws(dev, n, 1))
				if err == nil && n%8 == 0 {
					err = s.Heard(t.Context(), dev, "", time.UnixMilli(int64(n)))
				}
				if err != nil {
					t.Error(err)
					return
				}
				wrote.Add(1)
			}
		})
		wg.Go(func() {
			for n := int64(0); ctx.Err() == nil; n++ {
				high, err := s.High(t.Context())
				if err == nil {
					_, err = s.After(t.Context(), max(0, high-int64(w)), 4000)
				}
				if err == nil && n%8 == 0 {
					_, err = s.Devices(t.Context())
				}
				if err != nil {
					t.Error(err)
					return
				}
				read.Add(1)
			}
		})
	}
	wg.Wait()
	t.Logf("%d appends, %d reads", wrote.Load(), read.Load())
	if high, err := s.High(t.Context()); err != nil || high != wrote.Load() {
		t.Errorf("%d positions for %d appends, %v", high, wrote.Load(), err)
	}
	if r := mustCheck(t, path); !r.OK() {
		t.Errorf("check: %+v", r)
	}
}

// Two programs on one file wait for each other instead of failing.
func TestTwoStoresOnOneFileShareTheLog(t *testing.T) {
	a, path := testOpen(t)
	b := reopen(t, path)
	var wg sync.WaitGroup
	for i, s := range []*Store{a, b} {
		wg.Go(func() {
			for n := range 50 {
				if _, err := s.Append(t.Context(), "tab", raws(string(rune('a'+i)), n, 1)); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if r := mustCheck(t, path); !r.OK() || r.High != 100 {
		t.Errorf("check: %+v", r)
	}
}
