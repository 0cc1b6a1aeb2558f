package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// toolPackages only drive bundlers and browsers: nothing of theirs goes out, and under
// the race detector the bundler takes many times as long.
var toolPackages = []string{"./cmd/build/...", "./pwa/..."}

var testArgs = []string{"test", "-json", "-timeout", "45m"}

func (c checker) toolTests(ctx context.Context, w io.Writer) (tally, error) {
	return c.goTest(ctx, w, nil, slices.Concat(testArgs, toolPackages)...)
}

// productTests runs the tests of what goes out, browsers too, under the race detector
// where a C compiler is there for it.
func (c checker) productTests(ctx context.Context, w io.Writer) (tally, error) {
	product, err := c.productPackages(ctx)
	if err != nil {
		return tally{}, err
	}
	var race []string
	if _, err := exec.LookPath("gcc"); err == nil {
		race = []string{"-race"}
	} else {
		fmt.Fprintln(w, "SKIPPED: the race detector, because gcc is missing")
	}
	return c.goTest(ctx, w, nil, slices.Concat(testArgs, race, product)...)
}

func (c checker) productPackages(ctx context.Context) ([]string, error) {
	all, err := c.list(ctx, "./...")
	if err != nil {
		return nil, err
	}
	tools, err := c.list(ctx, toolPackages...)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(pkg string) bool { return slices.Contains(tools, pkg) }), nil
}

func (c checker) list(ctx context.Context, patterns ...string) ([]string, error) {
	cmd := exec.CommandContext(ctx, "go", append([]string{"list"}, patterns...)...)
	cmd.Dir = c.root
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("list the packages: %w", err)
	}
	return strings.Fields(string(out)), nil
}

// wasmTests runs the tests of the calculation again as the tablet runs it.
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
	return c.goTest(ctx, w, wasmEnv, "test", "-json", "-trimpath", "-exec="+runner, "./calc/...")
}

func (c checker) goTest(ctx context.Context, w io.Writer, env []string, args ...string) (tally, error) {
	cmd := exec.CommandContext(ctx, "go", args...)
	cmd.Dir = c.root
	cmd.Env = append(os.Environ(), env...)
	cmd.Stderr = w
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		return tally{}, err
	}
	if err := cmd.Start(); err != nil {
		return tally{}, err
	}
	counted, readErr := readEvents(pipe, w)
	if err := cmd.Wait(); err != nil {
		return counted, err
	}
	return counted, readErr
}

// event is what we use of a line of go test -json.
type event struct{ Action, Package, ImportPath, Test, Output string }

// readEvents counts tests and writes what go test itself would: what failed with all
// it said, what was skipped with its reason, and the line of each package last.
func readEvents(r io.Reader, w io.Writer) (tally, error) {
	said := map[string]string{} // by package and test
	var counted tally
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
			if e.Test == "" && isClosing(e.Output) {
				closing.WriteString(e.Output)
			}
		case "pass", "fail", "skip":
			if e.Test != "" {
				counted.add(e.Action)
			}
			if e.Action == "fail" || e.Action == "skip" && e.Test != "" {
				fmt.Fprint(w, said[key])
			}
			if e.Action == "fail" && e.Test == "" && counted.failed == 0 {
				counted.failed++ // it did not compile, or ended without a verdict
			}
			delete(said, key)
		}
	}
	fmt.Fprint(w, closing.String())
	return counted, lines.Err()
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
