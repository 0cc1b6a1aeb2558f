package main

import (
	"encoding/json"
	"testing"

	"tubewright/pwa/drive"
)

// A header is welded by the tablet alone: a way is chosen, a joint moved, which makes the
// order one's own; each joint shows what sources say; the purge is counted; a tack check is
// passed with a photo, and the sheet is there to print. Back in reach of the shop a second
// tablet has all of it, with who and when.
func TestHeaderIsWeldedWithoutTheShop(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	s := a.shop
	a.alone()
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-weld", "0 of 5 hold points")
	a.tap("step-weld")
	a.welding("order")
	a.joints("tube-by-tube", 0, "t1/1-2")
	a.tap("template:tack-all")
	a.joints("tack-all", 0, "t1/5-6") // for the bench first: t1/5-6 has 5.4 mm beside it
	a.says("how", "Tack every joint first")
	a.bothWays("weld-order", "how", "joints", "weld-looks")
	a.tap("template:own")
	a.joints("own", 0, "t1/5-6")
	a.tap("down:t1/5-6")
	a.joints("own", 1, "t1/5-6")
	a.tap("down:t1/5-6")
	a.joints("own", 2, "t1/5-6")
	a.tap("up:t1/5-6")
	a.joints("own", 1, "t1/5-6")
	a.welding("order")
	a.tap("joint:t1/5-6")
	a.welding("joint")
	a.says("joint-name", "Piece 1-5 to 1-6")
	a.says("joint-bench", "on the bench")
	a.says("amps", "builders, 16 gauge")
	a.says("amps", "35–40")
	a.says("amps", "60–110")
	a.tap("joint-more")
	a.says("joint-sources", "common practice, no source")
	a.bothWays("weld-joint")

	a.tap("part:purge")
	a.welding("purge")
	a.says("minutes:t1", "0.52 min") // π/4·37.973²·655.2 mm³ is 0.742 L; 5 of it at 7.079 L/min
	a.tap("count-act:t1")
	a.says("count:t1", "left")
	a.goTo("job", query) // it runs on while the page is away
	a.goTo("weld", query+"&id=purge")
	a.says("count:t1", "left")
	a.tap("also:t1")
	a.bothWays("weld-purge", "purge:t1")
	a.tap("count-act:t1")
	a.tap("field:weld/self/changes")
	a.enter("weld/self/changes", "10")
	a.welding("purge")
	a.says("minutes:t1", "1.05 min")

	a.tap("part:pull")
	a.welding("pull")
	a.says("pull:t1", "the slip may jam")
	a.bothWays("weld-pull")
	a.tap("part:growth")
	a.welding("growth")
	a.sees("between")
	a.bothWays("weld-growth")

	a.tap("part:holds")
	a.welding("holds")
	a.tap("passed:purge")
	a.tap("passed:tack_check")
	a.says("hold-by:tack_check", "Rowan")
	a.sees("no-photo:tack_check")
	a.photo("hold/self/tack_check", turned(1))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='hold:tack_check'] .thumb img") !== null && document.querySelector("[data-test='no-photo:tack_check']") === null`))
	a.tap("failed:daylight")
	a.says("weld-looks", "daylight through the collector failed")
	a.bothWays("weld-holds", "holds", "hold:tack_check", "hold:daylight")

	a.tap("to-sheet")
	a.sees("sheet-svg")
	a.bothWays("weld-sheet")
	a.goTo("job", query)
	a.says("step-weld", "failed: Daylight")
	a.complains("ERR_", "WebSocket")

	a.shop.start()
	a.unsent(0)
	b := newTablet(t, drive.Chromium, s)
	b.first("Alder")
	b.unsent(0)
	b.level()
	b.goTo("weld", query+"&id=holds")
	b.welding("holds")
	b.says("hold-by:tack_check", "Rowan")
	b.sees("hold:tack_check")
	b.tap("part:order")
	b.welding("order")
	b.joints("own", 1, "t1/5-6")
	b.complains("ERR_", "WebSocket")
}

// welding waits until a page of the weld plan shows what is worked out of all that was entered.
func (p *tablet) welding(part string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='weld-" + arguments[0] + "']")?.dataset.ready === "true"`, part))
}

// joints waits until the order is of a template and a joint is at its place, from 0.
func (p *tablet) joints(template string, place int, id string) {
	p.t.Helper()
	err := p.b.WaitFor(wait, `return document.querySelector("[data-test=joints]")?.dataset.template === arguments[0] &&
		document.querySelectorAll(".joint-row")[arguments[1]]?.dataset.test === "joint-row:" + arguments[2]`, template, place, id)
	if err != nil {
		var are []string
		p.must(p.b.Eval(&are, `return [...document.querySelectorAll(".joint-row")].map((e) => e.dataset.test)`))
		list, _ := json.Marshal(are)
		p.t.Fatalf("%s is not at place %d of %s: %s", id, place, template, list)
	}
}
