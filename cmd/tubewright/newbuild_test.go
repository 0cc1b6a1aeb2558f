package main

import (
	"encoding/json"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tubewright/cmd/build/bundle"
	"tubewright/pwa/drive"
)

// newBuild builds the app once more from sources with another word in them, as a
// newer version of the program has it.
func newBuild(t *testing.T) (folder string, set bundle.Set) {
	t.Helper()
	build(t)
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	copied, folder := t.TempDir(), t.TempDir()
	for _, part := range []string{"go.mod", "go.sum", "calc", "cmd/build/bundle", "cmd/calcwasm", "cmd/longwasm", "pwa"} {
		err := filepath.WalkDir(filepath.Join(root, part), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			rel, _ := filepath.Rel(root, path)
			to := filepath.Join(copied, rel)
			switch {
			case d.IsDir() && (d.Name() == "node_modules" || d.Name() == "dist"):
				return filepath.SkipDir
			case d.IsDir():
				return os.MkdirAll(to, 0o700)
			}
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
				return err
			}
			if rel == filepath.Join("pwa", "lib", "textsaved.ts") {
				const was, is = `title: "What is saved where"`, `title: "What is saved and where"`
				if strings.Count(string(b), was) != 1 {
					t.Fatalf("%s does not hold %s once", rel, was)
				}
				b = []byte(strings.Replace(string(b), was, is, 1))
			}
			return os.WriteFile(to, b, 0o600)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(root, "pwa", "node_modules"), filepath.Join(copied, "pwa", "node_modules")); err != nil {
		t.Fatal(err)
	}
	if err := buildApp(copied, folder, product.app, "-quick"); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(built(t, folder, "set.json"), &set); err != nil {
		t.Fatal(err)
	}
	return folder, set
}

// set asks the server for the list of the files of its app.
func (s *shop) set() (set bundle.Set) {
	s.t.Helper()
	if err := s.get("/set.json", &set); err != nil {
		s.t.Fatal(err)
	}
	return set
}

// Whatever keeps its name from build to build is asked for anew each time; only a
// file with a hash in its name may be kept for ever.
func TestSW1FilesThatKeepTheirNameAreAskedForAnew(t *testing.T) {
	s := newShop(t)
	hash := regexp.MustCompile(`-([0-9A-Z]{8}|[0-9a-f]{8,64})\.(js|css|wasm)$`)
	paths := []string{"", "wall", "sw.js", "set.json"}
	for _, f := range s.set().Files {
		paths = append(paths, f.Name)
	}
	for _, name := range paths {
		res, err := http.Get(s.url("/" + name))
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		got := res.Header.Get("Cache-Control")
		isHashed := hash.MatchString(name)
		if res.StatusCode != http.StatusOK || !isHashed && got != "no-cache" || isHashed && got != "no-cache" && got != "public, max-age=31536000, immutable" {
			t.Errorf("/%s: %s, Cache-Control %q", name, res.Status, got)
		}
	}
}

