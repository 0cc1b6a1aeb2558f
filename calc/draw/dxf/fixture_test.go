package dxf_test

import (
	"math"
	"os"
	"testing"

	"tubewright/calc/draw/dxf"
)

func fixture(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/dxf/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// A flange as suppliers send it, with one hole 0.4 mm off, as drawn in the job
// flange.job.json.
func TestSuppliersFlange(t *testing.T) {
	res := read(t, fixture(t, "supplier.dxf"), dxf.Options{})
	if res.Outer == nil || res.Outer.Layer != "OUTLINE" || res.Unit != "mm" || len(res.Openings) != 2 || len(res.Holes) != 9 || len(res.Beside) != 0 || len(res.Open) != 14 {
		t.Fatalf("got %+v", res)
	}
	within(t, "width", res.High[0]-res.Low[0], 362, 1e-9)
	within(t, "area", res.Outer.Outline.Area(), 362*92-(4-math.Pi)*144, 1e-6)
	for i, at := range [7][2]float64{{165, 16}, {55, 16}, {-55.4, 16}, {-165, 16}, {110, 76.4}, {0, 76}, {-110, 76}} {
		h := res.Holes[i]
		if h.Layer != "DRILL" || math.Hypot(h.X-at[0], h.Y-at[1]) > 1e-9 || math.Abs(h.Diameter-8.8) > 1e-9 {
			t.Errorf("hole %d: %+v, want at %v", i+1, h, at)
		}
	}
	within(t, "port", res.Openings[0].Outline.Area(), 7*37+math.Pi*18.5*18.5, 1e-9)
	for _, want := range []string{"1 CIRCLE left out, the first at line 556: layer TRIAL is switched off", "1 DIMENSION, 2 TEXT left out", "14 rows of pieces stay open"} {
		if !said(res, want) {
			t.Errorf("%q is not said in %q", want, res.Left)
		}
	}
}

func TestFileDrawnFromBelow(t *testing.T) {
	res := read(t, fixture(t, "mirrored.dxf"), dxf.Options{})
	if res.Outer == nil || len(res.Holes) != 1 || len(res.Openings) != 1 || len(res.Open) != 0 {
		t.Fatalf("got %+v", res)
	}
	within(t, "plate", res.Outer.Outline.Area(), 80*60-(4-math.Pi)*100, 1e-9)
	if res.Outer.Outline.Contains([2]float64{3, 3}) || !res.Outer.Outline.Contains([2]float64{77, 3}) {
		t.Error("the round corner is not at the lower left")
	}
	within(t, "hole", res.Holes[0].X, 60, 1e-9)
	_, y := res.Openings[0].Outline.Centroid()
	within(t, "half round, above its chord", y, 30+4*10/(3*math.Pi), 1e-9) // centroid of a half circle
}

func TestFilesInInchesAndInNothing(t *testing.T) {
	res := read(t, fixture(t, "no-unit.dxf"), dxf.Options{})
	if res.Ask == nil || res.Outer != nil || res.Ask.MM != [2]float64{80, 60} || res.Ask.Inch != [2]float64{80 * 25.4, 60 * 25.4} {
		t.Errorf("no unit: got %+v", res)
	}
	res = read(t, fixture(t, "inches.dxf"), dxf.Options{})
	if res.Outer == nil || res.Unit != "in" || len(res.Holes) != 1 {
		t.Fatalf("inches: got %+v", res)
	}
	within(t, "width", res.High[0], 79.375, 1e-9)
	within(t, "hole", res.Holes[0].Diameter, 9.525, 1e-9)
}

func TestFilesWithFaults(t *testing.T) {
	res := read(t, fixture(t, "doubles.dxf"), dxf.Options{})
	if res.Outer == nil || len(res.Holes) != 1 || res.Doubles != 3 || res.Short != 2 || len(res.Open) != 0 {
		t.Errorf("doubles: got %+v", res)
	}
	res = read(t, fixture(t, "open.dxf"), dxf.Options{})
	if res.Outer != nil || len(res.Holes) != 1 || len(res.Open) != 1 || !said(res, "goes round the outlines but does not close: it ends at 0.300, 60.000 and 0.000, 60.000") || !(math.Abs(res.Gap-0.008) < 1e-9) || !(math.Abs(res.Open[0].Near-0.3) < 1e-9) {
		t.Errorf("open: got %+v", res)
	}
	if res = read(t, fixture(t, "open.dxf"), dxf.Options{Join: 0.5}); res.Outer == nil || len(res.Holes) != 1 || !said(res, "gaps of up to 0.300 mm") {
		t.Errorf("open, joined: got %+v", res)
	}
}

func BenchmarkRead(b *testing.B) {
	data := fixture(b, "supplier.dxf")
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := dxf.Read(data, dxf.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
