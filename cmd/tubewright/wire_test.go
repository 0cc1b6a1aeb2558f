package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// What a tablet loads over the wire, as it is packed: beside the calculation (which
// has its own limit) at most 120 kB before the app can be used, and at most 1.5 MB
// in all before it can do without the shop. Screens that few people open, and the
// wall, come behind the first load.
func TestFirstLoadIsSmall(t *testing.T) {
	_, app := build(t)
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
	var calculation, atOnce, all int64
	for _, f := range files {
		info, err := f.Info()
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(f.Name(), ".gz")
		all += info.Size()
		switch {
		case strings.HasSuffix(name, ".wasm"):
			calculation += info.Size()
		case slices.Contains(first, name), strings.HasPrefix(name, "calcworker-"), strings.HasPrefix(name, "wasm_exec-"):
			atOnce += info.Size()
		}
	}
	if calculation == 0 || calculation > 1_250_000 || atOnce < 60_000 || atOnce > 120_000 || all > 1_500_000 {
		t.Errorf("the calculation has %d bytes on the wire, the rest of the first load %d, all together %d; want at most 1,250,000, 120,000 and 1,500,000", calculation, atOnce, all)
	}
	t.Logf("calculation %d bytes, rest of the first load %d, all together %d", calculation, atOnce, all)
}
