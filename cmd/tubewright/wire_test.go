package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tubewright/cmd/build/bundle"
)

// What a tablet loads over the wire, as it is packed: beside the calculation (which
// has its own limit) at most 132 kB before the app can be used, a sixth of it what is
// asked for in every kind of entry, both together at most 1.37 MB, with all screens 1.6 MB, and at most 2.5 MB with the drawing in three dimensions. Screens that few
// people open, that drawing and the wall come behind the first load, and so do the
// calculations that take long and what draws, which have a limit of their own: nobody
// waits for them before the first plan, and the fixture, the weld, inspection and the
// report with all their sheets are in them.
func TestFirstLoadIsSmall(t *testing.T) {
	build(t)
	app := t.TempDir() // packed as it goes out; other tests do with less
	if err := buildApp("../..", app, "../../pwa/dist"); err != nil {
		t.Fatal(err)
	}
	index, err := os.ReadFile(filepath.Join(app, "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	first := []string{"index.html", "sw.js", "set.json"}
	for _, named := range regexp.MustCompile(`(?:href|src)="/([^"]+)"`).FindAllStringSubmatch(string(index), -1) {
		first = append(first, named[1])
	}
	files, err := os.ReadDir(app)
	if err != nil {
		t.Fatal(err)
	}
	drawing := threeD(t, app)
	var calculation, long, atOnce, solid, all int64
	names := map[string]bool{}
	for _, f := range files {
		names[f.Name()] = true
	}
	for _, f := range files {
		if plain, isGzip := strings.CutSuffix(f.Name(), ".gz"); isGzip && names[plain+".br"] {
			continue // tablets load the other one
		}
		info, err := f.Info()
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(strings.TrimSuffix(f.Name(), ".gz"), ".br")
		if strings.HasPrefix(name, "long-") {
			long += info.Size()
			continue
		}
		all += info.Size()
		switch {
		case strings.HasSuffix(name, ".wasm"):
			calculation += info.Size()
		case slices.Contains(first, name), strings.HasPrefix(name, "calcworker-"), strings.HasPrefix(name, "wasm_exec-"):
			atOnce += info.Size()
		}
		if name == drawing {
			solid = info.Size()
		}
	}
	if calculation == 0 || calculation > 1_240_000 || atOnce < 60_000 || atOnce > 132_000 || calculation+atOnce > 1_370_000 || all-solid > 1_600_000 || all > 2_500_000 {
		t.Errorf("the calculation has %d bytes on the wire, the rest of the first load %d, all but the 3-D drawing %d, all together %d; want at most 1,240,000, 132,000 (1,370,000 with it), 1,600,000 and 2,500,000", calculation, atOnce, all-solid, all)
	}
	if long == 0 || long > 1_950_000 {
		t.Errorf("what takes long and what draws have %d bytes on the wire, want at most 1,950,000", long)
	}
	if slices.Contains(first, drawing) {
		t.Errorf("%s, the 3-D drawing, is part of the first load", drawing)
	}
	t.Logf("calculation %d bytes, rest of the first load %d, 3-D drawing %d, all together %d; what takes long and what draws %d", calculation, atOnce, solid, all, long)
}

// threeD returns the name of the one file with the library that draws in three
// dimensions; the service worker keeps it, and fetches it behind what pages start with.
func threeD(t *testing.T, app string) string {
	t.Helper()
	var set bundle.Set
	if err := json.Unmarshal(built(t, app, "set.json"), &set); err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range set.Files {
		if !bytes.Contains(built(t, app, f.Name), []byte("WebGLRenderer:")) {
			continue
		}
		names = append(names, f.Name)
		if !f.Later {
			t.Errorf("%s, the 3-D drawing, is not known to come later", f.Name)
		}
	}
	if len(names) != 1 {
		t.Fatalf("the 3-D library is in %v, want one file", names)
	}
	return names[0]
}

// built reads a file of a built app as a browser sees it.
func built(t *testing.T, app, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(app, name))
	if err != nil {
		b, err = unpacked(os.DirFS(app), name+".gz")
	}
	if err != nil {
		t.Fatal(err)
	}
	return b
}
