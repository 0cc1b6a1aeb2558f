package server

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// program is one of another house, without which a test is skipped.
func program(t *testing.T, name, from string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if errors.Is(err, exec.ErrNotFound) {
		t.Skipf("SKIPPED: labels are not read back from paper, because %s is missing (Debian: apt-get install %s)", name, from)
	}
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// The labels of a tube on paper, drawn at 300 dots an inch in grey and read by another
// program: each bears the address that opens its own piece, also where the shop's name is
// long, and also where the print is half as fine.
func TestLabelsAreReadFromPaper(t *testing.T) {
	pdftoppm, zbarimg := program(t, "pdftoppm", "poppler-utils"), program(t, "zbarimg", "zbar-tools")
	s := withFile(t, "four.job.json")
	for _, host := range []string{"192.0.2.7:8443", "tubewright-in-the-back-of-the-workshop-behind-the-paint-booth.example-county.example:8443"} {
		named := &shop{t: t, srv: s.srv, handler: s.srv.Handler(Door{Hosts: []string{host}, Open: true}), host: host}
		w := get(t, named, "GET", "/api/jobs/j1/sheets/labels-t1.pdf?paper=a4")
		if w.Code != 200 {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
		folder := t.TempDir()
		file := filepath.Join(folder, "labels.pdf")
		if err := os.WriteFile(file, w.Body.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		want := []string{}
		for i := range 7 {
			want = append(want, fmt.Sprintf("http://%s/#/piece?job=j1&id=t1-%d", host, i+1))
		}
		for _, dots := range []string{"300", "150"} {
			if out, err := exec.Command(pdftoppm, "-gray", "-r", dots, file, filepath.Join(folder, dots)).CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			pages, err := filepath.Glob(filepath.Join(folder, dots+"-*.pgm"))
			if err != nil || len(pages) == 0 {
				t.Fatalf("no page at %s dots: %v", dots, err)
			}
			out, err := exec.Command(zbarimg, append([]string{"--quiet", "--raw", "-Sdisable", "-Sqrcode.enable"}, pages...)...).Output()
			if err != nil {
				t.Errorf("%s, %s dots an inch: %v", host, dots, err)
				continue
			}
			got := strings.Fields(string(bytes.TrimSpace(out)))
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Errorf("%s, %s dots an inch: read\n%s\nwant\n%s", host, dots, strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		}
	}
}
