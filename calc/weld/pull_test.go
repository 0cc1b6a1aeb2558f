package weld_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// The worked example of the trade: a pull of 0.010 in across a 2 in port weld tilts the
// tube 0.29°, which is 0.14 in at 28 in (own arithmetic there).
func TestPullOfTheWorkedExample(t *testing.T) {
	end := [3]float64{0, 0, 28 * 25.4}
	p, err := weld.Pull(0.010*units.Inch, 2*units.Inch, end, [3]float64{0, 0, 1})
	if err != nil || math.Abs(p.Tilt.Deg()-0.29) > 0.005 || math.Abs(p.Moves.MM()/25.4-0.14) > 0.005 || math.Abs(p.Lever.MM()-end[2]) > 1e-9 {
		t.Errorf("%v° and %v in over %v mm, want 0.29° and 0.14 in (%v)", p.Tilt.Deg(), p.Moves.MM()/25.4, p.Lever.MM(), err)
	}
	if math.Abs((p.Sideways - p.Moves).MM()) > 1e-9 {
		t.Errorf("a straight tube moves all of it sideways: %v of %v", p.Sideways, p.Moves)
	}
	// The end points at right angles to a reach straight out: moved along its own direction
	// it does not matter, moved about the other line it does.
	q, err := weld.Pull(0.010*units.Inch, 2*units.Inch, end, [3]float64{1, 0, 0})
	if err != nil || math.Abs((q.Sideways-p.Moves).MM()) > 1e-9 {
		t.Errorf("%v sideways, want %v (%v)", q.Sideways, p.Moves, err)
	}
	// An end that lies in the plane of the weld and points away from the port turns in that
	// plane not at all, and leaves it by all of the movement.
	r, err := weld.Pull(0.010*units.Inch, 2*units.Inch, [3]float64{500, 0, 0}, [3]float64{1, 0, 0})
	if err != nil || math.Abs((r.Sideways-r.Moves).MM()) > 1e-9 {
		t.Errorf("%v sideways, want %v (%v)", r.Sideways, r.Moves, err)
	}
	s, err := weld.Pull(0.010*units.Inch, 2*units.Inch, [3]float64{500, 0, 0}, [3]float64{0, 0, 1})
	if err != nil || s.Sideways > 1e-9 {
		t.Errorf("what rises along its own direction moves %v sideways (%v)", s.Sideways, err)
	}
}

// No line in the plane of the weld moves the end farther than Moves, or farther sideways
// than Sideways, and some line does by as much: turned by Rodrigues' formula about 3,600
// lines. For the small angle the chord sideways is that of the tangent to 1 %.
func TestPullIsTheWorstOfAllLines(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		reach := [3]float64{rnd.NormFloat64() * 300, rnd.NormFloat64() * 300, rnd.NormFloat64() * 300}
		dir := [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}
		n := math.Sqrt(dir[0]*dir[0] + dir[1]*dir[1] + dir[2]*dir[2])
		for k := range dir {
			dir[k] /= n
		}
		p, err := weld.Pull(units.Length(0.5*rnd.Float64()), units.Length(25+50*rnd.Float64()), reach, dir)
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		most, side := 0.0, 0.0
		for k := range 3600 {
			sin, cos := math.Sincos(float64(k) * math.Pi / 1800)
			d := sub(turned(reach, [3]float64{cos, sin, 0}, float64(p.Tilt)), reach)
			along := d[0]*dir[0] + d[1]*dir[1] + d[2]*dir[2]
			across := [3]float64{d[0] - along*dir[0], d[1] - along*dir[1], d[2] - along*dir[2]}
			most, side = max(most, length(d)), max(side, length(across))
		}
		if math.Abs(most-p.Moves.MM()) > 1e-5*most+1e-9 || math.Abs(side-p.Sideways.MM()) > 0.01*most+1e-9 {
			t.Fatalf("seed %d case %d: %v and %v, turned about all lines %v and %v", seed, i, p.Moves, p.Sideways, most, side)
		}
	}
}

func turned(v, axis [3]float64, by float64) (w [3]float64) {
	sin, cos := math.Sincos(by)
	dot := v[0]*axis[0] + v[1]*axis[1] + v[2]*axis[2]
	cross := [3]float64{axis[1]*v[2] - axis[2]*v[1], axis[2]*v[0] - axis[0]*v[2], axis[0]*v[1] - axis[1]*v[0]}
	for k := range w {
		w[k] = cos*v[k] + sin*cross[k] + (1-cos)*dot*axis[k]
	}
	return w
}

func sub(v, w [3]float64) [3]float64 { return [3]float64{v[0] - w[0], v[1] - w[1], v[2] - w[2]} }
func length(v [3]float64) float64    { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }
