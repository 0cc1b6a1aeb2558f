package flange_test

import (
	"math/rand/v2"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

func BenchmarkFits16(b *testing.B)   { benchFits(b, 16) }
func BenchmarkFits1000(b *testing.B) { benchFits(b, 1000) }

func benchFits(b *testing.B, n int) {
	rnd := rand.New(rand.NewPCG(1, 0))
	pts := drawn(rnd, made(b)(geom.Rectangle(44, 33, 6)).Evenly(finely), n, 0.02)
	for b.Loop() {
		flange.Fits(pts)
	}
}

func BenchmarkOffsetOfPoints16(b *testing.B)   { benchOffset(b, 16) }
func BenchmarkOffsetOfPoints1000(b *testing.B) { benchOffset(b, 1000) }

func benchOffset(b *testing.B, n int) {
	rnd := rand.New(rand.NewPCG(1, 0))
	o := made(b)(geom.Points(drawn(rnd, made(b)(geom.Rectangle(44, 33, 6)).Evenly(finely), n, 0.02)))
	for b.Loop() {
		if _, err := flange.Offset(o, 1.65); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkShadow(b *testing.B) {
	rnd := rand.New(rand.NewPCG(1, 0))
	port := made(b)(geom.Points(drawn(rnd, made(b)(geom.Rectangle(44, 33, 6)).Evenly(finely), 16, 0.02)))
	opening := made(b)(flange.Offset(port, 0.7))
	for b.Loop() {
		if _, err := flange.Shadow(opening, port); err != nil {
			b.Fatal(err)
		}
	}
}
