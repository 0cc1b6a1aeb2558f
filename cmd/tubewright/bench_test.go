package main

import (
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// A day at the bench without the shop: the stock is packed and a bend of it sawn, six
// pieces are cut, one bend comes out a degree too long and its joint is tacked two degrees
// off. What brings the tube back to its end is worked out, printed and put into the plan;
// with the shop back the wall shows how far the pieces are.
func TestBenchDay(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	a.alone()
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-bench", "10 of 28 cut")
	a.tap("step-bench")
	a.says("made:t2", "as made it ends")
	a.bothWays("bench")

	a.tap("to-cuts")
	a.worked("cuts", "optimal")
	a.bothWays("cuts")
	a.tap("sawn:u1:1") // 1-4 with 1-5 on its leg, 4-2 with 4-1
	for _, piece := range []string{"t1-4", "t1-5", "t4-1", "t4-2"} {
		a.goTo("bench", query)
		a.isStage(piece, "cut")
	}
	a.goTo("cuts", query)
	a.tap("to-stock")
	a.says("own-stock", "off-cut")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='left:u1']")?.textContent === "1"`)) // of two
	a.bothWays("stock")

	for _, piece := range []string{"t1-1", "t1-2", "t1-3", "t1-6"} {
		a.stage(query, piece, "cut")
	}
	a.stage(query, "t1-1", "tacked")
	a.goTo("piece", query+"&id=t1-2")
	a.tap("field:element/t1-e2/cut_turn") // 70.5° were planned
	a.enter("element/t1-e2/cut_turn", "71.5")
	a.at("element/t1-e2/cut_clr") // asked for next; it was not measured
	a.tap("back")
	a.says("offs", "+1.0°")
	a.tap("field:element/t1-e2/clocked") // −154° were planned
	a.enter("element/t1-e2/clocked", "-152")
	a.says("offs", "+2.0°")
	a.bothWays("piece")
	a.stage(query, "t1-2", "tacked")

	a.tap("correct:t1")
	a.worked("correction", "closes")
	var best struct{ Miss, Aim float64 }
	a.must(a.b.Eval(&best, `const d = document.querySelector("[data-test=answer]").dataset; return { miss: Number(d.miss), aim: Number(d.aim) }`))
	if best.Miss > 1.5 || best.Aim > 0.5 {
		t.Errorf("the correction ends %v mm and %v° off", best.Miss, best.Aim)
	}
	a.bothWays("correction")
	a.must(a.b.Eval(nil, `window.print = () => { window.printed = document.querySelector(".print").textContent; }`))
	a.tap("print")
	var printed string
	a.must(a.b.Eval(&printed, `return window.printed`))
	for _, want := range []string{"Tube 1", "Turn joint", "clock arc", "outside"} {
		if !strings.Contains(printed, want) {
			t.Errorf("the print does not say %q:\n%s", want, printed)
		}
	}
	a.tap("take-answer")
	a.goTo("bench", query)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='made:t1']")?.dataset.closes === "true"`))

	a.shop.start()
	a.unsent(0)
	w := newTablet(t, drive.Chromium, a.shop)
	w.must(w.b.Open(a.shop.url("/wall")))
	w.says("wall-pieces", "tacked")
	w.isLegibleFar(map[string]string{"1-1": "tacked", "1-3": "cut", "2-8": "tacked", "3-1": "welded", "3-7": ""})
}

// isLegibleFar checks that the wall shows how far pieces are, whole and large enough to be
// read at 3 m: the box of a stage as high as 4 minutes of arc on the smallest screen that
// hangs there, 80 cm wide, a piece's number as twice that. A person with 20/20 eyes tells 1
// minute apart (definition of visual acuity).
func (p *tablet) isLegibleFar(stages map[string]string) {
	p.t.Helper()
	p.must(p.b.SetSize(1920, 1080))
	for piece, stage := range stages {
		p.must(p.b.WaitFor(wait, `return document.querySelector("[data-piece='" + arguments[0] + "']")?.dataset.stage === arguments[1]`, piece, stage))
	}
	var faults []string
	p.must(p.b.Eval(&faults, `
		const minute = 3000 * Math.tan(Math.PI / 180 / 60) / (800 / innerWidth); // px
		return [...document.querySelectorAll(".wall-piece")].flatMap((e) => {
			const row = e.closest(".wall-row").getBoundingClientRect(), own = e.getBoundingClientRect();
			const box = e.querySelector("rect").getBoundingClientRect().height, number = parseFloat(getComputedStyle(e).fontSize);
			return [
				...(own.right > row.right || own.bottom > row.bottom ? [e.dataset.piece + " is cut off"] : []),
				...(box < 4 * minute ? [e.dataset.piece + ": a box is " + (box / minute).toFixed(1) + " minutes high"] : []),
				...(number < 8 * minute ? [e.dataset.piece + ": its number is " + (number / minute).toFixed(1) + " minutes high"] : []),
			];
		})`))
	for _, f := range faults {
		p.t.Errorf("on the wall: %s", f)
	}
}

// worked waits for what takes long and checks what is said of it.
func (p *tablet) worked(what, is string) {
	p.t.Helper()
	p.must(p.b.WaitFor(2*time.Minute, `return document.querySelector("[data-test=" + arguments[0] + "]")?.dataset[arguments[1]] === "true"`, what, is))
}

// stage says on its page how far a piece is.
func (p *tablet) stage(query, piece, stage string) {
	p.t.Helper()
	p.goTo("piece", query+"&id="+piece)
	p.tap("piece-stage:" + stage)
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='piece-stage:" + arguments[0] + "']").ariaPressed === "true"`, stage))
}

// isStage waits until the bench shows that a piece is so far.
func (p *tablet) isStage(piece, stage string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test='piece:" + arguments[0] + "'] .piece-stage")?.dataset.stage === arguments[1]`, piece, stage))
}
