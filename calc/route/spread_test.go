package route_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// gauss is a normal number by the polar method.
func gauss(rnd *rand.Rand) float64 {
	for {
		x, y := between(rnd, -1, 1), between(rnd, -1, 1)
		if s := x*x + y*y; s > 0 && s < 1 {
			return x * math.Sqrt(-2*math.Log(s)/s)
		}
	}
}

// disturbed makes an answer with errors, as a shop would: what is cut or recut and
// what is turned by the sigmas of the work, the rest by those of measuring.
func disturbed(rnd *rand.Rand, c route.Chain, a route.Answer, s route.Sigmas, inFixture []int) (geom.Frame, []tube.Element) {
	list := make([]tube.Element, len(a.Elems))
	for i, e := range a.Elems {
		p := a.Pieces[i]
		todo, joint, free := p < 0, p, true
		if p < 0 {
			joint = len(c.Pieces)
			if i+1 < len(a.Pieces) {
				joint = a.Pieces[i+1]
			}
		} else {
			todo = c.Pieces[p].State == route.Uncut
			for _, ch := range a.Changes {
				todo = todo || ch.Piece == p && ch.Kind != route.Turn
			}
			// The last joint before the bend that is not tacked, past straights.
			free = false
			for j := p; j >= 0 && (j == p || c.Pieces[j].Element.Bend == nil); j-- {
				if c.Pieces[j].State != route.Fixed {
					joint, free = j, true
					break
				}
			}
		}
		turn, length, clock := s.TurnMeasured, s.LengthMeasured, s.ClockMeasured
		if todo {
			turn, length = s.Turn, s.Length
		}
		if free {
			clock = s.Clock
			if slices.Contains(inFixture, joint) {
				clock = s.Fixture
			}
		}
		if e.Bend == nil {
			e.Straight += length * units.Length(gauss(rnd))
		} else {
			b := *e.Bend
			b.Turn += turn * units.Angle(gauss(rnd))
			b.Rotation += clock * units.Angle(gauss(rnd))
			e.Bend = &b
		}
		list[i] = e
	}
	f := c.Start
	tilted := func(axis geom.Vec, by units.Angle) {
		if by == 0 {
			return
		}
		m, err := geom.NewMove(axis, float64(by)*gauss(rnd), geom.Vec{})
		if err != nil {
			panic(err)
		}
		f.T, f.N = m.Dir(f.T), m.Dir(f.N)
	}
	tilted(c.Start.N, s.StartAim)
	tilted(c.Start.T.Cross(c.Start.N), s.StartAim)
	tilted(c.Start.T, s.StartClock)
	f.O = f.O.Add(vec(gauss(rnd), gauss(rnd), gauss(rnd)).Scale(s.Start.MM()))
	return f, list
}

