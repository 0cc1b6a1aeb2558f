package main

import (
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// keepsPictures has the page keep what pictures are made of, which it may not fetch itself.
func (p *tablet) keepsPictures() {
	p.t.Helper()
	p.must(p.b.Eval(nil, `window.pictures = new Map();
		const make = URL.createObjectURL.bind(URL);
		URL.createObjectURL = (blob) => {
			const url = make(blob);
			blob.text().then((text) => window.pictures.set(url, text));
			return url;
		}`))
}

// sheetSays waits until the sheet that is looked at says all of these, as its file has it.
func (p *tablet) sheetSays(list ...string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `const e = document.querySelector("[data-test=sheet-svg]");
		const text = e && e.complete && e.naturalWidth > 100 ? window.pictures.get(e.src) : undefined;
		window.lacks = text === undefined ? "a picture" : [...arguments].filter((s) => !text.includes(s)).join(", ");
		return window.lacks === ""`, anys(list)...))
}

func anys(list []string) (all []any) {
	for _, s := range list {
		all = append(all, s)
	}
	return all
}

// backspace is that key (WebDriver, W3C, 17.4.2).
const backspace = "\uE003"

// figures types into the form of a sheet and makes it.
func (p *tablet) figures(list ...[2]string) {
	p.t.Helper()
	for _, f := range list {
		p.tap("ask:" + f[0])
		p.must(p.b.Eval(nil, `document.activeElement.select()`))
		p.must(p.b.Type(f[1]))
	}
	p.tap("asks-make")
}

// faulty waits until a sheet that cannot be made says why.
func (p *tablet) faulty(part string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=sheet-svg]") === null && (document.querySelector("[data-test=sheet-fault]")?.textContent ?? "").includes(arguments[0])`, part))
}

// Without the shop: the address on a label opens its piece, also in a browser that is just
// started on it; every sheet for cutting is made as it was asked for; a figure that cannot
// be gets a sentence beside what was typed.
func TestCuttingSheetsAreAskedForOffline(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "bench.job.json")
	// As labels bear it; the server's own test reads it back from paper.
	scan := func() {
		t.Helper()
		a.must(a.b.Open("about:blank"))
		a.must(a.b.Open(a.shop.url("/#/piece?job=" + id + "&id=t1-2")))
		a.sees("as-made")
		if title := a.title(); !strings.Contains(title, "1-2") {
			t.Errorf("the label of t1-2 opens %q", title)
		}
		a.must(a.b.WaitFor(wait, `return document.body.textContent.includes("70.5°")`))
	}
	scan()
	a.alone()
	scan()

	a.keepsPictures()
	a.goTo("sheets", "job="+id)
	for key, says := range map[string][]string{
		"cuts":             {"Cut plan", "not to scale", "from the tangent line of end A", "sharp"},
		"wheel-63.5x41.28": {"Every cut goes through the centre", "120°", "1910.1026"},
		"wrap-t1":          {"Joint 3: t1-3 to t1-4", "print outwards", "1910.1026"},
		"clock-t1":         {"Look from the port along the tube.", "Plus is clockwise", "sharp"},
		"labels-t1":        {"t1-7", "bend 70.5°", "flow", "sharp"},
		"piecut-t1":        {"t1-2: whole gore, make 2", "half gore, make 2", "1910.1026"},
	} {
		a.sees("sheet:" + key)
		a.tap("sheet:" + key)
		a.sheetSays(says...)
		a.tap("back")
	}

	a.sees("sheet:saddle-t1")
	a.tap("sheet:saddle-t1")
	a.figures([2]string{"od", "60"})
	a.faulty("no wider than the tube")
	a.figures([2]string{"od", "twenty"})
	a.faulty("Branch OD")
	a.figures([2]string{"od", "28,6"}, [2]string{"angle", "5"})
	a.faulty("Angle")
	a.bothWays("sheet-asks")
	a.figures([2]string{"angle", "60"}, [2]string{"offset", "3"})
	a.sheetSays("Branch 28.60 mm OD on 41.28 mm, 60.0°", "saddle-t1,od=28.6 mm,angle=60,offset=3 mm", "1910.1026")

	a.goTo("sheets", "job="+id+"&id=piecut-t1")
	a.figures([2]string{"cut", "7"}, [2]string{"welds", "2"})
	a.faulty("not both")
	a.figures([2]string{"cut", backspace}, [2]string{"welds", "5"})
	a.sheetSays("t1-2: whole gore, make 4")
	a.complains("ERR_CONNECTION_REFUSED")
}
