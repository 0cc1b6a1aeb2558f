package main

import (
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// chromium is what a test can decide about a page in Chromium only.
type chromium interface {
	Quota(origin string, bytes int64) error
	Pretend(userAgent string) error
	Before(script string) error
	Downloads(folder string) error
	Scheme(name string) error
	Paper(scheme string) error
	OpenTab() (back string, err error)
}

const tabletAgent = "Mozilla/5.0 (Linux; Android 16; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/156.0.0.0 Safari/537.36"

// faulty makes the transactions that keep records throw, and watches whether the
// field is emptied or "saved" is shown before one of them is complete.
const faulty = `
const real = window.realTransaction ??= IDBDatabase.prototype.transaction;
window.seen = { early: 0, emptied: 0, complete: false, thrown: 0 };
let left = arguments[2];
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	const isKeep = mode === "readwrite" && ["records", "drafts"].every((s) => [stores].flat().includes(s)); // what the shop sends touches no draft
	if (isKeep && left-- > 0) {
		window.seen.thrown++;
		throw new DOMException(window.faultText, window.faultName);
	}
	const tx = real.call(this, stores, mode, options);
	if (isKeep) tx.addEventListener("complete", () => { window.seen.complete = true; });
	return tx;
};
window.faultName = arguments[0];
window.faultText = arguments[1];
const slot = location.hash;
let isTyped = false;
clearInterval(window.watch);
window.watch = setInterval(() => {
	const typed = document.querySelector("[data-test=typed]");
	isTyped ||= typed?.value.length > 0;
	if (!isTyped || window.seen.complete) return;
	if (location.hash !== slot || typed && typed.value === "") window.seen.emptied++;
	if (document.querySelector("[data-test=saved-note]")?.textContent.includes("saved")) window.seen.early++;
}, 2);`

// The storage throws each way once, twice and always: the field keeps its text and
// nothing says saved before the transaction is complete.
func TestST1NothingIsCalledSavedThatIsNot(t *testing.T) {
	for _, e := range drive.Engines {
		if e.Name == "Firefox" {
			continue // the database's own claims run there too
		}
		t.Run(e.Name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, e.Start, s)
			a.first("Rowan")
			job := a.newJob()
			a.unsent(0)
			kept := 0
			for _, fault := range [][2]string{
				{"UnknownError", "Connection to Indexed Database server lost. Refresh the page to try again"},
				{"InvalidStateError", "The object is in an invalid state."},
				{"InvalidStateError", "The database connection is closing."},
			} {
				for _, times := range []int{1, 2, 1 << 30} {
					a.must(a.b.Reload()) // what the last save said is gone
					a.goTo("measure", "job="+job+"&slot=engine/self/bore")
					a.at("engine/self/bore")
					a.must(a.b.Eval(nil, faulty, fault[0], fault[1], times))
					text := fmt.Sprintf("8%d.25 mm", kept)
					a.must(a.b.Tap(css("typed")))
					a.must(a.b.Type(text + "\n"))
					if times > 1 {
						for range 2 {
							a.sees("not-saved")
							a.must(a.b.WaitFor(wait, `return document.querySelector(".not-saved") !== null`))
							var typed string
							a.must(a.b.Eval(&typed, `return document.querySelector("[data-test=typed]").value`))
							if typed != text {
								t.Fatalf("%v %d times: %q stands in the field, %q was typed", fault, times, typed, text)
							}
							if times == 2 {
								break
							}
							a.must(a.b.Eval(nil, `window.seen.thrown = 0`))
							a.tap("keep")
							a.must(a.b.WaitFor(wait, `return window.seen.thrown > 0 && document.querySelector("[data-test=keep]")?.disabled === false`))
						}
						if kept == 1 {
							for _, size := range [][2]int{wide, upright} {
								a.must(a.b.SetSize(size[0], size[1]))
								a.fits("not saved")
								a.picture(fmt.Sprintf("not-saved-%d-%s", size[0], e.Name))
							}
						}
						if times > 2 {
							a.must(a.b.Eval(nil, faulty, fault[0], fault[1], 0))
						}
						a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=keep]")?.disabled === false`))
						a.tap("keep")
					}
					a.must(a.b.WaitFor(wait, `return window.seen.complete && document.querySelector("[data-test=typed]")?.value !== arguments[0] && document.querySelector(".not-saved") === null`, text))
					kept++
					var seen struct{ Early, Emptied int }
					a.must(a.b.Eval(&seen, `return window.seen`))
					if seen.Early > 0 || seen.Emptied > 0 {
						t.Errorf("%v %d times: saved was shown %d times and the field was emptied %d times before the disk had it", fault, times, seen.Early, seen.Emptied)
					}
				}
			}
			a.unsent(0)
			s.kill()
			if n := countSlot(t, s, "engine/self/bore"); n != kept {
				t.Errorf("%d readings on the server, want %d", n, kept)
			}
		})
	}
}

