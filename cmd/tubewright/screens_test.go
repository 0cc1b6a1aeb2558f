package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

var (
	update  = flag.Bool("update", false, "rewrite the pictures in docs")
	screens = flag.String("screens", "", "folder for pictures of all screens in both sizes")
)

// upright and wide are the two ways a tablet is held, in CSS pixels.
var upright, wide = [2]int{820, 1180}, [2]int{1180, 820}

// inDocs are the pictures that README shows.
var inDocs = map[string]bool{"job-820": true, "measure-820": true, "result-820": true, "view3d-1180": true, "wall-1920": true}

// Every screen of the demo in both sizes: nothing to scroll sideways, nothing to
// tap that is smaller than a gloved finger wants.
func TestScreensFitBothWays(t *testing.T) {
	s := newShop(t)
	heron := s.demo()
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.unsent(0)
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test=job-row]").length === 4`))
	if c, ok := a.b.(interface{ Installable() ([]string, error) }); ok {
		faults, err := c.Installable()
		a.must(err)
		if len(faults) > 0 {
			t.Errorf("the app cannot be installed: %q", faults)
		}
	}
	job, built := "job="+heron, "job="+s.at("inspect")
	for _, screen := range []struct{ name, screen, query, ready string }{
		{"jobs", "jobs", "", "job-row"},
		{"job", "job", job, "step-intake"},
		{"intake", "intake", job, "field:engine/self/bore"},
		{"bank", "bank", job + "&id=A", "field:port/p1/width"},
		{"flange", "flange", job + "&id=A", "face"},
		{"rim", "rim", job + "&slot=port/p1", "keep"},
		{"measure", "measure", job + "&slot=port/p2/width", "keep"},
		{"angle", "measure", job + "&slot=element/t1-e2/turn", "keep"},
		{"word", "measure", job + "&slot=port/p2/shape", "keep"},
		{"choose", "choose", job + "&slot=port/p3/width", "new-reading"},
		{"tubes", "tubes", job, "tube-length:t1"},
		{"tube", "tube", job + "&id=t2", "add-bend"},
		{"result", "result", job, "cut-row"},
		{"inches", "result", job, "cut-row"},
		{"fixture", "fixture", job + "&id=base", "fixture-stands"},
		{"stations", "fixture", job + "&id=stations", "keep-all"},
		{"station", "station", job + "&id=t1-h3", "place"},
		{"coming-out", "fixture", job + "&id=out", "way:header"},
		{"sheets", "sheets", job, "sheet:flange-A"},
		{"sheet", "sheets", job + "&id=ports-A", "sheet-svg"},
		{"rulers", "measure", job + "&slot=print/new/across&id=ports-A", "keep"},
		{"drawing", "drawing", job + "&id=A", "dxf-choose"},
		{"sizing", "sizing", job + "&id=engine", "sizing-engine"},
		{"rules", "sizing", job + "&id=rules", "sizing-rules"},
		{"decide", "sizing", job + "&id=decide", "sizing-decide"},
		{"pairing", "sizing", job + "&id=pairing", "sizing-pairing"},
		{"fits", "sizing", job + "&id=fits", "sizing-fits"},
		{"inspect", "inspect", built + "&id=tacked", "to-report"},
		{"gap", "gap", built + "&slot=t1/t2/tacked", "goes:1/4"},
		{"weld", "weld", built, "joints"},
		{"weld-joint", "weld", built + "&slot=t1/port", "amps"},
		{"weld-holds", "weld", built + "&id=holds", "holds"},
		{"list", "list", job + "&id=disputed", "status-link"},
		{"saved", "saved", job, "build"},
	} {
		a.goTo(screen.screen, screen.query)
		a.sees(screen.ready)
		a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=go-on]")?.disabled !== true && !document.querySelector("[data-ready=false]")`)) // worked out
		if screen.name == "measure" {
			a.must(a.b.Tap(css("typed")))
			a.unit("in")
			a.keys("1 5/8")
		}
		if screen.name == "inches" {
			a.tap("view-in")
		}
		for _, size := range [][2]int{upright, wide} {
			a.must(a.b.SetSize(size[0], size[1]))
			name := fmt.Sprintf("%s-%d", screen.name, size[0])
			a.fits(name)
			a.picture(name)
		}
	}
	a.must(a.b.SetSize(1920, 1080))
	a.must(a.b.Open(s.url("/wall")))
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test=wall-row]").length === 4`))
	a.picture("wall-1920")
	var faults []string
	for _, size := range [][2]int{upright, wide} { // a tablet on the wall, either way up
		a.must(a.b.SetSize(size[0], size[1]))
		name := fmt.Sprintf("wall-%d", size[0])
		a.must(a.b.Eval(&faults, `return [...document.querySelectorAll(".wall-name, .wall-age, .wall-tablet-name")].filter((e) => {
			const r = e.getBoundingClientRect(); return r.width < 40 || r.left < 0 || r.right > innerWidth || r.bottom > innerHeight;
		}).map((e) => e.className + " " + e.textContent)`))
		if len(faults) > 0 {
			t.Errorf("%s: hidden: %q", name, faults)
		}
		a.picture(name)
	}
	a.must(a.b.SetSize(1920, 1080))
	a.must(a.b.Eval(&faults, `return [...document.querySelectorAll(".wall-name")].map((e) => parseFloat(getComputedStyle(e).fontSize)).filter((px) => px < 48).map(String)`))
	if len(faults) > 0 {
		t.Errorf("names on the wall are set in %v px, too small for 5 m", faults)
	}
	if said, ok := a.b.Errors(); ok && len(said) > 0 {
		t.Errorf("the page complains: %q", said)
	}
}

