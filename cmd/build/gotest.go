package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// toolPackages only drive bundlers and browsers: nothing of theirs goes out, and under
// the race detector the bundler takes many times as long.
var toolPackages = []string{"./cmd/build/...", "./pwa/..."}

func isTool(pkg string) bool {
	return slices.ContainsFunc(toolPackages, func(pattern string) bool {
		dir := "tubewright" + strings.TrimSuffix(strings.TrimPrefix(pattern, "."), "/...")
		return pkg == dir || strings.HasPrefix(pkg, dir+"/")
	})
}

// wholeProgram is the package whose tests drive browsers for most of the time of the check.
const wholeProgram = "tubewright/cmd/tubewright"

// go vet has been over everything when the tests begin.
var testArgs = []string{"test", "-json", "-vet=off", "-timeout", "60m"}

func (c checker) toolTests(ctx context.Context, w io.Writer) (tally, error) {
	return c.testOnceMore(ctx, w, testArgs, toolPackages)
}

// programTests runs the tests of the program, browsers too, under the race detector.
func (c checker) programTests(ctx context.Context, w io.Writer) (tally, error) {
	return c.testOnceMore(ctx, w, slices.Concat(testArgs, raceFlag(w)), []string{wholeProgram})
}

// productTests runs the tests of everything else that goes out, under the race detector
// where it can find something.
func (c checker) productTests(ctx context.Context, w io.Writer) (tally, error) {
	all, err := c.packages(ctx)
	if err != nil {
		return tally{}, err
	}
	found, err := racy(all)
	if err != nil {
		return tally{}, err
	}
	var raced, plain []string
	for _, pkg := range slices.Sorted(maps.Keys(all)) {
		switch {
		case pkg == wholeProgram || isTool(pkg):
		case found[pkg]:
			raced = append(raced, pkg)
		default:
			plain = append(plain, pkg)
		}
	}
	one, err1 := c.testOnceMore(ctx, w, testArgs, plain)
	two, err2 := c.testOnceMore(ctx, w, slices.Concat(testArgs, raceFlag(w)), raced)
	return one.with(two), errors.Join(err1, err2)
}

// raceFlag is the race detector where a C compiler is there for it.
func raceFlag(w io.Writer) []string {
	if _, err := exec.LookPath("gcc"); err == nil {
		return []string{"-race"}
	}
	fmt.Fprintln(w, "SKIPPED: the race detector, because gcc is missing")
	return nil
}

// wasmTests runs the tests of the calculation again as the tablet runs it, with fewer of
// the random cases that they all went through on this machine: it is the same code.
func (c checker) wasmTests(ctx context.Context, w io.Writer) (tally, error) {
	if _, err := exec.LookPath("node"); err != nil {
		fmt.Fprintln(w, "SKIPPED: node is missing")
		return tally{skipped: 1}, nil
	}
	cmd := exec.CommandContext(ctx, "go", "env", "GOROOT")
	cmd.Dir = c.root
	goroot, err := cmd.Output()
	if err != nil {
		return tally{}, fmt.Errorf("ask the go command for GOROOT: %w", err)
	}
	runner := filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "go_js_wasm_exec")
	got, err := c.goTest(ctx, w, wasmEnv, "test", "-json", "-vet=off", "-short", "-trimpath", "-exec="+runner, "./calc/...")
	return got.tally, err
}

func (c checker) goTest(ctx context.Context, w io.Writer, env []string, args ...string) (result, error) {
	cmd := c.start(ctx, "go", args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stderr = w
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		return result{}, err
	}
	if err := cmd.Start(); err != nil {
		return result{}, err
	}
	got, err := readEvents(pipe, w)
	return got, errors.Join(err, cmd.Wait())
}

// event is what we use of a line of go test -json.
type event struct{ Action, Package, ImportPath, Test, Output string }

// result is what a run of go test came to.
type result struct {
	tally
	broken []broken        // in the order in which they ended
	good   map[string]bool // tests and their parts that passed, by package and name
	fair   map[string]bool // packages that failed at the end of all their tests, by nothing grave
}

// broken is a test that failed, with its parts.
type broken struct {
	pkg, test string   // the whole test's name
	parts     []string // what of it failed: parts of it, then itself
	said      string
}

// readEvents counts tests and writes what go test itself would: what failed with all
// it said, what was skipped with its reason, and the line of each package last.
func readEvents(r io.Reader, w io.Writer) (result, error) {
	said := map[string]string{}    // by package and test
	failing := map[string]broken{} // by package and whole test
	failed := map[string]bool{}    // packages of which a test failed
	ended := map[string]bool{}     // packages that came to the end of their tests
	grave := map[string]bool{}     // packages with what no second run can take back
	got := result{good: map[string]bool{}, fair: map[string]bool{}}
	var closing strings.Builder
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<22)
	for lines.Scan() {
		var e event
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			fmt.Fprintln(w, lines.Text()) // not of go test: show it as it is
			continue
		}
		key := e.Package + " " + e.Test
		switch e.Action {
		case "build-output":
			fmt.Fprint(w, e.Output)
		case "output":
			if strings.HasPrefix(e.Output, "=== ") {
				continue // only says that it runs
			}
			said[key] += e.Output
			if isGrave(e.Output) {
				grave[e.Package] = true
			}
			if e.Test == "" && e.Output == "FAIL\n" {
				ended[e.Package] = true // what os.Exit ends does not say so
			}
			if e.Test == "" && isClosing(e.Output) {
				closing.WriteString(e.Output)
			}
		case "pass", "fail", "skip":
			if e.Test != "" {
				got.add(e.Action)
			}
			if e.Action == "fail" || e.Action == "skip" && e.Test != "" {
				fmt.Fprint(w, said[key])
			}
			switch {
			case e.Action == "pass" && e.Test != "":
				got.good[key] = true
			case e.Action == "fail" && e.Test != "":
				failed[e.Package] = true
				whole, _, isPart := strings.Cut(e.Test, "/")
				f := failing[e.Package+" "+whole]
				f.pkg, f.test, f.parts, f.said = e.Package, whole, append(f.parts, e.Test), f.said+said[key]
				failing[e.Package+" "+whole] = f
				if !isPart {
					got.broken = append(got.broken, f)
				}
			case e.Action == "fail" && failed[e.Package]:
				got.fair[e.Package] = ended[e.Package] && !grave[e.Package]
			case e.Action == "fail":
				got.failed++ // it did not compile, or ended without a verdict
			}
			delete(said, key)
		}
	}
	fmt.Fprint(w, closing.String())
	return got, lines.Err()
}

// isGrave tells what no second run can take back.
func isGrave(line string) bool {
	return strings.Contains(line, "DATA RACE") || strings.Contains(line, "panic: ")
}

func (t *tally) add(action string) {
	switch action {
	case "pass":
		t.passed++
	case "fail":
		t.failed++
	case "skip":
		t.skipped++
	}
}

// isClosing tells the line that go test ends a package with.
func isClosing(line string) bool {
	for _, start := range []string{"ok  \t", "FAIL\t", "?   \t"} {
		if strings.HasPrefix(line, start) {
			return true
		}
	}
	return false
}
