package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os/exec"
	"runtime"
	"strings"
	"sync"
)

// target is one fuzz function.
type target struct{ pkg, name string }

// fuzz runs every fuzz target for a while, as many at once as there are processors.
func (c checker) fuzz(ctx context.Context, w io.Writer) (tally, error) {
	targets, err := c.fuzzTargets(ctx)
	if err != nil {
		return tally{}, err
	}
	var (
		mu      sync.Mutex
		wg      sync.WaitGroup
		counted tally
		slots   = make(chan struct{}, runtime.NumCPU())
	)
	for _, t := range targets {
		wg.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			cmd := exec.CommandContext(ctx, "go", "test", "-run=^$", "-fuzz=^"+t.name+"$",
				"-fuzztime="+c.fuzztime.String(), "-parallel=1", t.pkg)
			cmd.Dir = c.root
			said, err := cmd.CombinedOutput()
			mu.Lock()
			defer mu.Unlock()
			if err != nil && !ranOut(said) {
				counted.failed++
				fmt.Fprintf(w, "%s %s: %v\n%s\n", t.pkg, t.name, err, bytes.TrimSpace(said))
				return
			}
			counted.passed++
			fmt.Fprintf(w, "ok  \t%s %s\n", t.pkg, t.name)
		})
	}
	wg.Wait()
	if counted.failed > 0 {
		return counted, fmt.Errorf("%d of %d targets; the input is kept in testdata/fuzz of the package", counted.failed, len(targets))
	}
	return counted, nil
}

// ranOut tells a target that found nothing before its time was over, while go test
// was at work on an input: it then calls the end of the time a failure, on a busy
// machine now and then. What fails for an input names the file that keeps it.
func ranOut(said []byte) bool {
	return bytes.Contains(said, []byte("\n    context deadline exceeded\n")) && !bytes.Contains(said, []byte("Failing input"))
}

func (c checker) fuzzTargets(ctx context.Context) ([]target, error) {
	cmd := exec.CommandContext(ctx, "go", "test", "-list", "^Fuzz", "./...")
	cmd.Dir = c.root
	out, err := cmd.CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("list the fuzz targets: %w\n%s", err, bytes.TrimSpace(out))
	}
	return readTargets(string(out)), nil
}

// readTargets reads go test -list: names, then the line of the package they are in.
func readTargets(list string) []target {
	var found []target
	var names []string
	for line := range strings.Lines(list) {
		f := strings.Fields(line)
		switch {
		case len(f) == 1 && strings.HasPrefix(f[0], "Fuzz"):
			names = append(names, f[0])
		case len(f) >= 2 && f[0] == "ok":
			for _, n := range names {
				found = append(found, target{f[1], n})
			}
			names = nil
		}
	}
	return found
}
