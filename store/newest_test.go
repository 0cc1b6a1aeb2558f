package store

import (
	"os"
	"path/filepath"
	"testing"
)

func TestNewestBackupIsTheNewestThatCanBeRead(t *testing.T) {
	s, path := testOpen(t)
	dir := filepath.Join(filepath.Dir(path), "backups")
	if b, ok, err := Newest(t.Context(), dir); err != nil || ok {
		t.Errorf("no folder: %+v, %v, %v", b, ok, err)
	}
	push(t, s, raws("a", 0, 3)...)
	made, err := s.Backup(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	// One that cannot be read, by its name from later on.
	if err := os.WriteFile(filepath.Join(dir, "tubewright-29991231T235959.000Z.db"), []byte("no"), 0o600); err != nil {
		t.Fatal(err)
	}
	b, ok, err := Newest(t.Context(), dir)
	if err != nil || !ok || b.Path != made.Path || b.Pos != 3 {
		t.Errorf("got %+v, %v, %v, want %s at 3", b, ok, err, made.Path)
	}
}
