package store

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// DB10: what is restored is the backup, what was there lies aside, photos are
// added and none is lost, and the log goes on from there.
func TestDB10RestoreKeepsACopyOfWhatWasThere(t *testing.T) {
	s, path := testOpen(t)
	dir := filepath.Join(t.TempDir(), "backups")
	b1, m1 := testPhoto(60, 100, 100)
	b2, m2 := testPhoto(61, 100, 100)
	send(t, s, b1, m1)
	push(t, s, raws("a", 0, 10)...)
	b := mustBackup(t, s, dir)
	push(t, s, raws("a", 10, 5)...)
	send(t, s, b2, m2) // only here, and the tablet has dropped it
	if err := os.Remove(s.file(m1.SHA)); err != nil {
		t.Fatal(err)
	}
	s.Close()
	before := mustCheck(t, path)
	aside, err := Restore(t.Context(), path, b.Path)
	if err != nil {
		t.Fatal(err)
	}
	if r := mustCheck(t, aside); r.High != 15 || r.Chain != before.Chain {
		t.Errorf("aside: %+v", r)
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 10 {
		t.Errorf("restored: %+v", r)
	}
	s = reopen(t, path)
	if !holds(t, s, b1, m1) || !holds(t, s, b2, m2) {
		t.Error("a photo is gone")
	}
	if _, ok, err := s.ChainAt(t.Context(), 15); ok || err != nil {
		t.Error("the chain of a tablet still fits")
	}
	// The tablets offer all they hold.
	if a := push(t, s, raws("a", 0, 15)...); len(a.Known) != 10 || len(a.Stored) != 5 {
		t.Errorf("%+v", a)
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 15 || r.Chain != before.Chain || r.Photos.Whole != 2 {
		t.Errorf("%+v", r)
	}
}

// The machine died: the backup folder is all there is.
func TestRestoreOnANewMachine(t *testing.T) {
	s, _ := testOpen(t)
	dir := filepath.Join(t.TempDir(), "backups")
	b, m := testPhoto(62, 100, 100)
	send(t, s, b, m)
	push(t, s, append(raws("a", 0, 10), photoRecord("a", 11, m.SHA, ""))...)
	made := mustBackup(t, s, dir)
	path := filepath.Join(t.TempDir(), "shop.db")
	if aside, err := Restore(t.Context(), path, made.Path); err != nil || aside != "" {
		t.Fatalf("%q, %v", aside, err)
	}
	s = reopen(t, path)
	if !holds(t, s, b, m) {
		t.Error("the photo is not there")
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 11 || r.Photos.Whole != 1 || r.Photos.Awaited != 0 {
		t.Errorf("%+v", r)
	}
}

func TestRestoreRefusesWhileItIsOpen(t *testing.T) {
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 10)...)
	b := mustBackup(t, s, filepath.Join(t.TempDir(), "backups"))
	push(t, s, raws("a", 10, 10)...)
	if _, err := Restore(t.Context(), path, b.Path); err == nil || !strings.Contains(err.Error(), "stop the server") {
		t.Errorf("restore under an open store: %v", err)
	}
	push(t, s, raws("a", 20, 10)...)
	if r := mustCheck(t, path); !r.OK() || r.High != 30 {
		t.Errorf("%+v", r)
	}
	s.Close()
	// Another process, as the server is.
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), appendEnv+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	if _, err := out.Read(make([]byte, 6)); err != nil { // ready
		t.Fatal(err)
	}
	go func() { // it must not stand still with a full pipe
		buf := make([]byte, 4096)
		for {
			if _, err := out.Read(buf); err != nil {
				return
			}
		}
	}()
	if _, err := Restore(t.Context(), path, b.Path); err == nil || !strings.Contains(err.Error(), "stop the server") {
		t.Errorf("restore under another process: %v", err)
	}
	cmd.Process.Kill()
	cmd.Wait()
	if aside, err := Restore(t.Context(), path, b.Path); err != nil || aside == "" {
		t.Errorf("after it was killed: %q, %v", aside, err)
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 10 {
		t.Errorf("%+v", r)
	}
}

// What one restores over may be anything: cut off, overwritten, not a database.
func TestRestoreOverADamagedFile(t *testing.T) {
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 200)...)
	b := mustBackup(t, s, filepath.Join(t.TempDir(), "backups"))
	s.Close()
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, bad := range map[string][]byte{
		"empty": {}, "letter": bytes.Repeat([]byte("Dear customer, "), 500), "cut": whole[:len(whole)/2], "no header": append(make([]byte, 4096), whole[4096:]...),
	} {
		for _, suffix := range []string{"", "-wal"} {
			if err := os.WriteFile(path+suffix, bad, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		aside, err := Restore(t.Context(), path, b.Path)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if kept, err := os.ReadFile(aside); err != nil || (len(kept) != len(bad) && name != "empty" && name != "cut") {
			t.Errorf("%s: aside %d bytes of %d, %v", name, len(kept), len(bad), err)
		}
		if r := mustCheck(t, path); !r.OK() || r.High != 200 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// A log file that belongs to the damaged database is not folded into the restored
// one.
func TestRestoreLeavesTheOldLogBehind(t *testing.T) {
	s, path := testOpen(t)
	if err := s.Heard(t.Context(), "a", "Yard", time.UnixMilli(1000)); err != nil {
		t.Fatal(err)
	}
	push(t, s, raws("a", 0, 10)...)
	if err := s.Tidy(t.Context()); err != nil {
		t.Fatal(err)
	}
	b := mustBackup(t, s, filepath.Join(t.TempDir(), "backups"))
	// A change that leaves the first page alone, which SQLite cannot open without.
	if err := s.Heard(t.Context(), "a", "Yard", time.UnixMilli(2000)); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "shop.db") // as a killed program leaves it, and then the first page went bad
	for _, suffix := range []string{"", "-wal"} {
		left, err := os.ReadFile(path + suffix)
		if err != nil || len(left) < 4096 {
			t.Fatalf("%d bytes, %v", len(left), err)
		}
		if suffix == "" {
			clear(left[:100])
		}
		if err := os.WriteFile(other+suffix, left, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	aside, err := Restore(t.Context(), other, b.Path)
	if err != nil {
		t.Fatal(err)
	}
	if r := mustCheck(t, other); !r.OK() || r.High != 10 {
		t.Errorf("restored: %+v", r)
	}
	if _, err := os.Stat(aside); err != nil {
		t.Error(err)
	}
	devices, err := reopen(t, other).Devices(t.Context())
	if err != nil || len(devices) != 1 || devices[0].Heard.UnixMilli() != 1000 {
		t.Errorf("opened: %+v, %v", devices, err)
	}
}

func TestRestoreOfABadBackupChangesNothing(t *testing.T) {
	bad := damaged(t, `UPDATE records SET raw = CAST(replace(CAST(raw AS TEXT), 'caliper', 'calipes') AS BLOB) WHERE pos = 4`)
	s, path := testOpen(t)
	push(t, s, raws("a", 0, 3)...)
	s.Close()
	letter := filepath.Join(t.TempDir(), "letter.db")
	if err := os.WriteFile(letter, []byte(strings.Repeat("Dear customer, ", 500)), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, from := range []string{bad, letter, path, filepath.Join(t.TempDir(), "none.db")} {
		if _, err := Restore(t.Context(), path, from); err == nil {
			t.Errorf("%s was restored", from)
		}
	}
	if r := mustCheck(t, path); !r.OK() || r.High != 3 {
		t.Errorf("%+v", r)
	}
	if left, _ := filepath.Glob(path + ".*"); len(left) > 0 {
		t.Errorf("left: %v", left)
	}
}
