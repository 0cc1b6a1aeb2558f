package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestEventsAreCountedAndFailuresShownWhole(t *testing.T) {
	in := strings.Join([]string{
		`{"Action":"run","Package":"p","Test":"TestA"}`,
		`{"Action":"output","Package":"p","Test":"TestA","Output":"quiet\n"}`,
		`{"Action":"pass","Package":"p","Test":"TestA"}`,
		`{"Action":"output","Package":"p","Test":"TestB","Output":"b_test.go:1: gap 3 mm, want 4\n"}`,
		`{"Action":"fail","Package":"p","Test":"TestB"}`,
		`{"Action":"output","Package":"p","Test":"TestC","Output":"no browser here\n"}`,
		`{"Action":"skip","Package":"p","Test":"TestC"}`,
		`{"Action":"output","Package":"p","Output":"FAIL\tp\t0.1s\n"}`,
		`{"Action":"fail","Package":"p"}`,
		`{"Action":"output","Package":"q","Output":"ok  \tq\t0.2s\n"}`,
		`{"Action":"pass","Package":"q"}`,
	}, "\n")
	var out strings.Builder
	got, err := readEvents(strings.NewReader(in), &out)
	if err != nil {
		t.Fatal(err)
	}
	if want := (tally{passed: 1, failed: 1, skipped: 1}); got.tally != want {
		t.Errorf("counted %v, want %v", got.tally, want)
	}
	for _, want := range []string{"gap 3 mm, want 4", "no browser here", "FAIL\tp\t0.1s\nok  \tq\t0.2s\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("lacks %q:\n%s", want, out.String())
		}
	}
	if strings.Contains(out.String(), "quiet") {
		t.Error("shows what a passed test said")
	}
}

// A package that does not compile has no test to count.
func TestPackageThatDoesNotCompileCountsAsFailed(t *testing.T) {
	in := `{"ImportPath":"p","Action":"build-output","Output":"p/a.go:3:1: syntax error\n"}
{"ImportPath":"p","Action":"build-fail"}
{"Action":"output","Package":"p","Output":"FAIL\tp [build failed]\n"}
{"Action":"fail","Package":"p","FailedBuild":"p"}`
	var out strings.Builder
	got, err := readEvents(strings.NewReader(in), &out)
	if err != nil {
		t.Fatal(err)
	}
	if got.failed != 1 || !strings.Contains(out.String(), "syntax error") {
		t.Errorf("counted %v and said:\n%s", got.tally, out.String())
	}
}

func TestFuzzTargetsBelongToThePackageOfTheirFile(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"a_test.go": "package p\n\nfunc FuzzLength(f *testing.F) {}\n\nfunc TestFuzzy(t *testing.T) {}\n\nfunc (k kit) FuzzOf() {}\n",
		"b_test.go": "package p_test\n\nfunc FuzzAngle(f *testing.F) {}\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	got, err := fuzzTargets(map[string]listed{"p": {Dir: dir, TestGoFiles: []string{"a_test.go"}, XTestGoFiles: []string{"b_test.go"}}, "q": {}})
	if err != nil {
		t.Fatal(err)
	}
	if want := []target{{"p", "FuzzLength"}, {"p", "FuzzAngle"}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// What go test says at the end of the time on a busy machine, and of an input that fails.
func TestOutOfTimeIsNoFinding(t *testing.T) {
	const over = "--- FAIL: FuzzLength (20.20s)\n    context deadline exceeded\nFAIL\n"
	if !ranOut([]byte(over)) {
		t.Error("the end of the time counts as a finding")
	}
	for _, said := range []string{
		"--- FAIL: FuzzLength (0.04s)\n    Failing input written to testdata/fuzz/FuzzLength/6dd2\n",
		"--- FAIL: FuzzLength (0.04s)\n    context deadline exceeded\n    Failing input written to testdata/fuzz/FuzzLength/6dd2\n",
		"# tubewright/calc/units\nunits.go:3: undefined: x\n",
	} {
		if ranOut([]byte(said)) {
			t.Errorf("not a finding: %q", said)
		}
	}
}
