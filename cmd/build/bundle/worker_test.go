package bundle

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tubewright/pwa/drive"
)

// shop serves one build at a time, as the shop machine does, and can be gone, or
// give one file wrong.
type shop struct {
	mu    sync.Mutex
	files map[string][]byte
	gone  bool
	spoil map[string]func([]byte) []byte // by name; nil bytes are a 404
	asked []string
}

func (s *shop) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.gone {
		if conn, _, err := http.NewResponseController(w).Hijack(); err == nil {
			conn.Close()
		}
		return
	}
	name := strings.TrimPrefix(r.URL.Path, "/")
	s.asked = append(s.asked, name)
	if name == "api/now" {
		w.Header().Set("Content-Type", "text/plain")
		w.Write([]byte("live"))
		return
	}
	if name == "wall" {
		name = "wall.html"
	}
	if path.Ext(name) == "" {
		name = "index.html"
	}
	b := s.files[name]
	if spoil := s.spoil[name]; spoil != nil {
		b = spoil(b)
	}
	if b == nil {
		http.NotFound(w, r)
		return
	}
	if strings.HasSuffix(name, ".html") || name == "sw.js" {
		w.Header().Set("Cache-Control", "no-cache")
	}
	w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'")
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(b))
}

func (s *shop) do(change func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change()
}

