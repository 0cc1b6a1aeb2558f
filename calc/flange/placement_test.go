package flange

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

func TestPlacementWords(t *testing.T) {
	const deg = math.Pi / 180
	tests := []struct {
		mirrored bool
		angle    float64
		want     string
	}{
		{false, 0, "as it lies"}, {false, -2 * deg, "as it lies"}, {false, math.Pi, "turned half round"},
		{false, -179 * deg, "turned half round"}, {false, 120 * deg, "turned by 120°"}, {false, -90 * deg, "turned by 90° clockwise"},
		{true, 0, "turned over about the vertical"}, {true, 10 * deg, "turned over about the vertical"},
		{true, math.Pi, "turned over about the horizontal"}, {true, -170 * deg, "turned over about the horizontal"},
		{true, -120 * deg, "turned over about a line tilted by 30°"}, {true, 90 * deg, "turned over about a line tilted by −45°"},
	}
	for _, tt := range tests {
		if got := (Placement{Mirrored: tt.mirrored, Angle: tt.angle}).Words(); got != tt.want {
			t.Errorf("mirrored %v, %.0f°: got %q, want %q", tt.mirrored, tt.angle/deg, got, tt.want)
		}
	}
	// The words are true: a point on the line stays, one beside it changes sides.
	line := 30 * deg
	p := Placement{Mirrored: true, Angle: 2*line - math.Pi}
	on, beside := [2]float64{math.Cos(line), math.Sin(line)}, [2]float64{-math.Sin(line), math.Cos(line)}
	if distance(p.Point(on), on) > 1e-12 || distance(p.Point(beside), [2]float64{-beside[0], -beside[1]}) > 1e-12 {
		t.Errorf("%s: %v goes to %v, %v to %v", p.Words(), on, p.Point(on), beside, p.Point(beside))
	}
}

// Points and outlines are laid alike, and a placement at work is the same one.
func TestPlacementOfOutlineAndPoint(t *testing.T) {
	const seed = 12
	rnd := rand.New(rand.NewPCG(seed, 0))
	o, err := geom.D(20, 8, 4)
	if err != nil {
		t.Fatal(err)
	}
	o = o.Moved(31, -7)
	for i := range 200 {
		p := anyPlacement(rnd)
		placed := p.Outline(o)
		for _, q := range o.Polyline(1) {
			if d, _ := placed.Nearest(p.Point(q)); d > 1e-9 {
				t.Fatalf("seed %d case %d: %+v: point lies %v mm off its outline", seed, i, p, d)
			}
			l := p.lay()
			if d := distance(l.placement().Point(q), p.Point(q)); d > 1e-9 {
				t.Fatalf("seed %d case %d: %+v: at work it is %v mm off", seed, i, p, d)
			}
		}
		if math.Abs(placed.Area()-o.Area()) > 1e-6 {
			t.Fatalf("seed %d case %d: area %v, was %v", seed, i, placed.Area(), o.Area())
		}
	}
}
