package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Moves put one after the other do what each does in turn, and the inverse puts
// everything back.
func TestMovesAddUp(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	vec := func() Vec { return Vec{rnd.Float64() - 0.5, rnd.Float64() - 0.5, rnd.Float64() - 0.5}.Scale(1000) }
	for i := range 500 {
		m, err := NewMove(vec(), 7*rnd.Float64(), vec())
		if err != nil {
			t.Fatal(err)
		}
		n, err := NewMove(vec(), 7*rnd.Float64(), vec())
		if err != nil {
			t.Fatal(err)
		}
		p := vec()
		if d := m.Then(n).Point(p).Sub(n.Point(m.Point(p))).Norm(); d > 1e-11 {
			t.Fatalf("seed %d case %d: one after the other is off by %v mm", seed, i, d)
		}
		if d := m.Then(m.Inverse()).Point(p).Sub(p).Norm(); d > 1e-11 {
			t.Fatalf("seed %d case %d: put back %v mm off", seed, i, d)
		}
		if d := math.Abs(m.Point(p).Sub(m.Point(Vec{})).Norm() - p.Norm()); d > 1e-11 {
			t.Fatalf("seed %d case %d: a length changed by %v mm", seed, i, d)
		}
	}
}
