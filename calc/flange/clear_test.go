package flange_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// Two rounds of 50 and 40 mm, 3 mm off each other: 5 − 3 and 5 + 3 mm (closed form).
func TestClearOfTwoRounds(t *testing.T) {
	least, most, ok := flange.Clear(must(geom.Round(50)).Moved(3, 0), must(geom.Round(40)))
	if !ok || math.Abs(least-2) > 0.02 || math.Abs(most-8) > 0.02 {
		t.Errorf("%v to %v, %v", least, most, ok)
	}
	for _, dx := range []float64{5, 6, 45, 60} {
		if _, _, ok := flange.Clear(must(geom.Round(50)).Moved(dx, 0), must(geom.Round(40))); ok {
			t.Errorf("%v mm off it is not clear", dx)
		}
	}
	if _, _, ok := flange.Clear(must(geom.Round(40)), must(geom.Round(50))); ok {
		t.Error("an opening inside the port is not clear")
	}
}

// Where it is clear, Shadow says the same; where it is not, Shadow says so too.
func TestClearAgreesWithShadow(t *testing.T) {
	const seed, cases = 11, 150
	rnd := rand.New(rand.NewPCG(seed, 0))
	clear := 0
	for i := range cases {
		shape := func(grow float64) geom.Outline {
			switch rnd.IntN(4) {
			case 0:
				return must(geom.Stadium(40+grow, 33+grow))
			case 1:
				return must(geom.Rectangle(41+grow, 35+grow, 9))
			case 2:
				return must(geom.Oval(44+grow, 36+grow))
			}
			return must(geom.D(20+grow/2, 14+grow/2, 5))
		}
		port := shape(0)
		opening := shape(14*rnd.Float64()).Turned(0.2*(rnd.Float64()-0.5)).Moved(3*(rnd.Float64()-0.5), 3*(rnd.Float64()-0.5))
		least, most, ok := flange.Clear(opening, port)
		s, err := flange.Shadow(opening, port)
		if err != nil {
			t.Fatal(err)
		}
		if !ok {
			if s.Clear > 0.04 {
				t.Errorf("seed %d case %d: Shadow has it clear by %v", seed, i, s.Clear)
			}
			continue
		}
		clear++
		if math.Abs(least-s.Clear) > 0.04 || math.Abs(most-s.Beyond) > 0.04 {
			t.Errorf("seed %d case %d: %v to %v, Shadow has %v to %v", seed, i, least, most, s.Clear, s.Beyond)
		}
	}
	if clear < cases/5 || clear > cases*4/5 {
		t.Errorf("seed %d: %d of %d are clear, so little is tried", seed, clear, cases)
	}
}

// A round of 44 mm, 1 mm off, reaches 22 + 1 − 21 mm beyond an opening of 42 (closed
// form), and of what goes through nothing is lacking.
func TestLacksOfTwoRounds(t *testing.T) {
	by, at := flange.Lacks(must(geom.Round(42)), must(geom.Round(44)).Moved(1, 0))
	if math.Abs(by-2) > 0.02 || math.Hypot(at[0]-23, at[1]) > 1 {
		t.Errorf("%v at %v", by, at)
	}
	if by, _ := flange.Lacks(must(geom.Round(46.1)), must(geom.Round(44)).Moved(1, 0)); by != 0 {
		t.Errorf("it goes through, and %v is lacking", by)
	}
	if by, _ := flange.Lacks(must(geom.Round(40)).Moved(50, 0), must(geom.Round(40))); math.Abs(by-50) > 0.02 {
		t.Errorf("%v beside it, want 50", by)
	}
}