// A tab in a tablet's browser carries a lasting warning with the reason, and asks
// to be installed; a desktop does not. That the browser may clear the storage is
// said on every page.
func TestST2BrowserTabOfATabletIsWarned(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	var warned bool
	a.must(a.b.Eval(&warned, `return document.querySelector("[data-test=plain-tab]") !== null`))
	if warned {
		t.Error("a desktop is warned")
	}
	a.says("status-persist", "not kept") // Chromium without a window says no to persist()
	a.must(a.b.(chromium).Pretend(tabletAgent))
	a.must(a.b.Reload())
	for _, size := range [][2]int{upright, wide} {
		a.must(a.b.SetSize(size[0], size[1]))
		a.at("engine/self/bore")
		a.says("plain-tab", "seven days")
		a.says("plain-tab", "home screen")
		a.fits(fmt.Sprintf("measure-in-a-tab-%d", size[0]))
		a.picture(fmt.Sprintf("measure-in-a-tab-%d", size[0]))
	}
	a.goTo("saved", "")
	a.says("plain-tab", "seven days")
}

// behind opens the database as another program would, and does work in one transaction.
const behind = `const db = await new Promise((done, fail) => { const o = indexedDB.open("tubewright"); o.onsuccess = () => done(o.result); o.onerror = () => fail(o.error); });
const tx = db.transaction(["records", "outbox", "meta", "photos"], "readwrite");
const finished = new Promise((done, fail) => { tx.oncomplete = done; tx.onabort = () => fail(tx.error); });
const all = await new Promise((done) => { const r = tx.objectStore("records").getAll(); r.onsuccess = () => done(r.result); });
%s
await finished;
db.close();`

// Records that vanish behind the app's back are told at the next start, by their
// number, and come back from the shop; one that had not got there is told as well.
func TestST4LostRecordsAreToldAndComeBack(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	fields := []string{"bore", "stroke", "rod", "valve_to_face"}
	for i, f := range fields {
		a.goTo("measure", "job="+job+"&slot=engine/self/"+f)
		a.enter("engine/self/"+f, fmt.Sprintf("9%d.5 mm", i))
	}
	a.unsent(0)
	time.Sleep(2 * time.Second) // the roll is written a second after the last record
	a.must(a.b.EvalAsync(nil, fmt.Sprintf(behind, `for (const r of all.filter((r) => r.slot.startsWith("engine/self/")).slice(0, 3)) tx.objectStore("records").delete(r.id);`)))
	s.kill()
	a.must(a.b.Reload())
	a.says("lost", "3 entries")
	a.says("lost", "the shop is asked")
	a.picture("lost-820")
	s.start()
	a.says("lost", "All came back")
	a.goTo("intake", "job="+job)
	for i, f := range fields {
		a.says("field:engine/self/"+f, fmt.Sprintf("9%d.5", i))
	}
	a.tap("lost-seen")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=lost]") === null`))

	s.kill()
	a.link("offline")
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84 mm")
	time.Sleep(2 * time.Second)
	a.must(a.b.EvalAsync(nil, fmt.Sprintf(behind, `for (const r of all.filter((r) => r.pos === null)) tx.objectStore("records").delete(r.id);`)))
	s.start()
	a.must(a.b.Reload())
	a.says("lost", "1 had not reached the shop")
	a.unsent(0)
	a.tap("lost-seen")
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=lost]") === null`)) // said only when it is kept
	a.must(a.b.Reload())
	a.link("live")
	var told bool
	a.must(a.b.Eval(&told, `return document.querySelector("[data-test=lost]") !== null`))
	if told {
		t.Error("a loss that was seen is told again")
	}
}

