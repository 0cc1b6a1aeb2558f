package clear_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// moving is a motion with its poses worked out apart.
type moving struct {
	clear.Motion
	low, high float64
	pose      func(t float64) geom.Move
}

func turning(at, axis geom.Vec, low, high float64) moving {
	return moving{must(clear.Turning(at, axis, units.Angle(low), units.Angle(high))), low, high, func(t float64) geom.Move {
		away := must(geom.NewMove(geom.Vec{}, 0, at.Scale(-1)))
		return away.Then(must(geom.NewMove(axis, t, at)))
	}}
}

func sliding(along geom.Vec, low, high float64) moving {
	u, _ := along.Unit()
	return moving{must(clear.Sliding(along, units.Length(low), units.Length(high))), low, high, func(t float64) geom.Move {
		return must(geom.NewMove(geom.Vec{}, 0, u.Scale(t)))
	}}
}

func standing(poses ...geom.Move) moving {
	return moving{must(clear.Standing(poses...)), 0, float64(len(poses) - 1), func(t float64) geom.Move { return poses[int(math.Round(t))] }}
}

func randomMotion(rnd *rand.Rand) moving {
	switch rnd.IntN(4) {
	case 0:
		return moving{Motion: clear.Motion{}, pose: func(float64) geom.Move { return geom.Still }}
	case 1:
		low := -math.Pi * rnd.Float64() * rnd.Float64()
		return turning(randomAt(rnd, 300), randomDir(rnd), low, low+math.Pi*rnd.Float64()*rnd.Float64())
	case 2:
		low := -100 * rnd.Float64()
		return sliding(randomDir(rnd), low, low+150*rnd.Float64())
	}
	poses := make([]geom.Move, 1+rnd.IntN(4))
	for i := range poses {
		poses[i] = must(geom.NewMove(randomDir(rnd), rnd.Float64(), randomAt(rnd, 50)))
	}
	return standing(poses...)
}

// The worst position is at least as bad as any that is tried, and it is as bad as
// it says: put there and left there, the same two parts have the same gap.
func TestWorstPositionIsTheWorst(t *testing.T) {
	const seed, cases = 14, 300
	rnd := rand.New(rand.NewPCG(seed, 0))
	evals := 0
	for i := range cases {
		f, e := randomTube(rnd, 300)
		p := must(clear.NewPath(f, e, 40))
		s := randomShape(rnd)
		own, roll := randomMotion(rnd), randomMotion(rnd)
		eps := []units.Length{0.5, 0.01}[i%2]
		at := func(a, b float64) clear.Result {
			return clear.To(p, clear.Body{Sets: s.sets, Moves: standing(own.pose(a)).Motion}, clear.Options{Eps: 1e-6, Roll: standing(roll.pose(b)).Motion})
		}
		worst := clear.To(p, clear.Body{Sets: s.sets, Moves: own.Motion}, clear.Options{Eps: eps, Roll: roll.Motion})
		evals += worst.Evaluations
		if worst.Beyond || worst.Eps > eps*(1+1e-9) {
			t.Fatalf("seed %d case %d: %+v", seed, i, worst)
		}
		if worst.Move < own.low || worst.Move > own.high || worst.Roll < roll.low || worst.Roll > roll.high {
			t.Fatalf("seed %d case %d: worst at %v, %v, outside the range", seed, i, worst.Move, worst.Roll)
		}
		there := at(worst.Move, worst.Roll)
		if d := (worst.Gap - there.Gap).MM(); d < -1e-5 || d > eps.MM() {
			t.Fatalf("seed %d case %d: %s has %v at the worst position, want %v", seed, i, s.name, there.Gap, worst.Gap)
		}
		if q, _ := p.At(worst.A.S); roll.pose(worst.Roll).Point(q).Sub(worst.A.Axis).Norm() > 1e-8 {
			t.Fatalf("seed %d case %d: %v along the tube is not at %v", seed, i, worst.A.S, worst.A.Axis)
		}
		back := own.pose(worst.Move).Inverse()
		if got := s.gap(back.Point(worst.A.Axis)) - 20; got > worst.Gap.MM()+1e-8 {
			t.Fatalf("seed %d case %d: %s: %v from the place named, want %v", seed, i, s.name, got, worst.Gap)
		}
		for k := range 40 {
			a, b := own.low+(own.high-own.low)*rnd.Float64(), roll.low+(roll.high-roll.low)*rnd.Float64()
			if k == 0 {
				a, b = own.low, roll.low
			} else if k == 1 {
				a, b = own.high, roll.high
			}
			if got := at(a, b); got.Gap < worst.Gap-eps-1e-6 {
				t.Fatalf("seed %d case %d: %s: %v at %v, %v, worst is said to be %v", seed, i, s.name, got.Gap, a, b, worst.Gap)
			}
		}
		cut := worst.Gap - 2*eps
		if c := clear.To(p, clear.Body{Sets: s.sets, Moves: own.Motion}, clear.Options{Eps: eps, Roll: roll.Motion, Cutoff: cut}); !c.Beyond || c.Gap < cut-1e-9 || c.Gap > worst.Gap {
			t.Fatalf("seed %d case %d: with cut-off %v %+v, want beyond", seed, i, cut, c)
		}
	}
	t.Logf("%d evaluations a case", evals/cases)
}

