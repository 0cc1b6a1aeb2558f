package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jmoiron/sqlx"
)

func mustBackup(t testing.TB, s *Store, dir string) Backup {
	t.Helper()
	b, err := s.Backup(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func backedUpTo(t testing.TB, s *Store, want int64, changed bool) {
	t.Helper()
	pos, err := s.BackedPos(t.Context())
	if err != nil || pos != want {
		t.Errorf("backed up to %d, want %d, %v", pos, want, err)
	}
	if got, err := s.Changed(t.Context()); err != nil || got != changed {
		t.Errorf("changed: %v, want %v, %v", got, changed, err)
	}
}

// DB10: backups that are made while sixteen tablets push hold a beginning of the
// log each, with the right chain, though a copy of the file would not.
func TestDB10BackupDuringHeavyWritingIsAPrefix(t *testing.T) {
	s, path := testOpen(t)
	dir := filepath.Join(t.TempDir(), "backups")
	ctx, cancel := context.WithCancel(t.Context())
	var wg sync.WaitGroup
	for w := range 16 {
		wg.Go(func() {
			dev := fmt.Sprintf("w%d", w)
			for n := 0; ctx.Err() == nil; n += 5 {
				if _, err := s.Append(t.Context(), dev, raws(dev, n, 5)); err != nil {
					t.Error(err)
				}
			}
		})
	}
	var list []Backup
	for range 5 {
		b := mustBackup(t, s, dir)
		list = append(list, b)
		high, err := s.High(t.Context())
		if err != nil || b.Pos > high {
			t.Errorf("backup to %d of %d, %v", b.Pos, high, err)
		}
	}
	cancel()
	wg.Wait()
	for i, b := range list {
		r := mustCheck(t, b.Path)
		chain, ok, err := s.ChainAt(t.Context(), b.Pos)
		if !r.OK() || r.High != b.Pos || !ok || err != nil || chain != r.Chain {
			t.Errorf("backup to %d: %+v, chain of the log %x", b.Pos, r, chain)
		}
		if i > 0 && (b.Path <= list[i-1].Path || b.Pos < list[i-1].Pos) {
			t.Errorf("%s to %d after %s to %d", b.Path, b.Pos, list[i-1].Path, list[i-1].Pos)
		}
		restored := filepath.Join(t.TempDir(), "shop.db")
		if aside, err := Restore(t.Context(), restored, b.Path); err != nil || aside != "" {
			t.Fatalf("restore: %q, %v", aside, err)
		}
		again := reopen(t, restored)
		if pos, c := follow(t, again, 0, [32]byte{}, func(string) {}); pos != b.Pos || c != chain {
			t.Errorf("restored to %d with chain %x, want %d %x", pos, c, b.Pos, chain)
		}
	}
	copied := filepath.Join(t.TempDir(), "copy.db") // what happens without
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(copied, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if r, err := Check(t.Context(), copied); err == nil && r.OK() && r.High == list[4].Pos {
		t.Log("a copy of the file would have done this time")
	}
}

func TestBackupTakesPhotosAlong(t *testing.T) {
	s, _ := testOpen(t)
	dir := filepath.Join(t.TempDir(), "backups")
	b1, m1 := testPhoto(50, 200, 200)
	b2, m2 := testPhoto(51, 200, 200)
	push(t, s, raws("a", 0, 5)...)
	send(t, s, b1, m1)
	backedUpTo(t, s, 0, true)
	first := mustBackup(t, s, dir)
	if first.Photos != 1 || len(first.Wrong) != 0 || first.Size == 0 {
		t.Errorf("%+v", first)
	}
	backedUpTo(t, s, 5, false)
	if st, err := s.Blob(t.Context(), m1.SHA); err != nil || !st.Backed {
		t.Errorf("%+v, %v", st, err)
	}
	send(t, s, b2, m2)
	if st, err := s.Blob(t.Context(), m2.SHA); err != nil || st.Backed {
		t.Errorf("%+v, %v", st, err)
	}
	backedUpTo(t, s, 5, true)
	// A photo that goes bad in the shop does not get into the backup and does not
	// hold up the records.
	rotten := slices.Clone(b2)
	rotten[100] ^= 1
	if err := os.WriteFile(s.file(m2.SHA), rotten, 0o600); err != nil {
		t.Fatal(err)
	}
	push(t, s, raws("a", 5, 1)...)
	second := mustBackup(t, s, dir)
	if len(second.Wrong) != 1 || !strings.Contains(second.Wrong[0], m2.SHA) || second.Photos != 1 || second.Pos != 6 {
		t.Errorf("%+v", second)
	}
	backedUpTo(t, s, 6, true)
	if err := os.WriteFile(s.file(m2.SHA), b2, 0o600); err != nil {
		t.Fatal(err)
	}
	third := mustBackup(t, s, dir)
	if third.Photos != 2 || len(third.Wrong) > 0 {
		t.Errorf("%+v", third)
	}
	backedUpTo(t, s, 6, false)
	// What is taken out for good leaves the backups too.
	push(t, s, denyRecord("a", 9, m1.SHA))
	fourth := mustBackup(t, s, dir)
	if _, err := os.Stat(filepath.Join(dir, "blobs", m1.SHA[:2], m1.SHA)); !errors.Is(err, fs.ErrNotExist) || fourth.Photos != 1 {
		t.Errorf("the photo that was taken out: %v, %+v", err, fourth)
	}
	if r := mustCheck(t, fourth.Path); !r.OK() || r.Photos.Whole != 1 {
		t.Errorf("%+v", r)
	}
	list, err := Backups(t.Context(), dir)
	if err != nil || len(list) != 4 || list[0].Path != first.Path || list[3].Pos != 7 || list[3].Photos != 1 || list[0].Photos != 1 {
		t.Errorf("%+v, %v", list, err)
	}
}

// What was set aside is worth a backup too.
func TestSetAsideCountsAsAChange(t *testing.T) {
	s, _ := testOpen(t)
	dir := t.TempDir()
	push(t, s, raw("a", 1, 1))
	mustBackup(t, s, dir)
	backedUpTo(t, s, 1, false)
	push(t, s, raw("a", 1, 2))
	backedUpTo(t, s, 1, true)
	b := mustBackup(t, s, dir)
	backedUpTo(t, s, 1, false)
	if r := mustCheck(t, b.Path); r.Quarantine != 1 || len(r.SetAside) != 1 || r.SetAside[0].Kept != raw("a", 1, 1) || r.SetAside[0].Other != raw("a", 1, 2) {
		t.Errorf("%+v", r)
	}
}

// A backup of a database that is not sound, or to where nothing can be written, is
// an error and leaves nothing that looks like one.
func TestFailedBackupLeavesNothing(t *testing.T) {
	path := damaged(t, `UPDATE records SET chain = zeroblob(32) WHERE pos = 5`)
	s := reopen(t, path)
	dir := filepath.Join(t.TempDir(), "backups")
	if b, err := s.Backup(t.Context(), dir); err == nil || !strings.Contains(err.Error(), "position 5") {
		t.Errorf("%+v, %v", b, err)
	}
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Backup(t.Context(), filepath.Join(blocked, "backups")); err == nil {
		t.Error("a backup below a file")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.Backup(ctx, dir); err == nil {
		t.Error("a backup without time left")
	}
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
	backedUpTo(t, s, 0, true)
}

// A clock that goes backwards does not make the newest backup look old.
func TestNewestBackupIsLastWhateverTheClockDoes(t *testing.T) {
	s, _ := testOpen(t)
	dir := t.TempDir()
	now := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	s.Now = func() time.Time { return now }
	for i, at := range []time.Duration{0, 0, -400 * 24 * time.Hour, time.Hour} {
		push(t, s, raws("a", i, 1)...)
		now = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC).Add(at)
		mustBackup(t, s, dir)
	}
	list, err := Backups(t.Context(), dir)
	if err != nil || len(list) != 4 {
		t.Fatalf("%+v, %v", list, err)
	}
	for i, b := range list {
		if b.Pos != int64(i+1) {
			t.Errorf("backup %d (%s) goes to %d", i, b.Path, b.Pos)
		}
	}
}

func TestPruneKeepsHoursAndDays(t *testing.T) {
	dir := t.TempDir()
	start := time.Date(2026, 3, 2, 8, 10, 0, 0, time.UTC)
	var all []string
	for h := range 60 * 24 { // two months, three backups an hour
		for m := range 3 {
			at := start.Add(time.Duration(h)*time.Hour + time.Duration(m)*10*time.Minute)
			name := filepath.Join(dir, backupName+at.Format(backupTime)+backupEnd)
			if err := os.WriteFile(name, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			all = append(all, name)
		}
	}
	for _, other := range []string{"notes.txt", "tubewright-letter.db", "tubewright-20260302T081000.000Z.db.part"} {
		if err := os.WriteFile(filepath.Join(dir, other), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	deleted, err := Prune(dir, 24, 30)
	if err != nil {
		t.Fatal(err)
	}
	left, err := backupNames(dir)
	if err != nil {
		t.Fatal(err)
	}
	// The last ends at 07:30; the newest of a day is one of the hourly ones on the
	// last day and on the day before, where it is 23:30.
	if len(left) != 24+30-2 || len(deleted)+len(left) != len(all) || left[len(left)-1].Path != all[len(all)-1] {
		t.Errorf("%d left, %d deleted of %d", len(left), len(deleted), len(all))
	}
	hours, days := map[time.Time]bool{}, map[time.Time]bool{}
	for _, b := range left {
		if b.At.Minute() != 30 {
			t.Errorf("%s is not the newest of its hour", b.Path)
		}
		hours[b.At.Truncate(time.Hour)], days[b.At.Truncate(24*time.Hour)] = true, true
	}
	if len(days) != 30 {
		t.Errorf("%d days", len(days))
	}
	if again, err := Prune(dir, 24, 30); err != nil || len(again) > 0 {
		t.Errorf("again: %v, %v", again, err)
	}
	if files, err := filepath.Glob(filepath.Join(dir, "*")); err != nil || len(files) != len(left)+3 {
		t.Errorf("%d files, %v", len(files), err)
	}
	if _, err := Prune(dir, 0, 0); err != nil {
		t.Fatal(err)
	}
	if left, _ := backupNames(dir); len(left) != 1 {
		t.Errorf("%d left: the newest stays", len(left))
	}
}

// What is called backed up is what the folder holds now.
func TestReviewBelievesOnlyTheFolder(t *testing.T) {
	s, _ := testOpen(t)
	dir := filepath.Join(t.TempDir(), "backups")
	b, m := testPhoto(52, 100, 100)
	send(t, s, b, m)
	push(t, s, raws("a", 0, 5)...)
	mustBackup(t, s, dir)
	push(t, s, raws("a", 5, 5)...)
	newest := mustBackup(t, s, dir)
	review := func(want int64, changed, photo bool) {
		t.Helper()
		if err := s.Review(t.Context(), dir); err != nil {
			t.Fatal(err)
		}
		backedUpTo(t, s, want, changed)
		if st, err := s.Blob(t.Context(), m.SHA); err != nil || st.Backed != photo {
			t.Errorf("photo: %+v, %v", st, err)
		}
	}
	review(10, false, true)
	if err := os.WriteFile(newest.Path, []byte("damaged"), 0o600); err != nil {
		t.Fatal(err)
	}
	review(5, true, true)
	if list, err := Backups(t.Context(), dir); err != nil || len(list) != 2 || len(list[0].Wrong) != 0 || len(list[1].Wrong) != 1 {
		t.Errorf("%+v, %v", list, err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "blobs")); err != nil {
		t.Fatal(err)
	}
	review(5, true, false)
	other, _ := testOpen(t)
	push(t, other, raws("b", 0, 5)...)
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	review(0, true, false)
	mustBackup(t, other, dir) // another shop's
	review(0, true, false)
}

// DB8: a reader that forgets to close lets the log file grow; once it is gone one
// quiet moment brings it back, and nothing that this package reads stays open.
func TestDB8LogShrinksWhenIdle(t *testing.T) {
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 1)...)
	forgotten, err := sqlx.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer forgotten.Close()
	rows, err := forgotten.Query(`SELECT pos FROM records UNION ALL SELECT 1 FROM records`)
	if err != nil || !rows.Next() {
		t.Fatal(err)
	}
	for n := 1; n < 1201; n += 200 {
		push(t, s, raws("a", n, 200)...)
	}
	logSize := func() int64 {
		info, err := os.Stat(path + "-wal")
		if err != nil {
			t.Fatal(err)
		}
		return info.Size()
	}
	grown := logSize()
	start := time.Now()
	if err := s.Tidy(t.Context()); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 2*time.Second {
		t.Errorf("a reader held it up for %v", took)
	}
	if still := logSize(); still < 1<<19 {
		t.Errorf("the log has %d bytes: the reader did not hold it, the test says nothing", still)
	}
	rows.Close()
	s.All(t.Context())
	s.Job(t.Context(), "j1")
	s.After(t.Context(), 0, 1000)
	s.Devices(t.Context())
	mustBackup(t, s, t.TempDir())
	s.Export(t.Context(), discard{}, nil)
	if open := s.read.Stats().InUse + s.write.Stats().InUse; open != 0 {
		t.Errorf("%d connections are in use with nothing to do", open)
	}
	if err := s.Tidy(t.Context()); err != nil {
		t.Fatal(err)
	}
	if left := logSize(); left != 0 {
		t.Errorf("the log has %d bytes after %d", left, grown)
	}
	if r := mustCheck(t, path); !r.OK() || r.Records != 1201 {
		t.Errorf("%+v", r)
	}
}

type discard struct{}

func (discard) Write(b []byte) (int, error) { return len(b), nil }

func BenchmarkBackup20000(b *testing.B) {
	s, _ := testOpen(b)
	for n := 0; n < 20000; n += 200 {
		push(b, s, raws("a", n, 200)...)
	}
	dir := b.TempDir()
	for b.Loop() {
		mustBackup(b, s, dir)
	}
}

// A backup may lie in a folder that others can read: its files are for the shop only.
func TestBackupsAreForTheirOwnerOnly(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("SKIPPED: Windows has no such modes")
	}
	s, _ := testOpen(t)
	push(t, s, raws("a", 0, 3)...)
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	b := mustBackup(t, s, dir)
	aside := filepath.Join(dir, "aside.db")
	if err := copyAside(t.Context(), s.write, aside); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{b.Path, aside} {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", path, info.Mode(), err)
		}
	}
}
