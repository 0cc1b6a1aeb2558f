package main

import (
	"bytes"
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
)

// target is one fuzz function.
type target struct{ pkg, name string }

// fuzz runs every fuzz target for a while, as many at once as there are processors. A
// package is compiled once for all of its targets: the go command would link it for each.
func (c checker) fuzz(ctx context.Context, w io.Writer) (tally, error) {
	all, err := c.packages(ctx)
	if err != nil {
		return tally{}, err
	}
	targets, err := fuzzTargets(all)
	if err != nil {
		return tally{}, err
	}
	cached, err := c.start(ctx, "go", "env", "GOCACHE").Output()
	if err != nil {
		return tally{}, fmt.Errorf("ask the go command for its cache: %w", err)
	}
	dir, err := os.MkdirTemp("", "tubewright-fuzz-")
	if err != nil {
		return tally{}, fmt.Errorf("make a folder for the fuzz targets: %w", err)
	}
	defer os.RemoveAll(dir)
	built := map[string]func() (string, error){}
	for _, t := range targets {
		if built[t.pkg] == nil {
			file := filepath.Join(dir, strings.ReplaceAll(t.pkg, "/", "-"))
			built[t.pkg] = sync.OnceValues(func() (string, error) {
				if said, err := c.start(ctx, "go", "test", "-c", "-vet=off", "-fuzz=.", "-o", file, t.pkg).CombinedOutput(); err != nil {
					return "", fmt.Errorf("%w\n%s", err, bytes.TrimSpace(said))
				}
				return file, nil
			})
		}
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
			file, err := built[t.pkg]()
			var said []byte
			if err == nil {
				cmd := c.start(ctx, file, "-test.run=^$", "-test.fuzz=^"+t.name+"$", "-test.fuzztime="+c.fuzztime.String(), "-test.parallel=1",
					"-test.fuzzcachedir="+filepath.Join(strings.TrimSpace(string(cached)), "fuzz", t.pkg))
				cmd.Dir = all[t.pkg].Dir
				said, err = cmd.CombinedOutput()
			}
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

// fuzzTargets reads the test files for them: to list them the go command would build every test.
func fuzzTargets(all map[string]listed) ([]target, error) {
	var found []target
	for _, pkg := range slices.Sorted(maps.Keys(all)) {
		for _, name := range slices.Concat(all[pkg].TestGoFiles, all[pkg].XTestGoFiles) {
			f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(all[pkg].Dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				return nil, fmt.Errorf("look for fuzz targets: %w", err)
			}
			for _, d := range f.Decls {
				if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && strings.HasPrefix(fn.Name.Name, "Fuzz") {
					found = append(found, target{pkg, fn.Name.Name})
				}
			}
		}
	}
	return found, nil
}
