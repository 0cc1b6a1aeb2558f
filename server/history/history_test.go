package history

import (
	"flag"
	"reflect"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

var (
	histories = flag.Int("histories", 0, "random histories to live through; 0: 50,000, fewer under the race detector and in -short")
	raceRuns  bool
)

// mutantHistories is how many histories a broken variant may survive.
const mutantHistories = 2000

// first lives through the histories with seeds from 1 to n on all cores and
// returns the violation with the least seed, if any.
func first(n int, b *Broken) *Violation {
	var next, found atomic.Int64
	found.Store(int64(n) + 1)
	var mu sync.Mutex
	var worst *Violation
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for {
				seed := next.Add(1)
				if seed > int64(n) || seed > found.Load() {
					return
				}
				if v := Run(New(uint64(seed)), b); v != nil {
					mu.Lock()
					if worst == nil || v.Seed < worst.Seed {
						worst = v
						found.Store(seed)
					}
					mu.Unlock()
				}
			}
		})
	}
	all.Wait()
	return worst
}

// shrunk returns what is left of a broken history, for a person to read.
func shrunk(v *Violation, b *Broken) string {
	h, v := Shrink(New(v.Seed), b, v)
	var steps []string
	for _, s := range h.Steps {
		steps = append(steps, s.String())
	}
	return v.Error() + "\n" + strings.Join(steps, ", ")
}

// Whatever happens on the way, everything that was saved is in the shop and on
// every tablet in the end, once, with its bytes and its meaning.
func TestRandomHistories(t *testing.T) {
	n := *histories
	if n == 0 {
		n = 50_000
		if raceRuns {
			n = 5_000
		}
		if testing.Short() {
			n = 2_000
		}
	}
	defer debug.SetGCPercent(debug.SetGCPercent(400)) // many small worlds: half of the time would go into collecting them
	start := time.Now()
	if v := first(n, &Broken{}); v != nil {
		t.Fatal(shrunk(v, &Broken{}))
	}
	t.Logf("%d histories in %v", n, time.Since(start).Round(100*time.Millisecond))
}

// Each of these has been somebody's protocol. A suite that lets one pass is
// worth nothing.
func TestEachBrokenProtocolIsCaught(t *testing.T) {
	noticed := map[string]bool{}
	for _, tt := range []struct {
		name   string
		broken Broken
		by     string // letters of which one must notice it
	}{
		{"the ack clears the outbox", Broken{AckClears: true}, "I2 I2b I1"},
		{"no chain in the cursor", Broken{NoChain: true}, "I1 I2 I2b I6 I9"},
		{"the shop never resets", Broken{NeverReset: true}, "I1 I2 I2b I6 I9"},
		{"a reset offers nothing again", Broken{NoReoffer: true}, "I1 I2 I2b"},
		{"a reset offers own records only", Broken{ReofferOwn: true}, "I1 I2 I2b"},
		{"the cursor is written before the records", Broken{CursorFirst: true}, "I1 I2 I6 I9"},
		{"the outbox is kept in memory", Broken{OutboxInRAM: true}, "I1 I2 I2b"},
		{"the same id with other bytes replaces", Broken{Overwrite: true}, "I1 I2 I2b I6 I7 I9"},
		{"a record whose id is taken is dropped", Broken{DropOther: true}, "I2 I2b"},
		{"the feed leaves out the sender", Broken{SkipSender: true}, "I9"},
		{"the shop stores whatever comes", Broken{Doubles: true}, "I3"},
		{"a stub is taken without comparing", Broken{BlindStub: true}, "I1 I2 I2b I7"},
		{"the shop answers before its commit", Broken{CommitLater: true}, "I8"},
		{"ids are counted and known by number", Broken{Numbered: true}, "I2 I2b I7"},
		{"a half-typed text brings its record's id along", Broken{DraftsID: true}, "I5"},
		{"a new reading covers what was not seen", Broken{CoverUnseen: true}, "I5"},
		{"the later clock wins", Broken{LastWins: true}, "I5"},
		{"what is taken back stays so for ever", Broken{HideForever: true}, "I5"},
		{"a choice puts aside what it had not seen", Broken{ChoiceAll: true}, "I5"},
		{"the last to arrive wins", Broken{LastArrived: true}, "I4 I5"},
		{"a tablet writes records in its own way", Broken{Rewrites: true}, "I7"},
		{"a page's end is the place of its records", Broken{PageIsPlace: true}, "I6"},
		{"a stamp far off is refused", Broken{ClockRefuses: true}, "I9"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			v := first(mutantHistories, &tt.broken)
			if v == nil {
				t.Fatalf("not caught by %d histories", mutantHistories)
			}
			text := shrunk(v, &tt.broken)
			t.Logf("caught by history %d: %s", v.Seed, text)
			if letter, _, _ := strings.Cut(text, ":"); !strings.Contains(" "+tt.by+" ", " "+letter+" ") {
				t.Errorf("caught by %s, which says nothing of it; want one of %s", letter, tt.by)
			}
			noticed[v.Letter] = true
		})
	}
	for _, letter := range strings.Fields("I1 I2 I2b I3 I4 I5 I6 I7 I8 I9") {
		if !noticed[letter] {
			t.Errorf("no broken variant is noticed by %s", letter)
		}
	}
}

// A seed is enough to see a failure again.
func TestHistoriesRepeat(t *testing.T) {
	for seed := range uint64(200) {
		b := Broken{AckClears: true}
		one, again := Run(New(seed), &b), Run(New(seed), &b)
		if !reflect.DeepEqual(one, again) {
			t.Fatalf("seed %d: %v, then %v", seed, one, again)
		}
	}
}
