package store

import (
	"context"
	"testing"
	"time"
)

func TestST10WhatDevicesKnowIsKeptWithTheRecords(t *testing.T) {
	s, _ := testOpen(t)
	for name, k := range map[string]struct {
		get func(context.Context) (Known, error)
		set func(context.Context, Known) error
	}{"address": {s.Origin, s.SetOrigin}, "authority": {s.Authority, s.SetAuthority}} {
		if got, err := k.get(t.Context()); err != nil || got != (Known{}) {
			t.Errorf("%s: a new file knows %+v, %v", name, got, err)
		}
		for _, want := range []Known{{"https://tubewright.local:8411", time.Time{}}, {name, time.UnixMilli(1_764_025_441_123)}, {name, time.Time{}}} {
			if err := k.set(t.Context(), want); err != nil {
				t.Fatal(err)
			}
			if got, err := k.get(t.Context()); err != nil || got.Value != want.Value || !got.Since.Equal(want.Since) {
				t.Errorf("%s: got %+v, %v, want %+v", name, got, err, want)
			}
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
