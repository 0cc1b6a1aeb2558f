package main

import (
	"context"
	"fmt"
	"io"
	"slices"
)

// browserPackages have tests that drive browsers. On a busy machine one of hundreds fails
// now and then by what is neither the app's nor the test's.
var browserPackages = []string{
	"tubewright/cmd/build/bundle",
	wholeProgram,
	"tubewright/pwa",
	"tubewright/pwa/drive",
}

// mostUnsteady is how many failed tests are tried once more; where more fail, something
// is broken.
const mostUnsteady = 5

func (c checker) testOnceMore(ctx context.Context, w io.Writer, args, pkgs []string) (tally, error) {
	isSecond := false
	return onceMore(w, pkgs, func(more ...string) (result, error) {
		if isSecond {
			c.others.Lock()
			defer c.others.Unlock()
		} else {
			isSecond = true
			c.others.RLock()
			defer c.others.RUnlock()
		}
		if err := ctx.Err(); err != nil {
			return result{}, err
		}
		return c.goTest(ctx, w, nil, slices.Concat(args, more)...)
	})
}

// onceMore runs tests and then, alone and one after the other, those once more that failed
// in a package that drives browsers. One that passes then does not fail the check, but is
// named with what it said and counted apart. There is no second run after a data race or
// a panic, nor where a package did not come to the end of its tests.
func onceMore(w io.Writer, pkgs []string, run func(args ...string) (result, error)) (tally, error) {
	got, err := run(pkgs...)
	if err == nil {
		return got.tally, nil
	}
	again := got.again()
	if len(again) > mostUnsteady {
		fmt.Fprintf(w, "%d tests that drive browsers failed: too many to try them once more\n", len(again))
		return got.tally, err
	}
	for _, b := range again {
		// The go command may remember that it passed at some time: hence -count.
		second, err := run("-count=1", "-run=^"+b.test+"$", b.pkg)
		if err != nil || !second.clears(b) {
			fmt.Fprintf(w, "%s failed twice\n", b.test)
			continue
		}
		got.failed -= len(b.parts)
		got.unsteady++
		fmt.Fprintf(w, "UNSTEADY: %s failed once and passed alone. The first time it said:\n%s", b.test, b.said)
	}
	if got.failed == 0 && got.unsteady > 0 {
		return got.tally, nil
	}
	return got.tally, err
}

// again returns the tests that may be tried once more.
func (r result) again() (tests []broken) {
	for _, b := range r.broken {
		if slices.Contains(browserPackages, b.pkg) && r.fair[b.pkg] {
			tests = append(tests, b)
		}
	}
	return tests
}

// clears tells whether everything passed that had failed; a part that was skipped did not.
func (r result) clears(b broken) bool {
	return !slices.ContainsFunc(b.parts, func(part string) bool { return !r.good[b.pkg+" "+part] })
}
