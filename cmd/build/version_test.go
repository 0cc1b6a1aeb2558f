package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"
	"time"
)

func TestTreeWithoutACommitIsDev(t *testing.T) {
	t.Setenv("GIT_CEILING_DIRECTORIES", os.TempDir())
	dir := t.TempDir()
	if got := describe(t.Context(), dir); got != "dev" {
		t.Errorf("version %q, want dev", got)
	}
	if at := committed(t.Context(), dir); !at.IsZero() {
		t.Errorf("committed %v, want no time", at)
	}
}

func TestVersionIsTheTagAndSaysWhatCameAfter(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("SKIPPED: git is missing")
	}
	for _, who := range []string{"AUTHOR", "COMMITTER"} {
		t.Setenv("GIT_"+who+"_NAME", "a")
		t.Setenv("GIT_"+who+"_EMAIL", "a@b.example")
		t.Setenv("GIT_"+who+"_DATE", "2026-03-01T12:00:00+01:00")
	}
	t.Setenv("GIT_CONFIG_GLOBAL", os.DevNull)
	dir := t.TempDir()
	file := filepath.Join(dir, "a")
	run := func(args ...string) {
		t.Helper()
		cmd := exec.Command("git", args...)
		cmd.Dir = dir
		if said, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("git %v: %v\n%s", args, err, said)
		}
	}
	change := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want := func(what string) {
		t.Helper()
		if got := describe(t.Context(), dir); !regexp.MustCompile(what).MatchString(got) {
			t.Errorf("version %q, want %s", got, what)
		}
	}
	run("init", "-q")
	change("1")
	run("add", "a")
	run("commit", "-q", "-m", "a")
	want(`^[0-9a-f]{7,}$`)
	run("tag", "v1.2.3")
	run("tag", "later") // is no version
	want(`^v1\.2\.3$`)
	change("2")
	want(`^v1\.2\.3-dirty$`)
	run("commit", "-q", "-a", "-m", "b")
	want(`^v1\.2\.3-1-g[0-9a-f]{7,}$`)
	if got, want := committed(t.Context(), dir), time.Date(2026, 3, 1, 11, 0, 0, 0, time.UTC); !got.Equal(want) {
		t.Errorf("committed %v, want %v", got, want)
	}
}
