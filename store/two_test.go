package store

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// While another process appends, as the server does, this one imports, backs up
// and exports; every record of both is there once, and the chain fits.
func TestImportWhileAnotherProcessAppends(t *testing.T) {
	from, _ := testOpen(t)
	push(t, from, raws("x", 0, 700)...)
	b, m := testPhoto(91, 100, 100)
	send(t, from, b, m)
	file, _ := exportBytes(t, from)

	s, path := testOpen(t)
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), appendEnv+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	read := make(chan struct{})
	go func() { io.Copy(io.Discard, out); close(read) }()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		if high, err := s.High(t.Context()); err != nil || time.Now().After(deadline) {
			t.Fatalf("the other does not append: %v", err)
		} else if high > 0 {
			break
		}
	}
	im := importBytes(t, s, file)
	if im.Records != 700 || im.Photos != 1 || !im.Whole() {
		t.Errorf("%+v", im)
	}
	backup := mustBackup(t, s, filepath.Join(t.TempDir(), "backups"))
	again, a := exportBytes(t, s)
	if im := importBytes(t, s, again); im.Known != a.Records || im.Records != 0 || !im.Whole() {
		t.Errorf("%+v of %+v", im, a)
	}
	cmd.Process.Kill()
	cmd.Wait()
	<-read
	r := mustCheck(t, path)
	if !r.OK() || r.High <= 700 || r.Photos.Whole != 1 {
		t.Errorf("%+v", r)
	}
	if b := mustCheck(t, backup.Path); !b.OK() || b.High > r.High || b.High < 700 {
		t.Errorf("%+v", b)
	}
	t.Logf("the other process appended %d records meanwhile", r.High-700)
}