// Closed forms: a straight tube along z at x = 100, turned about z or y; a rod that
// slides past it.
func TestMovingClosedForms(t *testing.T) {
	f := geom.Frame{O: geom.Vec{X: 100, Z: -300}, T: geom.Vec{Z: 1}, N: geom.Vec{X: 1}}
	p := must(clear.NewPath(f, elements([4]float64{600}), 40))
	ball := clear.Body{Sets: []clear.Set{must(clear.Ball(geom.Vec{X: 200}, 10))}}
	sin, cos := math.Sincos(0.05)
	tests := []struct {
		name string
		body clear.Body
		roll clear.Motion
		want float64
		at   [2]float64 // of body and roll
	}{
		// The axis at radius 100 turns round to the angle of the ball.
		{"about z, past it", ball, turning(geom.Vec{}, geom.Vec{Z: 1}, -0.1, 0.2).Motion, 100 - 30, [2]float64{0, 0}},
		{"about z, short of it", ball, turning(geom.Vec{}, geom.Vec{Z: 1}, 0.05, 0.2).Motion, math.Hypot(200-100*cos, 100*sin) - 30, [2]float64{0, 0.05}},
		// About y the straight turns to x·cos − … : the line x cos − z sin = 100 is
		// |200·cos(t) − 100| from the ball: least at the greatest turn.
		{"about y", ball, turning(geom.Vec{}, geom.Vec{Y: 1}, -0.05, 0.02).Motion, 200*cos - 100 - 30, [2]float64{0, -0.05}},
		{"slides nearer", clear.Body{Sets: ball.Sets, Moves: sliding(geom.Vec{X: 1}, -25, 40).Motion}, clear.Motion{}, 75 - 30, [2]float64{-25, 0}},
		{"slides through", clear.Body{Sets: ball.Sets, Moves: sliding(geom.Vec{X: 2}, -150, 40).Motion}, clear.Motion{}, -30, [2]float64{-100, 0}},
		{"both", clear.Body{Sets: ball.Sets, Moves: sliding(geom.Vec{X: 1}, -25, 40).Motion}, turning(geom.Vec{Y: 50}, geom.Vec{Z: 1}, -math.Pi/2, 0).Motion, 0, [2]float64{0, 0}},
	}
	for _, tt := range tests {
		r := clear.To(p, tt.body, clear.Options{Roll: tt.roll, Eps: 1e-6})
		if tt.name == "both" {
			// The axis is on a circle of radius √(100² + 50²) about (0, 50); the ball
			// slides along y = 0 from x = 175 to 240 and is nearest at 175, on the
			// line from the centre.
			tt.want = math.Hypot(175, 50) - math.Hypot(100, 50) - 30
			tt.at = [2]float64{-25, math.Atan2(-50, 175) - math.Atan2(-50, 100)}
			if tt.at[1] > 0 { // it would have to turn the other way: it stays
				tt.want, tt.at[1] = 75-30, 0
			}
		}
		if math.Abs(r.Gap.MM()-tt.want) > 2e-6 || math.Abs(r.Move-tt.at[0]) > 0.02 || math.Abs(r.Roll-tt.at[1]) > 1e-3 {
			t.Errorf("%s: got %v at %v, %v, want %v at %v (closed form)", tt.name, r.Gap, r.Move, r.Roll, tt.want, tt.at)
		}
	}
}
