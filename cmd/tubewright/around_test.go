package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// begun waits for the page that measures a field of a new entry and returns the
// entry's id.
func (p *tablet) begun(kind string) string {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return new URLSearchParams(location.hash.split("?")[1] ?? "").get("slot")?.startsWith(arguments[0] + "/")
		&& document.querySelector("[data-test=keep]") !== null`, kind))
	return strings.Split(p.hash("slot"), "/")[1]
}

// asked answers one field after the other as the tablet asks for them: a word that
// is offered, or a figure.
func (p *tablet) asked(entity string, answers ...[2]string) {
	p.t.Helper()
	for _, a := range answers {
		slot := entity + "/" + a[0]
		p.at(slot)
		var isFigure bool
		p.must(p.b.Eval(&isFigure, `return document.querySelector("[data-test=key-back]") !== null`))
		if isFigure {
			p.enter(slot, a[1])
		} else {
			p.pick(slot, a[1])
		}
	}
}

// title is the heading of the page.
func (p *tablet) title() string {
	p.t.Helper()
	var s string
	p.must(p.b.Eval(&s, `return document.querySelector("h1").textContent`))
	return s
}

// screen waits for a page of the app.
func (p *tablet) screen(name string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return location.hash.startsWith("#/" + arguments[0]) && document.querySelector("[data-test=back]") !== null`, name))
}

