package store

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

// armKill makes the program kill itself, as kill -9 does, at the step that the
// environment says.
func armKill() {
	left, _ := strconv.Atoi(os.Getenv(stepEnv))
	step = func() {
		if left--; left == 0 {
			self, _ := os.FindProcess(os.Getpid())
			self.Kill()
			select {}
		}
	}
}

// killedAt runs a victim that kills itself at a step; ended is true when it came
// to its end before that.
func killedAt(t *testing.T, env, path string, n int) (ended bool) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), env+"="+path, stepEnv+"="+strconv.Itoa(n))
	out, err := cmd.CombinedOutput()
	if err == nil {
		return true
	}
	if cmd.ProcessState.Exited() {
		t.Fatalf("step %d: the victim failed: %v: %s", n, err, out)
	}
	return false
}

const sendSeed = 31

func sendAll(path string) error {
	ctx := context.Background()
	s, err := Open(ctx, path)
	if err != nil {
		return err
	}
	armKill()
	b, m := testPhoto(sendSeed, 600, 500)
	if _, err := s.BeginBlob(ctx, m); err != nil {
		return err
	}
	for i := range m.Chunks {
		if _, err := s.PutChunk(ctx, m.SHA, i, chunk(b, i)); err != nil {
			return err
		}
	}
	return s.Close()
}

// PH5: the program is killed between any two steps of taking in a photo. After
// that the photo is there and right, or not there; and sending what Have says is
// missing makes it whole.
func TestPH5KilledWhileAPhotoCame(t *testing.T) {
	b, m := testPhoto(sendSeed, 600, 500)
	if len(m.Chunks) < 2 {
		t.Fatalf("%d chunks", len(m.Chunks))
	}
	steps, whole := 0, 0
	for n := 1; ; n++ {
		path := filepath.Join(t.TempDir(), "shop.db")
		ended := killedAt(t, sendEnv, path, n)
		if r := mustCheck(t, path); !r.OK() {
			t.Fatalf("step %d: %+v", n, r)
		}
		s := reopen(t, path)
		if holds(t, s, b, m) {
			whole++
		} else if ended {
			t.Fatal("the victim ended and the photo is not there")
		}
		send(t, s, b, m)
		if !holds(t, s, b, m) {
			t.Fatalf("step %d: the photo cannot be finished", n)
		}
		if r := mustCheck(t, path); !r.OK() || r.Photos.Whole != 1 || r.Photos.Stray != 0 {
			t.Fatalf("step %d: %+v", n, r)
		}
		s.Close()
		if ended {
			break
		}
		steps++
	}
	t.Logf("killed at each of %d steps; the photo was whole after %d", steps, whole)
	if steps < 10 {
		t.Errorf("only %d steps", steps)
	}
}

func backUp(path string) error {
	s, err := Open(context.Background(), path)
	if err != nil {
		return err
	}
	armKill()
	_, err = s.Backup(context.Background(), filepath.Join(filepath.Dir(path), "backups"))
	return err
}

// DB10: the program is killed between any two steps of a backup. Every backup
// that is there then is whole, what is called backed up is in one, and the next
// one works.
func TestDB10KilledWhileBackingUp(t *testing.T) {
	steps, kept := 0, 0
	for n := 1; ; n++ {
		s, path := testOpen(t)
		push(t, s, raws("a", 0, 30)...)
		for seed := range uint64(2) {
			b, m := testPhoto(40+seed, 100, 100)
			send(t, s, b, m)
		}
		s.Close()
		ended := killedAt(t, backupEnv, path, n)
		dir := filepath.Join(filepath.Dir(path), "backups")
		list, err := Backups(t.Context(), dir)
		if err != nil || len(list) > 1 {
			t.Fatalf("step %d: %+v, %v", n, list, err)
		}
		s = reopen(t, path)
		pos, err := s.BackedPos(t.Context())
		if err != nil || pos > 0 && len(list) == 0 || ended && pos != 30 {
			t.Fatalf("step %d: backed up to %d with %d backups, %v", n, pos, len(list), err)
		}
		for _, b := range list {
			kept++
			if r := mustCheck(t, b.Path); !r.OK() || r.High != 30 || r.Photos.Whole != 2 || len(b.Wrong) != 0 {
				t.Fatalf("step %d: %+v, %+v", n, b, r)
			}
		}
		if b, err := s.Backup(t.Context(), dir); err != nil || b.Pos != 30 || b.Photos != 2 || len(b.Wrong) > 0 {
			t.Fatalf("step %d: the next one: %+v, %v", n, b, err)
		}
		if changed, err := s.Changed(t.Context()); err != nil || changed {
			t.Errorf("step %d: changed %v, %v", n, changed, err)
		}
		if ended {
			break
		}
		steps++
	}
	t.Logf("killed at each of %d steps; a backup was there after %d", steps, kept)
	if steps < 8 {
		t.Errorf("only %d steps", steps)
	}
}

func restoreNewest(path string) error {
	list, err := Backups(context.Background(), filepath.Join(filepath.Dir(path), "backups"))
	if err != nil {
		return err
	}
	armKill()
	_, err = Restore(context.Background(), path, list[len(list)-1].Path)
	return err
}

// DB10: killed between any two steps of a restore, the database is the old or the
// restored one, whole, and what was in the old one is in it or in the copy aside.
func TestDB10KilledWhileRestoring(t *testing.T) {
	steps := 0
	for n := 1; ; n++ {
		s, path := testOpen(t)
		push(t, s, raws("a", 0, 30)...)
		if _, err := s.Backup(t.Context(), filepath.Join(filepath.Dir(path), "backups")); err != nil {
			t.Fatal(err)
		}
		push(t, s, raws("a", 30, 20)...)
		pair(t, s, "a", "measure") // since the backup
		s.Close()
		ended := killedAt(t, restoreEnv, path, n)
		r := mustCheck(t, path)
		if kept := keptPaired(t.Context(), path); len(kept) != 1 {
			t.Fatalf("step %d: %d pairings, want the one that there was", n, len(kept))
		}
		asides, err := filepath.Glob(path + ".before-restore-*")
		if err != nil || !r.OK() || r.High != 50 && r.High != 30 || r.High == 30 && len(asides) == 0 || ended && r.High != 30 {
			t.Fatalf("step %d: %+v, aside %v, %v", n, r, asides, err)
		}
		for _, a := range asides {
			if r := mustCheck(t, a); !r.OK() || r.High != 50 {
				t.Fatalf("step %d: aside %+v", n, r)
			}
		}
		if ended {
			break
		}
		steps++
	}
	t.Logf("killed at each of %d steps", steps)
	if steps < 3 {
		t.Errorf("only %d steps", steps)
	}
}
