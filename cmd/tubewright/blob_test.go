package main

import (
	"testing"

	"tubewright/pwa/drive"
)

// watching notes every value that the page puts into its database, and where in it
// a Blob or a File hides.
const watching = `window.put = { values: 0, blobs: [] };
for (const name of ["put", "add"]) {
	const real = IDBObjectStore.prototype[name];
	IDBObjectStore.prototype[name] = function (value, ...rest) {
		window.put.values++;
		const look = (v, path) => {
			if (v instanceof Blob) window.put.blobs.push(this.name + path);
			else if (v && typeof v === "object" && !ArrayBuffer.isView(v) && !(v instanceof ArrayBuffer))
				for (const k of Object.keys(v)) look(v[k], path + "." + k);
		};
		look(value, "");
		return real.call(this, value, ...rest);
	};
}`

// A reading, a word, a half-typed text, photos with marks and the export file: none
// of it goes into the database as a Blob, which some engines keep as nothing.
func TestST5NothingStoredIsABlob(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.must(a.b.(chromium).Before(watching))
	a.first("Rowan")
	job := a.newJob()
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84.5 mm")
	a.goTo("job", "job="+job)
	a.photo("job/self/photo", turned(6))
	a.must(a.b.Tap(drive.CSS(".thumb")))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=photo-sheet]")?.dataset.shown === "true"`))
	a.tap("tool:circle")
	a.drag(0.25, 0.1, 0.29, 0.1)
	a.sees("mark:circle")
	a.goTo("measure", "job="+job+"&slot=engine/self/stroke")
	a.at("engine/self/stroke")
	a.keys("76.")
	a.must(a.b.WaitFor(wait, `return window.put.values > 8`))
	a.unsent(0)
	var put struct {
		Values int
		Blobs  []string
	}
	a.must(a.b.Eval(&put, `return window.put`))
	if put.Values == 0 || len(put.Blobs) > 0 {
		t.Errorf("of %d values put, these are Blobs: %v", put.Values, put.Blobs)
	}
}