// Without the shop, by touch: a collector with a tube in it, a neighbour of two
// shapes, a point with three tapes, a tool, a plug and the mock-up of a tube. What
// is asked next comes by itself; afterwards the shop has all of it.
func TestWhatIsAroundIsEnteredByTouch(t *testing.T) {
	a, heron := withJob(t, drive.Chromium, "four.job.json")
	a.alone()
	job := "job=" + heron
	a.goTo("job", job)
	a.tap("step-around")
	a.sees("add-collector")
	a.bothWays("around-empty")

	a.tap("add-collector")
	collector := a.begun("collector")
	a.asked("collector/"+collector, [2]string{"sockets", "4"}, [2]string{"nest", "ring"}, [2]string{"socket_id", "1 21/32 in"})
	a.at("collector/" + collector + "/at_x")
	a.bothWays("axes")
	a.uncut()
	a.asked("collector/"+collector, [2]string{"at_x", "167"}, [2]string{"at_y", "-240"})
	a.at("collector/" + collector + "/at_z")
	a.keys("-1234.567")
	a.bothWays("axes-out")
	var over bool // the last line of what was understood lies over what is allowed
	a.must(a.b.SetSize(wide[0], wide[1]))
	a.must(a.b.Eval(&over, `return document.querySelector(".echo-fraction").getBoundingClientRect().bottom > document.querySelector(".say-row").getBoundingClientRect().top + 1`))
	if over {
		t.Error("what was understood lies over what is allowed")
	}
	a.uncut()
	a.must(a.b.Eval(nil, `for (let n = 0; n < 9; n++) document.querySelector("[data-test=key-back]").click()`))
	a.asked("collector/"+collector, [2]string{"at_z", "330"},
		[2]string{"axis_x", "0"}, [2]string{"axis_y", "-0.5"}, [2]string{"axis_z", "0.87"})
	a.screen("item")
	a.sees("more:collector/" + collector)
	called := a.title()
	a.bothWays("collector")
	a.tap("back")

	a.tap("add-neighbour")
	steering := a.begun("neighbour")
	a.asked("neighbour/"+steering, [2]string{"what", "steering"})
	a.screen("item")
	a.must(a.b.Tap(css("note:neighbour/" + steering + "/name")))
	a.must(a.b.Type("column joint"))
	a.tap("note-keep:neighbour/" + steering + "/name")
	shape := func(word string, answers ...[2]string) string {
		a.tap("add-part")
		id := a.begun("part")
		a.asked("part/"+id, append([][2]string{{"shape", word}}, answers...)...)
		return id
	}
	shape("rod", [2]string{"x", "40"}, [2]string{"y", "-120"}, [2]string{"z", "180"}, [2]string{"to_x", "60"}, [2]string{"to_y", "-300"}, [2]string{"to_z", "220"}, [2]string{"radius", "12"})
	a.screen("item")
	sleeve := shape("sleeve", [2]string{"radius", "6"})
	a.screen("item")
	a.tap("sleeve:" + sleeve)
	for i := range 2 {
		a.tap("add-corner")
		c := a.begun("corner")
		a.asked("corner/"+c, [2]string{"x", fmt.Sprint(10 + 50*i)}, [2]string{"y", "-80"}, [2]string{"z", "100"})
		a.screen("item")
	}
	a.bothWays("sleeve")
	a.tap("back")
	a.says("entity:"+sleeve, "(2)")
	a.bothWays("neighbour")
	// A shape that was removed comes back by one tap.
	a.tap("remove:" + sleeve)
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='entity:`+sleeve+`']") === null`))
	a.tap("undo")
	a.sees("entity:" + sleeve)
	a.tap("back")

	a.tap("add-point")
	for i, tape := range [][2]string{{"Bolt 1", "211.4"}, {"Bolt 3", "188.9"}, {"Bolt 2", "230"}} {
		if i > 0 {
			a.tap("add-tape")
		}
		id := a.begun("tape")
		if i == 0 {
			a.bothWays("tape-from")
		}
		a.asked("tape/"+id, [2]string{"from", tape[0]}, [2]string{"distance", tape[1]})
		a.screen("item")
	}
	point := strings.Split(a.hash("slot"), "/")[1]
	a.tap("point-side")
	a.asked("point/"+point, [2]string{"side", "+z"})
	a.screen("item")
	a.bothWays("point")
	a.tap("back")

	a.tap("add-tool")
	tool := a.begun("tool")
	a.asked("tool/"+tool, [2]string{"od", "0.8 in"}, [2]string{"length", "60"})
	a.tap("back")
	a.tap("add-tie")
	tie := a.begun("tie")
	a.asked("tie/"+tie, [2]string{"a", "Bank A"}, [2]string{"ax", "1"}, [2]string{"ay", "2"}, [2]string{"az", "3"},
		[2]string{"b", "the car"}, [2]string{"bx", "4"}, [2]string{"by", "5"}, [2]string{"bz", "6"})
	a.tap("back")
	a.sees("row:tie/" + tie)
	a.bothWays("around")

	a.goTo("bank", job+"&id=A")
	a.tap("add-plug")
	plug := a.begun("plug")
	a.asked("plug/"+plug, [2]string{"x", "38"}, [2]string{"y", "95"}, [2]string{"z", "-10"}, [2]string{"dir_x", "0"}, [2]string{"dir_y", "0.8"}, [2]string{"dir_z", "0.6"}, [2]string{"od", "22"}, [2]string{"withdraw", "130"})
	a.screen("bank")
	a.bothWays("plug")

	a.goTo("tube", job+"&id=t1")
	a.tap("field:tube/t1/collector")
	a.asked("tube/t1", [2]string{"collector", called}, [2]string{"socket", "2"})
	a.screen("tube")
	a.bothWays("tube-fit")
	a.uncut()
	a.tap("to-mockup")
	a.sees("next-point")
	for straight := range 2 {
		for i := range 3 {
			next := "next-point"
			if straight > 0 && i == 0 {
				next = "next-straight"
			}
			a.tap(next)
			id := a.begun("mark")
			a.asked("mark/"+id, [2]string{"x", "38"}, [2]string{"y", fmt.Sprint(27 - 40*straight*i)}, [2]string{"z", fmt.Sprint(20 + 30*i)})
			a.screen("mockup")
		}
	}
	a.tap("add-bend:1")
	crook := a.begun("crook")
	a.asked("crook/"+crook, [2]string{"clr", "2 1/2 in"})
	a.screen("mockup")
	a.bothWays("mockup")
	var points int
	a.must(a.b.Eval(&points, `return document.querySelectorAll("[data-test='straight:2'] [data-test^='entity:mark']").length`))
	if points != 3 {
		t.Errorf("straight 2 has %d points, want 3", points)
	}

	a.goTo("job", job)
	a.says("step-around", "complete")
	a.shop.start()
	a.unsent(0)
	var plan map[string]any
	if err := a.shop.get("/api/jobs/"+heron+"/plan", &plan); err != nil {
		t.Fatal(err)
	}
	a.complains("ERR_CONNECTION_REFUSED") // the shop was away
	a.shop.check()
}

