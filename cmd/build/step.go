package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"
)

// tally counts what was tried; steps without tests of their own count as one. Unsteady
// is what failed once and passed alone.
type tally struct{ passed, failed, skipped, unsteady int }

// step is one part of the check. It writes what it found to w and returns what it
// counted; an error fails it.
type step struct {
	name string
	run  func(ctx context.Context, w io.Writer) (tally, error)
}

func (t tally) with(o tally) tally {
	return tally{t.passed + o.passed, t.failed + o.failed, t.skipped + o.skipped, t.unsteady + o.unsteady}
}

func (t tally) String() string {
	s := fmt.Sprintf("%d passed, %d failed, %d skipped", t.passed, t.failed, t.skipped)
	if t.unsteady > 0 {
		s += fmt.Sprintf(", %d UNSTEADY", t.unsteady)
	}
	return s
}

// outcome of the whole check, shared by lanes that run at once.
type outcome struct {
	mu     sync.Mutex
	out    io.Writer
	sum    tally
	failed []string
}

// lane runs steps in order. A section is printed whole when its step is done, so
// that lanes do not mix. A failed step does not stop the next: one run shows all.
func (o *outcome) lane(ctx context.Context, steps []step) {
	for _, s := range steps {
		if ctx.Err() != nil {
			return
		}
		var text strings.Builder
		began := time.Now()
		counted, err := s.run(ctx, &text)
		if counted == (tally{}) && err == nil {
			counted.passed = 1
		}
		if err != nil && counted.failed == 0 {
			counted.failed = 1
		}
		o.print(s.name, text.String(), time.Since(began), counted, err)
	}
}

func (o *outcome) print(name, text string, took time.Duration, counted tally, err error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	state := "passed"
	if err != nil {
		state = "FAILED"
		o.failed = append(o.failed, fmt.Sprintf("%s: %v", name, err))
	}
	fmt.Fprintf(o.out, "== %s: %s, %.1f s\n", name, state, took.Seconds())
	if text = strings.TrimRight(text, "\n"); text != "" {
		fmt.Fprintln(o.out, text)
	}
	if err != nil {
		fmt.Fprintln(o.out, err)
	}
	o.sum = o.sum.with(counted)
}

// together runs lanes at once and waits for all of them.
func (o *outcome) together(ctx context.Context, lanes ...[]step) {
	var wg sync.WaitGroup
	for _, steps := range lanes {
		wg.Go(func() { o.lane(ctx, steps) })
	}
	wg.Wait()
}
