package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// The detector runs where two goroutines can meet: started by the package, by its tests,
// or by what of ours they call; and nowhere else.
func TestRaceDetectorRunsWhereGoroutinesMeet(t *testing.T) {
	dir := t.TempDir()
	file := func(text string) []string {
		names, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%d.go", len(names))
		if err := os.WriteFile(filepath.Join(dir, name), []byte("package p\n\n"+text), 0o600); err != nil {
			t.Fatal(err)
		}
		return []string{name}
	}
	quiet := file(`import "math"
func half(v, w vector) float64 { w.Parallel(v); return v.x / 2 * math.Pi }`)
	all := map[string]listed{
		"quiet":     {GoFiles: quiet, TestGoFiles: quiet, Imports: []string{"math"}},
		"starts":    {GoFiles: file(`func f() { go f() }`)},
		"locks":     {GoFiles: file(`import "sync"`)},
		"serves":    {GoFiles: file(`import "net/http"`)},
		"tests":     {GoFiles: quiet, TestGoFiles: file(`func TestA(t *testing.T) { t.Parallel() }`)},
		"outside":   {GoFiles: quiet, XTestGoFiles: file(`import "sync/atomic"`)},
		"calls":     {GoFiles: quiet, Imports: []string{"between"}},
		"between":   {GoFiles: quiet, Imports: []string{"starts", "calls"}},
		"testCalls": {GoFiles: quiet, TestGoFiles: quiet, TestImports: []string{"between"}},
		"apart":     {GoFiles: quiet, Imports: []string{"tests", "outside"}}, // their tests are not called
	}
	for path, p := range all {
		p.Dir = dir
		all[path] = p
	}
	got, err := racy(all)
	if err != nil {
		t.Fatal(err)
	}
	for path := range all {
		if want := path != "quiet" && path != "apart"; got[path] != want {
			t.Errorf("%s: %v, want %v", path, got[path], want)
		}
	}
}

// So it is in this project.
func TestRaceDetectorIsWhereItMatters(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	all, err := checker{root: root}.packages(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	got, err := racy(all)
	if err != nil {
		t.Fatal(err)
	}
	for pkg, want := range map[string]bool{"server": true, "store": true, "server/history": true, "cmd/tubewright": true, "calc/draw/pdf": true, "calc/flange": false, "calc/tube": false} {
		if got["tubewright/"+pkg] != want {
			t.Errorf("%s: %v, want %v", pkg, got["tubewright/"+pkg], want)
		}
	}
}
