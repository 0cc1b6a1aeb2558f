package drive

import (
	"bytes"
	"context"
	"image/png"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"
)

// page tells what was done to it: kinds of pointers, keys, and a count that stays in
// IndexedDB with strict durability.
const page = `<!doctype html><meta name="viewport" content="width=device-width"><title>Trial</title>
<style>body { margin: 0 } #low { margin-top: 3000px }</style>
<input id="in"><button aria-label="Undo">u</button><button id="keep">KEEP  ▸</button><button hidden>GONE</button><button style="position:fixed;left:-500px">OUT</button>
<button id="under">UNDER</button><div id="cover" style="position:fixed;background:red"></div>
<p id="out"></p><button id="low">FAR DOWN</button>
<script>
window.said = [];
for (const b of document.querySelectorAll("button")) {
	b.addEventListener("pointerdown", (e) => said.push(e.pointerType));
	b.addEventListener("click", () => { said.push("click " + b.textContent); document.getElementById("out").textContent = "kept " + b.textContent; });
}
addEventListener("keydown", (e) => { if (e.key === "Enter") said.push("Enter"); });
const r = document.getElementById("under").getBoundingClientRect();
Object.assign(document.getElementById("cover").style, { left: r.x + "px", top: r.y + "px", width: r.width + "px", height: r.height + "px" });
window.count = (add) => new Promise((resolve, reject) => {
	const open = indexedDB.open("trial", 1);
	open.onupgradeneeded = () => open.result.createObjectStore("n");
	open.onerror = () => reject(open.error);
	open.onsuccess = () => {
		const tx = open.result.transaction("n", "readwrite", { durability: "strict" });
		let n = 0;
		const get = tx.objectStore("n").get("n");
		get.onsuccess = () => { n = (get.result || 0) + add; tx.objectStore("n").put(n, "n"); };
		tx.oncomplete = () => resolve(n);
		tx.onabort = () => reject(tx.error);
	};
});
</script>`

func serve(t *testing.T) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/" {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		if _, err := w.Write([]byte(page)); err != nil {
			t.Log(err)
		}
	}))
	t.Cleanup(server.Close)
	return server.URL + "/"
}

