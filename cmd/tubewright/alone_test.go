package main

import (
	"strings"
	"testing"

	"tubewright/pwa/drive"
)

// withJob is a tablet of Rowan's, and a shop on one job from a file of testdata/job,
// or on the demo's where file is "". The tablet has the job, of which the id is returned. Such
// tests run beside one another, each with a shop and a browser of its own: a test calls it once.
func withJob(t *testing.T, start drive.Start, file string) (a *tablet, id string) {
	t.Helper()
	t.Parallel()
	s := newShop(t)
	if file == "" {
		id = s.demo()
	} else {
		id = s.seeded("../../testdata/job/" + file)
	}
	return settled(t, start, s), id
}

// settled is a tablet of Rowan's that holds all that the shop has.
func settled(t *testing.T, start drive.Start, s *shop) *tablet {
	t.Helper()
	a := newTablet(t, start, s)
	a.first("Rowan")
	a.unsent(0)
	a.level()
	return a
}

// level waits until the tablet holds all that the shop has.
func (p *tablet) level() {
	p.t.Helper()
	var shop struct{ Records int }
	p.must(p.shop.get("/api/health", &shop))
	p.must(p.b.WaitFor(wait, `(async () => {
			const db = await new Promise((done, fail) => { const o = indexedDB.open("tubewright"); o.onsuccess = () => done(o.result); o.onerror = () => fail(o.error); });
			const n = db.transaction("records").objectStore("records").count();
			n.onsuccess = () => { window.holds = n.result; db.close(); };
		})();
		return window.holds >= arguments[0]`, shop.Records))
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=job-row]") !== null`))
}

// alone takes the shop away.
func (p *tablet) alone() {
	p.t.Helper()
	p.shop.kill()
	p.link("offline")
}

// seeded starts the shop again on one job from a file and returns the job's id.
func (s *shop) seeded(file string) string {
	s.t.Helper()
	s.kill()
	if code, out, errs := command(s.t, "import", "-data", s.dir, file); code != exitDone {
		s.t.Fatalf("import: exit %d: %s%s", code, out, errs)
	}
	s.start()
	return s.jobs()[0]["id"].(string)
}

// complains fails with what the page had to complain of, but for lines with one of but.
func (p *tablet) complains(but ...string) {
	p.t.Helper()
	said, _ := p.b.Errors()
lines:
	for _, line := range said {
		for _, s := range but {
			if strings.Contains(line, s) {
				continue lines
			}
		}
		p.t.Errorf("the page complains: %q", line)
	}
}
