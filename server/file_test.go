package server

import (
	"bytes"
	"compress/gzip"
	"strings"
	"testing"
	"testing/fstest"
)

func packed(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func builtApp(t *testing.T) fstest.MapFS {
	return fstest.MapFS{
		"index.html":              {Data: []byte("<p>app")},
		"wall.html":               {Data: []byte("<p>wall")},
		"sw.js":                   {Data: []byte("worker")},
		"sw.js.gz":                {Data: packed(t, "worker")},
		"version.json":            {Data: []byte(`"1"`)},
		"manifest.webmanifest":    {Data: []byte("{}")},
		"app-K3F9Q2AB.js":         {Data: []byte("app code")},
		"app-K3F9Q2AB.js.gz":      {Data: packed(t, "app code")},
		"calc-9f86d081.wasm.gz":   {Data: packed(t, "\x00asm")},
		"css/base-1A2B3C4D.css":   {Data: []byte("p{}")},
		"icon/icon-maskable.svg":  {Data: []byte("<svg/>")},
		"icon/icon-192.png":       {Data: []byte("png")},
		"worker-KEYBOARD.js":      {Data: []byte("letters only")},
		"README.unknown":          {Data: []byte("what")},
		".gitkeep":                {},
		"broken-00000001.wasm.gz": {Data: packed(t, strings.Repeat("long text ", 100))[:40]},
	}
}

func TestFilesHaveTypeAndCacheOfTheirKind(t *testing.T) {
	s := openShop(t, openLog(t), quick(), builtApp(t))
	const forever, ask = "public, max-age=31536000, immutable", "no-cache"
	for _, c := range []struct{ path, kind, cache, text string }{
		{"/", "text/html; charset=utf-8", ask, "<p>app"},
		{"/index.html", "text/html; charset=utf-8", ask, "<p>app"},
		{"/job/j1/tube", "text/html; charset=utf-8", ask, "<p>app"},
		{"/wall", "text/html; charset=utf-8", ask, "<p>wall"},
		{"/wall.html", "text/html; charset=utf-8", ask, "<p>wall"},
		{"/sw.js", "text/javascript; charset=utf-8", ask, "worker"},
		{"/version.json", "application/json", ask, `"1"`},
		{"/manifest.webmanifest", "application/manifest+json", ask, "{}"},
		{"/app-K3F9Q2AB.js", "text/javascript; charset=utf-8", forever, "app code"},
		{"/calc-9f86d081.wasm", "application/wasm", forever, "\x00asm"},
		{"/css/base-1A2B3C4D.css", "text/css; charset=utf-8", forever, "p{}"},
		{"/icon/icon-maskable.svg", "image/svg+xml", ask, "<svg/>"},
		{"/icon/icon-192.png", "image/png", ask, "png"},
		{"/worker-KEYBOARD.js", "text/javascript; charset=utf-8", ask, "letters only"},
		{"/README.unknown", "application/octet-stream", ask, "what"},
	} {
		w := get(t, s, "GET", c.path)
		h := w.Header()
		if w.Code != 200 || h.Get("Content-Type") != c.kind || h.Get("Cache-Control") != c.cache || w.Body.String() != c.text || h.Get("Content-Encoding") != "" {
			t.Errorf("%s: %d %v %q", c.path, w.Code, h, w.Body)
		}
		tag := h.Get("ETag")
		if again := get(t, s, "GET", c.path, "If-None-Match", `"x", W/`+tag); tag == "" || again.Code != 304 || again.Body.Len() != 0 {
			t.Errorf("%s with its own ETag %s: %d %q", c.path, tag, again.Code, again.Body)
		}
		if head := get(t, s, "HEAD", c.path); head.Code != 200 || head.Body.Len() != 0 || head.Header().Get("Content-Length") == "" {
			t.Errorf("HEAD %s: %d %v %q", c.path, head.Code, head.Header(), head.Body)
		}
	}
}

func TestCompressedFilesGoToWhoTakesThem(t *testing.T) {
	s := openShop(t, openLog(t), quick(), builtApp(t))
	for _, c := range []struct {
		path, accept string
		gz           bool
	}{
		{"/calc-9f86d081.wasm", "gzip, deflate, br", true},
		{"/calc-9f86d081.wasm", "br;q=1.0, gzip;q=0.8", true},
		{"/calc-9f86d081.wasm", "*", true},
		{"/calc-9f86d081.wasm", "gzip;q=0", false},
		{"/calc-9f86d081.wasm", "gzip; q=0.0", false},
		{"/calc-9f86d081.wasm", "x-gzipped", false},
		{"/app-K3F9Q2AB.js", "gzip", true},
		{"/css/base-1A2B3C4D.css", "gzip", false},
	} {
		w := get(t, s, "GET", c.path, "Accept-Encoding", c.accept)
		if got := w.Header().Get("Content-Encoding") == "gzip"; got != c.gz {
			t.Errorf("%s for %q: compressed %v", c.path, c.accept, got)
		}
		if !c.gz {
			continue
		}
		if w.Header().Get("Vary") != "Accept-Encoding" {
			t.Errorf("%s: no Vary", c.path)
		}
		z, err := gzip.NewReader(w.Body)
		if err != nil {
			t.Fatal(err)
		}
		plain := get(t, s, "GET", c.path)
		if body(t, z) != plain.Body.String() || plain.Header().Get("ETag") == w.Header().Get("ETag") {
			t.Errorf("%s: other contents or the same ETag compressed", c.path)
		}
	}
}

// The calculation is there twice, and who can take the smaller one gets it.
func TestBrotliGoesToWhoTakesIt(t *testing.T) {
	files := builtApp(t)
	files["calc-9f86d081.wasm.br"] = &fstest.MapFile{Data: []byte("brotli")}
	s := openShop(t, openLog(t), quick(), files)
	tags := map[string]bool{}
	for accept, want := range map[string]string{"gzip, deflate, br, zstd": "br", "br;q=0, gzip": "gzip", "gzip": "gzip", "": ""} {
		w := get(t, s, "GET", "/calc-9f86d081.wasm", "Accept-Encoding", accept)
		if got := w.Header().Get("Content-Encoding"); got != want || w.Header().Get("Content-Type") != "application/wasm" || w.Header().Get("Vary") != "Accept-Encoding" {
			t.Errorf("%q: %q, %v", accept, got, w.Header())
		}
		tags[w.Header().Get("ETag")] = true
	}
	if len(tags) != 3 {
		t.Errorf("%d tags of three forms", len(tags))
	}
}

func TestWhatIsNotThereIsSaid(t *testing.T) {
	s := openShop(t, openLog(t), quick(), builtApp(t))
	for _, path := range []string{"/none.js", "/go.mod", "/.gitkeep"} {
		if w := get(t, s, "GET", path); w.Code != 404 {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
	if w := get(t, s, "POST", "/index.html"); w.Code != 405 {
		t.Errorf("POST: %d", w.Code)
	}
	if w := get(t, s, "GET", "/broken-00000001.wasm"); w.Code != 500 {
		t.Errorf("damaged file: %d", w.Code)
	}
	if _, err := loadAssets(fstest.MapFS{"a.js.gz": {Data: []byte("not packed")}}); err == nil {
		t.Error("a file that only claims to be compressed was taken")
	}
}

func TestUnbuiltProgramSaysHowToBuild(t *testing.T) {
	s := openShop(t, openLog(t), quick(), fstest.MapFS{".gitkeep": {}})
	for _, path := range []string{"/", "/wall", "/job/j1"} {
		w := get(t, s, "GET", path)
		if w.Code != 503 || !strings.Contains(w.Body.String(), "<code>go run ./cmd/build demo</code>") {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
}