// The spread beside an answer is what comes out when the errors are drawn: held
// against 1,500 draws for each of 40 answers, walked by separate code. And as likely
// as it says does the end come within tolerance.
func TestSpreadIsHonest(t *testing.T) {
	const seed, cases, draws = 7, 40, 1500
	rnd := rand.New(rand.NewPCG(seed, 0))
	var miss, aim, long float64 // squares over those foretold
	count, worst := 0, 0.0
	for i := range cases {
		c := chain(rnd, 3+i%5)
		target := ends(c, i%2 == 0)
		target.Deeper = mm(float64(i % 3))
		if i%4 == 1 {
			target.Within, target.AimWithin = 5, 2*deg // so that there is something between never and always
		}
		c = spoil(rnd, c, false)
		s := route.UsualSigmas(c.OD)
		if i%2 == 1 {
			s = s.UsualEnd()
		}
		got := ask(t, route.Request{Chain: c, Target: target, Sigmas: &s})
		for _, a := range got.Answers[:min(1, len(got.Answers))] {
			count++
			var m, g, l float64
			in, fixed := 0, 0
			var joints []int
			for _, f := range a.Spread.Fixture {
				joints = append(joints, f.Joint)
			}
			for range draws {
				f, list := disturbed(rnd, c, a, s, nil)
				end, length := follow(f, list)
				d := end.at().Sub(a.End.O)
				m += d.Dot(d)
				g += math.Pow(end.aim().Angle(a.End.T), 2)
				l += math.Pow(length+c.Before.MM()-a.Length.MM(), 2)
				if within(target, end, length) {
					in++
				}
				if len(joints) > 0 {
					f, list := disturbed(rnd, c, a, s, joints)
					if end, length := follow(f, list); within(target, end, length) {
						fixed++
					}
				}
			}
			miss += m / draws / math.Pow(a.Spread.Miss.MM(), 2)
			aim += g / draws / math.Pow(float64(a.Spread.Aim), 2)
			if a.Spread.Length > 0 {
				long += l / draws / math.Pow(a.Spread.Length.MM(), 2)
			}
			off := math.Abs(float64(in)/draws - a.Spread.Likely)
			if n := len(a.Spread.Fixture); n > 0 {
				off = max(off, math.Abs(float64(fixed)/draws-a.Spread.Fixture[n-1].Likely))
			}
			worst = max(worst, off)
			if off > 0.06 { // four sigmas of the draws, and some for what is not linear
				t.Errorf("seed %d case %d: %d of %d come within, in the fixture %d; foretold %v, %+v", seed, i, in, draws, fixed, a.Spread.Likely, a.Spread.Fixture)
			}
			check := func(what string, sum, want float64) {
				if z := math.Sqrt(sum/draws) / want; !(z > 0.9 && z < 1.1) {
					t.Errorf("seed %d case %d: %s comes out %v times what is foretold", seed, i, what, z)
				}
			}
			check("miss", m, a.Spread.Miss.MM())
			check("aim", g, float64(a.Spread.Aim))
			check("length", l, a.Spread.Length.MM())
		}
	}
	n := float64(count)
	t.Logf("%d answers: z-rms of miss %.3f, aim %.3f, length %.3f; likelihood off by at most %.3f",
		count, math.Sqrt(miss/n), math.Sqrt(aim/n), math.Sqrt(long/n), worst)
}

func within(t route.Target, end place, length float64) bool {
	d := end.at().Sub(t.At)
	along := d.Dot(t.Aim)
	aside := d.Sub(t.Aim.Scale(along)).Norm()
	miss := math.Hypot(aside, max(0, along-t.Deeper.MM(), -along-t.Shorter.MM()))
	mostMiss, mostAim := t.Within, t.AimWithin
	if mostMiss == 0 {
		mostMiss, mostAim = 1.5, 0.5*deg
	}
	return miss <= mostMiss.MM() && end.aim().Angle(t.Aim) <= float64(mostAim) &&
		(t.LengthWithin == 0 || math.Abs(length-t.Length.MM()) <= t.LengthWithin.MM())
}

// One joint alone, closed form: a clock that is off by σ moves an end at the arm a by
// a·σ and turns an aim square to the axis by σ.
func TestSpreadOfOneJoint(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Cut, bend(90, 76.2, 0)), piece(route.Cut, straight(100))}}
	target := ends(c, false)
	s := route.Sigmas{Clock: 1 * deg, Fixture: 0.3 * deg}
	got := ask(t, route.Request{Chain: c, Target: target, Sigmas: &s}).AsIs.Spread
	sigma, arm := math.Pi/180, 176.2
	if math.Abs(got.Miss.MM()-arm*sigma) > 1e-9 || math.Abs(float64(got.Aim)-sigma) > 1e-12 || got.Length != 0 {
		t.Errorf("got %+v", got)
	}
	// Of miss 1.5 mm and aim 0.5°, the miss is the narrower: 1.5/176.2 rad = 0.488°.
	want := math.Erf(1.5 / (arm * sigma) / math.Sqrt2)
	if math.Abs(got.Likely-want) > 0.01 {
		t.Errorf("likely %v, want %v", got.Likely, want)
	}
	if len(got.Sources) != 1 || got.Sources[0].Kind != route.Turn || got.Sources[0].Joint != 0 || !got.Sources[0].Todo {
		t.Errorf("sources %+v", got.Sources)
	}
	wantFixed := math.Erf(1.5 / (arm * 0.3 * sigma) / math.Sqrt2)
	if len(got.Fixture) != 1 || got.Fixture[0].Joint != 0 || math.Abs(got.Fixture[0].Likely-wantFixed) > 0.01 {
		t.Errorf("fixture %+v, want %v", got.Fixture, wantFixed)
	}
	// What is exact is certain.
	exact := ask(t, route.Request{Chain: c, Target: target, Sigmas: &route.Sigmas{}}).AsIs.Spread
	if exact.Likely != 1 || exact.Miss != 0 || len(exact.Sources) != 0 || len(exact.Fixture) != 0 {
		t.Errorf("without errors: %+v", exact)
	}
	target.At = target.At.Add(vec(0, 0, 2))
	if off := ask(t, route.Request{Chain: c, Target: target, Sigmas: &route.Sigmas{}}).AsIs.Spread; off.Likely != 0 {
		t.Errorf("2 mm off without errors: %+v", off)
	}
}

