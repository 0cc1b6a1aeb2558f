package main

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// On a tablet of the bench the pack comes whole from the shop by the job's first page, and
// another shop takes it in by its page, where it is found again; without the shop the tablet
// says why it has none.
func TestPackGoesByTheTabletToAnotherShop(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.goTo("job", "job="+id)
	a.fits("job")
	a.tap("get-pack")
	a.says("pack-made", "Heron-four-on-the-bench-invented-pack.tubewright.zip")
	a.tap("pack-link")
	name, b := a.file(folder)
	if name != "Heron-four-on-the-bench-invented-pack.tubewright.zip" || !bytes.HasPrefix(b, []byte("PK")) {
		t.Fatalf("%s of %d bytes", name, len(b))
	}
	if left, err := filepath.Glob(filepath.Join(a.shop.dir, halfPacks)); err != nil || len(left) > 0 {
		t.Errorf("the shop machine keeps %v, %v", left, err)
	}
	other := newShop(t)
	said := other.send(name, b)
	if !strings.Contains(said, "records new, 0 known") || strings.Contains(said, "△") {
		t.Errorf("the other shop says %s", said)
	}
	if said := other.send(name, b); !strings.Contains(said, "</span> 0 records new") {
		t.Errorf("the second time it says %s", said)
	}
	res, err := http.Get(other.url("/shop"))
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(res.Body)
	res.Body.Close()
	if err != nil || !strings.Contains(string(page), "/api/jobs/"+id+"/pack") {
		t.Errorf("the page of the other shop has no pack of it: %v", err)
	}
	if jobs := other.jobs(); len(jobs) != 1 || jobs[0]["id"] != id {
		t.Errorf("it has %v", jobs)
	}
	a.alone()
	a.goTo("job", "job="+id)
	a.sees("pack-away")
}

// send gives a file to the shop page, as a browser on the shop machine does.
func (s *shop) send(name string, b []byte) (page string) {
	s.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	w, err := m.CreateFormFile("archive", name)
	if err == nil {
		_, err = w.Write(b)
	}
	if err != nil {
		s.t.Fatal(err)
	}
	m.Close()
	r, err := http.NewRequest("POST", s.url("/shop/import"), &body)
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", strings.TrimSuffix(s.url("/"), "/"))
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		s.t.Fatalf("%s %v: %s", res.Status, err, text)
	}
	return string(text)
}

// A program that is killed while it packs leaves nothing under the pack's name.
func TestKilledPackIsNotThere(t *testing.T) {
	program, _ := build(t)
	data, id, _ := packedShop(t, "../../testdata/job/bench.job.json")
	folder := t.TempDir()
	killed := 0
	for _, after := range []int64{1, 100_000, 400_000} { // bytes of the half file
		file := filepath.Join(folder, "job.tubewright.zip")
		if killWhile(t, program, folder, after, "pack", "-data", data, id, "-o", file) {
			killed++
			if _, err := os.Lstat(file); err == nil {
				t.Errorf("killed after %d bytes it has left a pack", after)
			}
		}
		os.RemoveAll(folder)
		os.Mkdir(folder, 0o700)
	}
	if killed == 0 {
		t.Error("it was never killed in the middle")
	}
}

// killWhile kills a command once a file of so many bytes lies in a folder; isKilled is false
// when it came to its end before that.
func killWhile(t *testing.T, program, folder string, bytes int64, args ...string) (isKilled bool) {
	t.Helper()
	cmd := exec.Command(program, args...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for {
		select {
		case <-ended:
			return false
		case <-time.After(time.Millisecond):
		}
		names, err := filepath.Glob(filepath.Join(folder, ".new-*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if info, err := os.Stat(name); err == nil && info.Size() >= bytes {
				cmd.Process.Kill()
				<-ended
				return true
			}
		}
	}
}
