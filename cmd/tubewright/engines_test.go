package main

import (
	"testing"

	"tubewright/pwa/drive"
)

// The offline part in every engine: first load, server gone, a reading with a
// fraction and one with a comma, page loaded again, still there; the server comes
// back and has it. Chromium and
// Firefox are also killed and started again; WebKitGTK's test
// sessions forget everything at their end, so there the page is only loaded again.
func TestOfflineInEveryEngine(t *testing.T) {
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			s := newShop(t)
			a := newTablet(t, e.Start, s)
			a.first("Rowan")
			s.kill()
			a.link("offline")
			a.open()
			a.tap("new-job")
			a.must(a.b.Type("Heron four"))
			a.tap("new-job-start")
			a.sees("step-intake")
			job := a.hash("job")
			a.goTo("measure", "job="+job+"&slot=engine/self/bore")
			a.at("engine/self/bore")
			a.unit("in")
			a.keys("3 1/4")
			a.says("echo", "82.550 mm")
			a.keep()
			a.goTo("measure", "job="+job+"&slot=engine/self/stroke")
			a.enter("engine/self/stroke", "90,2 mm")
			if e.Name != "WebKitGTK" {
				a.b.Kill()
				a.must(a.b.Restart())
			}
			a.open()
			a.sees("status-link")
			a.goTo("intake", "job="+job)
			a.says("field:engine/self/bore", "3 1/4")
			a.says("field:engine/self/stroke", "90,2")
			a.state("engine/self/bore", "agreed") // worked out by the wasm, from the worker's cache
			s.start()
			a.unsent(0)
			if jobs := s.jobs(); len(jobs) != 1 || jobs[0]["name"] != "Heron four" {
				t.Errorf("the server knows %v", jobs)
			}
		})
	}
}
