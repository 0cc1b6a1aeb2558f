package store

import (
	"crypto/sha256"
	"errors"
	"path/filepath"
	"testing"
	"time"
)

func pair(t testing.TB, s *Store, dev, role string) [32]byte {
	t.Helper()
	token := sha256.Sum256([]byte("token of " + dev + role))
	if err := s.Pair(t.Context(), Paired{Dev: dev, Name: "Tablet of " + dev, Role: role, At: time.UnixMilli(1764025441123)}, token); err != nil {
		t.Fatal(err)
	}
	return token
}

// who returns the device of a token; its Dev is empty when there is none.
func who(t testing.TB, s *Store, token [32]byte) Paired {
	t.Helper()
	p, known, err := s.PairedBy(t.Context(), token)
	if err != nil || known != (p.Dev != "") {
		t.Fatalf("%+v, %v, %v", p, known, err)
	}
	return p
}

func TestTL8TokensLastUntilSomebodyRevokesThem(t *testing.T) {
	s, path := testOpen(t)
	a, b := pair(t, s, "a", "measure"), pair(t, s, "b", "bench")
	if p := who(t, s, [32]byte{1}); p.Dev != "" {
		t.Errorf("an invented token is %+v", p)
	}
	s.Close()
	s = reopen(t, path)
	if p := who(t, s, a); p.Dev != "a" || p.Role != "measure" || p.Name != "Tablet of a" || !p.Revoked.IsZero() {
		t.Errorf("%+v", p)
	}
	at := time.UnixMilli(1764025500000)
	for _, later := range []time.Duration{0, time.Hour} { // the second changes nothing
		if err := s.Revoke(t.Context(), "a", at.Add(later)); err != nil {
			t.Fatal(err)
		}
	}
	if p := who(t, s, a); !p.Revoked.Equal(at) {
		t.Errorf("revoked: %+v", p)
	}
	if p := who(t, s, b); !p.Revoked.IsZero() || p.Role != "bench" {
		t.Errorf("the other: %+v", p)
	}
	if err := s.RenamePaired(t.Context(), "b", "Bench 1"); err != nil || who(t, s, b).Name != "Bench 1" {
		t.Errorf("renamed: %+v, %v", who(t, s, b), err)
	}
	if err := errors.Join(s.Revoke(t.Context(), "x", at)); !errors.Is(err, ErrNotPaired) {
		t.Errorf("revoke a stranger: %v", err)
	}
	if err := s.RenamePaired(t.Context(), "x", ""); !errors.Is(err, ErrNotPaired) {
		t.Errorf("rename a stranger: %v", err)
	}
	if all, err := s.AllPaired(t.Context()); err != nil || len(all) != 2 {
		t.Errorf("%+v, %v", all, err)
	}
}

func TestPairingAgainVoidsTheOldToken(t *testing.T) {
	s, _ := testOpen(t)
	old := pair(t, s, "a", "measure")
	if err := s.Revoke(t.Context(), "a", s.Now()); err != nil {
		t.Fatal(err)
	}
	token := pair(t, s, "a", "bench")
	if p := who(t, s, old); p.Dev != "" {
		t.Errorf("the old token is good for %+v", p)
	}
	if p := who(t, s, token); p.Role != "bench" || !p.Revoked.IsZero() {
		t.Errorf("%+v", p)
	}
}

// A backup from before a tablet was revoked does not let it in again, and one from
// before it was paired does not lock it out.
func TestRestoreKeepsThePairingsThatAre(t *testing.T) {
	for _, c := range []struct{ name, from string }{{"a backup of today", ""}, {"a backup of the first schema", filepath.Join(released, "v1.db")}} {
		t.Run(c.name, func(t *testing.T) {
			s, path := testOpen(t)
			lost, kept := pair(t, s, "lost", "measure"), pair(t, s, "kept", "bench")
			push(t, s, raws("a", 0, 10)...)
			from := c.from
			if from == "" {
				from = mustBackup(t, s, filepath.Join(t.TempDir(), "backups")).Path
			}
			push(t, s, raws("a", 10, 5)...)
			again := pair(t, s, "kept", "measure")
			since := pair(t, s, "since", "board")
			if err := s.Revoke(t.Context(), "lost", time.UnixMilli(1764025500000)); err != nil {
				t.Fatal(err)
			}
			s.Close()
			if _, err := Restore(t.Context(), path, from); err != nil {
				t.Fatal(err)
			}
			if r := mustCheck(t, path); !r.OK() || r.High != 10 || r.Schema != version {
				t.Errorf("%+v", r)
			}
			s = reopen(t, path)
			if who(t, s, lost).Revoked.IsZero() || who(t, s, kept).Dev != "" || who(t, s, again).Role != "measure" || who(t, s, since).Role != "board" {
				all, err := s.AllPaired(t.Context())
				t.Errorf("%+v, %v", all, err)
			}
			if left, err := filepath.Glob(path + ".restoring*"); err != nil || len(left) > 0 {
				t.Errorf("left behind: %v, %v", left, err)
			}
		})
	}
}

// On a new machine nothing is known but the backup: its tablets need no new pairing.
func TestRestoreIntoNothingBringsThePairings(t *testing.T) {
	s, _ := testOpen(t)
	token := pair(t, s, "a", "measure")
	push(t, s, raws("a", 0, 3)...)
	b := mustBackup(t, s, filepath.Join(t.TempDir(), "backups"))
	empty, path := testOpen(t) // a server was started before anybody thought of the backup
	empty.Close()
	for _, path := range []string{filepath.Join(t.TempDir(), "shop.db"), path} {
		if _, err := Restore(t.Context(), path, b.Path); err != nil {
			t.Fatal(err)
		}
		if p := who(t, reopen(t, path), token); p.Dev != "a" {
			t.Errorf("%+v", p)
		}
	}
}
