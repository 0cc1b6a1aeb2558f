package store

import (
	"testing"
	"time"
)

func TestDevicesRememberNameAndLatestTime(t *testing.T) {
	s, _ := testOpen(t)
	at := func(ms int64) time.Time { return time.UnixMilli(ms) }
	for _, h := range []struct {
		dev, name string
		ms        int64
	}{{"b", "Bench", 1000}, {"a", "", 2000}, {"a", "Tablet 1", 5000}, {"a", "", 4000}} {
		if err := s.Heard(t.Context(), h.dev, h.name, at(h.ms)); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Devices(t.Context())
	want := []Device{{"a", "Tablet 1", at(2000), at(5000)}, {"b", "Bench", at(1000), at(1000)}}
	if err != nil || len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
}
