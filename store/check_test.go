package store

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jmoiron/sqlx"
)

// damaged makes a log of ten, closes it, and has it changed behind its back.
func damaged(t *testing.T, change string) string {
	t.Helper()
	path, _ := oldFile(t)
	db := sqlx.MustOpen("sqlite", path)
	defer db.Close()
	if n, err := db.MustExec(change).RowsAffected(); err != nil || n != 1 {
		t.Fatalf("%s: %d rows, %v", change, n, err)
	}
	return path
}

func TestCheckNoticesEveryChange(t *testing.T) {
	for _, tt := range []struct {
		name, change string
		says         []string
	}{
		{"flipped byte", `UPDATE records SET raw = CAST(replace(CAST(raw AS TEXT), '"tool":"caliper"', '"tool":"calipes"') AS BLOB) WHERE pos = 4`,
			[]string{"position 4: its text is not what was stored", "position 4: the chain"}},
		{"flipped byte that breaks JSON", `UPDATE records SET raw = CAST(replace(CAST(raw AS TEXT), '"sv"', '#sv"') AS BLOB) WHERE pos = 4`,
			[]string{"position 4: its text is not", "position 4: its text is no record", "position 4: the chain"}},
		{"text and hash changed together", `UPDATE records SET h = zeroblob(32) WHERE pos = 4`, []string{"position 4: its text is not what was stored"}},
		{"removed row", `DELETE FROM records WHERE pos = 6`, []string{"Position 7 follows 5", "position 7: the chain"}},
		{"removed first row", `DELETE FROM records WHERE pos = 1`, []string{"Position 2 follows 0", "position 2: the chain"}},
		{"removed last row", `DELETE FROM records WHERE pos = 10`, []string{"ends at position 9, but 10"}},
		{"changed chain", `UPDATE records SET chain = zeroblob(32) WHERE pos = 5`, []string{"position 5: the chain", "position 6: the chain"}},
		{"other job beside the text", `UPDATE records SET job = 'x' WHERE pos = 2`, []string{"position 2: id, device, kind, job or slot"}},
		{"other id beside the text", `UPDATE records SET id = '` + testID("z", 1) + `' WHERE pos = 2`, []string{"position 2: id, device", "position 2: the chain"}},
	} {
		path := damaged(t, tt.change)
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		r := mustCheck(t, path)
		if len(r.Faults) != len(tt.says) {
			t.Errorf("%s: %d faults, want %d: %q", tt.name, len(r.Faults), len(tt.says), r.Faults)
		}
		for i, f := range r.Faults {
			if i < len(tt.says) && !strings.Contains(f, tt.says[i]) {
				t.Errorf("%s: %q, want %q", tt.name, f, tt.says[i])
			}
		}
		if after, err := os.ReadFile(path); err != nil || string(after) != string(before) {
			t.Errorf("%s: the check changed the file, %v", tt.name, err)
		}
	}
}

// Damage below SQL: every page of the file in turn is overwritten.
func TestCheckNoticesEveryOverwrittenPage(t *testing.T) {
	path, _ := oldFile(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for at := 0; at < len(whole); at += page {
		b := append([]byte{}, whole...)
		for i := at; i < at+page; i++ {
			b[i] ^= 0x55
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			t.Fatal(err)
		}
		if r, err := Check(t.Context(), path); err == nil && r.OK() {
			t.Errorf("page %d overwritten: %+v", at/page, r)
		}
	}
}

func TestCheckOfNoFileMakesNone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none.db")
	if _, err := Check(t.Context(), path); err == nil {
		t.Error("checked a file that is not there")
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("made a file")
	}
}

// What is still in the log file counts too, while the store is open and after it
// was left open.
func TestCheckSeesWhatTheLogFileHolds(t *testing.T) {
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 5)...)
	other := filepath.Join(t.TempDir(), "left.db")
	for _, suffix := range []string{"", "-wal"} {
		b, err := os.ReadFile(path + suffix)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(other+suffix, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, p := range []string{path, other} {
		if r := mustCheck(t, p); !r.OK() || r.Records != 5 {
			t.Errorf("%s: %+v", p, r)
		}
	}
}

func TestLongReportsAreCut(t *testing.T) {
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 150)...)
	s.Close()
	db := sqlx.MustOpen("sqlite", path)
	db.MustExec(`UPDATE records SET h = zeroblob(32)`)
	db.Close()
	if r := mustCheck(t, path); len(r.Faults) != maxFaults || r.More != 50 {
		t.Errorf("%d faults and %d more", len(r.Faults), r.More)
	}
}
