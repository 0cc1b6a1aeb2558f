package store

import (
	"os"
	"path/filepath"
	"testing"
	"time"
)

// What a program left that ended at a bad moment is put right at the next start.
func TestOpenSweepsPhotos(t *testing.T) {
	s, path := testOpen(t)
	b, m := testPhoto(11, 600, 600)
	c, stale := testPhoto(12, 600, 600)
	_, fresh := testPhoto(13, 600, 600)
	d, gone := testPhoto(14, 100, 100)
	for _, x := range []Manifest{stale, fresh} {
		if _, err := s.BeginBlob(t.Context(), x); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.PutChunk(t.Context(), stale.SHA, 0, chunk(c, 0)); err != nil {
		t.Fatal(err)
	}
	old := time.Now().Add(-partAge - time.Hour)
	if err := os.Chtimes(s.part(stale.SHA), old, old); err != nil {
		t.Fatal(err)
	}
	push(t, s, denyRecord("a", 1, gone.SHA))
	s.Close()
	for name, b := range map[string][]byte{
		s.file(m.SHA):    b, // whole, without a row
		s.file(gone.SHA): d, // taken out, not yet deleted
		filepath.Join(s.folder, m.SHA[:2], hashOf(nil)): []byte("not what its name says"),
		filepath.Join(s.folder, m.SHA[:2], "new-1"):     []byte("half"),
	} {
		if err := makeDir(filepath.Dir(name)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(name, old, old); err != nil {
			t.Fatal(err)
		}
	}
	s = reopen(t, path)
	if !holds(t, s, b, m) {
		t.Error("the whole photo was not taken in")
	}
	if st, err := s.Blob(t.Context(), stale.SHA); err != nil || st.Known {
		t.Errorf("stale parts: %+v, %v", st, err)
	}
	if st, err := s.Blob(t.Context(), fresh.SHA); err != nil || !st.Known {
		t.Errorf("fresh parts: %+v, %v", st, err)
	}
	if _, err := os.Stat(s.file(gone.SHA)); err == nil {
		t.Error("what was taken out is still there")
	}
	if left, err := filepath.Glob(filepath.Join(s.folder, "*", "new-*")); err != nil || len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
}
