package survey_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
)

// Floors of an earlier trial on a shared amd64 server: 0.43 ms a tube, 29 µs a
// registration; asked for are 2 ms a tube.

func BenchmarkFit(b *testing.B) {
	rnd := rand.New(rand.NewPCG(41, 0))
	m := newTube(b, rnd, 3, 3, 0.5).noisy(rnd)
	for b.Loop() {
		if _, err := m.Fit(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitSixBends(b *testing.B) {
	rnd := rand.New(rand.NewPCG(42, 0))
	m := newTube(b, rnd, 6, 4, 0.5).noisy(rnd)
	for b.Loop() {
		if _, err := m.Fit(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRegister(b *testing.B) {
	rnd := rand.New(rand.NewPCG(43, 0))
	var pairs []survey.Pair
	for _, p := range flange(12) {
		pairs = append(pairs, survey.Pair{From: p, To: shaken(rnd, p, 0.5)})
	}
	for b.Loop() {
		if _, err := survey.Register(pairs, 0.5); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLocate(b *testing.B) {
	rnd := rand.New(rand.NewPCG(44, 0))
	tapes := stretched(append(onFlange[:3:3], geom.Vec{X: 100, Y: 100, Z: 300}), collector, 1, rnd.NormFloat64)
	for b.Loop() {
		if _, err := survey.Locate(tapes, geom.Vec{}); err != nil {
			b.Fatal(err)
		}
	}
}
