package flange_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// kernel builds the program around a CAD kernel that lies with the other peers, or
// skips.
func kernel(t testing.TB) string {
	t.Helper()
	if runtime.GOOS == "js" {
		t.Skip("SKIPPED: no other program can be run from here")
	}
	const headers = "/usr/include/opencascade"
	for _, need := range []string{"BRepOffsetAPI_ThruSections.hxx", "TopoDS_Vertex.hxx", "NCollection_AliasedArray.hxx"} {
		if _, err := os.Stat(filepath.Join(headers, need)); err != nil {
			t.Skip("SKIPPED: no CAD kernel to compare with (Debian: apt-get install libocct-modeling-algorithms-dev libocct-modeling-data-dev libocct-visualization-dev)")
		}
	}
	gpp, err := exec.LookPath("g++")
	if err != nil {
		t.Skip("SKIPPED: no C++ compiler (Debian: apt-get install g++)")
	}
	program := filepath.Join(t.TempDir(), "loft")
	cmd := exec.Command(gpp, "-O2", "-w", "-o", program, "../../testdata/bench/peer/loft.cpp", "-isystem", headers,
		"-lTKOffset", "-lTKBO", "-lTKPrim", "-lTKTopAlgo", "-lTKBRep", "-lTKGeomAlgo", "-lTKGeomBase", "-lTKG3d", "-lTKMath", "-lTKernel")
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("build loft.cpp: %v\n%s", err, said)
	}
	return program
}

// An independent check: the kernel makes the same ruled body between polygons of
// 24 and of 48 sides. Its volume and its middle section are those of the polygons
// to the digits of both, and what is left to the outlines' own falls with the
// square of the number of sides.
func TestLoftAgainstACADKernel(t *testing.T) {
	program := kernel(t)
	const length, bore = 44.45, 41.15
	type each struct {
		name      string
		square    bool // to the face, so that the middle section is a plane one; of few sides, for it takes long
		loft      flange.Loft
		lines     []flange.Ruling
		volume    float64 // the kernel's
		sectional float64
	}
	var all []each
	var text bytes.Buffer
	list := ports(t)
	var names []string
	for name := range list {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		for _, n := range []int{24, 48} {
			for _, aim := range []geom.Vec{straight, {X: 0.1, Y: -0.15, Z: 1}} {
				l, err := flange.NewLoft(list[name], bore, length, aim)
				if err != nil {
					t.Fatal(err)
				}
				lines := l.Lines(n)
				all = append(all, each{name: fmt.Sprint(name, " n ", n, " aim ", aim), square: aim == straight && n == 24, loft: l, lines: lines})
				fmt.Fprintln(&text, n)
				for _, r := range lines {
					fmt.Fprintln(&text, r.From.X, r.From.Y, r.From.Z)
				}
				for _, r := range lines {
					fmt.Fprintln(&text, r.To.X, r.To.Y, r.To.Z)
				}
				if all[len(all)-1].square {
					fmt.Fprintln(&text, length/2)
				} else {
					fmt.Fprintln(&text, -1)
				}
			}
		}
	}
	cmd := exec.Command(program)
	cmd.Stdin = &text
	var fault strings.Builder
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("run the kernel: %v\n%s", err, fault.String())
	}
	said := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(said) != len(all) {
		t.Fatalf("the kernel answered %d of %d", len(said), len(all))
	}
	worst, worstOwn := 0.0, 0.0
	for i, line := range said {
		e := all[i]
		if _, err := fmt.Sscan(line, &e.volume, &e.sectional); err != nil {
			t.Fatalf("the kernel said %q: %v", line, err)
		}
		off := math.Abs(e.volume/volume(e.lines) - 1)
		if worst = max(worst, off); off > 1e-12 {
			t.Errorf("%s: the kernel's volume is %v, of the polygons %v", e.name, e.volume, volume(e.lines))
		}
		n := float64(len(e.lines))
		own := math.Abs(e.volume/e.loft.Volume - 1)
		if worstOwn = max(worstOwn, own*n*n); own > 12/n/n {
			t.Errorf("%s: the kernel's volume is %v, ours %v", e.name, e.volume, e.loft.Volume)
		}
		if e.square {
			if got := shadow(e.lines, 0.5, straight); math.Abs(got-e.sectional) > 1e-4 {
				t.Errorf("%s: the kernel's middle section is %v, of the polygons %v", e.name, e.sectional, got)
			}
			if off := math.Abs(e.sectional/e.loft.Area(0.5) - 1); off > 12/n/n {
				t.Errorf("%s: the kernel's middle section is %v, ours %v", e.name, e.sectional, e.loft.Area(0.5))
			}
		}
	}
	t.Logf("%d bodies: volumes of polygons within %.2g, of outlines within %.2g/n² relative", len(all), worst, worstOwn)
}
