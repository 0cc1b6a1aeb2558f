package main

import (
	"testing"

	"tubewright/pwa/drive"
)

// A day at the bench without the shop: pieces are cut, one bend comes out a degree too
// long, a joint two degrees off, and what was said of each is there.
func TestBenchDay(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	a.alone()
	query := "job=" + id
	a.goTo("job", query)
	a.says("step-bench", "cut")
	a.tap("step-bench")
	a.sees("bench:t2")
	a.says("made:t2", "as made it ends")
	a.bothWays("bench")

	a.tap("to-piece:t2-4")
	a.sees("as-made")
	a.bothWays("piece")
	a.tap("piece-stage:deburred")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='piece-stage:deburred']").ariaPressed === "true"`))
}