// The shop machine gets a newer version while a value is half typed: the page says
// so and stays as it was, to the last file; the text is kept over the update that
// the person asks for.
func TestSW3UpdateWaitsForThePersonWhoTypes(t *testing.T) {
	s := newShop(t)
	one := s.set()
	newer, two := newBuild(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	job := a.newJob()
	a.unsent(0)
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.unit("in")
	a.keys("3 9/")
	s.kill()
	s.app = newer
	s.start()
	a.sees("status-update")
	a.typed("3 9/")
	a.keys("16")
	a.says("echo", "90.488 mm")
	a.loadedOnlyFrom(one)
	// Loaded again by accident it is still the old one, whole, with the text.
	time.Sleep(time.Second) // the draft is written 300 ms after the last key
	a.must(a.b.Reload())
	a.sees("status-update")
	a.typed("3 9/16")
	a.loadedOnlyFrom(one)
	// Agreed.
	a.tap("status-update")
	a.says("build", one.Build)
	a.tap("update")
	a.says("build", two.Build)
	a.loadedOnlyFrom(two)
	a.goTo("measure", "job="+job+"&slot=engine/self/bore")
	a.at("engine/self/bore")
	a.typed("3 9/16")
	a.says("echo", "90.488 mm")
	a.keep()
	a.unsent(0)
	s.kill()
	a.open()
	a.sees("keep")
	a.goTo("saved", "job="+job)
	a.says("build", two.Build)
}

// typed waits until the field holds a text.
func (p *tablet) typed(want string) {
	p.t.Helper()
	p.must(p.b.WaitFor(wait, `return document.querySelector("[data-test=typed]")?.value === arguments[0]`, want))
}

// loadedOnlyFrom checks every file that the page has asked for since it was loaded.
func (p *tablet) loadedOnlyFrom(set bundle.Set) {
	p.t.Helper()
	var asked []string
	p.must(p.b.Eval(&asked, `return performance.getEntriesByType("resource").map((e) => new URL(e.name).pathname.slice(1))`))
	if len(asked) == 0 {
		p.t.Error("the page has asked for nothing")
	}
	for _, name := range asked {
		if !slices.ContainsFunc(set.Files, func(f bundle.File) bool { return f.Name == name }) && !strings.HasPrefix(name, "blob/") {
			p.t.Errorf("the page of build %s asked for %s, which is not of its set", set.Build, name)
		}
	}
}

// The shop machine is off: every way in shows the app.
func TestSW5EveryWayInRendersWithoutTheShop(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	job := a.newJob()
	s.kill()
	a.b.Kill()
	a.must(a.b.Restart())
	for _, way := range []struct{ name, path, sees string }{
		{"the icon", "/", "status-link"},
		{"a path of its own", "/job/deep", "status-link"},
		{"a deep link", "/#/intake?job=" + job, "field:engine/self/bore"},
		{"a trailing slash", "/job/", "status-link"},
		{"a query", "/?from=icon", "status-link"},
	} {
		t.Run(way.name, func(t *testing.T) {
			p := &tablet{t, a.b, s}
			p.must(p.b.Open(s.url(way.path)))
			p.sees(way.sees)
		})
	}
	a.must(a.b.Open(s.url("/wall/")))
	a.must(a.b.WaitFor(wait, `return document.querySelector(".wall-head") !== null`))
}

// Nothing is sent while the app is closed. The wall says since when the tablet is
// silent; opened again, it sends without a tap.
func TestSW6ClosedTabletIsMissedAndSendsWhenOpened(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	a.first("Rowan")
	a.link("live")
	job := a.newJob()
	a.unsent(0)
	if err := s.cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	s.cmd.Wait()
	s.cmd = nil
	gone := time.Now()
	a.link("offline")
	const readings = 20
	for i := range readings {
		slot := "engine/self/" + []string{"bore", "stroke"}[i%2]
		a.goTo("measure", "job="+job+"&slot="+slot)
		a.enter(slot, "8"+string(rune('0'+i/2))+".5 mm")
	}
	a.unsent(readings)
	a.b.Kill()
	s.start()
	w := newTablet(t, drive.Chromium, s)
	w.must(w.b.Open(s.url("/wall")))
	w.must(w.b.WaitFor(wait, `return document.querySelector("[data-test=wall-tablet]")?.dataset.state === "silent"`))
	w.must(w.b.WaitFor(wait, `const said = document.querySelector("[data-test=wall-tablet]").textContent;
		return arguments[0].some((at) => said.includes("last heard " + at))`, []string{gone.Format("15:04"), gone.Add(-time.Minute).Format("15:04")})) // on that minute or the one before
	var before struct{ Records int }
	if err := s.get("/api/health", &before); err != nil {
		t.Fatal(err)
	}
	a.must(a.b.Restart())
	opened := time.Now()
	a.must(a.b.Open(s.url("/")))
	for now := before; now.Records < before.Records+readings; time.Sleep(50 * time.Millisecond) {
		if err := s.get("/api/health", &now); err != nil {
			t.Fatal(err)
		}
		if time.Since(opened) > wait {
			t.Fatalf("%d of %d readings were sent", now.Records-before.Records, readings)
		}
	}
	if took := time.Since(opened); took > 5*time.Second {
		t.Errorf("sent %v after the app was opened, want within 5 s", took)
	}
	a.unsent(0)
	w.must(w.b.WaitFor(wait, `return document.querySelector("[data-test=wall-tablet]")?.dataset.state === "heard"`))
}

// A name that is not the shop's shows no empty app in which somebody measures: it
// says where to go.
func TestST10OtherNameSaysWhereToGo(t *testing.T) {
	s := newShop(t)
	a := newTablet(t, drive.Chromium, s)
	other := strings.Replace(s.url("/"), "localhost", "shop.localhost", 1) // any name below localhost is this machine, RFC 6761 section 6.3
	a.must(a.b.Open(other))
	var said string
	a.must(a.b.Eval(&said, `return document.body.innerText`))
	if !strings.Contains(said, "does not answer under that name") || !strings.Contains(said, s.url("")) {
		t.Errorf("%s says %q, want the address %s", other, said, s.url(""))
	}
	var link string
	a.must(a.b.Eval(&link, `return document.querySelector("a").href`))
	if link != s.url("/") {
		t.Errorf("it leads to %s, want %s", link, s.url("/"))
	}
	var workers int
	a.must(a.b.EvalAsync(&workers, `return "serviceWorker" in navigator ? (await navigator.serviceWorker.getRegistrations()).length : 0`))
	if workers != 0 {
		t.Error("the app installed itself under the other name")
	}
}
