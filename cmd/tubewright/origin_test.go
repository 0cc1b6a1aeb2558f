package main

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

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
		if was, err := noteOrigin(t.Context(), st, origin, moved); err != nil || was != want {
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
