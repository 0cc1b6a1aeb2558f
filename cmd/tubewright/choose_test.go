package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// Two tablets without the shop read one thing differently, a third reads it too
// and is away for longer. Both readings stand on the screen with author, time and
// tool and what the plan becomes with each; the cut list is held back until a
// person chooses; the third reading opens the question again.
func TestSY4BothReadingsStand(t *testing.T) {
	s := newShop(t)
	heron := s.demo()
	tablets := map[string]*tablet{}
	for _, person := range []string{"Rowan", "Imre", "Wren"} {
		p := newTablet(t, drive.Chromium, s)
		p.first(person)
		p.unsent(0)
		p.must(p.b.WaitFor(wait, `return document.querySelectorAll("[data-test=job-row]").length === 4`))
		tablets[person] = p
	}
	a, b, c := tablets["Rowan"], tablets["Imre"], tablets["Wren"]
	job := "job=" + heron
	const slot = "engine/self/valve_to_face"

	// The demo's own dispute is settled first, and the lengths count from the valve.
	a.goTo("list", job+"&id=disputed")
	a.tap("field:port/p3/width")
	a.says("with:"+a.card("Imre (invented)"), "mm²")
	a.tap("choose:" + a.card("Imre (invented)"))
	a.must(a.b.WaitFor(wait, `return location.hash.startsWith("#/list")`))
	a.goTo("measure", job+"&slot=target/self/from")
	a.pick("target/self/from", "valve")
	a.unsent(0)
	for _, p := range []*tablet{a, b, c} {
		p.goTo("result", job)
		p.must(p.b.WaitFor(wait, `return document.querySelectorAll("[data-piece^=t]").length === 28 && document.querySelector("[data-test=finding][data-rule=disputed]") === null`))
	}

	// Nobody sees the other's reading.
	s.kill()
	for _, r := range []struct {
		p          *tablet
		tool, text string
	}{{a, "caliper", "88.4 mm"}, {b, "tape", "95 mm"}, {c, "rule", "91.5 mm"}} {
		r.p.link("offline")
		r.p.goTo("measure", job+"&slot="+slot)
		r.p.at(slot)
		r.p.tap("tool-" + r.tool)
		r.p.enter(slot, r.text)
	}
	c.b.Kill()
	s.start()
	for _, p := range []*tablet{a, b} {
		p.unsent(0)
		p.goTo("list", job+"&id=disputed")
		p.state(slot, "disputed")
		p.tap("field:" + slot)
		p.says("choose-state", "disagree")
		p.must(p.b.WaitFor(wait, `return document.querySelectorAll("[data-test^='card:']").length === 2`))
	}
	var plan struct {
		Tubes []struct {
			ID        string
			Low, High float64
			Disputed  []string
		}
	}
	if err := s.get("/api/jobs/"+heron+"/plan", &plan); err != nil {
		t.Fatal(err)
	}
	tube := plan.Tubes[1]
	if len(tube.Disputed) != 1 || tube.Disputed[0] != slot {
		t.Errorf("the shop's plan has tube 2 rest on %v", tube.Disputed)
	}
	for _, p := range []*tablet{a, b} {
		for person, want := range map[string][]string{
			"Rowan": {"88.4 mm", "88.400 mm = 3.480 in", "caliper", "reads to 0.1 mm", fmt.Sprintf("Tube 2 is %.2f mm", tube.Low)},
			"Imre":  {"95 mm", "95.000 mm = 3.740 in", "tape", "reads to 0.5 mm", fmt.Sprintf("Tube 2 is %.2f mm", tube.High)},
		} {
			card := p.card(person)
			p.says("with:"+card, "Tube 2 is")
			text := p.text("card:" + card)
			for _, part := range append(want, "in the shop") {
				if !strings.Contains(text, part) {
					t.Errorf("on %s's card %q is missing: %q", person, part, text)
				}
			}
			if !regexp.MustCompile(`\d\d:\d\d`).MatchString(text) {
				t.Errorf("on %s's card there is no time: %q", person, text)
			}
		}
		p.says("choose-state", "disagree")
	}

	a.bothWays("disputed")

	// Nothing is released for cutting.
	a.goTo("result", job)
	a.sees("held:t2")
	a.pieces(0)
	a.bothWays("held")
	a.goTo("job", job)
	a.tap("pick-stage")
	a.sees("no-release")
	a.stageOff("cut", true)

	// A choice leads back to where it was called from, can be undone, and settles it.
	pick := func() {
		a.goTo("list", job+"&id=disputed")
		a.tap("field:" + slot)
		a.says("with:"+a.card("Rowan"), "Tube 2 is")
		a.tap("choose:" + a.card("Rowan"))
		a.must(a.b.WaitFor(wait, `return location.hash.startsWith("#/list") && location.hash.includes("disputed")`))
	}
	pick()
	a.tap("undo")
	a.state(slot, "disputed")
	pick()
	a.unsent(0)
	for _, p := range []*tablet{a, b} {
		p.goTo("result", job)
		p.pieces(28)
	}
	a.goTo("job", job)
	a.tap("pick-stage")
	a.stageOff("cut", false)

	// The third tablet comes back: what it read was not on the table then.
	a.goTo("choose", job+"&slot="+slot)
	a.says("choose-state", "settled")
	c.must(c.b.Restart())
	c.open()
	c.unsent(0)
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test^='card:']").length === 3
		&& document.querySelector("[data-test=choose-state]").dataset.state === "disputed"`))
	a.says("with:"+a.card("Wren"), "Tube 2 is")
	a.bothWays("reopened")
	a.goTo("result", job)
	a.sees("held:t2")
}

// card is the id of the reading of a person on the page for choosing.
func (p *tablet) card(person string) string {
	p.t.Helper()
	var id string
	p.must(p.b.WaitFor(wait, `return [...document.querySelectorAll("[data-test^='card:']")].some((e) => e.textContent.includes(arguments[0]))`, person+", "))
	p.must(p.b.Eval(&id, `return [...document.querySelectorAll("[data-test^='card:']")].find((e) => e.textContent.includes(arguments[0])).dataset.test.slice(5)`, person+", "))
	return id
}

// pieces waits until the cut lists have so many rows.
func (p *tablet) pieces(n int) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelectorAll("[data-test=cut-row]").length === arguments[0]`, n))
}

// stageOff waits until a stage can be picked, or cannot.
func (p *tablet) stageOff(stage string, off bool) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=" + JSON.stringify("stage:" + arguments[0]) + "]")?.disabled === arguments[1]`, stage, off))
}
