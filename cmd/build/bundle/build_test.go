package bundle

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// project writes a small project of the same shape, without packages of others, so
// that these tests need nothing fetched.
func project(t *testing.T) string {
	t.Helper()
	root := t.TempDir()
	put := func(name, text string) {
		t.Helper()
		path := filepath.Join(root, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	put("go.mod", "module trial\n\ngo 1.26\n")
	put("calc/calc.go", "package calc\n\nconst Answer = 42\n")
	for _, program := range Programs {
		put("cmd/"+program+"/main_js.go", "package main\n\nvar build string\n\nfunc main() { println(build, \""+program+"\") }\n")
	}
	put("pwa/app.tsx", `import { shared } from "./lib/shared"; import { calcworkerURL } from "./lib/built"; import "./css/base.css"; new Worker(calcworkerURL); shared("app"); onclick = () => import("./lib/rare").then((m) => shared(m.rare));`)
	put("pwa/wall.tsx", `import { shared } from "./lib/shared"; shared("wall");`)
	put("pwa/lib/shared.ts", `export function shared(s: string) { document.title = s + "`+strings.Repeat("layout blue ", 500)+`"; }`)
	put("pwa/lib/rare.ts", `export const rare = "`+strings.Repeat("scribe ", 900)+`";`)
	put("pwa/lib/calcworker.ts", `import { wasmURL, wasmExecURL } from "./built"; postMessage(wasmURL + wasmExecURL);`)
	put("pwa/css/base.css", "body { margin: 0 }\n")
	for _, name := range []string{"sw.ts", "lib/built.ts", "index.html", "wall.html", "manifest.webmanifest"} {
		b, err := os.ReadFile(filepath.Join("..", "..", "..", "pwa", filepath.FromSlash(name)))
		if err != nil {
			t.Fatal(err)
		}
		put("pwa/"+name, string(b))
	}
	return root
}

func build(t *testing.T, root, out string) Set {
	t.Helper()
	set, err := BuildQuickly(t.Context(), root, out, func(string, time.Duration) {})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// unpacked reads a built file as a browser sees it.
func unpacked(t *testing.T, out, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(out, name))
	if err == nil {
		return b
	}
	f, err := os.Open(filepath.Join(out, name+".gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	if b, err = io.ReadAll(r); err != nil {
		t.Fatal(err)
	}
	return b
}

func TestSetNamesEveryFileWithTheSumOfItsBytes(t *testing.T) {
	out := t.TempDir()
	set := build(t, project(t), out)
	there, err := os.ReadDir(out)
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{} // a file may be there packed, and in two ways
	for _, d := range there {
		names[strings.TrimSuffix(strings.TrimSuffix(d.Name(), ".gz"), ".br")] = true
	}
	if got, want := len(names), len(set.Files)+2; got != want { // and sw.js, set.json
		t.Errorf("%d files built, the set and its two carriers are %d", got, want)
	}
	for _, f := range set.Files {
		b := unpacked(t, out, f.Name)
		if got := fmt.Sprintf("%x", sha256.Sum256(b)); got != f.SHA256 || len(b) != f.Size {
			t.Errorf("%s: sum %s size %d, the set says %s and %d", f.Name, got, len(b), f.SHA256, f.Size)
		}
		if !bytes.Contains(unpacked(t, out, "sw.js"), []byte(f.SHA256)) {
			t.Errorf("%s: its sum is not in the service worker", f.Name)
		}
	}
	var kept Set
	if err := json.Unmarshal(unpacked(t, out, "set.json"), &kept); err != nil {
		t.Fatal(err)
	}
	if kept.Build != set.Build || len(kept.Files) != len(set.Files) {
		t.Errorf("set.json holds build %s with %d files, want %s with %d", kept.Build, len(kept.Files), set.Build, len(set.Files))
	}
}

// What nobody needs before asking for it is in the set as well, and known to come later:
// a script that is imported on a tap, and the calculations that take long.
func TestSetKnowsWhatComesLater(t *testing.T) {
	out := t.TempDir()
	set := build(t, project(t), out)
	var later []string
	for _, f := range set.Files {
		isRare := bytes.Contains(unpacked(t, out, f.Name), []byte("scribe scribe"))
		if f.Later != (isRare || strings.HasPrefix(f.Name, "long-")) {
			t.Errorf("%s: later is %v", f.Name, f.Later)
		}
		if f.Later {
			later = append(later, f.Name)
		}
	}
	if len(later) != 2 {
		t.Fatalf("%v come later, want a script and a module", later)
	}
	if !bytes.Contains(unpacked(t, out, "sw.js"), []byte("later:!0")) {
		t.Error("the service worker is not told what comes later")
	}
}

// Every path that a page or a script loads is a file of the set.
func TestPagesLoadOnlyFilesOfTheirSet(t *testing.T) {
	out := t.TempDir()
	set := build(t, project(t), out)
	names := map[string]bool{}
	for _, f := range set.Files {
		names["/"+f.Name] = true
	}
	path := regexp.MustCompile(`"(/[A-Za-z0-9_.-]+\.(?:js|wasm|css|svg|png|webmanifest))"`)
	loaded := map[string]bool{}
	for _, f := range set.Files {
		for _, m := range path.FindAllSubmatch(unpacked(t, out, f.Name), -1) {
			loaded[string(m[1])] = true
			if !names[string(m[1])] {
				t.Errorf("%s loads %s, which is not in the set", f.Name, m[1])
			}
		}
	}
	for _, stem := range []string{"/app-", "/wall-", "/calcworker-", "/calc-", "/wasm_exec-", "/chunk-"} {
		found := false
		for name := range loaded {
			found = found || strings.HasPrefix(name, stem)
		}
		if !found {
			t.Errorf("nothing loads %s…; loaded: %v", stem, loaded)
		}
	}
	index := string(unpacked(t, out, "index.html"))
	if !strings.Contains(index, `<meta name="build" content="`+set.Build+`">`) || !strings.Contains(index, `rel="stylesheet"`) {
		t.Errorf("index.html lacks its build or its styles:\n%s", index)
	}
	for _, page := range []string{"index.html", "wall.html"} { // the policy forbids both
		if regexp.MustCompile(`<style|style=|<script[^>]*>[^<]`).Match(unpacked(t, out, page)) {
			t.Errorf("%s has style or script of its own", page)
		}
	}
}

func TestSameSourcesGiveTheSameBuild(t *testing.T) {
	root, moved := project(t), project(t)
	a, b := build(t, root, t.TempDir()), build(t, moved, t.TempDir())
	if a.Build != b.Build {
		for i := range a.Files {
			if a.Files[i] != b.Files[i] {
				t.Errorf("%v\n%v", a.Files[i], b.Files[i])
			}
		}
		t.Fatalf("two folders with the same sources: builds %s and %s", a.Build, b.Build)
	}
	for _, change := range []string{"pwa/lib/shared.ts", "pwa/sw.ts", "pwa/wall.html", "calc/calc.go"} {
		path := filepath.Join(moved, filepath.FromSlash(change))
		was, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Replace(string(was), "shared(s", "shared(text", 1)
		switch filepath.Ext(path) {
		case ".ts":
			text = strings.Replace(string(was), "layout blue", "layout red", 1)
			text = strings.Replace(text, `"tubewright-"`, `"tubewright--"`, 1)
		case ".go":
			text = strings.Replace(text, "42", "43", 1)
		case ".html":
			text = strings.Replace(text, "Wall board", "Board", 1)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if got := build(t, moved, t.TempDir()); got.Build == a.Build {
			t.Errorf("%s changed, the build is still %s", change, got.Build)
		}
		if err := os.WriteFile(path, was, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func TestBuildingAgainRewritesNothingAndDropsOldFiles(t *testing.T) {
	root, out := project(t), t.TempDir()
	for _, name := range []string{".gitkeep", "app-OLD.js"} {
		if err := os.WriteFile(filepath.Join(out, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	build(t, root, out)
	if _, err := os.Stat(filepath.Join(out, ".gitkeep")); err != nil {
		t.Error(".gitkeep is gone; a fresh clone would not compile")
	}
	if _, err := os.Stat(filepath.Join(out, "app-OLD.js")); err == nil {
		t.Error("a file of an older build is still there")
	}
	old := time.Now().Add(-time.Hour)
	there, err := os.ReadDir(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range there {
		if err := os.Chtimes(filepath.Join(out, d.Name()), old, old); err != nil {
			t.Fatal(err)
		}
	}
	build(t, root, out)
	for _, d := range there {
		info, err := os.Stat(filepath.Join(out, d.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if time.Since(info.ModTime()) < time.Minute {
			t.Errorf("%s was written again", d.Name())
		}
	}
}

// A folder is also filled from an older one, and a copy may be cut short.
func TestBuildingAgainMendsWhatIsSpoilt(t *testing.T) {
	root, out := project(t), t.TempDir()
	build(t, root, out)
	there, err := os.ReadDir(out)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][]byte{}
	for _, d := range there {
		if filepath.Ext(d.Name()) == ".gz" {
			continue // would be enough to have the other kind written anew
		}
		path := filepath.Join(out, d.Name())
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		want[path] = b
		if err := os.WriteFile(path, b[:len(b)/2], 0o644); err != nil {
			t.Fatal(err)
		}
	}
	build(t, root, out)
	for path, b := range want {
		if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, b) {
			t.Errorf("%s stays spoilt", filepath.Base(path))
		}
	}
}

func TestLoaderIsTheCompilersOwn(t *testing.T) {
	got, err := loader(context.Background(), ".")
	if err != nil {
		t.Fatal(err)
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	want, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("wasm_exec.js differs from the compiler's")
	}
	out := t.TempDir()
	set := build(t, project(t), out)
	for _, f := range set.Files {
		if strings.HasPrefix(f.Name, "wasm_exec-") && !bytes.Equal(unpacked(t, out, f.Name), want) {
			t.Errorf("%s differs from the compiler's", f.Name)
		}
	}
}

func TestFaultInAScriptIsNamedWithItsPlace(t *testing.T) {
	root := project(t)
	if err := os.WriteFile(filepath.Join(root, "pwa", "wall.tsx"), []byte("const = 1;"), 0o644); err != nil {
		t.Fatal(err)
	}
	_, err := Build(t.Context(), root, t.TempDir(), func(string, time.Duration) {})
	if err == nil || !strings.Contains(err.Error(), "wall.tsx:1:6") {
		t.Errorf("got %v, want the file, line and column", err)
	}
}

// Both drawings of the icon agree: where the SVG's tube, its scribed line and its
// ground are, the pixels have those colours.
func TestIconsShowTubeAndScribedLine(t *testing.T) {
	files := map[string][]byte{}
	if err := addIcons(files); err != nil {
		t.Fatal(err)
	}
	for name, o := range iconPNGs {
		img, err := png.Decode(bytes.NewReader(files[name]))
		if err != nil {
			t.Fatal(err)
		}
		if b := img.Bounds(); b.Dx() != o.size || b.Dy() != o.size {
			t.Errorf("%s is %v, want %d square", name, b, o.size)
		}
		mid := bendCentre.x - 30*math.Sqrt2/2
		for _, p := range []struct {
			at   point
			want string
		}{
			{point{32, 28}, "#f7f8f6"}, {point{mid, 48 + 30*math.Sqrt2/2}, "#f7f8f6"}, {point{72, 78}, "#f7f8f6"},
			{point{18, 36}, "#ffb454"}, {point{32, 36}, "#ffb454"},
			{point{62, 48}, "#0b3d91"}, {point{5, 5}, "#0b3d91"}, {point{32, 15}, "#0b3d91"},
		} {
			scale := float64(o.size) / 100 * o.share
			x := int(float64(o.size)/2 + (p.at.x-50)*scale)
			y := int(float64(o.size)/2 + (p.at.y-50)*scale)
			r, g, b, _ := img.At(x, y).RGBA()
			if got := fmt.Sprintf("#%02x%02x%02x", r>>8, g>>8, b>>8); got != p.want {
				t.Errorf("%s at %v: %s, want %s", name, p.at, got, p.want)
			}
		}
	}
	for _, c := range []string{"#f7f8f6", "#ffb454", "#0b3d91"} {
		if !strings.Contains(string(files["icon.svg"]), c) {
			t.Errorf("icon.svg lacks %s", c)
		}
	}
}
