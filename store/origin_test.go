package store

import (
	"testing"
	"time"
)

func TestST10OriginIsKeptWithTheRecords(t *testing.T) {
	s, _ := testOpen(t)
	if got, err := s.Origin(t.Context()); err != nil || got != "" {
		t.Errorf("a new file knows %q, %v", got, err)
	}
	for _, want := range []string{"https://tubewright.local:8411", "https://shop.home.arpa:8411"} {
		if err := s.SetOrigin(t.Context(), want); err != nil {
			t.Fatal(err)
		}
		if got, err := s.Origin(t.Context()); err != nil || got != want {
			t.Errorf("got %q, %v, want %q", got, err, want)
		}
	}
}

func TestTL3LatestIsTheLatestArrivalWhateverCameLast(t *testing.T) {
	s, _ := testOpen(t)
	if got, err := s.Latest(t.Context()); err != nil || !got.IsZero() {
		t.Errorf("an empty log: %v, %v", got, err)
	}
	late := time.UnixMilli(1_764_025_441_000)
	s.Now = func() time.Time { return late }
	push(t, s, raws("tab1", 0, 2)...)
	s.Now = func() time.Time { return late.Add(-time.Hour) } // the clock went back, and more came
	push(t, s, raws("tab1", 2, 2)...)
	if got, err := s.Latest(t.Context()); err != nil || !got.Equal(late) {
		t.Errorf("got %v, %v, want %v", got, err, late)
	}
}
