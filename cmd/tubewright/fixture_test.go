package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// A fixture is set up without the shop: how it stands, what the mock-up is of, suggested
// stations kept, one moved by large steps and one typed, one said to stay; clamps measured,
// ticked and photographed; then the way out, the earth path and the 3-D view, and the
// station sheet printed.
func TestFixtureIsSetUpWithoutTheShop(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "fixture.job.json")
	a.alone()
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-fixture", "1 of 3 clamp marks checked")
	a.tap("step-fixture")
	a.fixtureReady("stations")
	a.tap("part:base")
	a.fixtureReady("base")
	a.bothWays("fixture-base", "fixture-stands", "mock-up", "fixture-clamps", "caution")
	a.says("pipe:1", "spacer 3.94 mm") // (41.275 − 33.401)/2
	a.tap("pipe:3/4")
	a.says("pipe:3/4", "spacer 7.30 mm") // (41.275 − 26.670)/2
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='pipe:3/4']").ariaPressed === "true"`))
	a.tap("base:lying")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='field:fixture/self/base_turn']") !== null`))
	a.tap("base:standing")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='field:fixture/self/base_turn']") === null`))
	a.tap("field:fixture/self/post_diameter")
	a.enter("fixture/self/post_diameter", "3/4 in")
	a.goTo("fixture", query+"&id=base")
	a.fixtureReady("base")
	a.says("plate", "thick")

	a.tap("part:stations")
	a.fixtureReady("stations")
	first := a.stations("true")[0]
	a.bothWays("fixture-stations")
	a.tap("keep-station:" + first)
	a.fixtureReady("stations")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='station:" + arguments[0] + "']")?.dataset.suggested === "false"`, first))
	a.tap("keep-all")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-suggested='true']") === null && document.querySelector("[data-test=fixture-stations]")?.dataset.ready === "true"`))
	kept := a.stations("false")
	if len(kept) < 3 {
		t.Fatalf("%d stations on four tubes", len(kept))
	}

	a.goTo("station", query+"&id="+first)
	a.stationReady()
	before := a.along()
	a.tap("step:5")
	a.tap("step:-1")
	a.must(a.b.WaitFor(wait, `return parseFloat(document.querySelector("[data-test=along-now]").textContent) > arguments[0] + 3.9`, before))
	time.Sleep(500 * time.Millisecond) // steps are on the disk 300 ms after the last
	a.open()                           // put away half-way: the steps are there again
	a.goTo("station", query+"&id="+first)
	a.stationReady()
	a.bothWays("station-moved", "place", "holds", "post", "side")
	a.tap("keep-place")
	a.must(a.b.WaitFor(wait, `return Math.abs(Number(document.querySelector("[data-test=place]")?.dataset.along) - arguments[0] - 4) < 0.01`, before)) // +5 and −1
	a.stationReady()
	a.tap("removable:yes")
	a.stationReady()
	a.says("holds", "comes off")
	a.tap("type-along")
	a.at("station/" + first + "/along")
	a.tap("back")
	a.sees("station-page")

	a.goTo("fixture", query+"&id=check")
	a.fixtureReady("check")
	a.tap("field:station/" + first + "/clamped_at")
	a.at("station/" + first + "/clamped_at")
	a.tap("back")
	a.sees("clamp-marks")
	a.tap("tick:" + first)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='clamp:" + arguments[0] + "']")?.dataset.checked === "true"`, first))
	a.photo("station/"+first+"/clamped_at", turned(1))
	a.bothWays("fixture-check")

	a.tap("part:out")
	a.fixtureReady("out")
	a.sees("way:header")
	a.bothWays("fixture-out", "release:header", "release:mock_up", "earth")
	a.tap("to-solid")
	a.sees("solid-stations")
	a.bothWays("fixture-3d")
	a.tap("back")

	a.keepsPictures()
	a.tap("to-sheet")
	a.sheetSays("REMOVABLE", "Header comes out", "how it holds")
	a.bothWays("sheet-fixture", "sheet-svg")
	a.goTo("sheets", query+"&id=base")
	a.sheetSays("This face up")
	a.complains("ERR_", "WebSocket", "WebGL")

	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.shop.start()
	a.unsent(0)
	a.goTo("job", query)
	a.says("step-fixture", "2 of")
	a.goTo("sheets", query+"&id=fixture")
	a.tap("make-pdf")
	a.tap("pdf-link")
	if name, b := a.file(folder); !bytes.HasPrefix(b, []byte("%PDF-")) || !strings.HasPrefix(name, "fixture") {
		t.Errorf("%s: %d bytes, begins with %.5q", name, len(b), b)
	}
}

// fixtureReady waits until a part of the fixture's pages shows what is worked out of all that was entered.
func (p *tablet) fixtureReady(part string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='fixture-" + arguments[0] + "']")?.dataset.ready === "true"`, part))
}

// stationReady waits until the page of a station shows what is worked out.
func (p *tablet) stationReady() {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=station-page]")?.dataset.ready === "true"`))
}

// stations are the ids of those in the list, suggested or kept.
func (p *tablet) stations(suggested string) (ids []string) {
	p.t.Helper()
	p.must(p.b.Eval(&ids, `return [...document.querySelectorAll("[data-test^='station:'][data-suggested='" + arguments[0] + "']")].map((e) => e.dataset.test.slice(8))`, suggested))
	if len(ids) == 0 {
		p.t.Fatalf("no station is there, suggested %s\n%s", suggested, p.page())
	}
	return ids
}

// along is where a station holds, in mm, by the page that it stands on.
func (p *tablet) along() (mm float64) {
	p.t.Helper()
	p.must(p.b.Eval(&mm, `return Number(document.querySelector("[data-test=place]").dataset.along)`))
	return mm
}
