package main

import (
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// The whole story: a first load, then no server; a bank measured, a tube laid
// out, the tab killed, everything there; the server back, the wall shows it; a
// second tablet that read something else makes the value disputed on both.
func TestStory(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	b := newTablet(t, drive.Chromium, s)
	b.first("Imre")

	// A job that both tablets know, then no network.
	job := a.newJob()
	a.unsent(0)
	b.must(b.b.WaitFor(wait, `return document.querySelector("[data-test=job-row]") !== null`))
	a.tap("step-measure")
	a.tap("add-port")
	first := portOf(a)
	a.at("port/" + first + "/cylinder")
	a.unsent(0)
	s.kill()
	a.link("offline")
	b.link("offline")

	// The app opens without the server, from a deep link too.
	a.must(a.b.Reload())
	a.at("port/" + first + "/cylinder")

	measureBank(t, a, first)
	layOutTube(t, a, job)

	// The tab dies right after "saved"; the app comes back where it was.
	a.must(a.b.KillTab())
	a.open()
	a.goTo("bank", "job="+job+"&id=A")
	a.sees("field:port/" + first + "/width")
	if got := a.text("field:port/" + first + "/width"); !strings.Contains(got, "1 5/8") {
		t.Errorf("after the kill the first port's width reads %q", got)
	}
	ports := a.ids("port")
	if len(ports) != 4 {
		t.Fatalf("after the kill there are %d ports", len(ports))
	}
	if got := a.text("field:port/" + ports[1] + "/width"); !strings.Contains(got, "41,3") {
		t.Errorf("after the kill the second port's width reads %q", got)
	}

	// Meanwhile the other tablet measures the first port's width too, and reads
	// something else. Neither has seen the other's.
	b.goTo("measure", "job="+job+"&slot=port/"+first+"/shape")
	b.pick("port/"+first+"/shape", "rectangle")
	b.enter("port/"+first+"/width", "42.6")

	// The server is back.
	s.start()
	a.unsent(0)
	b.unsent(0)
	for _, p := range []*tablet{a, b} {
		p.goTo("bank", "job="+job+"&id=A")
		p.state("port/"+first+"/width", "disputed")
	}
	var plan map[string]any
	if err := s.get("/api/jobs/"+job+"/plan", &plan); err != nil {
		t.Fatal(err)
	}
	tubes := plan["tubes"].([]any)
	if len(tubes) != 1 {
		t.Fatalf("the server knows %d tubes", len(tubes))
	}

	// A person chooses; it is settled everywhere.
	a.tap("field:port/" + first + "/width")
	a.must(a.b.Tap(drive.CSS("[data-test^='choose:']")))
	a.sees("field:port/" + first + "/width")
	for _, p := range []*tablet{a, b} {
		p.state("port/"+first+"/width", "chosen")
	}

	// The wall shows the job, and goes grey when the server is gone.
	w := newTablet(t, drive.Chromium, s)
	w.must(w.b.SetSize(1920, 1080))
	w.must(w.b.Open(s.url("/wall")))
	w.says("wall-row", "Heron four")
	s.kill()
	w.sees("wall-grey")
	s.check()
}

// portOf is the id of the port that is being measured, once one is.
func portOf(p *tablet) string {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return new URLSearchParams(location.hash.split("?")[1] ?? "").get("slot")?.startsWith("port/")`))
	return strings.Split(p.hash("slot"), "/")[1]
}

// measureBank enters engine data, four ports and what stands between.
func measureBank(t *testing.T, a *tablet, first string) {
	t.Helper()
	job := a.hash("job")
	a.goTo("measure", "job="+job+"&slot=engine/self/cylinders")
	a.enter("engine/self/cylinders", "4")
	a.enter("engine/self/bore", "83.4")
	// The stroke on the app's own keypad, in inches.
	a.at("engine/self/stroke")
	a.unit("in")
	a.keys("3 9/16")
	a.says("echo", "90.488 mm")
	a.keep()

	for i := range 4 {
		port := first
		if i > 0 {
			a.goTo("bank", "job="+job+"&id=A")
			a.tap("add-port")
			port = portOf(a)
		} else {
			a.goTo("measure", "job="+job+"&slot=port/"+port+"/cylinder")
		}
		slot := func(field string) string { return "port/" + port + "/" + field }
		a.enter(slot("cylinder"), string(rune('1'+i)))
		a.pick(slot("shape"), "rectangle")
		a.at(slot("width"))
		switch i {
		case 0:
			a.unit("in")
			a.keys("1 5/8")
			a.says("echo", "41.275 mm")
			a.keep()
		case 1:
			a.unit("mm")
			a.enter(slot("width"), "41,3")
		default:
			a.enter(slot("width"), "41.4mm")
		}
		a.enter(slot("height"), "35 mm")
		if i == 0 {
			refusals(t, a, slot("corner"))
		}
		a.enter(slot("corner"), "9.5 mm")
		a.enter(slot("x"), []string{"38", "124", "210", "296"}[i]+" mm")
		a.enter(slot("y"), "27.5 mm")
	}
}

// refusals types what cannot be used: each time a sentence with the field and its
// range, and what was typed stays.
func refusals(t *testing.T, a *tablet, slot string) {
	t.Helper()
	a.at(slot)
	for _, typed := range []string{"3//8", "much", "900", "-4", "1e3", "0x10"} {
		a.must(a.b.Tap(css("typed")))
		a.must(a.b.Type(typed + "\n"))
		a.says("fault", "Port corner radius")
		if said := a.text("fault"); !strings.Contains(said, "0 to 100 mm") {
			t.Errorf("%q: the sentence has no range: %q", typed, said)
		}
		var value string
		a.must(a.b.Eval(&value, `return document.querySelector("[data-test=typed]").value`))
		if value != typed {
			t.Errorf("%q was typed and %q stands there", typed, value)
		}
		a.at(slot)
		for range typed {
			a.tap("key-back")
		}
	}
}

// layOutTube enters a tube of two straights and a bend and looks at its length
// and cut list.
func layOutTube(t *testing.T, a *tablet, job string) {
	t.Helper()
	a.goTo("tubes", "job="+job)
	a.tap("add-tube")
	a.sees("add-bend")
	tube := a.hash("id")
	back := func() {
		a.goTo("tube", "job="+job+"&id="+tube)
		a.sees("add-bend")
	}
	enter := func(field, text string) {
		a.tap("field:tube/" + tube + "/" + field)
		a.enter("tube/"+tube+"/"+field, text)
		back()
	}
	enter("od", "1 3/4 in")
	enter("wall", "0.065 in")
	element := func(add string, values ...[2]string) {
		a.tap(add)
		a.must(a.b.WaitFor(wait, `return location.hash.startsWith("#/measure")`))
		id := strings.Split(a.hash("slot"), "/")[1]
		for _, v := range values {
			a.enter("element/"+id+"/"+v[0], v[1])
		}
		back()
	}
	element("add-straight", [2]string{"length", "1 1/2 in"})
	element("add-bend", [2]string{"turn", "72"}, [2]string{"clr", "3 in"}, [2]string{"rotation", "180"})
	element("add-straight", [2]string{"length", "3.4 in"})
	a.goTo("measure", "job="+job+"&slot=target/self/length")
	a.enter("target/self/length", "32 in")
	a.pick("target/self/from", "flange")
	a.enter("target/self/tolerance", "1/4 in")
	a.goTo("tubes", "job="+job)
	// 38.1 + 76.2·72·π/180 + 86.36 mm: closed form.
	a.says("tube-length:"+tube, "220.2")
	a.goTo("result", "job="+job)
	a.sees("cut-row")
	var rows int
	a.must(a.b.Eval(&rows, `return document.querySelectorAll("[data-test=cut-row]").length`))
	if rows != 3 {
		t.Errorf("the cut list has %d rows, want 3", rows)
	}
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-rule=length-tolerance]")?.textContent.includes("short")`))
}

// A removed bolt keeps its number free and can be brought back, long after the
// undo bar is gone.
func TestRemovedEntryComesBack(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	var ids []string
	for range 3 {
		a.goTo("bank", "job="+job+"&id=A")
		a.tap("add-bolt")
		a.must(a.b.WaitFor(wait, `return new URLSearchParams(location.hash.split("?")[1] ?? "").get("slot")?.startsWith("bolt/")`))
		ids = append(ids, strings.Split(a.hash("slot"), "/")[1])
	}
	a.goTo("bank", "job="+job+"&id=A")
	a.tap("remove:" + ids[1])
	a.must(a.b.WaitFor(wait, `return document.querySelector("[data-test='entity:`+ids[1]+`']") === null`))
	if got := a.text("entity:" + ids[2]); !strings.Contains(got, "Bolt 3") {
		t.Errorf("after the second bolt was removed the third reads %.20q", got)
	}
	a.open()
	a.goTo("bank", "job="+job+"&id=A")
	a.must(a.b.Tap(drive.CSS(".removed summary")))
	a.tap("bring-back:" + ids[1])
	a.says("entity:"+ids[1], "Bolt 2")
}
