package clear_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// drawn is an element of distance.json: its ends and a point halfway along it.
type drawn struct {
	K       string
	A, B    geom.Vec
	Mid     geom.Vec
	CLR     units.Length
	Degrees float64 `json:"deg"`
}

// ends returns the frames at both ends of an element, N towards the centre of a
// bend.
func (d drawn) ends() (in, out geom.Frame) {
	chord, _ := d.B.Sub(d.A).Unit()
	if d.K == "line" {
		return geom.Frame{O: d.A, T: chord}, geom.Frame{O: d.B, T: chord}
	}
	away, _ := d.Mid.Sub(d.A.Add(d.B).Scale(0.5)).Unit()
	sin, cos := math.Sincos(float64(units.Angle(d.Degrees)*units.Degree) / 2)
	t0, t1 := chord.Scale(cos).Add(away.Scale(sin)), chord.Scale(cos).Sub(away.Scale(sin))
	n0, n1 := chord.Scale(sin).Sub(away.Scale(cos)), chord.Scale(-sin).Sub(away.Scale(cos))
	return geom.Frame{O: d.A, T: t0, N: n0}, geom.Frame{O: d.B, T: t1, N: n1}
}

// pathFrom makes a path of drawn elements, with rotations read off their planes.
func pathFrom(t testing.TB, list []drawn, od units.Length) clear.Path {
	t.Helper()
	start, _ := list[0].ends()
	f, err := geom.NewFrame(start.O, start.T, geom.Vec{X: start.T.Y, Y: start.T.Z, Z: -start.T.X})
	if err != nil {
		t.Fatal(err)
	}
	start = f
	var elems []tube.Element
	for _, d := range list {
		if d.K == "line" {
			elems = append(elems, tube.Element{Straight: units.Length(d.B.Sub(d.A).Norm())})
			continue
		}
		in, out := d.ends()
		rot := math.Atan2(f.N.Cross(in.N).Dot(in.T), f.N.Dot(in.N))
		elems = append(elems, tube.Element{Bend: &tube.Bend{Turn: units.Angle(d.Degrees) * units.Degree, Radius: d.CLR, Rotation: units.Angle(rot)}})
		f = out
	}
	p, err := clear.NewPath(start, elems, od)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

type goldenPair struct {
	A, B     []drawn
	Distance float64
}

func golden(t testing.TB) []goldenPair {
	t.Helper()
	text, err := os.ReadFile("../../testdata/golden/distance.json")
	if err != nil {
		t.Fatal(err)
	}
	var pairs []goldenPair
	if err := json.Unmarshal(text, &pairs); err != nil {
		t.Fatal(err)
	}
	if len(pairs) != 100 {
		t.Fatalf("%d pairs, want 100", len(pairs))
	}
	return pairs
}

// distance.json was checked against an exact CAD kernel, which agreed within
// 6e-7 mm; it was made with an eps of its own of 1e-3 at most.
func TestGoldenDistances(t *testing.T) {
	const eps = 1e-6
	worst, evals := 0.0, 0
	for i, g := range golden(t) {
		a, b := pathFrom(t, g.A, 0), pathFrom(t, g.B, 0)
		r := clear.Between(a, b, clear.Options{Eps: eps})
		off := math.Abs(r.Gap.MM() - g.Distance)
		if worst = max(worst, off); off > 2e-6 || r.Beyond || r.Eps > 2*eps {
			t.Errorf("pair %d: got %v ± %v, want %v", i, r.Gap, r.Eps, g.Distance)
		}
		if d := r.A.Axis.Sub(r.B.Axis).Norm(); math.Abs(d-r.Gap.MM()) > 1e-9 {
			t.Errorf("pair %d: the places named are %v apart, the gap is %v", i, d, r.Gap)
		}
		if at, _ := a.At(r.A.S); at.Sub(r.A.Axis).Norm() > 1e-9 {
			t.Errorf("pair %d: %v mm along a is not at %v", i, r.A.S, r.A.Axis)
		}
		back := clear.Between(b, a, clear.Options{Eps: eps})
		if math.Abs((back.Gap - r.Gap).MM()) > eps {
			t.Errorf("pair %d: the other way round %v, want %v", i, back.Gap, r.Gap)
		}
		evals += clear.Between(a, b, clear.Options{}).Evaluations
	}
	t.Logf("worst %.2g mm; %.1f evaluations a pair at eps 0.01", worst, float64(evals)/100)
}
