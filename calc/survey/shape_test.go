package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

func somewhere(rnd *rand.Rand, size float64) geom.Vec {
	return geom.Vec{X: size * (2*rnd.Float64() - 1), Y: size * (2*rnd.Float64() - 1), Z: size * (2*rnd.Float64() - 1)}
}

// nudged returns the central difference of f by every coordinate of every point.
func nudged(pts []geom.Vec, f func([]geom.Vec) float64) []geom.Vec {
	const h = 1e-4
	out := make([]geom.Vec, len(pts))
	for i := range pts {
		for k, c := range []*float64{&out[i].X, &out[i].Y, &out[i].Z} {
			var v [2]float64
			for side, step := range []float64{-h, h} {
				moved := append([]geom.Vec(nil), pts...)
				*[]*float64{&moved[i].X, &moved[i].Y, &moved[i].Z}[k] += step
				v[side] = f(moved)
			}
			*c = math.Remainder(v[1]-v[0], 2*math.Pi) / (2 * h)
		}
	}
	return out
}

func TestShapeDerivatives(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		p := []geom.Vec{somewhere(rnd, 100), somewhere(rnd, 100), somewhere(rnd, 100), somewhere(rnd, 100)}
		turn, by3 := turnAt(p[0], p[1], p[2])
		turn2, _ := turnAt(p[1], p[2], p[3])
		if min(turn, turn2, math.Pi-turn, math.Pi-turn2) < 0.1 { // differences need a smooth place
			continue
		}
		for k, want := range nudged(p[:3], func(q []geom.Vec) float64 { a, _ := turnAt(q[0], q[1], q[2]); return a }) {
			if d := by3[k].Sub(want).Norm(); d > 1e-6 {
				t.Fatalf("seed %d case %d: turn by point %d: %v, want %v", seed, i, k, by3[k], want)
			}
		}
		_, by4 := rotationAbout(p[0], p[1], p[2], p[3])
		for k, want := range nudged(p, func(q []geom.Vec) float64 { a, _ := rotationAbout(q[0], q[1], q[2], q[3]); return a }) {
			if d := by4[k].Sub(want).Norm(); d > 1e-6*(1+want.Norm()) {
				t.Fatalf("seed %d case %d: rotation by point %d: %v, want %v", seed, i, k, by4[k], want)
			}
		}
	}
}

// The angles are those of the bender: the same as calc/tube reads from points.
func TestShapeIsThatOfTheTube(t *testing.T) {
	const seed = 4
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		p := []geom.Vec{somewhere(rnd, 100), somewhere(rnd, 100), somewhere(rnd, 100), somewhere(rnd, 100)}
		l, err := tube.FromPoints(p, []units.Length{1e-6, 1e-6}, geom.Vec{Z: 1})
		if err != nil {
			continue
		}
		turn, _ := turnAt(p[0], p[1], p[2])
		first, _ := rotationAbout(p[0].Add(geom.Vec{Z: 1}), p[0], p[1], p[2])
		second, _ := rotationAbout(p[0], p[1], p[2], p[3])
		for k, d := range []float64{turn - float64(l.Rows[0].Turn), first - float64(l.Rows[0].Rotation), second - float64(l.Rows[1].Rotation)} {
			if math.Abs(math.Remainder(d, 2*math.Pi)) > 1e-9 {
				t.Fatalf("seed %d case %d: figure %d is off by %v rad", seed, i, k, d)
			}
		}
	}
}
