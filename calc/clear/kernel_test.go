package clear_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// kernel builds the program around a CAD kernel that lies with the other peers, or
// skips.
func kernel(t testing.TB) string {
	t.Helper()
	if runtime.GOOS == "js" {
		t.Skip("SKIPPED: no other program can be run from here")
	}
	const headers = "/usr/include/opencascade"
	for _, need := range []string{"BRepExtrema_DistShapeShape.hxx", "TopoDS_Vertex.hxx", "NCollection_AliasedArray.hxx"} {
		if _, err := os.Stat(filepath.Join(headers, need)); err != nil {
			t.Skip("SKIPPED: no CAD kernel to compare with (Debian: apt-get install libocct-modeling-algorithms-dev libocct-modeling-data-dev libocct-visualization-dev)")
		}
	}
	gpp, err := exec.LookPath("g++")
	if err != nil {
		t.Skip("SKIPPED: no C++ compiler (Debian: apt-get install g++)")
	}
	program := filepath.Join(t.TempDir(), "kernel")
	cmd := exec.Command(gpp, "-O2", "-w", "-o", program, "../../testdata/bench/peer/kernel.cpp", "-isystem", headers,
		"-lTKPrim", "-lTKTopAlgo", "-lTKBRep", "-lTKGeomBase", "-lTKG3d", "-lTKMath", "-lTKernel")
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("build kernel.cpp: %v\n%s", err, said)
	}
	return program
}

// scene is what the kernel reads.
type scene struct {
	text   bytes.Buffer
	shapes int
	pairs  int
}

func (s *scene) shape(core string) int {
	fmt.Fprintln(&s.text, core)
	s.shapes++
	return s.shapes - 1
}

func (s *scene) pair(i, j int) {
	fmt.Fprintln(&s.text, "pair", i, j)
	s.pairs++
}

// run returns the distances and the CPU time of every pair in µs.
func (s *scene) run(t testing.TB, program string) (distance, took []float64) {
	t.Helper()
	cmd := exec.Command(program)
	cmd.Stdin = bytes.NewReader(s.text.Bytes())
	var fault strings.Builder
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("run the kernel: %v\n%s", err, fault.String())
	}
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		var d, us float64
		if _, err := fmt.Sscan(line, &d, &us); err != nil {
			t.Fatalf("the kernel said %q: %v", line, err)
		}
		distance, took = append(distance, d), append(took, us)
	}
	if len(distance) != s.pairs {
		t.Fatalf("the kernel answered %d of %d pairs", len(distance), s.pairs)
	}
	return distance, took
}

// core writes a route as the kernel reads it.
func (r route) core() string {
	var list []string
	f := r.start
	for _, e := range r.elems {
		switch b := e.Bend; {
		case b != nil:
			f = f.Turn(float64(b.Rotation))
			mid, end := f.Arc(float64(b.Turn)/2, b.Radius.MM()), f.Arc(float64(b.Turn), b.Radius.MM())
			list = append(list, "arc"+text(f.O, end.O, mid.O))
			f = end
		case e.Straight > 0:
			end := f.Straight(e.Straight.MM())
			list = append(list, "line"+text(f.O, end.O))
			f = end
		}
	}
	return fmt.Sprint("path ", len(list), " ", strings.Join(list, " "))
}

// An independent check: a CAD kernel knows the same lines, arcs and solids and
// finds their distances its own way.
func TestAgainstACADKernel(t *testing.T) {
	program := kernel(t)
	const seed, cases, eps, tol = 17, 250, 1e-7, 2e-6
	rnd := rand.New(rand.NewPCG(seed, 0))
	var s scene
	var want []float64
	var what []string
	for range cases {
		var a, b route
		a.start, a.elems = randomTube(rnd, 300)
		b.start, b.elems = randomTube(rnd, 300)
		pa, pb := must(clear.NewPath(a.start, a.elems, 0)), must(clear.NewPath(b.start, b.elems, 0))
		s.pair(s.shape(a.core()), s.shape(b.core()))
		want = append(want, clear.Between(pa, pb, clear.Options{Eps: eps}).Gap.MM())
		what = append(what, "tubes")
		at, r := randomAt(rnd, 300), units.Length(5+30*rnd.Float64())
		for i, n := range []neighbour{
			aBall(at, r), aRod(at, at.Add(randomDir(rnd).Scale(250)), r), aSleeve([]geom.Vec{at, randomAt(rnd, 300), randomAt(rnd, 300)}, r),
			aBox(at, randomAt(rnd, 100), randomDir(rnd), randomDir(rnd)), aCylinder(at, randomDir(rnd), 20+units.Length(200*rnd.Float64()), r),
			aPlane(at.Sub(randomDir(rnd).Scale(400)), randomDir(rnd)),
		} {
			gap := clear.To(pb, n.Body, clear.Options{Eps: eps}).Gap + units.Length(n.Sets[0].Skin())
			if gap < 0 {
				continue // behind a plane; the kernel's is a face
			}
			s.pair(s.shape(b.core()), s.shape(n.core))
			want = append(want, gap.MM())
			what = append(what, []string{"ball", "rod", "sleeve", "box", "cylinder", "plane"}[i])
		}
	}
	got, _ := s.run(t, program)
	worst := 0.0
	for i, d := range got {
		off := math.Abs(d - want[i])
		worst = max(worst, off)
		if off > tol {
			t.Errorf("seed %d pair %d, %s: the kernel says %v, we %v", seed, i, what[i], d, want[i])
		}
	}
	t.Logf("%d pairs, worst %.2g mm", len(got), worst)
}

// Eight tubes with each other and with twenty neighbours, ours and the kernel's, in
// one run. "times" is how often ours goes into the kernel's CPU time.
func BenchmarkBesideACADKernel(b *testing.B) {
	program := kernel(b)
	r, n := routes(1), bay(1)
	var s scene
	var h []clear.Path
	for i := range r {
		h = append(h, r[i].path())
		s.shape(r[i].core())
	}
	for i := range h {
		for j := range i {
			s.pair(i, j)
		}
	}
	tubes := s.pairs
	for j := range n {
		k := s.shape(n[j].core)
		for i := range h {
			s.pair(i, k)
		}
	}
	var theirs [2]time.Duration
	for round := range 3 {
		_, took := s.run(b, program)
		var sum [2]time.Duration
		for i, us := range took {
			k := 0
			if i >= tubes {
				k = 1
			}
			sum[k] += time.Duration(us * 1000)
		}
		for k := range sum {
			if round == 0 || sum[k] < theirs[k] {
				theirs[k] = sum[k]
			}
		}
	}
	for _, eps := range []units.Length{clear.Usual, 1e-6} {
		o := clear.Options{Eps: eps}
		report := func(b *testing.B, theirs time.Duration) {
			ours := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
			b.ReportMetric(float64(theirs.Nanoseconds())/ours, "times")
			b.ReportMetric(float64(theirs.Microseconds()), "kernel-µs")
		}
		b.Run(fmt.Sprintf("tubes/eps=%g", eps.MM()), func(b *testing.B) {
			for b.Loop() {
				for i := range h {
					for j := range i {
						clear.Between(h[i], h[j], o)
					}
				}
			}
			report(b, theirs[0])
		})
		b.Run(fmt.Sprintf("neighbours/eps=%g", eps.MM()), func(b *testing.B) {
			for b.Loop() {
				for i := range h {
					for j := range n {
						clear.To(h[i], n[j].Body, o)
					}
				}
			}
			report(b, theirs[1])
		})
	}
}
