package main

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tubewright/calc/draw/dxf"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/pwa/drive"
)

// file waits for one file in a folder, whole, and takes it out.
func (p *tablet) file(folder string) (name string, b []byte) {
	p.t.Helper()
	for range 200 {
		names, err := filepath.Glob(filepath.Join(folder, "*.*"))
		p.must(err)
		if len(names) == 1 && !strings.HasSuffix(names[0], ".crdownload") {
			b, err := os.ReadFile(names[0])
			p.must(err)
			p.must(os.Remove(names[0]))
			return filepath.Base(names[0]), b
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.t.Fatal("no file came")
	return "", nil
}

// shown waits until the picture of a sheet is drawn.
func (p *tablet) shown() {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `const e = document.querySelector("[data-test=sheet-svg]"); return e && e.complete && e.naturalWidth > 100`))
}

// Without the shop: the sheets are listed, one is looked at, and its DXF, made on the
// tablet, is the flange of the plan to 0.001 mm and has nothing but closed outlines.
func TestPR3PR4DXFOfTheTabletIsTheFlange(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.alone()
	a.goTo("sheets", "job="+id)
	a.sees("sheet:flange-A")
	a.says("unmade:transition-t2", "over which length")
	a.bothWays("sheets")
	a.tap("sheet:flange-A")
	a.shown()
	a.sees("pdf-away")
	a.bothWays("sheet", "sheet-svg", "pdf-away")
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.tap("make-dxf")
	a.tap("dxf-link")
	name, b := a.file(folder)
	if name != "flange-A-rev-A-359x88mm.dxf" {
		t.Errorf("the file is called %s", name)
	}
	got, err := dxf.Read(b, dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(flangeFile)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := job.PlanFile(data)
	if err != nil {
		t.Fatal(err)
	}
	design := plan.Plan.Flanges[0].Design
	if got.Ask != nil || got.Unit != "mm" || got.Outer == nil || len(got.Open) > 0 || got.Doubles > 0 || got.Short > 0 {
		t.Fatalf("ask %v, unit %q, outer %v, open %v, %d doubles, %d short", got.Ask, got.Unit, got.Outer != nil, got.Open, got.Doubles, got.Short)
	}
	if n := len(got.Holes) + len(got.Openings); n != len(design.Holes)+len(design.Openings) {
		t.Errorf("%d holes and openings, want %d", n, len(design.Holes)+len(design.Openings))
	}
	var loop []geom.Vertex
	for _, c := range design.Pieces[0].Loop {
		loop = append(loop, geom.Vertex(c))
	}
	plate, err := geom.FromLoop(loop)
	if err != nil {
		t.Fatal(err)
	}
	low, high := plate.Bounds()
	for i := range 2 {
		if math.Abs((got.High[i]-got.Low[i])-(high[i]-low[i])) > 0.001 {
			t.Errorf("extent %d: %v in the file, %v in the plan", i, got.High[i]-got.Low[i], high[i]-low[i])
		}
	}
	for _, word := range regexp.MustCompile(`(?m)^  0\r?\n([A-Z0-9]+)`).FindAllSubmatch(b, -1) {
		switch s := string(word[1]); s {
		case "SPLINE", "ELLIPSE", "LWPOLYLINE":
			t.Errorf("the file has a %s", s)
		}
	}
	if hash := a.hash("id"); hash != "flange-A" {
		t.Errorf("after the file the app is at %q", hash)
	}
}

// Without the shop: a supplier's flange that is 0.4 mm off at one hole is read, said
// what it is, kept, and the finding names the hole.
func TestSupplierDXFIsCaughtOffline(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.alone()
	a.goTo("drawing", "job="+id+"&id=A")
	a.sees("dxf-choose")
	abs := func(name string) string {
		path, err := filepath.Abs("../../testdata/dxf/" + name)
		a.must(err)
		return path
	}
	a.must(a.b.Choose(css("dxf-file"), abs("no-unit.dxf")))
	a.sees("dxf-unit-mm")
	a.bothWays("dxf-unit")
	a.tap("dxf-unit-mm")
	a.sees("dxf-found")
	a.must(a.b.Choose(css("dxf-file"), abs("supplier.dxf")))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=dxf-name]")?.value === "supplier"`))
	a.tap("dxf-what-flange")
	a.tap("dxf-side-head")
	a.bothWays("dxf", "dxf-found")
	a.uncut()
	a.tap("dxf-keep")
	a.screen("item")
	a.must(a.b.WaitFor(wait, `return [...document.querySelectorAll("[data-test=finding]")].some((e) => e.dataset.rule === "pattern-hole-off" && /hole 5 /i.test(e.textContent) && e.textContent.includes("0.4"))`))
	a.bothWays("dxf-pattern")
	a.shop.start()
	a.unsent(0)
	a.complains("ERR_CONNECTION_REFUSED")
	a.shop.check()
}

// The PDF comes whole from the shop and the app stays where it is. A print of 97.0 is
// refused, one of 100.1 is good, also after a figure elsewhere has changed, and a figure
// of the flange that changes makes it old.
func TestPR2PDFComesAndTheAppStays(t *testing.T) {
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.goTo("sheets", "job="+id+"&id=flange-A")
	a.shown()
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.tap("paper-letter")
	a.tap("make-pdf")
	a.sees("pdf-made")
	a.bothWays("sheet-pdf", "make-pdf")
	a.tap("pdf-link")
	name, b := a.file(folder)
	pages := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(b, -1))
	if !bytes.HasPrefix(b, []byte("%PDF-")) || !bytes.Contains(b[len(b)-1024:], []byte("%%EOF")) || pages < 2 || !strings.HasSuffix(name, ".pdf") {
		t.Errorf("%s: %d bytes, %d pages, begins with %.5q", name, len(b), pages, b)
	}
	a.shown() // still at its screen
	if a.hash("id") != "flange-A" {
		t.Errorf("the app is at %q", a.hash("id"))
	}
	rulers := func(across, up string) {
		t.Helper()
		a.tap("measure-rulers")
		for i, typed := range []string{across, up} {
			a.must(a.b.WaitFor(wait, `return decodeURIComponent(location.hash).includes(arguments[0]) && document.querySelector("[data-test=keep]") !== null`, []string{"/across", "/up"}[i]))
			a.unit("mm")
			a.keys(typed)
			if typed == "97.0" {
				a.tap("ask-confirm")
			}
			if i == 0 && across == "97.0" {
				a.bothWays("rulers")
				a.uncut()
			}
			a.keep()
		}
	}
	stands := func(is string) {
		t.Helper()
		a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=print-check]")?.dataset.state === arguments[0]`, is))
	}
	rulers("97.0", "97.0")
	stands("stop")
	a.says("print-check", "actual size")
	a.bothWays("print-bad", "print-check")
	rulers("100.1", "99.9")
	stands("agreed")
	a.says("print-check", "Rowan")
	a.bothWays("print-good", "print-check")
	a.goTo("measure", "job="+id+"&slot=engine/self/bore") // nothing of it is on the sheet
	a.enter("engine/self/bore", "80 mm")
	a.goTo("sheets", "job="+id+"&id=flange-A")
	stands("agreed")
	a.goTo("measure", "job="+id+"&slot=bank/A/edge")
	a.enter("bank/A/edge", "9.5 mm")
	a.goTo("sheets", "job="+id+"&id=flange-A")
	stands("warn")
	a.bothWays("print-old", "print-check")
	a.unsent(0)
	a.complains()
	a.shop.check()
}