// The disk is full but for a little: a photo is refused with a sentence, a reading
// is saved and reaches the shop, and when there is room again it is set aside again.
func TestST9FullDiskTakesReadingsAndNoPhotos(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	has := fmt.Sprintf(behind, ``) + `
const again = await new Promise((done) => { const o = indexedDB.open("tubewright"); o.onsuccess = () => done(o.result); });
const n = await new Promise((done) => { const r = again.transaction("spare").objectStore("spare").count(); r.onsuccess = () => done(r.result); });
again.close();
return n;`
	spare := func(want int) {
		t.Helper()
		var n int
		for range 100 {
			if a.must(a.b.EvalAsync(&n, has)); n == want {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Errorf("%d spares, want %d", n, want)
	}
	spare(1)
	origin := strings.TrimSuffix(s.url("/"), "/")
	var usage float64
	a.must(a.b.EvalAsync(&usage, `return (await navigator.storage.estimate()).usage`))
	noise := filepath.Join(t.TempDir(), "noise.jpg")
	img := image.NewRGBA(image.Rect(0, 0, 2500, 2500))
	rand.NewChaCha8([32]byte{9}).Read(img.Pix)
	f, err := os.Create(noise)
	a.must(err)
	a.must(jpeg.Encode(f, img, nil))
	a.must(f.Close())
	t.Logf("in use %.0f bytes", usage)
	// Room for readings, none for a photo. The browser remembers for half a minute how
	// much room there was, a new one asks.
	a.b.Kill()
	a.must(a.b.Restart())
	a.must(a.b.(chromium).Quota(origin, int64(usage)+200_000))
	a.open()
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.camera("photo:engine/self/bore")
	a.chosen("camera", noise)
	a.says("photo-begun", "no room for more photos")
	a.sees("full")
	a.picture("full-820")
	spare(1)
	a.b.Kill()
	a.must(a.b.Restart())
	a.must(a.b.(chromium).Quota(origin, int64(usage)-1_000_000)) // and now the spare has to make way
	a.open()
	a.enter("engine/self/bore", "84.5 mm")
	a.unsent(0)
	spare(0)
	a.sees("full")
	a.must(a.b.(chromium).Quota(origin, 0))
	a.must(a.b.Reload())
	a.link("live")
	spare(1)
	a.goTo("saved", "")
	a.says("room", "GB")
	s.kill()
	if n := countSlot(t, s, "engine/self/bore"); n != 1 {
		t.Errorf("the reading is %d times on the server, want once", n)
	}
}

// seed puts n notes into the tablet's database as the app would have, unsent.
const seed = `const hex = (b) => Array.from(new Uint8Array(b), (x) => x.toString(16).padStart(2, "0")).join("");
const made = [];
for (let i = 0; i < args[0]; i++) {
	const id = Array.from(crypto.getRandomValues(new Uint8Array(26)), (b) => "abcdefghijklmnopqrstuvwxyz234567"[b & 31]).join("");
	const slot = "job/self/seed";
	const raw = JSON.stringify({ id, dev: "seed", n: i + 1, hlc: "1764025441123-0000-seed", kind: "note", job: args[1], slot, sv: 1, body: { text: String(i), person: "Rowan", at: "" } });
	const h = hex(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(raw)));
	made.push({ id, raw, h, job: args[1], slot, kind: "note", hlc: "1764025441123-0000-seed", pos: null });
}
`

// sideBySide makes a page believe that it is in sight, as one of two windows is.
const sideBySide = `Object.defineProperty(Document.prototype, "visibilityState", { get: () => "visible" });`

// Two pages hold 500 unsent records and both may send: the shop has each once. With
// Web Locks only the page that is shown has a socket; without them both have one.
func TestST12TwoPagesSendEachRecordOnce(t *testing.T) {
	for _, c := range []struct{ name, before string }{
		{"with locks", ``},
		{"without locks", sideBySide + `Object.defineProperty(Navigator.prototype, "locks", { get: () => undefined });`},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, drive.Chromium, s)
			a.first("Rowan")
			job := a.newJob()
			a.unsent(0)
			s.kill()
			a.link("offline")
			a.must(a.b.EvalAsync(nil, seed+fmt.Sprintf(behind, `for (const r of made) { tx.objectStore("records").add(r); tx.objectStore("outbox").put({ id: r.id, at: 1 }); }`), 500, job))
			a.must(a.b.(chromium).Before(c.before))
			a.must(a.b.Reload())
			a.unsent(500)
			first, err := a.b.(chromium).OpenTab()
			a.must(err)
			a.must(a.b.(chromium).Before(c.before))
			a.open()
			a.unsent(500)
			opened := s.said.lines("socket open", "role=bench")
			s.start()
			a.unsent(0)
			a.link("live")
			sockets := 1
			if c.before != "" {
				sockets = 2
			}
			n, until := 0, time.Now().Add(8*time.Second) // a page without the turn never tries; one that has it may be waiting for its next try
			if sockets > 1 {
				until = time.Now().Add(wait)
			}
			for time.Now().Before(until) {
				if n = s.said.lines("socket open", "role=bench") - opened; n == sockets && sockets > 1 {
					break
				}
				time.Sleep(100 * time.Millisecond)
			}
			if n != sockets {
				t.Errorf("%d pages opened a socket, want %d", n, sockets)
			}
			a.must(a.b.(interface{ CloseTab(string) error }).CloseTab(first))
			a.unsent(0)
			a.link("live")
			s.kill()
			if n := countSlot(t, s, "job/self/seed"); n != 500 {
				t.Errorf("%d records on the server, want 500", n)
			}
			s.check()
		})
	}
}