// each runs a test in every engine that is here and says which are not.
func each(t *testing.T, run func(t *testing.T, b Browser)) {
	for _, e := range Engines {
		t.Run(e.Name, func(t *testing.T) {
			if testing.Short() {
				t.Skip("SKIPPED: browsers, because of -short")
			}
			b, skip, err := e.Start(context.Background(), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if skip != "" {
				t.Skip(skip)
			}
			t.Cleanup(b.Close)
			run(t, b)
		})
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// A start takes seconds, so claims that leave the browser as it was share one.
func TestEngines(t *testing.T) {
	url := serve(t)
	each(t, func(t *testing.T, b Browser) {
		t.Run("does what a person does", func(t *testing.T) { doesWhatAPersonDoes(t, b, url) })
		t.Run("failures of the page are errors", func(t *testing.T) { failuresAreErrors(t, b, url) })
		t.Run("picture has the size asked for", func(t *testing.T) { pictureHasSize(t, b, url) })
		t.Run("profile outlives a killed browser", func(t *testing.T) { profileOutlivesKill(t, b, url) })
	})
}

func doesWhatAPersonDoes(t *testing.T, b Browser, url string) {
	must(t, b.Open(url))
	if got, err := b.Title(); err != nil || got != "Trial" {
		t.Fatalf("title %q, %v", got, err)
	}
	if got, err := b.URL(); err != nil || got != url {
		t.Fatalf("url %q, %v", got, err)
	}
	must(t, b.Tap(CSS("#in")))
	must(t, b.Type("1 5/8\n"))
	var typed string
	must(t, b.Eval(&typed, "return document.getElementById('in').value"))
	if typed != "1 5/8" {
		t.Errorf("typed %q", typed)
	}
	must(t, b.Tap(Button("KEEP ▸")))
	must(t, b.Click(Button("Undo")))
	must(t, b.Tap(Button("FAR DOWN"))) // must be scrolled to
	must(t, b.WaitFor(Wait, "return document.getElementById('out').textContent === arguments[0]", "kept FAR DOWN"))
	var said []string
	must(t, b.Eval(&said, "return said"))
	finger := "touch"
	if b.Name() == "WebKitGTK" {
		finger = "mouse"
	}
	want := []string{"Enter", finger, "click KEEP  ▸", "mouse", "click u", finger, "click FAR DOWN"}
	if !slices.Equal(said, want) {
		t.Errorf("the page saw %q, want %q", said, want)
	}
	if text, err := b.Text(CSS("#out")); err != nil || text != "kept FAR DOWN" {
		t.Errorf("text %q, %v", text, err)
	}
}

func TestWhatCannotBeTappedIsSaid(t *testing.T) {
	url := serve(t)
	b := chromiumHere(t)
	must(t, b.Open(url))
	for target, want := range map[Target]string{
		Button("UNDER"): `over button "UNDER" lies <div id="cover"`,
		Button("OUT"):   `button "OUT" lies outside the view`,
		Button("GONE"):  `no button "GONE"; there are Undo | KEEP ▸`,
	} {
		if err := b.Tap(target); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v, want %s", target, err, want)
		}
	}
	must(t, b.Eval(nil, "console.error('scribe line lost')"))
	if lines, ok := b.Errors(); !ok || !strings.Contains(strings.Join(lines, "\n"), "scribe line lost") {
		t.Errorf("errors %q", lines)
	}
}

func failuresAreErrors(t *testing.T, b Browser, url string) {
	must(t, b.Open(url))
	if err := b.Eval(nil, "throw new Error('no bore')"); err == nil || !strings.Contains(err.Error(), "no bore") {
		t.Errorf("a script that throws: %v", err)
	}
	if err := b.EvalAsync(nil, "await 1; throw new Error('no stroke')"); err == nil || !strings.Contains(err.Error(), "no stroke") {
		t.Errorf("an async script that throws: %v", err)
	}
	if err := b.WaitFor(200*time.Millisecond, "return 0"); err == nil || !strings.Contains(err.Error(), "last it was 0") {
		t.Errorf("waiting in vain: %v", err)
	}
}

func pictureHasSize(t *testing.T, b Browser, url string) {
	must(t, b.Open(url))
	for _, size := range [][2]int{{1180, 820}, {820, 1180}} {
		must(t, b.SetSize(size[0], size[1]))
		var got [2]int
		must(t, b.Eval(&got, "return [innerWidth, innerHeight]"))
		if got != size {
			t.Errorf("page is %v, want %v", got, size)
		}
		shot, err := b.Screenshot()
		must(t, err)
		img, err := png.Decode(bytes.NewReader(shot))
		must(t, err)
		if r := img.Bounds(); r.Dx() != size[0] || r.Dy() != size[1] {
			t.Errorf("picture is %v, want %v", r, size)
		}
	}
}

// What a page stored outlives its browser, where sessions keep anything.
func profileOutlivesKill(t *testing.T, b Browser, url string) {
	count := func(want int) {
		t.Helper()
		must(t, b.Open(url))
		var n int
		must(t, b.EvalAsync(&n, "return count(args[0])", 1))
		if n != want {
			t.Errorf("count is %d, want %d", n, want)
		}
	}
	count(1)
	b.Kill()
	if err := b.Open(url); err == nil {
		t.Error("a killed browser still opens pages")
	}
	must(t, b.Restart())
	if b.Name() == "WebKitGTK" {
		count(1)
		return
	}
	count(2)
	must(t, b.Restart()) // without a kill before it
	count(3)
}

func TestKilledTabLeavesTheBrowser(t *testing.T) {
	url := serve(t)
	b := chromiumHere(t)
	must(t, b.SetSize(820, 1180))
	var n int
	for want := 1; want <= 3; want++ {
		must(t, b.Open(url))
		must(t, b.EvalAsync(&n, "return count(1)"))
		if n != want {
			t.Errorf("count is %d, want %d", n, want)
		}
		var size [2]int
		must(t, b.Eval(&size, "return [innerWidth, innerHeight]"))
		if size != [2]int{820, 1180} {
			t.Errorf("page %d is %v", want, size)
		}
		must(t, b.KillTab())
	}
}

func chromiumHere(t *testing.T) Browser {
	t.Helper()
	if testing.Short() {
		t.Skip("SKIPPED: browsers, because of -short")
	}
	b, skip, err := Chromium(context.Background(), Options{})
	must(t, err)
	if skip != "" {
		t.Skip(skip)
	}
	t.Cleanup(b.Close)
	return b
}
