package flange

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

// shapes are ports of all kinds of about 45 mm.
func shapes(t testing.TB, rnd *rand.Rand) []geom.Outline {
	t.Helper()
	r := func(low, high float64) float64 { return low + (high-low)*rnd.Float64() }
	var list []geom.Outline
	add := func(o geom.Outline, err error) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, o)
	}
	add(geom.Round(r(35, 50)))
	add(geom.Stadium(r(45, 60), r(25, 40)))
	add(geom.Oval(r(40, 60), r(30, 45)))
	add(geom.Rectangle(r(40, 55), r(30, 40), r(0, 10)))
	add(geom.D(r(20, 25), r(2, 15), r(0, 5)))
	return list
}

// The deviation of two outlines is the greatest distance from any point of one to
// the other, both ways, as found by asking for the nearest place of 2,000 points.
func TestDeviationAgainstNearest(t *testing.T) {
	const seed = 13
	rnd := rand.New(rand.NewPCG(seed, 0))
	worst := 0.0
	for i := range 30 {
		a, b := shapes(t, rnd), shapes(t, rnd)
		m, n := a[rnd.IntN(len(a))], b[rnd.IntN(len(b))]
		if i%2 == 0 {
			n = m // the same, a little turned and moved
		}
		n = n.Turned(0.2*(rnd.Float64()-0.5)).Moved(4*(rnd.Float64()-0.5), 4*(rnd.Float64()-0.5))
		want := 0.0
		for _, ways := range [][2]geom.Outline{{m, n}, {n, m}} {
			for _, q := range ways[0].Polyline(0.0001) {
				d, _ := ways[1].Nearest(q)
				want = max(want, d)
			}
		}
		got := deviation(newPolyline(m.Polyline(chord)), newPolyline(n.Polyline(chord)))
		worst = max(worst, math.Abs(got-want))
	}
	t.Logf("within %.4f mm of the nearest places", worst)
	if worst > 0.01 {
		t.Errorf("seed %d: differs by up to %v mm, said to be 0.01", seed, worst)
	}
}
