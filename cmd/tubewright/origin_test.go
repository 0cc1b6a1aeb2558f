package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/server"
	"tubewright/store"
)

func TestST10AnotherNameOrPortIsSaidUntilAPersonMeansIt(t *testing.T) {
	st, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	const first, second = "https://tubewright.local:8411", "https://tubewright.local:9000"
	note := func(origin string, moved bool, want string) {
		t.Helper()
		if was, err := noteOrigin(t.Context(), st, origin, moved, time.Now()); err != nil || was != want {
			t.Errorf("%s: knew %q, %v, want %q", origin, was, err, want)
		}
	}
	note(first, false, "")
	note(second, false, "") // nobody was paired: nobody knows the first
	note(first, false, "")
	if err := st.Pair(t.Context(), store.Paired{Dev: "tab-1", Name: "Yard", Role: "measure", At: time.Now()}, [32]byte{1}); err != nil {
		t.Fatal(err)
	}
	note(first, false, "")
	note(second, false, first)
	note(second, false, first) // at every start
	note(first, false, "")
	note(second, true, "")
	note(second, false, "")
	note(first, false, second)
	if s := movedWarning(first, second); !strings.Contains(s, first) || !strings.Contains(s, second) {
		t.Error(s)
	}
}

// After a move, or with another authority, the devices from before are told apart from
// those that came since.
func TestST10DevicesFromBeforeTheMoveAreNamed(t *testing.T) {
	data := filepath.Join(t.TempDir(), "shop.db")
	st, err := store.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	noon := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	note := func(origin, authority string, moved bool, at time.Time) (was changes) {
		t.Helper()
		if _, err := noteOrigin(t.Context(), st, origin, moved, at); err != nil {
			t.Fatal(err)
		}
		if err := noteAuthority(t.Context(), st, authority, at); err != nil {
			t.Fatal(err)
		}
		was, err := readChanges(t.Context(), st)
		if err != nil {
			t.Fatal(err)
		}
		return was
	}
	if c := note("https://a", "AB", false, noon); c != (changes{}) {
		t.Errorf("the first start: %+v", c)
	}
	if err := st.Pair(t.Context(), store.Paired{Dev: "tab-1", Name: "Yard", Role: "measure", At: noon}, [32]byte{1}); err != nil {
		t.Fatal(err)
	}
	if c := note("https://a", "", false, noon); c != (changes{}) { // a start with a certificate of one's own
		t.Errorf("without an authority: %+v", c)
	}
	trusted := note("https://a", "CD", false, noon.Add(time.Hour))
	both := note("https://b", "CD", true, noon.Add(2*time.Hour))
	if again := note("https://b", "CD", false, noon.Add(3*time.Hour)); again != both {
		t.Errorf("the next start: %+v, want %+v", again, both)
	}
	for _, c := range []struct {
		name       string
		was        changes
		at, heard  time.Duration // after noon; heard 0: never
		live       int
		part, lack string
	}{
		{"nothing changed", changes{}, 0, 0, 0, "", "anew"},
		{"paired before", trusted, 0, time.Minute, 0, "trust this machine anew", "pair it"},
		{"came since, so it trusts", trusted, 0, 61 * time.Minute, 0, "", "anew"},
		{"is here", trusted, 0, time.Minute, 1, "", "anew"},
		{"paired since", trusted, time.Hour, 0, 0, "", "anew"},
		{"before the move", both, 61 * time.Minute, 62 * time.Minute, 0, "pair it anew", "trust"},
		{"before both", both, 0, time.Minute, 0, "pair it anew", "step 2"},
		{"paired after both", both, 2 * time.Hour, 0, 0, "", "anew"},
	} {
		l := server.DeviceLine{Paired: server.Paired{At: noon.Add(c.at)}, Live: c.live}
		if c.heard > 0 {
			l.Heard = noon.Add(c.heard)
		}
		got := c.was.asks(l)
		if !strings.Contains(got, c.part) || (c.part == "") != (got == "") || strings.Contains(got, c.lack) {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

func TestTL3ClockThatWentBackIsSaid(t *testing.T) {
	noon := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		latest time.Time
		says   bool
	}{{time.Time{}, false}, {noon.Add(-time.Hour), false}, {noon.Add(time.Minute), false}, {noon.Add(3 * time.Minute), true}, {noon.AddDate(6, 0, 0), true}} {
		if got := clockWarning(c.latest, noon); (got != "") != c.says {
			t.Errorf("latest record at %v: said %q", c.latest, got)
		}
	}
}
