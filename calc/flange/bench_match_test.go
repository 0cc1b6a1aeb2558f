package flange

import (
	"math/rand/v2"
	"testing"
)

// Asked for are a few ms for a head of 16 bolts and 8 ports, also as wasm.

func BenchmarkSelfMatch(b *testing.B) {
	f := even(b, 4, 8, 50, 30).shaken(rand.New(rand.NewPCG(1, 0)), 0.1)
	for b.Loop() {
		if m, err := SelfMatch(f); err != nil || len(m) != 3 {
			b.Fatal(len(m), err)
		}
	}
}

func BenchmarkCompare(b *testing.B) {
	rnd := rand.New(rand.NewPCG(2, 0))
	own := uneven(b, rnd, 16, 8)
	other, _ := own.placed(anyPlacement(rnd)).renamed(rnd)
	own = own.shaken(rnd, 0.1)
	for b.Loop() {
		if c, err := Compare(own, other); err != nil || len(c) == 0 {
			b.Fatal(len(c), err)
		}
	}
}

func BenchmarkRingOf40(b *testing.B) {
	f := ring(40)
	for b.Loop() {
		if m, err := SelfMatch(f); err != nil || len(m) != 79 {
			b.Fatal(len(m), err)
		}
	}
}
