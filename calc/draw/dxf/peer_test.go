package dxf_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
	"tubewright/calc/geom"
)

// python returns Debian's own Python with the other program's library, or skips.
func python(t *testing.T) string {
	t.Helper()
	const name = "/usr/bin/python3"
	if runtime.GOOS == "js" {
		t.Skip("SKIPPED: no other program can be run from here")
	}
	if exec.Command(name, "-c", "import ezdxf").Run() != nil {
		t.Skip("SKIPPED: no other DXF library to compare with (Debian: apt-get install python3-ezdxf)")
	}
	return name
}

func run(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	cmd := exec.Command(name, args...)
	var fault strings.Builder
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, fault.String())
	}
	return out
}

// measured is an outline as the other program sees it.
type measured struct {
	Area, Length float64
	Low, High    [2]float64
}

func measure(o geom.Outline) measured {
	low, high := o.Bounds()
	return measured{o.Area(), o.Perimeter(), low, high}
}

// Files of four versions made by another program, with curves of every kind and
// blocks, hold the outlines that it says they do. What differs is the flattening:
// ours by up to 0.01 mm, its own by 0.0001 mm.
func TestFilesOfAnotherProgram(t *testing.T) {
	py, dir := python(t), t.TempDir()
	var files []struct {
		File     string
		Outlines []measured
	}
	if err := json.Unmarshal(run(t, py, "testdata/peer.py", "make", dir), &files); err != nil {
		t.Fatal(err)
	}
	if len(files) != 4 {
		t.Fatalf("%d files", len(files))
	}
	for _, f := range files {
		data, err := os.ReadFile(f.File)
		if err != nil {
			t.Fatal(err)
		}
		res := read(t, data, dxf.Options{})
		if strings.HasSuffix(f.File, "R12.dxf") { // its header has no unit there
			if res.Ask == nil {
				t.Errorf("%s: not asked for the unit", f.File)
			}
			res = read(t, data, dxf.Options{Unit: "mm"})
		}
		if res.Outer == nil {
			t.Fatalf("%s: %+v", f.File, res)
		}
		got := []measured{measure(res.Outer.Outline)}
		for _, o := range res.Openings {
			got = append(got, measure(o.Outline))
		}
		for _, h := range res.Holes {
			r := h.Diameter / 2
			got = append(got, measured{math.Pi * r * r, 2 * math.Pi * r, [2]float64{h.X - r, h.Y - r}, [2]float64{h.X + r, h.Y + r}})
		}
		if len(got) != len(f.Outlines) || len(res.Open)+len(res.Beside) != 0 {
			t.Errorf("%s: %d outlines, want %d; %d open, %d beside, %q", f.File, len(got), len(f.Outlines), len(res.Open), len(res.Beside), res.Left)
		}
		if !said(res, "1 POINT, 1 TEXT left out") {
			t.Errorf("%s: said %q", f.File, res.Left)
		}
		worstArea, worstBox := 0.0, 0.0
		for i, want := range f.Outlines {
			best, bestBox := 0, math.Inf(1)
			for j, g := range got {
				box := 0.0
				for k := range 2 {
					box = max(box, math.Abs(g.Low[k]-want.Low[k]), math.Abs(g.High[k]-want.High[k]))
				}
				if box < bestBox {
					best, bestBox = j, box
				}
			}
			g := got[best]
			// Outlines within 0.01 mm of each other differ in area by no more than that
			// along the length.
			area := math.Abs(g.Area-want.Area) / want.Length
			worstArea, worstBox = max(worstArea, area), max(worstBox, bestBox)
			if bestBox > 0.01 || area > 0.01 || math.Abs(g.Length-want.Length) > 0.02+1e-5*want.Length {
				t.Errorf("%s: outline %d: got %+v, want %+v", filepath.Base(f.File), i, g, want)
			}
		}
		t.Logf("%s: %d outlines, worst box %.4f mm, worst area %.4f mm along the length, flattened to %.4f mm", filepath.Base(f.File), len(got), worstBox, worstArea, res.Worst)
	}
}

