package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"tubewright/calc/draw/dxf"
	"tubewright/calc/job"
	"tubewright/pwa/drive"
)

// flangeOf is what the screens show of a job file's flange, worked out without them.
func flangeOf(t *testing.T, file string) (f struct {
	Ports []struct {
		ID              string
		Area, Perimeter float64
		Points          int
		Fit             *struct {
			Shape         string
			Width, Height float64
			Worst         float64
		}
	}
	SelfMatch []struct {
		How      string
		PortsOff float64 `json:"ports_off"`
		Room     float64
	} `json:"self_match"`
	Patterns []struct {
		ID    string
		Room  float64
		Holes []struct {
			ID   string
			Miss float64
		}
		Openings []struct {
			ID     string
			Shadow float64
		}
	}
	Design struct {
		Mass float64                 `json:"mass_kg"`
		Edge struct{ Value float64 } `json:"edge_least"`
	}
	Ends []struct {
		Tube    string
		Stretch float64 `json:"stretch_percent"`
		Loft    struct{ Least, Greatest float64 }
	}
}) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	plan, err := job.PlanFile(data)
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(plan)
	if err != nil {
		t.Fatal(err)
	}
	all := struct{ Flanges []json.RawMessage }{}
	if err := json.Unmarshal(out, &all); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(all.Flanges[0], &f); err != nil {
		t.Fatal(err)
	}
	return f
}

// Without the shop, the flange of a job is looked at from both sides, laid over itself
// the wrong way round and compared with a gasket and a supplier's drawing; the figures
// are those of the plan.
func TestFlangeIsShownFromBothSides(t *testing.T) {
	const file = "../../testdata/job/flange.job.json"
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.alone()
	want := flangeOf(t, file)
	query := "job=" + id

	a.goTo("job", query)
	a.says("step-flange", "complete")
	a.tap("step-flange")
	a.sees("face")
	a.says("ways", "port 3 then lies on port 2 and is 0.97 mm")
	a.says("flange-mass", fmt.Sprintf("%.2f kg", want.Design.Mass))
	a.says("least-edge", fmt.Sprintf("%.2f", want.Design.Edge.Value))
	for _, p := range want.Ports {
		a.says("port:"+p.ID, fmt.Sprintf("%.0f", p.Area))
		a.says("port:"+p.ID, fmt.Sprintf("%.2f", p.Perimeter))
	}
	for _, e := range want.Ends {
		a.says("end:"+e.Tube, fmt.Sprintf("%.0f mm²", e.Loft.Greatest))
	}
	a.says("pattern:s1", "hole 5 is 0.40 mm off")
	a.bothWays("flange", "face", "ways", "design", "making", "ports", "ends", "caution")

	// Seen from the head side, left and right change places, and the drawing says so.
	x := func(name string) (v float64) {
		t.Helper()
		a.must(a.b.Eval(&v, `return [...document.querySelectorAll("[data-test=face] .face-names text")].find((e) => e.textContent.startsWith(arguments[0])).getBoundingClientRect().x`, name))
		return v
	}
	if x("B1") > x("B4") {
		t.Error("seen from the tubes, bolt 1 is right of bolt 4")
	}
	a.tap("side-head")
	a.says("face", "SEEN FROM THE HEAD SIDE (mirrored)")
	if x("B1") < x("B4") {
		t.Error("seen from the head side, bolt 1 is left of bolt 4")
	}
	a.bothWays("flange-head")
	a.tap("side-tubes")
	a.says("face", "SEEN FROM THE TUBES")

	a.tap("way-show:0")
	a.says("face", "the other way round")
	a.says("face", "times as long")
	a.bothWays("flange-over")
	a.tap("way-show:0")

	// A field of how it is made leads back to here.
	a.tap("field:bank/A/web")
	a.enter("bank/A/web", "8")
	a.screen("flange")
	a.says("field:bank/A/web", "8")

	for _, p := range want.Patterns {
		a.goTo("flange", query+"&id=A")
		a.tap("pattern:" + p.ID)
		a.sees("pattern-fit")
		a.says("pattern-verdict", fmt.Sprintf("%.2f mm of play left", p.Room))
		var rows []string
		a.must(a.b.Eval(&rows, `return [...document.querySelectorAll("[data-test=pattern-hole], [data-test=pattern-opening]")].map((e) => e.innerText)`))
		if len(rows) != len(p.Holes)+len(p.Openings) {
			t.Fatalf("%s: %d rows", p.ID, len(rows))
		}
		for i, h := range p.Holes {
			if figure := fmt.Sprintf("%.2f", h.Miss); !strings.Contains(rows[i], figure) {
				t.Errorf("%s: %q does not say %s", h.ID, rows[i], figure)
			}
		}
		for i, o := range p.Openings {
			if figure := fmt.Sprintf("%.2f", o.Shadow); !strings.Contains(rows[len(p.Holes)+i], figure) {
				t.Errorf("%s: %q does not say %s", o.ID, rows[len(p.Holes)+i], figure)
			}
		}
		a.bothWays("pattern-"+p.ID, "pattern-fit", "pattern-holes")
		a.tap("side-head")
		a.says("face", "SEEN FROM THE HEAD SIDE")
	}
	a.tap("back")
	a.screen("flange")
}

