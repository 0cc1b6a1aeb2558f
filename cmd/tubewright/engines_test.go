package main

import (
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// The offline part in the other engines: first load, server gone, a bank with
// four ports and a tube, its length and cut list, the app opened again, all of it
// there; the server comes back and has it. Firefox is killed and started again;
// WebKitGTK's test sessions forget everything at their end, so there the page is
// only loaded again.
func TestOfflineInEveryEngine(t *testing.T) {
	for _, e := range drive.Engines {
		if e.Name == "Chromium" {
			continue // TestStory
		}
		t.Run(e.Name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, e.Start, s)
			a.first("Rowan")
			s.kill()
			a.link("offline")
			a.open()
			job := a.newJob()
			a.tap("step-measure")
			a.tap("add-port")
			first := portOf(a)
			measureBank(t, a, first)
			layOutTube(t, a, job)
			if e.Name != "WebKitGTK" {
				a.b.Kill()
				a.must(a.b.Restart())
			}
			a.open()
			a.goTo("intake", "job="+job)
			a.says("field:engine/self/stroke", "3 9/16")
			a.state("engine/self/stroke", "agreed") // worked out by the wasm, from the worker's cache
			a.goTo("bank", "job="+job+"&id=A")
			a.sees("field:port/" + first + "/width")
			ports := a.ids("port")
			if len(ports) != 4 || !strings.Contains(a.text("field:port/"+ports[1]+"/width"), "41,3") {
				t.Errorf("%d ports, the second is %q wide", len(ports), a.text("field:port/"+ports[1]+"/width"))
			}
			s.start()
			a.unsent(0)
			if jobs := s.jobs(); len(jobs) != 1 || jobs[0]["name"] != "Heron four" {
				t.Errorf("the server knows %v", jobs)
			}
		})
	}
}
