package main

import (
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// What the plan says of a job with everything in its way stands on the pages, off
// line: the taped point with its ellipse, the point of a mock-up that was moved by
// 6 mm, the steering joint that fails where its shaft alone would pass, sockets,
// levers, tools and frames. Figures that are corrected clear what was said.
func TestWhatThePlanSaysIsShown(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "around.job.json")
	a.alone()
	query := "job=" + id
	edit := func(slot, text string) {
		t.Helper()
		a.goTo("measure", query+"&slot="+slot)
		a.enter(slot, text)
	}
	count := func(selector string) (n int) {
		t.Helper()
		a.must(a.b.Eval(&n, `return document.querySelectorAll(arguments[0]).length`, selector))
		return n
	}

	a.goTo("item", query+"&slot=point/q1")
	a.sees("point-at")
	a.says("point-at", "187.") // the file was made with the joint at 188, −285, 269.5
	if n := count("[data-test=point-ellipse] ellipse"); n != 2 {
		t.Errorf("%d views of the ellipse, want 2", n)
	}
	if n := count("[data-test=point-residuals] tbody tr"); n != 5 {
		t.Errorf("%d tapes with what is left over, want 5", n)
	}
	a.bothWays("fit-point", "point-fix")
	a.uncut()
	var tape string
	a.must(a.b.Eval(&tape, `return document.querySelectorAll("[data-test^='entity:']")[1].dataset.test.slice(7)`))
	edit("tape/"+tape+"/distance", "455 mm") // read as 435
	a.goTo("item", query+"&slot=point/q1")
	a.says("tape-suspect", "Tape 2, Bolt 1")
	a.picture("fit-tape-820")
	edit("tape/"+tape+"/distance", "435 mm")
	a.goTo("item", query+"&slot=point/q1")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=point-at]") && !document.querySelector("[data-test=tape-suspect]")`))

	// Coordinates beside the tapes are compared with them; either goes by one tap, and comes back by another.
	taped := a.text("point-at")
	for axis, v := range map[string]string{"x": "188", "y": "-285", "z": "299.5"} {
		edit("point/q1/"+axis, v)
	}
	a.goTo("item", query+"&slot=point/q1")
	a.says("point-twice", "the tapes are used")
	a.says("finding", "Find out which of the two is wrong")
	a.bothWays("fit-twice", "point-fix")
	a.tap("drop-entered")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=point-at]")?.innerText === arguments[0] && !document.querySelector("[data-test=point-twice]")`, taped))
	a.tap("undo")
	a.sees("point-twice")
	a.tap("drop-tapes")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=point-at]")?.textContent.includes("299.5") && !document.querySelector("[data-test=point-twice]")`))
	a.tap("undo")
	a.says("point-twice", "the tapes are used")
	a.tap("drop-entered")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=point-at]")?.innerText === arguments[0]`, taped))

	a.goTo("mockup", query+"&id=t3")
	a.says("suspect", "Point 2 of straight 3")
	a.says("suspect", "leave one out")
	a.bothWays("fit-mockup", "survey")
	a.tap("remove:t3-m3-2")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=survey]") && !document.querySelector("[data-test=suspect]")`))
	a.tap("undo")
	a.sees("suspect")
	a.tap("suspect-go")
	a.at("mark/t3-m3-2/x")
	a.goTo("tube", query+"&id=t3")
	a.says("suspect", "Point 2 of straight 3")

	// A bend that was entered for the same straight as another is marked, and found.
	edit("crook/t3-k2/after", "1")
	a.goTo("mockup", query+"&id=t3")
	a.says("spare:t3-k2", "entered twice")
	a.sees("add-bend:2")
	a.bothWays("fit-bend-twice", "spare:t3-k2")
	a.goTo("result", query)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-rule=mock-up-bend-twice]")`))
	edit("crook/t3-k2/after", "4")
	a.goTo("mockup", query+"&id=t3")
	a.says("entity:t3-k2", "no straight behind it")
	edit("crook/t3-k2/after", "2")
	a.goTo("mockup", query+"&id=t3")
	a.says("suspect", "Point 2 of straight 3")

	a.goTo("result", query)
	a.sees("gap-row")
	first := a.text("gap-row")
	if !strings.Contains(first, "steering") {
		t.Errorf("the first gap is %q", first)
	}
	if n := count("[data-test=gap-caution]"); n != 1 {
		t.Errorf("the caution stands %d times", n)
	}
	a.sees("access")
	a.sees("frame")
	a.bothWays("fit-gaps", "gaps", "access")

	// Without the joint its shaft would pass.
	a.goTo("item", query+"&slot=neighbour/n1")
	a.says("gap-row", "too")
	a.bothWays("fit-steering", "gaps")
	var joint string
	a.must(a.b.Eval(&joint, `return [...document.querySelectorAll("[data-test^='entity:']")].find((e) => e.textContent.includes("sphere")).dataset.test.slice(7)`))
	a.tap("remove:" + joint)
	a.says("gaps-count", "wide enough")
	a.tap("undo")
	a.says("gap-row", "too")

	a.goTo("item", query+"&slot=collector/c1")
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test=socket-row]").length === 4`))
	a.bothWays("fit-sockets", "sockets")
	a.goTo("tube", query+"&id=t1")
	a.says("lever-first", "1 mm of clock mark here moves the end")
	a.sees("socket")
	a.bothWays("fit-levers", "levers")

	// A path that was taken off piece by piece is adjusted to its socket, taken over, and given back.
	a.goTo("tube", query+"&id=t2")
	a.says("closing-miss", "As entered it misses the socket by")
	a.bothWays("fit-closing", "closing")
	length := a.text("tube-length:t2")
	a.tap("take-path")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='tube-length:t2']").textContent !== arguments[0]`, length))
	a.tap("undo")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='tube-length:t2']").textContent === arguments[0]`, length))
}