// slow keeps every transaction that writes records open for a while.
const slow = `const real = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	const tx = real.call(this, stores, mode, options);
	if (mode === "readwrite" && [stores].flat().includes("records")) {
		const until = performance.now() + 600;
		const again = () => { if (performance.now() < until) tx.objectStore("records").count().onsuccess = again; };
		again();
	}
	return tx;
};`

// Five taps within 200 ms on a slow storage make one record.
func TestSY2ImpatientTapsMakeOneRecord(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	a.must(a.b.Eval(nil, slow))
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.keys("84")
	a.must(a.b.EvalAsync(nil, `const keep = document.querySelector("[data-test=keep]");
const form = keep.closest("form");
for (let i = 0; i < 5; i++) {
	keep.click();
	form.dispatchEvent(new Event("submit", { bubbles: true, cancelable: true }));
	await new Promise((done) => setTimeout(done, 40));
}`))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=saved-note]")?.textContent.includes("saved")`))
	a.unsent(0)
	s.kill()
	if n := countSlot(t, s, "engine/self/bore"); n != 1 {
		t.Errorf("%d records, want 1", n)
	}
}

// A tablet whose clock is ten minutes fast says so on every page; its reading is
// like any other.
func TestSY3WrongClockIsSaidAndDecidesNothing(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84 mm")
	a.must(a.b.(chromium).Before(`const now = Date.now.bind(Date);
const Real = Date;
globalThis.Date = class extends Real { constructor(...a) { a.length ? super(...a) : super(now() + 600000); } static now() { return now() + 600000; } };`))
	a.must(a.b.Reload())
	a.says("clock-off", "10 minutes ahead")
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84.5 mm")
	a.goTo("intake", "job="+job)
	a.says("field:engine/self/bore", "84.5")
	a.unsent(0)
	b := newTablet(t, drive.Chromium, s)
	b.first("Kim")
	b.goTo("intake", "job="+job)
	b.says("field:engine/self/bore", "84.5")
}

// Every second frame is handed to the app late, so that frames overtake each
// other: in the end the tablet holds what the shop holds.
func TestSY9OvertakingFramesEndInTheShopsState(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	a.must(a.b.(chromium).Before(`let n = 0;
const Real = WebSocket;
globalThis.WebSocket = class extends Real {
	set onmessage(act) { this.act = act; super.onmessage = (e) => n++ % 2 ? setTimeout(() => this.act?.(e), Math.random() * 150) : this.act?.(e); }
	get onmessage() { return this.act; }
};`))
	a.must(a.b.Reload())
	a.link("live")
	b := newTablet(t, drive.Chromium, s)
	b.first("Kim")
	for _, tab := range []*tablet{a, b} {
		tab.must(tab.b.EvalAsync(nil, seed+fmt.Sprintf(behind, `for (const r of made) { tx.objectStore("records").add(r); tx.objectStore("outbox").put({ id: r.id, at: 1 }); }`), 150, job))
	}
	for i := range 6 {
		for _, tab := range []*tablet{a, b} {
			tab.goTo("measure", "job="+job+"&slot=engine/self/bore")
			tab.enter("engine/self/bore", fmt.Sprintf("8%d mm", i))
		}
	}
	count := fmt.Sprintf(behind, `window.count = [all.length, all.filter((r) => r.pos === null).length];`) + ` return window.count;`
	var want, got [2]int
	for range 100 {
		a.must(a.b.EvalAsync(&got, count))
		b.must(b.b.EvalAsync(&want, count))
		if got == want && got[1] == 0 {
			break
		}
		time.Sleep(200 * time.Millisecond)
	}
	s.kill()
	recs := records(t, s)
	if got != want || got[0] != len(recs) || got[1] != 0 {
		t.Errorf("the disturbed tablet holds %v, the other %v (records, of them unsent), the shop %d", got, want, len(recs))
	}
}

