package main

import (
	"path/filepath"
	"testing"

	"tubewright/pwa/drive"
)

// From engine data to a decision without the shop: what lacks a figure says so and takes it,
// rules show where they are from and from where they count, a figure is changed in a rule,
// a size is taken and decided with a reason, and when the engine changes the page says what
// drifted. With the shop back a second tablet and the wall show what was decided.
func TestSizeIsDecidedWithoutTheShop(t *testing.T) {
	s := newShop(t)
	file, err := filepath.Abs("testdata/sizing.job.json")
	if err != nil {
		t.Fatal(err)
	}
	id := s.seeded(file)
	a := settled(t, drive.Chromium, s)
	a.alone()
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-sizing", "not decided")
	a.tap("step-sizing")
	a.ready("engine")
	a.bothWays("sizing-engine")
	a.tap("part:rules")
	a.ready("rules")
	a.says("missing:gas-speed", "Missing")
	a.tap("enter:gas-speed:peak_torque_rpm")
	a.enter("engine/self/peak_torque_rpm", "4800")
	for _, field := range [][2]string{{"exhaust_opens_bbdc", "65"}, {"exhaust_closes_atdc", "20"}, {"valve_to_face", "3.25 in"}} {
		a.goTo("sizing", query+"&id=engine")
		a.ready("engine")
		a.tap("field:engine/self/" + field[0])
		a.enter("engine/self/"+field[0], field[1])
	}
	a.goTo("sizing", query+"&id=rules")
	a.ready("rules")
	// d = √(4·N·D1/(88,200·π)), D1 = π/4·4²·3.48 = 43.731 in³: 1.741 in, by hand.
	a.says("value:gas-speed:primary bore:", "1.741 in")
	a.says("rule:gas-speed", "published")
	a.says("rule:gas-speed", "magazine article on header size")
	a.says("rule:length-850", "from the flange")
	a.says("rule:length-850-valve", "from the valve")
	a.tap("open-rule:gas-speed")
	a.says("inside:gas-speed", "A = N·D1/X")
	a.uncut()
	a.bothWays("sizing-rules", "question:how wide", "rule:gas-speed", "sizes", "question:how long", "question:what behind", "question:what else")
	a.tap("field:engine/self/peak_torque_rpm")
	a.enter("engine/self/peak_torque_rpm", "5000")
	a.ready("rules")
	a.sees("inside:gas-speed")                          // stands open as before
	a.says("value:gas-speed:primary bore:", "1.777 in") // 1.741·√(5000/4800)
	a.tap("view-in")
	a.tap("take-size:47.63x1.65") // 1 7/8 × 0.065
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='size:47.63x1.65']").classList.contains("size-chosen")`))
	a.tap("open-rule:length-850")
	a.tap("take-length:length-850:flange")

	a.tap("part:decide")
	a.ready("decide")
	a.says("decision", "Not decided yet")
	a.says("field:target/self/od", "1.875 in")
	a.tap("rests:bore:gas-speed")
	a.tap("rests:length:length-850")
	a.must(a.b.Tap(css("reason")))
	a.must(a.b.Type("torque on the way out of slow corners"))
	a.tap("decide-act")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=decision]")?.dataset.decided === "true"`))
	a.says("decided-by", "Rowan")
	a.says("reason-said", "slow corners")
	a.says("gave:bore", "1.777 in")
	a.sees("no-drift")
	a.says("sizing-looks", "stock") // has no such tube

	a.tap("part:pairing")
	a.ready("pairing")
	a.says("pairing-order", "1-8-4-3-6-5-7-2")
	a.tap("any:1")
	a.tap("any:8")
	a.says("any-group:1-8", "90°, 630°") // one after the other in the order, an eighth of 720° apart
	a.uncut()
	a.apart()
	a.tap("style:4-2-1")
	a.says("next-best", "1-7: gaps 540°, 180°")
	a.apart()
	a.bothWays("sizing-pairing", "dial", "crossover", "any-cylinders")
	a.tap("part:fits")
	a.ready("fits")
	a.says("slip-fit:s1", "0.020 in")
	a.bothWays("sizing-fits", "ports", "slips", "growth", "sensors")

	a.tap("part:engine")
	a.ready("engine")
	a.tap("field:engine/self/stroke")
	a.enter("engine/self/stroke", "4.000 in")
	a.ready("engine")
	a.tap("part:decide")
	a.ready("decide")
	a.says("sizing-looks", "gave")
	a.says("gave:bore", "1.905 in") // 1.777·√(4/3.48)
	a.bothWays("sizing-decided", "decision", "gave", "caution")
	a.complains("ERR_", "WebSocket")

	a.shop.start()
	a.unsent(0)
	b := newTablet(t, drive.Chromium, s)
	b.first("Alder")
	b.unsent(0)
	b.level()
	b.goTo("job", query)
	b.says("step-sizing", "decided: 47.63 mm × 1.65 mm")
	b.tap("step-sizing")
	b.says("decided-by", "Rowan")
	b.says("reason-said", "slow corners")
	b.must(b.b.Open(s.url("/wall")))
	b.says("wall-decided", "size decided: 1.875 × 0.065, 38.65 in from flange")
	b.must(b.b.SetSize(1920, 1080))
	b.picture("sizing-wall")
}

// apart checks that what is written on the crank's circle does not lie on each other.
func (p *tablet) apart() {
	p.t.Helper()
	for _, size := range [][2]int{wide, upright} {
		p.must(p.b.SetSize(size[0], size[1]))
		var faults []string
		p.must(p.b.Eval(&faults, `return [...document.querySelectorAll(".dial svg")].flatMap((svg) => {
			const all = [...svg.querySelectorAll("text")].map((e) => ({ says: e.textContent, r: e.getBoundingClientRect() }));
			return all.flatMap((a, i) => all.slice(i + 1)
				.filter((b) => a.r.left < b.r.right - 1 && b.r.left < a.r.right - 1 && a.r.top < b.r.bottom - 4 && b.r.top < a.r.bottom - 4)
				.map((b) => a.says + " lies on " + b.says));
		})`))
		for _, f := range faults {
			p.t.Errorf("at %d px: %s", size[0], f)
		}
	}
}

// ready waits until a part of the sizing pages shows what is worked out of all that was entered.
func (p *tablet) ready(part string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='sizing-" + arguments[0] + "']")?.dataset.ready === "true"`, part))
}