// demo starts the shop again on the demo's jobs and returns the id of the four.
func (s *shop) demo() (heron string) {
	s.t.Helper()
	s.kill()
	if err := os.RemoveAll(s.dir); err != nil {
		s.t.Fatal(err)
	}
	if err := os.MkdirAll(s.dir, 0o700); err != nil {
		s.t.Fatal(err)
	}
	if err := seedDemo(context.Background(), filepath.Join(s.dir, "tubewright.db"), time.Now()); err != nil {
		s.t.Fatal(err)
	}
	s.start()
	return s.at("layout")
}

// at is the id of the job that is at a stage.
func (s *shop) at(stage string) (id string) {
	for _, j := range s.jobs() {
		if j["stage"] == stage {
			id = j["id"].(string)
		}
	}
	return id
}

// picture keeps what is in view, where somebody wants it.
func (p *tablet) picture(name string) {
	p.t.Helper()
	if *screens == "" && !(*update && inDocs[name]) {
		return
	}
	png, err := p.b.Screenshot()
	p.must(err)
	keep := func(dir string) {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			p.t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
			p.t.Fatal(err)
		}
	}
	if *screens != "" {
		keep(*screens)
	}
	if *update && inDocs[name] {
		keep("../../docs")
	}
}

// fits measures a screen: it must not scroll sideways, and what can be tapped
// must be at least 48 px, the keypad's keys 80 px with 12 px between them.
func (p *tablet) fits(name string) {
	p.t.Helper()
	var faults []string
	p.must(p.b.Eval(&faults, `
		const faults = [];
		const over = document.documentElement.scrollWidth - innerWidth;
		if (over > 0) faults.push("the page is " + over + " px too wide");
		for (const e of document.querySelectorAll(".table, .measure-look, .keypad"))
			if (e.scrollWidth > e.clientWidth + 1) faults.push(e.className + " hides " + (e.scrollWidth - e.clientWidth) + " px at its side");
		const say = (e) => (e.dataset.test || e.getAttribute("aria-label") || e.textContent).trim().slice(0, 40);
		const box = (e) => { const r = e.getBoundingClientRect(); return { l: r.left, t: r.top, r: r.right, b: r.bottom, w: r.width, h: r.height }; };
		const seen = [...document.querySelectorAll("button, input, a[href], summary, select")].filter((e) => e.getClientRects().length > 0);
		for (const e of seen) {
			const { w, h } = box(e);
			if (w < 47.5 || h < 47.5) faults.push(say(e) + " is " + w.toFixed(0) + " × " + h.toFixed(0) + " px");
		}
		const keys = seen.filter((e) => e.classList.contains("key"));
		for (const e of keys) {
			const a = box(e);
			if (a.w < 79.5 || a.h < 79.5) faults.push("key " + say(e) + " is " + a.w.toFixed(0) + " × " + a.h.toFixed(0) + " px");
			for (const o of keys) {
				if (o === e) continue;
				const b = box(o);
				const gap = Math.max(b.l - a.r, a.l - b.r, b.t - a.b, a.t - b.b);
				if (gap < 11.5) faults.push("keys " + say(e) + " and " + say(o) + " are " + gap.toFixed(0) + " px apart");
			}
		}
		if (document.querySelector("input[type=number]")) faults.push("a number field");
		return faults;`))
	for _, f := range faults {
		p.t.Errorf("%s: %s", name, f)
	}
}