// The shop machine has moved to another address: the app at the old one goes on,
// and its file brings what it holds to the new one, any number of times.
func TestST10FileOfAStrandedTabletIsTakenIn(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	s.kill()
	a.link("offline")
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.enter("engine/self/bore", "84.5 mm")
	a.goTo("measure", "job="+job+"&slot=engine/self/stroke")
	a.at("engine/self/stroke")
	a.keys("91")
	a.unsent(1)
	file := a.takeFile()
	var at string
	a.must(a.b.Eval(&at, `return location.hash`))
	if !strings.HasPrefix(at, "#/saved") {
		t.Errorf("after the download the app stands at %q", at)
	}
	elsewhere := t.TempDir()
	for range 2 {
		if code, out, errs := command(t, "import", "-data", elsewhere, file); code != exitDone {
			t.Fatalf("import: exit %d: %s%s", code, out, errs)
		}
	}
	moved := &shop{t: t, dir: elsewhere}
	var held int
	a.must(a.b.EvalAsync(&held, fmt.Sprintf(behind, `window.count = all.length;`)+` return window.count;`))
	if n := len(records(t, moved)); n != held || countSlot(t, moved, "engine/self/bore") != 1 {
		t.Errorf("%d records taken in, the tablet holds %d", n, held)
	}
	moved.check()
}

// takeFile saves everything to a file, as a person does.
func (p *tablet) takeFile() string {
	p.t.Helper()
	folder := p.t.TempDir()
	p.must(p.b.(chromium).Downloads(folder))
	p.goTo("saved", "")
	p.tap("save-file")
	p.tap("file-link")
	for range 200 {
		names, err := filepath.Glob(filepath.Join(folder, "*.tubewright.zip"))
		p.must(err)
		if len(names) == 1 {
			return names[0]
		}
		time.Sleep(50 * time.Millisecond)
	}
	left, _ := os.ReadDir(folder)
	p.t.Fatalf("no file came; there are %v", left)
	return ""
}

// The storage does not write: the file still holds what is in memory, the reading
// that could not be kept and the text in the field.
func TestST1FileHoldsWhatCouldNotBeSaved(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	a.unsent(0)
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.must(a.b.Eval(nil, faulty, "UnknownError", "gone", 1<<30))
	a.must(a.b.Tap(css("typed")))
	a.must(a.b.Type("84.5 mm\n"))
	a.sees("not-saved")
	a.picture("not-saved-820")
	a.tap("save-file")
	a.says("file-made", "1 half-typed text")
	a.tap("file-link")
	var names []string
	for range 200 {
		if names, _ = filepath.Glob(filepath.Join(folder, "*.tubewright.zip")); len(names) == 1 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if len(names) != 1 {
		t.Fatal("no file came")
	}
	elsewhere := t.TempDir()
	if code, out, errs := command(t, "import", "-data", elsewhere, names[0]); code != exitDone {
		t.Fatalf("import: exit %d: %s%s", code, out, errs)
	}
	if n := countSlot(t, &shop{t: t, dir: elsewhere}, "engine/self/bore"); n != 1 {
		t.Errorf("the reading that could not be kept is %d times in the file", n)
	}
	var typed string
	a.must(a.b.Eval(&typed, `return document.querySelector("[data-test=typed]").value`))
	if typed != "84.5 mm" {
		t.Errorf("%q stands in the field", typed)
	}
	drafts, err := zipEntry(names[0], "drafts.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	var draft struct{ Text string }
	if json.Unmarshal(drafts, &draft) != nil || draft.Text != "84.5 mm" {
		t.Errorf("the half-typed text is kept as %s", drafts)
	}
}