// Without the shop and by touch: a D that is turned and an outline of 16 points, its
// figures as the plan has them, the shape it may be taken and given back; a pattern added by hand.
func TestPortsAreMeasuredByTouch(t *testing.T) {
	const file = "../../testdata/job/flange.job.json"
	a, id := withJob(t, drive.Chromium, "flange.job.json")
	a.alone()
	want := flangeOf(t, file)
	query := "job=" + id

	// Port 2 becomes a D with its flat up: turned by −90°.
	a.goTo("measure", query+"&slot=port/p2/shape")
	a.pick("port/p2/shape", "D, one flat side")
	a.goTo("measure", query+"&slot=port/p2/corner")
	for _, f := range [][2]string{{"corner", "6"}, {"radius", "19.5"}, {"flat", "14"}} {
		a.at("port/p2/" + f[0])
		a.unit("mm")
		a.keys(f[1])
		if f[0] == "flat" {
			a.bothWays("d-flat")
		}
		a.keep()
	}
	a.goTo("measure", query+"&slot=port/p2/turn")
	a.at("port/p2/turn")
	a.keys("-90")
	a.bothWays("d-turn")
	a.tap("keep")
	a.screen("bank")
	a.must(a.b.WaitFor(wait, `return !document.querySelector(".calc-note")`))
	a.bothWays("d-turned")
	a.goTo("flange", query+"&id=A")
	a.says("port:p2", fmt.Sprintf("%.0f", want.Ports[0].Area)) // the same D as port 1

	// Port 1 becomes points: those of port 3.
	points := rimOf(t, file, "p3")
	a.goTo("measure", query+"&slot=port/p1/shape")
	a.pick("port/p1/shape", "measured points")
	a.goTo("bank", query+"&id=A")
	a.says("rim:p1", "0 of 16")
	a.tap("rim:p1")
	for i, p := range points {
		for k, axis := range []string{"x", "y"} {
			a.says("asks", fmt.Sprintf("Point %d, %s", i+1, axis))
			if i == 0 && k == 0 {
				a.unit("mm")
				a.bothWays("rim-first")
			}
			text := fmt.Sprint(p[k])
			a.keys(text)
			if i == 8 && k == 1 {
				a.says("rim-count", "8 of 16")
				a.bothWays("rim-typing")
			}
			a.tap("keep")
		}
	}
	a.sees("rim-done")
	a.sees("rim-outline")
	a.says("rim-count", "16 points")
	a.says("rim-cost", "area to 1 %, perimeter to 0.9 %")
	a.says("fit-say", "a stadium 39.92 mm × 33.06 mm")
	a.says("fit-say", fmt.Sprintf("within %.2f mm", want.Ports[2].Fit.Worst))
	a.bothWays("rim-look")
	area := func() (s string) {
		t.Helper()
		a.goTo("flange", query+"&id=A")
		a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='port:p1']") && !document.querySelector(".calc-note")`))
		return a.text("port:p1")
	}
	if got, figure := area(), fmt.Sprintf("%.2f", want.Ports[2].Perimeter); !strings.Contains(got, figure) {
		t.Errorf("the port that was measured by points is %q, want %s", got, figure)
	}
	a.sees("fit-use")
	a.goTo("rim", query+"&slot=port/p1&id=look")
	a.tap("fit-use")
	a.says("fit-in-use", "stadium")
	a.bothWays("rim-fitted")
	if got := area(); !strings.Contains(got, "stadium") || strings.Contains(got, fmt.Sprintf("%.2f", want.Ports[2].Perimeter)) {
		t.Errorf("the fitted port is %q", got)
	}
	a.goTo("rim", query+"&slot=port/p1&id=look")
	a.tap("fit-back")
	a.sees("fit-use")
	if got, figure := area(), fmt.Sprintf("%.2f", want.Ports[2].Perimeter); !strings.Contains(got, figure) {
		t.Errorf("back at its points the port is %q, want %s", got, figure)
	}

	// Both stand on the sheet of the ports, which is made without the shop.
	a.goTo("sheets", query)
	a.tap("sheet:ports-A")
	a.shown()
	a.bothWays("ports-sheet")
	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.tap("make-dxf")
	a.tap("dxf-link")
	_, sheet := a.file(folder)
	read, err := dxf.Read(sheet, dxf.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, area := range []float64{want.Ports[0].Area, want.Ports[2].Area} {
		n := 0
		for _, o := range append(read.Openings, read.Beside...) {
			if math.Abs(o.Outline.Area()-area) < 2 { // 0.02 mm all round
				n++
			}
		}
		if n < 2 { // ports 1 and 3 are alike now, and so are 2 and 4
			t.Errorf("%d ports of %.1f mm² are on the sheet", n, area)
		}
	}
	a.goTo("flange", query+"&id=A")

	// A pattern by hand: two holes lay it on.
	a.tap("add-pattern")
	pattern := a.begun("pattern")
	a.asked("pattern/"+pattern, [2]string{"what", "gasket"})
	a.screen("item")
	a.bothWays("pattern-new")
	for _, h := range [][3]string{{"0", "0", "9.5"}, {"330.3", "0", "9.5"}} {
		a.tap("add-hole")
		hole := a.begun("hole")
		a.asked("hole/"+hole, [2]string{"x", h[0]}, [2]string{"y", h[1]}, [2]string{"diameter", h[2]})
		a.screen("item")
	}
	a.says("pattern-verdict", "The bolts go in")
	a.says("unmatched", "bolt 2")
	a.tap("add-opening")
	opening := a.begun("opening")
	a.asked("opening/"+opening, [2]string{"shape", "measured points"}, [2]string{"x", "41"}, [2]string{"y", "27"})
	a.screen("item")
	a.tap("spots:" + opening)
	a.says("asks", "Point 1, x")
	a.tap("back")
	a.screen("item")
	a.bothWays("pattern-hand")
	a.tap("back")
	a.screen("flange")
	a.sees("pattern:" + pattern)
}

// rimOf are the measured points of a port in a job file.
func rimOf(t *testing.T, file, port string) [][2]float64 {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Banks []struct {
			Ports []struct {
				ID      string
				Outline struct{ Points [][2]float64 }
			}
		}
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	for _, p := range f.Banks[0].Ports {
		if p.ID == port {
			return p.Outline.Points
		}
	}
	t.Fatalf("%s has no port %s", file, port)
	return nil
}