// A start alone, closed form: about the tube it turns nothing of a straight; across it
// swings the end by L·σ either way; its place goes to the end as it is.
func TestSpreadOfTheStart(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{piece(route.Fixed, straight(300))}}
	target := ends(c, false)
	for _, tt := range []struct {
		s         route.Sigmas
		miss, aim float64
	}{
		{route.Sigmas{StartClock: 1 * deg}, 0, 0},
		{route.Sigmas{StartAim: 1 * deg}, 300 * math.Sqrt2 * math.Pi / 180, math.Sqrt2 * math.Pi / 180},
		{route.Sigmas{Start: 0.5}, 0.5 * math.Sqrt(3), 0},
		{route.Sigmas{LengthMeasured: 0.3}, 0.3, 0},
		{route.Sigmas{Length: 3, Turn: 1, Clock: 1}, 0, 0}, // nothing is left to be done
	} {
		got := ask(t, route.Request{Chain: c, Target: target, Sigmas: &tt.s}).AsIs.Spread
		if math.Abs(got.Miss.MM()-tt.miss) > 1e-9 || math.Abs(float64(got.Aim)-tt.aim) > 1e-12 {
			t.Errorf("%+v: got %+v, want %v mm, %v", tt.s, got, tt.miss, tt.aim)
		}
	}
}

// The joint that matters most has the longest arm: a dog-leg comes back to the axis
// of its first joint and leaves that of its second.
func TestFixtureTakesTheLongestLever(t *testing.T) {
	c := route.Chain{Start: port(t), OD: 44.45, Pieces: []route.Piece{
		piece(route.Cut, bend(45, 76.2, 0)), piece(route.Cut, straight(100)), piece(route.Cut, bend(90, 76.2, 180)), piece(route.Cut, straight(100)),
	}}
	target := ends(c, false)
	target.AimWithin = 5 * deg
	got := ask(t, route.Request{Chain: c, Target: target}).AsIs.Spread
	if len(got.Fixture) == 0 || got.Fixture[0].Joint != 2 || got.Sources[0].Joint != 2 || got.Sources[0].Kind != route.Turn {
		t.Fatalf("fixture %+v, sources %+v", got.Fixture, got.Sources)
	}
	// And the other way about: all swings on the first, and little on the last.
	c.Pieces = []route.Piece{
		piece(route.Cut, bend(90, 76.2, 0)), piece(route.Cut, straight(200)), piece(route.Cut, bend(60, 76.2, 0)), piece(route.Cut, straight(60))}
	target = ends(c, false)
	target.AimWithin = 5 * deg
	if f := ask(t, route.Request{Chain: c, Target: target}).AsIs.Spread.Fixture; len(f) == 0 || f[0].Joint != 0 {
		t.Fatalf("fixture %+v", f)
	}
	likely := got.Likely
	for _, f := range got.Fixture {
		if f.Likely < likely-0.01 {
			t.Errorf("joint %d in the fixture makes it less likely: %v, then %v", f.Joint, likely, f.Likely)
		}
		likely = f.Likely
	}
}