// Another library reads what is written without a fault, and sees the same size.
func TestAnotherLibraryReadsWhatIsWritten(t *testing.T) {
	py := python(t)
	d := flange()
	name := filepath.Join(t.TempDir(), "flange.dxf")
	if err := os.WriteFile(name, write(t, d), 0o600); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Errors            []string
		Version           string
		Unit, Measurement int
		ExtMin, ExtMax    [2]float64
		Layers            []string
		Counts            map[string]int
		Boxes             map[string][2][2]float64
		Open              int
	}
	if err := json.Unmarshal(run(t, py, "testdata/peer.py", "audit", name), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Errors) != 0 || got.Version != "AC1009" || got.Unit != 4 || got.Measurement != 1 || got.Open != 0 {
		t.Errorf("got %+v", got)
	}
	for kind, n := range map[string]int{"POLYLINE": 3, "CIRCLE": 4, "LINE": 1, "ARC": 1} {
		if got.Counts[kind] != n {
			t.Errorf("%d %s, want %d", got.Counts[kind], kind, n)
		}
	}
	if len(got.Counts) != 4 {
		t.Errorf("entities %v", got.Counts)
	}
	same := func(what string, box [2][2]float64, want draw.Box) {
		for k := range 2 {
			within(t, what, box[0][k], want.Min[k], 1e-3)
			within(t, what, box[1][k], want.Max[k], 1e-3)
		}
	}
	same("cut", got.Boxes["CUT"], d.Only(draw.Cut).Bounds())
	same("mark", got.Boxes["MARK"], d.Only(draw.Mark).Bounds())
	square := got.Boxes[dxf.ReferenceLayer]
	within(t, "square", square[1][0]-square[0][0], 100, 1e-6)
	within(t, "square", square[1][1]-square[0][1], 100, 1e-6)
	all := d.Only(draw.Cut).Bounds()
	all.Min[1] = square[0][1]
	same("header", [2][2]float64{got.ExtMin, got.ExtMax}, all)
}

// A third reader, of maps and plans, sees the same size too.
func TestAThirdReaderSeesTheSameSize(t *testing.T) {
	info, err := exec.LookPath("ogrinfo")
	if err != nil {
		t.Skip("SKIPPED: no third reader to compare with (Debian: apt-get install gdal-bin)")
	}
	d := flange()
	name := filepath.Join(t.TempDir(), "flange.dxf")
	if err := os.WriteFile(name, write(t, d), 0o600); err != nil {
		t.Fatal(err)
	}
	// It shows arcs as chords; steps of a quarter of a degree divide a right angle.
	out := run(t, info, "--config", "OGR_ARC_STEPSIZE", "0.25", "-al", "-so", "-where", "Layer = 'CUT'", name)
	m := regexp.MustCompile(`Extent: \(([-\d.]+), ([-\d.]+)\) - \(([-\d.]+), ([-\d.]+)\)`).FindSubmatch(out)
	if m == nil || !strings.Contains(string(out), "Feature Count: 7") {
		t.Fatalf("said\n%s", out)
	}
	var v [4]float64
	for i := range v {
		v[i], _ = strconv.ParseFloat(string(m[i+1]), 64)
	}
	b := d.Only(draw.Cut).Bounds()
	for i, want := range [4]float64{b.Min[0], b.Min[1], b.Max[0], b.Max[1]} {
		within(t, "extent", v[i], want, 1e-3)
	}
}

// A file that the third reader writes is read: polylines without arcs, and a header
// that says inches whatever the figures are, so that a person's word goes first.
func TestFileOfTheThirdReader(t *testing.T) {
	convert, err := exec.LookPath("ogr2ogr")
	if err != nil {
		t.Skip("SKIPPED: no third reader to compare with (Debian: apt-get install gdal-bin)")
	}
	dir := t.TempDir()
	plan := `{"type":"FeatureCollection","features":[
		{"type":"Feature","properties":{"Layer":"PLATE"},"geometry":{"type":"LineString","coordinates":[[0,0],[120,0],[120,80.5],[0,80.5],[0,0]]}},
		{"type":"Feature","properties":{"Layer":"PORT"},"geometry":{"type":"LineString","coordinates":[[20,20],[60,20],[60,50],[20,50],[20,20]]}}]}`
	if err := os.WriteFile(filepath.Join(dir, "plan.json"), []byte(plan), 0o600); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "plan.dxf")
	run(t, convert, "-f", "DXF", name, filepath.Join(dir, "plan.json"))
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	res := read(t, data, dxf.Options{Unit: "mm"})
	if !said(res, "the file says that its figures are inches") {
		t.Errorf("said %q", res.Left)
	}
	if res.Outer == nil || res.Outer.Layer != "PLATE" || len(res.Openings) != 1 || len(res.Open) != 0 {
		t.Fatalf("got %+v", res)
	}
	within(t, "outer", res.Outer.Outline.Area(), 120*80.5, 1e-6)
	within(t, "opening", res.Openings[0].Outline.Area(), 1200, 1e-6)
}
