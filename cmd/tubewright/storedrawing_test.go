package main

import (
	"path/filepath"
	"testing"

	"tubewright/calc/job"
	"tubewright/pwa/drive"
)

// torn makes every transaction that keeps records fail, until it is mended: refused as
// on a full disk, or broken off by the database once some of the records were added.
const torn = `
window.mended = false;
window.torn = 0;
const how = arguments[0];
const real = window.realTransaction ??= IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	const isKeep = mode === "readwrite" && ["records", "drafts"].every((s) => [stores].flat().includes(s)); // what the shop sends touches no draft
	if (!isKeep || window.mended) return real.call(this, stores, mode, options);
	if (how === "refused") {
		window.torn++;
		throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
	}
	const tx = real.call(this, stores, mode, options);
	const store = tx.objectStore("records");
	const add = store.add.bind(store);
	let n = 0;
	store.add = (...args) => {
		const asked = add(...args);
		if (++n === 9) asked.addEventListener("success", () => { window.torn++; tx.abort(); });
		return asked;
	};
	return tx;
};`

// A disk that is full, or a database that breaks off, while a drawing that was read in is
// kept: nothing of it is kept then, it still stands there with all that was said of it,
// also when the app is opened again, and once there is room it is kept whole, and once.
func TestST1DrawingIsKeptWholeOrNotAtAll(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.goTo("drawing", "job="+id+"&id=A")
	a.sees("dxf-choose")
	path, err := filepath.Abs("../../testdata/dxf/supplier.dxf")
	a.must(err)
	a.must(a.b.Choose(css("dxf-file"), path))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=dxf-name]")?.value === "supplier"`))
	a.tap("dxf-what-flange")
	a.tap("dxf-side-head")
	a.unsent(0)
	here := func() (n int) {
		a.must(a.b.Eval(&n, `
			const db = await new Promise((done, fail) => { const o = indexedDB.open("tubewright"); o.onsuccess = () => done(o.result); o.onerror = () => fail(o.error); });
			const n = await new Promise((done) => { db.transaction("records").objectStore("records").count().onsuccess = (e) => done(e.target.result); });
			db.close();
			return n;`))
		return n
	}
	stands := func() {
		t.Helper()
		a.must(a.b.WaitFor(wait, `const is = (test) => document.querySelector("[data-test=" + test + "]");
			return is("dxf-name")?.value === "supplier" && ["dxf-what-flange", "dxf-side-head"].every((b) => is(b)?.ariaPressed === "true") && is("dxf-keep")?.disabled === false`))
	}
	before := here()
	for _, how := range []string{"half", "refused"} {
		a.must(a.b.Eval(nil, torn, how))
		a.tap("dxf-keep")
		a.says("dxf-unkept", "NOT SAVED")
		stands()
		var isInSight bool
		if a.must(a.b.Eval(&isInSight, `const at = document.querySelector("[data-test=dxf-unkept]").getBoundingClientRect(); return at.top >= 0 && at.bottom <= innerHeight`)); !isInSight {
			t.Errorf("%s: why it was not kept stands out of sight of the button that was tapped", how)
		}
		var times int
		a.must(a.b.Eval(&times, `window.mended = true; return window.torn`))
		if n := here(); n != before || times < 1 {
			t.Errorf("%s, %d times: %d records were kept of a drawing that was not", how, times, n-before)
		}
		a.bothWays("dxf-not-kept-"+how, "dxf-unkept")
		if how == "half" {
			a.must(a.b.Reload())
			a.tap("dxf-look")
			stands()
			if n := here(); n != before {
				t.Errorf("%d records are there when the app is opened again", n-before)
			}
		}
	}
	a.tap("dxf-keep")
	a.screen("item")
	a.unsent(0)
	if n := here(); n == before {
		t.Error("nothing was kept once there was room")
	}
	a.complains()
	a.shop.kill()
	of := map[string]int{}
	for _, r := range records(t, a.shop) {
		if kind, _, field, _ := job.SplitSlot(r.Slot); field == "x" {
			of[kind]++
		}
	}
	if of["hole"] != 14+7 || of["opening"] != 8+4 {
		t.Errorf("%d holes and %d openings in the shop, want those of the job's two patterns and, once, the 7 and 4 of the drawing", of["hole"], of["opening"])
	}
}
