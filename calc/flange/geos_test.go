package flange_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// python is the one that Debian's python3-shapely installs into.
const python = "/usr/bin/python3"

// geos runs a script with shapely, which stands on GEOS, once over all cases; the
// answers come back in order.
func geos(t *testing.T, script string, cases, answers any) {
	t.Helper()
	if err := exec.Command(python, "-c", "import shapely.geometry").Run(); err != nil {
		t.Skip("outlines are not compared with those of GEOS: python3-shapely is not installed")
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", "import json, sys\nfrom shapely.geometry import Polygon\n"+script)
	cmd.Stdin = bytes.NewReader(in)
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	said, err := cmd.Output()
	if err != nil {
		t.Fatalf("shapely: %v\n%s", err, complaint.Bytes())
	}
	if err := json.Unmarshal(said, answers); err != nil {
		t.Fatal(err)
	}
}

// chords returns a polygon with its corners on the outline, so many to a rad of an
// arc, a tenth as many more to a cubic.
func chords(o geom.Outline, perRad int) (pts [][2]float64) {
	for _, s := range o.Segments() {
		n := 1
		switch s.Kind {
		case geom.Arc:
			n += int(float64(perRad) * math.Abs(s.Sweep))
		case geom.Cubic:
			n += perRad / 2
		}
		for i := range n {
			p, _ := s.At(float64(i) / float64(n))
			pts = append(pts, p)
		}
	}
	return pts
}

// capsules is what is within d of a polygon: it and every side of it, widened, as
// one. The plain buffer of GEOS first leaves out corners of hollow places within
// d/100, and is up to 3 % off where they are many.
const capsules = `
from shapely.geometry import LineString
from shapely.ops import unary_union
out = []
for q in json.load(sys.stdin):
    p, d = q["points"], q["d"]
    parts = [LineString(s).buffer(d, resolution=128) for s in zip(p, p[1:] + p[:1])]
    outer = Polygon(unary_union(parts + [Polygon(p)]).exterior)
    out.append([outer.area, outer.length])
json.dump(out, sys.stdout)`

// The same 200 polygons go to both; 20 of the outlines once more, with arcs and
// cubics here, and fine chords there.
func TestOffsetsAgainstGEOS(t *testing.T) {
	const seed, polygons = 12, 200
	rnd := rand.New(rand.NewPCG(seed, 0))
	type question struct {
		Points [][2]float64 `json:"points"`
		D      float64      `json:"d"`
	}
	var asked []question
	var curved []question
	var outs, curvedOuts []geom.Outline
	for len(asked) < polygons {
		o, err := randomOutline(rnd)
		if err != nil {
			continue
		}
		d := 0.2 + 9*rnd.Float64()*rnd.Float64()
		if len(asked)%10 == 9 {
			names := []string{"round", "stadium", "rectangle", "d", "sharp d", "oval"}
			o = convex(t)[names[rnd.IntN(len(names))]].Turned(rnd.Float64())
		}
		pts := chords(o, 8)
		loop := make([]geom.Vertex, len(pts))
		for i, p := range pts {
			loop[i] = geom.Vertex{X: p[0], Y: p[1]}
		}
		asked = append(asked, question{pts, d})
		outs = append(outs, made(t)(flange.Offset(made(t)(geom.FromLoop(loop)), d)))
		if len(asked)%10 == 0 {
			curved = append(curved, question{chords(o, 200), d})
			curvedOuts = append(curvedOuts, made(t)(flange.Offset(o, d)))
		}
	}
	var answers [][2]float64
	geos(t, capsules, append(asked, curved...), &answers)
	worst := [2]float64{}
	for i, want := range answers {
		kind, q, out, mean := 0, question{}, geom.Outline{}, 1e-6
		if i < polygons {
			q, out = asked[i], outs[i]
		} else {
			// Arcs for cubics are up to 0.002 mm off, to both sides; chords 0.0001 mm.
			kind, q, out, mean = 1, curved[i-polygons], curvedOuts[i-polygons], 5e-4
		}
		// GEOS has 128 chords to a quarter of a rounded corner, which lie d·(π/256)²/12
		// inside it on average.
		mean += q.D * (math.Pi / 256) * (math.Pi / 256) / 12
		worst[kind] = max(worst[kind], math.Abs(out.Area()/want[0]-1))
		if math.Abs(out.Area()-want[0]) > mean*out.Perimeter() || math.Abs(out.Perimeter()/want[1]-1) > 1e-4 {
			t.Errorf("seed %d case %d by %v: area %v, perimeter %v, GEOS %v", seed, i, q.D, out.Area(), out.Perimeter(), want)
		}
	}
	t.Logf("areas differ by up to %.1e of themselves, of curved outlines by %.1e", worst[0], worst[1])
}
