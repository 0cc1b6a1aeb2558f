package job_test

import (
	"os"
	"testing"

	"tubewright/calc/job"
)

// Asked for are 10 ms native and 40 ms as wasm. A WebAssembly engine compiles what is
// called often as it runs, so that the first plans take several times as long: look at
// both -benchtime 1x and 300x there.
func BenchmarkPlanOfEightTubesAnd20Neighbours(b *testing.B) {
	file, err := os.ReadFile("../../testdata/job/eight.job.json")
	if err != nil {
		b.Fatal(err)
	}
	p, err := job.PlanFile(file)
	if err != nil || len(p.Tubes) != 8 || len(p.Neighbours) != 20 || len(p.Gaps) < 28 {
		b.Fatalf("%v: %d tubes, %d neighbours, %d gaps", err, len(p.Tubes), len(p.Neighbours), len(p.Gaps))
	}
	for b.Loop() {
		if _, err := job.PlanFile(file); err != nil {
			b.Fatal(err)
		}
	}
}

// A flange with everything: one port of 16 points, a gasket and a drawn flange.
func BenchmarkPlanOfAFlange(b *testing.B) {
	file := []byte(flangeFile(b))
	for b.Loop() {
		if _, err := job.PlanFile(file); err != nil {
			b.Fatal(err)
		}
	}
}