// built returns the unpacked files of a build of the trial project whose pages say word.
func built(t *testing.T, word string) (map[string][]byte, string) {
	t.Helper()
	root := project(t)
	put := func(name, text string) {
		if err := os.WriteFile(filepath.Join(root, "pwa", name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	update, err := os.ReadFile(filepath.Join("..", "..", "..", "pwa", "lib", "update.ts"))
	if err != nil {
		t.Fatal(err)
	}
	put("lib/update.ts", string(update))
	put("app.tsx", `import { Updates } from "./lib/update"; import { calcworkerURL } from "./lib/built"; import "./css/base.css";
const w = window as any;
sessionStorage.loads = Number(sessionStorage.loads || 0) + 1;
sessionStorage["loads `+word+`"] = Number(sessionStorage["loads `+word+`"] || 0) + 1;
w.waits = ""; w.incomplete = 0;
w.updates = new Updates({ onWaiting: (b) => { w.waits = b; if (sessionStorage.eager) void w.updates.takeOver(); }, onIncomplete: () => { w.incomplete++; } });
w.worker = () => new Promise((resolve, reject) => { const k = new Worker(calcworkerURL); k.onmessage = (e) => resolve(e.data); k.onerror = () => reject(new Error("no worker")); });
document.getElementById("root")!.textContent = "app `+word+`";
void w.updates.start();`)
	put("wall.tsx", `document.getElementById("root")!.textContent = "wall `+word+`";`)
	out := t.TempDir()
	set := build(t, root, out)
	files := map[string][]byte{"sw.js": unpacked(t, out, "sw.js")}
	for _, f := range set.Files {
		files[f.Name] = unpacked(t, out, f.Name)
	}
	return files, set.Build
}

const controlled = `return navigator.serviceWorker.controller && navigator.serviceWorker.controller.state === "activated"`

// life is the app on one tablet and what the shop machine may serve it.
type life struct {
	t                  *testing.T
	b                  drive.Browser
	s                  *shop
	url                string
	one, two           map[string][]byte
	buildOne, buildTwo string
}

// lives runs a test in the engines named, all when none is, on a tablet that has
// just got build one.
func lives(t *testing.T, run func(l life), engines ...string) {
	if testing.Short() {
		t.Skip("SKIPPED: browsers, because of -short")
	}
	one, buildOne := built(t, "one")
	two, buildTwo := built(t, "two")
	for _, e := range drive.Engines {
		if len(engines) > 0 && !slices.Contains(engines, e.Name) {
			continue
		}
		t.Run(e.Name, func(t *testing.T) {
			b, skip, err := e.Start(context.Background(), drive.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if skip != "" {
				t.Skip(skip)
			}
			t.Cleanup(b.Close)
			s := &shop{files: one, spoil: map[string]func([]byte) []byte{}}
			server := httptest.NewServer(s)
			t.Cleanup(server.Close)
			l := life{t, b, s, server.URL, one, two, buildOne, buildTwo}
			l.must(l.b.Open(l.url + "/"))
			l.must(l.b.WaitFor(drive.Wait, controlled))
			run(l)
		})
	}
}

// The life of the app on a tablet: installed, the shop machine gone, newer builds that
// come spoilt, one that comes whole and waits, and the takeover.
func TestSW4SW5ServiceWorkerKeepsOneWholeSet(t *testing.T) { lives(t, life.keepsOneSet) }

func (l life) keepsOneSet() {
	// Gone: every way in answers with the shell, and nothing is a browser's error page.
	l.s.do(func() { l.s.gone = true })
	for _, at := range []struct{ path, want string }{
		{"/", "app one"}, {"/job/deep?from=icon", "app one"}, {"/job/", "app one"}, {"/?a=1", "app one"},
		{"/wall", "wall one"}, {"/wall/", "wall one"},
	} {
		l.must(l.b.Open(l.url + at.path))
		l.shows(at.want)
	}
	l.must(l.b.Open(l.url + "/"))
	l.worker()
	var status int
	l.must(l.b.EvalAsync(&status, `return (await fetch("/no-such-file.js")).status`))
	if status != 503 {
		l.t.Errorf("a file that is nowhere: status %d, want 503", status)
	}
	var api string
	l.must(l.b.EvalAsync(&api, `try { return "answered " + (await fetch("/api/now")).status } catch (err) { return "refused" }`))
	if api != "refused" {
		l.t.Errorf("/api/ with the shop machine gone: %s; the worker must not touch it", api)
	}

	// A newer build with one spoilt file never counts, whatever is wrong with it.
	spoilt := ""
	for name := range l.two {
		if strings.HasPrefix(name, "calc-") {
			spoilt = name
		}
	}
	for i, spoil := range []func([]byte) []byte{
		func([]byte) []byte { return nil },
		func(b []byte) []byte { return b[:len(b)/2] },
		func(b []byte) []byte { c := slices.Clone(b); c[len(c)/2] ^= 1; return c },
	} {
		l.s.do(func() { l.s.gone, l.s.files, l.s.spoil[spoilt] = false, l.two, spoil })
		var failed int
		l.must(l.b.Eval(&failed, `return incomplete`))
		l.must(l.b.EvalAsync(nil, `await updates.check()`))
		// A browser may also have asked by itself, so at least one more failed.
		l.must(l.b.WaitFor(drive.Wait, `return incomplete > arguments[0]`, failed))
		var waits string
		l.must(l.b.Eval(&waits, `return waits`))
		if waits != "" {
			l.t.Errorf("spoilt %d: build %s is offered", i, waits)
		}
		l.onlySet(l.buildOne)
	}
	l.s.do(func() { l.s.gone = true })
	l.must(l.b.Reload())
	l.shows("app one")
	l.worker()

	// Whole: it waits, and the page stays what it was.
	l.s.do(func() { l.s.gone = false; l.s.spoil[spoilt] = nil; l.s.asked = nil })
	l.must(l.b.EvalAsync(nil, `await updates.check()`))
	l.must(l.b.WaitFor(drive.Wait, `return waits === arguments[0]`, l.buildTwo))
	time.Sleep(300 * time.Millisecond)
	l.s.do(func() { l.s.asked = nil })
	l.shows("app one")
	l.worker() // still of the old set
	l.must(l.b.Reload())
	l.shows("app one")
	l.worker()
	l.s.do(func() {
		for _, name := range l.s.asked {
			if name != "sw.js" && name != "" && name != "favicon.ico" {
				l.t.Errorf("while build two waits, the page of build one asks the shop machine for %s", name)
			}
		}
	})
	l.must(l.b.WaitFor(drive.Wait, `return waits === arguments[0]`, l.buildTwo))

	// Agreed: taken over, loaded once, the old set gone.
	var before, after int
	l.must(l.b.Eval(&before, `return Number(sessionStorage.loads)`))
	l.must(l.b.Eval(nil, `void updates.takeOver()`))
	l.must(l.b.WaitFor(drive.Wait, `return document.getElementById("root").textContent === "app two"`))
	time.Sleep(time.Second)
	l.must(l.b.Eval(&after, `return Number(sessionStorage.loads)`))
	if after != before+1 {
		l.t.Errorf("the takeover loaded the page %d times, want once", after-before)
	}
	l.onlySet(l.buildTwo)
	l.s.do(func() { l.s.gone = true })
	l.must(l.b.Open(l.url + "/job/deep"))
	l.shows("app two")
	l.worker()
}

func (l life) must(err error) {
	l.t.Helper()
	if err != nil {
		l.t.Fatal(err)
	}
}

func (l life) shows(want string) {
	l.t.Helper()
	l.must(l.b.WaitFor(drive.Wait, `return document.getElementById("root") && document.getElementById("root").textContent === arguments[0]`, want))
}

// worker starts the calculation's worker, which must come from the page's own set.
func (l life) worker() {
	l.t.Helper()
	var said string
	l.must(l.b.EvalAsync(&said, `return worker()`))
	if !strings.HasPrefix(said, "/calc-") {
		l.t.Errorf("the worker said %q", said)
	}
}

// onlySet waits until the files of this build are the only ones kept.
func (l life) onlySet(build string) {
	l.t.Helper()
	l.must(l.b.WaitFor(drive.Wait, `window.kept = window.kept || [];
caches.keys().then((k) => { window.kept = k; });
return kept.length === 1 && kept[0] === arguments[0]`, "tubewright-"+build))
}
