package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

func TestTraverseDerivatives(t *testing.T) {
	const seed = 32
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 100 {
		start, err := geom.NewFrame(somewhere(rnd, 100), somewhere(rnd, 1), somewhere(rnd, 1))
		if err != nil {
			continue
		}
		tr := Traverse{Start: start, Last: 50, End: Socket{At: somewhere(rnd, 100), Sigma: 1, Dir: somewhere(rnd, 1), DirSigma: 0.1, Ref: somewhere(rnd, 1), RefSigma: 0.1}}
		for range 1 + rnd.IntN(4) {
			tr.Rows = append(tr.Rows, TraverseRow{Row: tube.Row{Length: units.Length(50 + 50*rnd.Float64()), Rotation: units.Angle(6*rnd.Float64() - 3),
				Turn: units.Angle(0.3 + 2*rnd.Float64()), Radius: 60}})
		}
		x, _ := tr.values()
		c := tr.closing(x)
		for k := range x {
			const h = 1e-5
			plus, minus := append([]float64(nil), x...), append([]float64(nil), x...)
			plus[k] += h
			minus[k] -= h
			high, low := tr.closing(plus), tr.closing(minus)
			for q := range c.off {
				// The derivative is that of the place, the condition is what it lacks.
				if want := -(high.off[q] - low.off[q]) / (2 * h); math.Abs(c.by[q][k]-want) > 1e-6*(1+math.Abs(want)) {
					t.Fatalf("seed %d case %d: condition %d by value %d: %v, want %v", seed, i, q, k, c.by[q][k], want)
				}
			}
		}
	}
}