// Points from a CSV make a path that is looked at before it is kept; what is wrong
// with a list is said with line and column; one tap brings the old path back. The
// path goes out as CSV again.
func TestPointsComeFromCSVAndGoOut(t *testing.T) {
	a, heron := withJob(t, drive.Chromium, "four.job.json")
	a.alone()
	a.goTo("bender", "job="+heron+"&id=t2")
	a.sees("bender")
	a.bothWays("bender")
	figures := func() string {
		all, _, _ := strings.Cut(a.text("bender"), "How to read it")
		return all
	}
	before := figures()

	a.paste("points-text", "point,x_mm,y_mm,z_mm\n1,124,27.5,0\n2,124,27.5,hundred\n")
	a.tap("points-look")
	a.says("points-fault", "Line 3, column 4 (z_mm)")
	a.bothWays("points-fault")

	// By hand: 100 mm, a bend of 90° with CLR 50, 80 mm; the bend takes 50 mm off either side.
	a.paste("points-text", "point,x_mm,y_mm,z_mm\n1,124,27.5,0\n2,124,27.5,150\n3,124,-102.5,150\n")
	a.must(a.b.Eval(nil, `document.querySelector("[data-test=points-clr]").select()`))
	a.must(a.b.Type("50 mm"))
	a.tap("points-look")
	a.says("points-length", "258.54") // 180 + 50·π/2, closed form
	a.says("points-port", "starts at the port")
	a.bothWays("points-preview")
	a.tap("points-keep")
	a.must(a.b.WaitFor(wait, `return document.querySelectorAll("[data-test=points-preview]").length === 0`))
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test=bender]")?.textContent.includes("90.0")`))

	folder := t.TempDir()
	a.must(a.b.(chromium).Downloads(folder))
	a.tap("lra-csv")
	a.tap("lra-link")
	name, csv := a.downloaded(folder)
	if want := "bend,length_mm,rotation_deg,angle_deg,clr_mm\r\n1,100.000,180.000,90.000,50.000\r\nlast,80.000,,,\r\n"; csv != want || name != "Heron-four-hill-climb-car-invented-Tube-2-lra.csv" {
		t.Errorf("%s holds %q, want %q", name, csv, want)
	}
	a.tap("undo")
	a.must(a.b.WaitFor(wait, `return !document.querySelector("[data-test=bender]")?.textContent.includes("−102.50")`))
	if after := figures(); after != before {
		t.Errorf("after undo the bender data read\n%s\nwant\n%s", after, before)
	}
	var offered bool
	a.must(a.b.Eval(&offered, `return document.querySelector("[data-test=lra-link]") !== null`))
	if offered {
		t.Error("a file of the path that was taken back is still offered")
	}

	// What went out as a file comes in as one.
	a.tap("xyz-csv")
	a.tap("xyz-link")
	name, csv = a.downloaded(folder)
	file := filepath.Join(t.TempDir(), name)
	a.must(os.WriteFile(file, []byte(csv), 0o600))
	a.must(a.b.Choose(css("points-file"), file))
	a.says("points-port", "starts at the port")
	a.shop.start()
	a.unsent(0)
	a.shop.check()
}

// downloaded waits for the one file in a folder and takes it out.
func (p *tablet) downloaded(folder string) (name, text string) {
	p.t.Helper()
	for range 200 {
		names, err := filepath.Glob(filepath.Join(folder, "*.csv"))
		p.must(err)
		if len(names) == 1 {
			b, err := os.ReadFile(names[0])
			p.must(err)
			p.must(os.Remove(names[0]))
			return filepath.Base(names[0]), string(b)
		}
		time.Sleep(50 * time.Millisecond)
	}
	p.t.Fatal("no file came")
	return "", ""
}

// paste puts a text into a field as the clipboard does.
func (p *tablet) paste(test, text string) {
	p.t.Helper()
	p.must(p.b.Eval(nil, `const e = document.querySelector("[data-test=" + JSON.stringify(arguments[0]) + "]");
		e.value = arguments[1];
		e.dispatchEvent(new Event("input", { bubbles: true }))`, test, text))
}
