package tube_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Closed forms: an L of 100 mm, a quarter bend of CLR 50 mm and 200 mm. Clocked at
// the bend, the end goes round a circle of CLR + last straight about the first one.
func TestLeversOfAnL(t *testing.T) {
	elems := []tube.Element{{ID: "s1", Straight: 100}, {ID: "b1", Bend: &tube.Bend{Turn: 90 * deg, Radius: 50}}, {ID: "s2", Straight: 200}}
	levers, err := tube.Levers(alongX, elems)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"clocked at the port", levers[0].Clock.Arm(), 250},
		{"clocked at the bend", levers[1].Clock.Arm(), 250},
		{"clocked behind the bend, on the last straight's own axis", levers[2].Clock.Arm(), 0},
		{"bent further: from the centre (100, 50) to the end (150, 250)", levers[1].Turn.Arm(), math.Hypot(50, 200)},
		{"a larger CLR moves it out and up", levers[1].Length.Norm(), math.Sqrt2},
		{"a longer straight", levers[0].Length.Norm(), 1},
		{"1 mm of mark on 40 mm OD", levers[1].Clock.Arm() / 20, 12.5},
		{"aim when clocked at the bend", levers[1].Clock.Aim(geom.Vec{Y: 1}), 1},
		{"aim when clocked behind it", levers[2].Clock.Aim(geom.Vec{Y: 1}), 0},
	} {
		if math.Abs(tt.got-tt.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", tt.name, tt.got, tt.want)
		}
	}
}

// Each lever is the central difference of the end that Walk finds.
func TestLeversAreTheDerivativesOfTheEnd(t *testing.T) {
	const seed, step = 11, 1e-5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 300 {
		var elems []tube.Element
		for range 1 + rnd.IntN(5) {
			elems = append(elems, tube.Element{Straight: units.Length(1 + 200*rnd.Float64())},
				tube.Element{Bend: &tube.Bend{Turn: units.Angle(0.1 + 2.9*rnd.Float64()), Radius: units.Length(40 + 100*rnd.Float64()), Rotation: units.Angle(6 * (rnd.Float64() - 0.5))}})
		}
		levers, err := tube.Levers(alongX, elems)
		if err != nil {
			t.Fatal(err)
		}
		for i, e := range elems {
			check := func(what string, got geom.Vec, change func(*tube.Element, float64)) {
				t.Helper()
				ends := [2]geom.Vec{}
				for k, d := range []float64{-step, step} {
					off := append([]tube.Element(nil), elems...)
					if e.Bend != nil {
						b := *e.Bend
						off[i].Bend = &b
					}
					change(&off[i], d)
					w, err := tube.Walk(alongX, off)
					if err != nil {
						t.Fatal(err)
					}
					ends[k] = w.End.O
				}
				want := ends[1].Sub(ends[0]).Scale(1 / (2 * step))
				if got.Sub(want).Norm() > 1e-5*(1+want.Norm()) { // truncation step², rounding 1e-13/step
					t.Fatalf("seed %d path %d element %d, %s: %v, want %v", seed, n, i, what, got, want)
				}
			}
			if e.Bend == nil {
				check("straight", levers[i].Length, func(e *tube.Element, d float64) { e.Straight += units.Length(d) })
				continue
			}
			check("CLR", levers[i].Length, func(e *tube.Element, d float64) { e.Bend.Radius += units.Length(d) })
			check("rotation", levers[i].Clock.Move, func(e *tube.Element, d float64) { e.Bend.Rotation += units.Angle(d) })
			check("turn", levers[i].Turn.Move, func(e *tube.Element, d float64) { e.Bend.Turn += units.Angle(d) })
		}
	}
}

func TestLeversRefuseWhatCannotBeWalked(t *testing.T) {
	if l, err := tube.Levers(alongX, []tube.Element{{ID: "s1", Straight: -1}}); err == nil || l != nil {
		t.Errorf("%v, %v", l, err)
	}
}

func BenchmarkLevers(b *testing.B) {
	elems := fiveBends().Elements()
	for b.Loop() {
		if _, err := tube.Levers(alongX, elems); err != nil {
			b.Fatal(err)
		}
	}
}
