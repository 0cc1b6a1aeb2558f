package main

import (
	"os"
	"strings"
	"testing"
)

// Everything that a tablet loads the first time, beside the calculation (which
// has its own limit): at most 120 kB as it goes over the wire.
func TestFirstLoadIsSmall(t *testing.T) {
	_, app := build(t)
	files, err := os.ReadDir(app)
	if err != nil {
		t.Fatal(err)
	}
	var rest, calculation int64
	for _, f := range files {
		info, err := f.Info()
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(f.Name(), "calc-") {
			calculation += info.Size()
		} else {
			rest += info.Size()
		}
	}
	if calculation == 0 || calculation > 1_250_000 || rest > 120_000 {
		t.Errorf("the calculation has %d bytes on the wire, the rest %d; want at most 1,250,000 and 120,000", calculation, rest)
	}
	t.Logf("calculation %d bytes, rest %d", calculation, rest)
}
