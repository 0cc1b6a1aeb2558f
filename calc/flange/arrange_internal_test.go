package flange

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/geom"
)

// A place on a line or an arc is at the parameter that it was taken at, also a little
// before its beginning and behind its end, wherever on the circle it begins and whichever
// way it goes.
func TestAlongFindsTheParameterBack(t *testing.T) {
	const seed = 21
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 2000 {
		s := geom.Segment{Kind: geom.Line, From: [2]float64{50 * rnd.Float64(), -30 * rnd.Float64()}, To: [2]float64{-20 * rnd.Float64(), 40 * rnd.Float64()}}
		at := func(u float64) [2]float64 {
			return [2]float64{s.From[0] + u*(s.To[0]-s.From[0]), s.From[1] + u*(s.To[1]-s.From[1])}
		}
		if i%2 == 1 {
			s = geom.Segment{Kind: geom.Arc, Centre: [2]float64{100 * rnd.Float64(), -100 * rnd.Float64()}, Radius: 1 + 50*rnd.Float64(), Start: 4 * math.Pi * (2*rnd.Float64() - 1), Sweep: 2 * math.Pi * 0.9 * (2*rnd.Float64() - 1)}
			at = func(u float64) [2]float64 {
				sin, cos := math.Sincos(s.Start + u*s.Sweep)
				return [2]float64{s.Centre[0] + s.Radius*cos, s.Centre[1] + s.Radius*sin}
			}
		}
		for _, u := range []float64{-0.02, 0, 0.001, 0.3, 0.7, 0.999, 1, 1.02} {
			if got := along(s, at(u)); math.Abs(got-u) > 1e-9/math.Max(1e-3, math.Abs(s.Sweep)) {
				t.Fatalf("seed %d case %d: %+v: the place at %v is found at %v", seed, i, s, u, got)
			}
		}
	}
}

// A face says which hole or port is out of its range, as people count, and takes what
// lies on the limit.
func TestFacesOutOfRangeAreNamed(t *testing.T) {
	hole := func(x, d float64) Hole { return Hole{ID: "b2", At: [2]float64{x, 0}, Diameter: d, Bolt: 8} }
	port := func(x float64) Port {
		o, err := geom.FromLoop([]geom.Vertex{{X: x - 20, Y: 0}, {X: x, Y: 0}, {X: x, Y: 20}, {X: x - 20, Y: 20}})
		if err != nil {
			t.Fatal(err)
		}
		return Port{ID: "p1", Outline: o}
	}
	for _, c := range []struct {
		f    Face
		want string
	}{
		{Face{Holes: []Hole{hole(0, 9), hole(farthest, 9)}}, ""}, {Face{Ports: []Port{port(farthest)}}, ""},
		{Face{Holes: []Hole{hole(0, 9), hole(farthest+1, 9)}}, "hole 2 (b2): x 100001 mm: want -100000 to 100000"},
		{Face{Holes: []Hole{hole(0, -1)}}, "hole 1 (b2): diameter -1 mm: want 0 to 100000"},
		{Face{Ports: []Port{port(0), port(farthest + 5)}}, "port 2 (p1): outline at"},
		{Face{Holes: make([]Hole, mostHoles+1)}, "65 holes: want at most 64"},
		{Face{Ports: make([]Port, mostPorts+1)}, "65 ports: want at most 64"},
		{Face{Holes: make([]Hole, mostHoles), Ports: make([]Port, mostPorts)}, ""},
	} {
		err := c.f.check()
		if c.want == "" && err != nil || c.want != "" && (err == nil || !strings.HasPrefix(err.Error(), c.want)) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}
