package bundle

import (
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	"tubewright/pwa/drive"
)

// The two programs of the trial project: one answers at once, the other after as many
// milliseconds as it is asked for, and tells on the way how far it is.
const (
	quickProgram = `package main

import "syscall/js"

var build string

func main() {
	js.Global().Set("tubewrightCalc", js.FuncOf(func(_ js.Value, args []js.Value) any { return "quick " + args[0].String() }))
	select {}
}
`
	longProgram = `package main

import (
	"strconv"
	"strings"
	"syscall/js"
	"time"
)

var build string

func main() {
	js.Global().Set("tubewrightCalc", js.FuncOf(func(_ js.Value, args []js.Value) any {
		ms, _ := strconv.Atoi(strings.Trim(args[0].String(), "{}ms:\""))
		whole, start := time.Duration(ms)*time.Millisecond, time.Now()
		for took := time.Duration(0); took < whole; took = time.Since(start) {
			args[1].Invoke(float64(took) / float64(whole))
		}
		return "long"
	}))
	select {}
}
`
	longApp = `import { Calc, LONG, NotHere, Stopped } from "./lib/calc"; import { calcworkerURL, longWasmURL, wasmURL } from "./lib/built"; import { Updates } from "./lib/update"; import "./css/base.css";
const w = window as any;
const start = (wasm: string) => () => { const k = new Worker(calcworkerURL); k.postMessage({ wasm }); return k as any; };
const quick = new Calc(start(wasmURL));
const long = new Calc(start(longWasmURL), LONG);
const said = (err: Error) => err instanceof Stopped ? "stopped" : err instanceof NotHere ? "not here" : err.message;
w.quick = () => quick.ask("view", { a: 1 });
w.begin = (ms: number) => { w.told = []; w.said = ""; long.ask("cuts", { ms }, (done) => w.told.push(done)).then((t) => { w.said = t; }, (err) => { w.said = said(err); }); };
w.stop = () => long.stop("cuts");
if (location.search !== "?alone") void new Updates({ onWaiting: () => {}, onIncomplete: () => {} }).start();
document.getElementById("root")!.textContent = "app";`
)

// What takes long runs beside what answers at once, tells how far it is, ends when it is
// stopped, and works with the shop machine gone, in every engine.
func TestLongCalculationRunsBesideTheQuickOne(t *testing.T) {
	if testing.Short() {
		t.Skip("SKIPPED: browsers, because of -short")
	}
	root := project(t)
	own := func(name string) string {
		b, err := os.ReadFile(filepath.Join("..", "..", "..", "pwa", "lib", name))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	for name, text := range map[string]string{
		"cmd/calcwasm/main_js.go": quickProgram, "cmd/longwasm/main_js.go": longProgram, "pwa/app.tsx": longApp,
		"pwa/lib/calc.ts": own("calc.ts"), "pwa/lib/calcworker.ts": own("calcworker.ts"), "pwa/lib/update.ts": own("update.ts"),
	} {
		if err := os.WriteFile(filepath.Join(root, filepath.FromSlash(name)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := t.TempDir()
	files, module := map[string][]byte{"sw.js": nil}, ""
	for _, f := range build(t, root, out).Files {
		files[f.Name] = nil
		if f.Later && filepath.Ext(f.Name) == ".wasm" {
			module = f.Name
		}
	}
	for name := range files {
		files[name] = unpacked(t, out, name)
	}
	for _, e := range drive.Engines {
		t.Run(e.Name, func(t *testing.T) {
			b, skip, err := e.Start(context.Background(), drive.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if skip != "" {
				t.Skip(skip)
			}
			t.Cleanup(b.Close)
			s := &shop{files: files, spoil: map[string]func([]byte) []byte{}}
			server := httptest.NewServer(s)
			t.Cleanup(server.Close)
			l := life{t: t, b: b, s: s, url: server.URL}
			l.awayAndBack(module)
			l.must(b.Open(l.url + "/"))
			l.must(b.WaitFor(drive.Wait, controlled))
			l.longBesideQuick()
			s.do(func() { s.gone = true })
			l.must(b.Reload())
			l.shows("app")
			l.longBesideQuick()
		})
	}
}

// awayAndBack: before the module is on the tablet a question says so, and the same page
// has its answer once the module can be fetched.
func (l life) awayAndBack(module string) {
	l.s.do(func() { l.s.spoil[module] = func([]byte) []byte { return nil } })
	l.must(l.b.Open(l.url + "/?alone"))
	l.shows("app")
	l.must(l.b.Eval(nil, `begin(1)`))
	l.must(l.b.WaitFor(drive.Wait, `return said === "not here"`))
	l.s.do(func() { delete(l.s.spoil, module) })
	l.must(l.b.Eval(nil, `begin(1)`))
	l.must(l.b.WaitFor(drive.Wait, `return said === "long"`))
}

func (l life) longBesideQuick() {
	l.t.Helper()
	l.must(l.b.Eval(nil, `begin(3600000)`))
	l.must(l.b.WaitFor(drive.Wait, `return told.length > 2 && told.at(-1) > told[0]`))
	var quick, said string
	l.must(l.b.EvalAsync(&quick, `return quick()`))
	l.must(l.b.Eval(&said, `return said`))
	if quick != `quick {"a":1}` || said != "" {
		l.t.Errorf("beside the long calculation the quick one says %q, the long one %q", quick, said)
	}
	l.must(l.b.Eval(nil, `stop()`))
	l.must(l.b.WaitFor(drive.Wait, `return said === "stopped"`))
	l.must(l.b.Eval(nil, `begin(300)`))
	l.must(l.b.WaitFor(drive.Wait, `return said === "long" && told.length > 0`))
}
