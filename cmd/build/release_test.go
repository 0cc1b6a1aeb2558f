package main

import (
	"bytes"
	"flag"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

var twice = flag.Bool("twice", false, "build the release for linux-amd64 twice and compare; some minutes")

// Two builds, the second from a copy elsewhere with an empty cache.
func TestReleaseBuiltTwiceIsTheSame(t *testing.T) {
	if !*twice {
		t.Skip("SKIPPED: builds for some minutes; -twice runs it, and every release does")
	}
	if runtime.GOOS != "linux" || runtime.GOARCH != "amd64" {
		t.Skip("SKIPPED: for linux-amd64 only")
	}
	t.Setenv("GOTOOLCHAIN", "local") // ends the change that the command makes
	// A copy, since the sources may be worked on while this runs.
	root, to := filepath.Join(t.TempDir(), "sources"), filepath.Join(t.TempDir(), "release")
	if err := copySources(filepath.Join("..", ".."), root); err != nil {
		t.Fatal(err)
	}
	if err := releaseCommand(t.Context(), root, []string{"-quick", "-toolchain", "local", "-for", "linux-amd64", "-version", "v0-test", "-to", to}); err != nil {
		t.Fatal(err)
	}
	p := platforms[0]
	if err := builtAgain(t.Context(), root, p, "v0-test", filepath.Join(to, p.file())); err != nil {
		t.Error(err)
	}
	for _, name := range []string{p.file(), sumsFile, sbomFile, "NOTICE", "LICENSE", "README.md", "SECURITY.md", "docs/service/tubewright.service"} {
		if _, err := os.Stat(filepath.Join(to, filepath.FromSlash(name))); err != nil {
			t.Errorf("the release lacks %s: %v", name, err)
		}
	}
}

// What is linked on any of the machines has its licence in NOTICE; nothing is built
// for that, and no package of the app is needed.
func TestEveryLinkedModuleHasItsLicenceInNotice(t *testing.T) {
	root := filepath.Join("..", "..")
	noted, err := os.ReadFile(filepath.Join(root, "NOTICE"))
	if err != nil {
		t.Fatal(err)
	}
	linked, err := modules(t.Context(), root)
	if err != nil {
		t.Fatal(err)
	}
	if len(linked) < 10 {
		t.Fatalf("only %d modules are linked", len(linked))
	}
	for _, p := range linked {
		if len(p.text) < 200 || !bytes.Contains(noted, []byte(p.heading()+"\n"+p.text+"\n")) {
			t.Errorf("the licence of %s %s is not in NOTICE; run: go run ./cmd/build notice, and read the change", p.name, p.version)
		}
		if p.sum == "" {
			t.Errorf("%s %s has no sum", p.name, p.version)
		}
	}
}

// This test's own program is not static and not trimmed.
func TestProgramBuiltInAnotherWayIsNotReleased(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if err := asMeant(self, platforms[0], nil); err == nil || !strings.Contains(err.Error(), "-trimpath") {
		t.Errorf("got %v", err)
	}
}

// A program that says something else, here another one altogether.
func TestProgramThatDoesNotKnowItsVersionIsNotReleased(t *testing.T) {
	echo, err := exec.LookPath("echo")
	if err != nil {
		t.Skip("SKIPPED: no program that answers anything")
	}
	if err := saysItself(t.Context(), echo, "v1.0.0", "0123456789ab"); err == nil || !strings.Contains(err.Error(), "v1.0.0") {
		t.Errorf("got %v", err)
	}
}

func TestFolderWithOtherThingsIsNotReplaced(t *testing.T) {
	dir := t.TempDir()
	if err := replaceable(filepath.Join(dir, "new")); err != nil {
		t.Error(err)
	}
	if err := replaceable(dir); err != nil {
		t.Errorf("an empty folder: %v", err)
	}
	write(t, filepath.Join(dir, "letter.txt"))
	if err := replaceable(dir); err == nil {
		t.Error("a folder with a letter in it would be deleted")
	}
	write(t, filepath.Join(dir, sumsFile))
	if err := replaceable(dir); err != nil {
		t.Errorf("an older release: %v", err)
	}
}

func TestCopyLeavesOutWhatItIsToldTo(t *testing.T) {
	from, to := t.TempDir(), filepath.Join(t.TempDir(), "copy")
	for _, name := range []string{"a.go", "bin/tubewright", "pwa/app.tsx", "pwa/dist/app.js", "pwa/distance.ts", "cmd/bin/a.go"} {
		write(t, filepath.Join(from, filepath.FromSlash(name)))
	}
	if err := copyFolder(from, to, []string{"bin", filepath.Join("pwa", "dist")}); err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	err := fs.WalkDir(os.DirFS(to), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			got[path] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"a.go", "cmd/bin/a.go", "pwa/app.tsx", "pwa/distance.ts"}
	if names := slices.Sorted(maps.Keys(got)); !slices.Equal(names, want) {
		t.Errorf("copied %v, want %v", names, want)
	}
}

// Every system is asked once; the tablet's is asked for both programs that run there.
func TestEverySystemIsAskedForVulnerabilitiesOnce(t *testing.T) {
	asked := map[string]int{}
	for _, r := range vulnRuns() {
		asked[r.goos]++
	}
	want := map[string]int{"js": 2}
	for _, p := range platforms {
		want[p.goos] = 1
	}
	if !maps.Equal(asked, want) {
		t.Errorf("asked %v, want %v", asked, want)
	}
}

func TestOneWayToEachFaultIsShown(t *testing.T) {
	said := "Vulnerability #1: GO-1\n    Fixed in: x@go1.2\n    Example traces found:\n      #1: a.go:1:1: a calls x\n      #2: b.go:1:1: b calls x\n      #10: c.go:1:1: c\n\nVulnerability #2: GO-2\n      #1: d\n"
	want := "Vulnerability #1: GO-1\n    Fixed in: x@go1.2\n    Example traces found:\n      #1: a.go:1:1: a calls x\n\nVulnerability #2: GO-2\n      #1: d"
	if got := firstTraces(said); got != want {
		t.Errorf("got %q", got)
	}
}

func TestIndexIsNamedByAURL(t *testing.T) {
	for path, want := range map[string]string{"/a b/vulndb-v0": "file:///a%20b/vulndb-v0", "C:/x": "file:///C:/x"} {
		if got := fileURL(path); got != want {
			t.Errorf("%s: %s, want %s", path, got, want)
		}
	}
}

func write(t *testing.T, path string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(path), 0o644); err != nil {
		t.Fatal(err)
	}
}
