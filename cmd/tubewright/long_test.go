package main

import (
	"testing"

	"tubewright/pwa/drive"
)

// While the cuts are packed, a key on a page of measuring is echoed and the plan follows
// what is kept. The packing is begun again whenever it ends, so that it is at work all the
// time, on whatever machine.
func TestAKeyAndThePlanDoNotWaitForWhatTakesLong(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	a.alone()
	query := "job=" + id
	a.goTo("tubes", query)
	a.sees("tube-length:t1")
	a.must(a.b.WaitFor(wait, `return /\d/.test(document.querySelector("[data-test='tube-length:t1']").textContent)`))
	before := a.text("tube-length:t1")
	a.must(a.b.Eval(nil, `
		const { postMessage, terminate } = Worker.prototype;
		Worker.prototype.postMessage = function (m) {
			if (m.text?.includes('"op":"cuts"')) {
				this.packs = m;
				window.packing = "yes";
			}
			if (m.wasm?.includes("/long-"))
				this.addEventListener("message", (e) => {
					if (!this.packs || !("text" in e.data)) return;
					e.stopImmediatePropagation();
					postMessage.call(this, this.packs);
				});
			return postMessage.call(this, m);
		};
		Worker.prototype.terminate = function () {
			if (this.packs) window.packing = "ended";
			return terminate.call(this);
		};`))
	a.goTo("cuts", query)
	a.must(a.b.WaitFor(wait, `return window.packing === "yes" && document.querySelector("[data-test='long:cuts']")?.dataset.state === "running"`))

	a.goTo("measure", query+"&slot=element/t1-e2/turn") // 70.5°
	a.at("element/t1-e2/turn")
	a.keys("64")
	a.says("echo", "64")
	a.keep()
	a.goTo("tubes", query)
	a.must(a.b.WaitFor(wait, `const e = document.querySelector("[data-test='tube-length:t1']"); return e && /\d/.test(e.textContent) && e.textContent !== arguments[0]`, before))
	var packing string
	a.must(a.b.Eval(&packing, `return window.packing`))
	if packing != "yes" {
		t.Errorf("the cuts are packed: %s, so nothing ran beside it", packing)
	}
}
