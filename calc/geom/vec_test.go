package geom_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
)

func TestVecAsJSON(t *testing.T) {
	v := geom.Vec{X: 310, Y: -240.5, Z: 1e-3}
	text, err := json.Marshal(v)
	if err != nil || string(text) != "[310,-240.5,0.001]" {
		t.Errorf("got %s, %v", text, err)
	}
	var back geom.Vec
	if err := json.Unmarshal(text, &back); err != nil || back != v {
		t.Errorf("came back as %v, %v", back, err)
	}
	for _, bad := range []string{`[1,2]`, `[1,2,3,4]`, `[]`, `null`, `{"x":1}`, `["1",2,3]`, `7`} {
		v := geom.Vec{X: 9}
		if err := json.Unmarshal([]byte(bad), &v); err == nil && bad != "null" || v.X != 9 {
			t.Errorf("%s: read as %v, %v, want an error and nothing changed", bad, v, err)
		}
	}
	if _, err := json.Marshal(geom.Vec{X: math.NaN()}); err == nil {
		t.Error("NaN was written")
	}
}

func TestUnit(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, v := range []geom.Vec{{}, {X: nan}, {Y: inf}, {X: inf, Y: nan}, {X: 1e-300}, {X: 1.7e308, Y: 1.7e308}} {
		if u, ok := v.Unit(); ok || u != (geom.Vec{}) {
			t.Errorf("%v: got %v, want no direction", v, u)
		}
	}
	for _, v := range []geom.Vec{{X: 3, Y: 4}, {Z: -1e-280}, {X: 1e300, Y: -1e300}, {X: 1, Y: 1, Z: 1}} {
		if u, ok := v.Unit(); !ok || math.Abs(u.Norm()-1) > 3e-16 || v.Dot(u) < 0 {
			t.Errorf("%v: got %v, %v", v, u, ok)
		}
	}
}

// Near 0 and π acos of the product has an error of 1e-8; this must not.
func TestAngleKeepsItsDigits(t *testing.T) {
	for _, want := range []float64{0, 1e-12, 1e-6, 0.1, math.Pi / 2, 3, math.Pi - 1e-6, math.Pi - 1e-12, math.Pi} {
		w := geom.Vec{X: 7 * math.Cos(want), Y: 7 * math.Sin(want)}
		if got := (geom.Vec{X: 2}).Angle(w); math.Abs(got-want) > 5e-16 {
			t.Errorf("got %v, want %v", got, want)
		}
	}
	if got := (geom.Vec{}).Angle(geom.Vec{X: 1}); got != 0 {
		t.Errorf("of nothing: %v, want 0", got)
	}
}

func TestNewFrame(t *testing.T) {
	nan := math.NaN()
	for name, f := range map[string][3]geom.Vec{
		"no travel":         {{}, {}, {Y: 1}},
		"no reference":      {{}, {Z: 1}, {}},
		"parallel":          {{}, {Z: 2}, {Z: 5}},
		"opposite":          {{}, {Z: 2}, {Z: -5}},
		"almost parallel":   {{}, {Z: 1}, {Y: 1e-7, Z: 1}},
		"origin not finite": {{X: nan}, {Z: 1}, {Y: 1}},
		"travel not finite": {{}, {X: math.Inf(-1)}, {Y: 1}},
		"reference NaN":     {{}, {Z: 1}, {Y: nan}},
	} {
		if got, err := geom.NewFrame(f[0], f[1], f[2]); err == nil || got != (geom.Frame{}) {
			t.Errorf("%s: got %v, %v, want an error", name, got, err)
		}
	}
	f, err := geom.NewFrame(geom.Vec{X: 1, Y: 2, Z: 3}, geom.Vec{Z: 4}, geom.Vec{Y: 3, Z: 100})
	if err != nil || f != (geom.Frame{O: geom.Vec{X: 1, Y: 2, Z: 3}, T: geom.Vec{Z: 1}, N: geom.Vec{Y: 1}}) {
		t.Errorf("got %v, %v", f, err)
	}
}

// Right-hand about travel: heading along x, a quarter turn takes y to z.
func TestTurnIsRightHanded(t *testing.T) {
	f := geom.Frame{T: geom.Vec{X: 1}, N: geom.Vec{Y: 1}}
	if got := f.Turn(math.Pi / 2).N; got.Sub(geom.Vec{Z: 1}).Norm() > 1e-16 {
		t.Errorf("got %v, want +z", got)
	}
}

func TestArcGoesRoundItsCentre(t *testing.T) {
	f := geom.Frame{O: geom.Vec{X: 5}, T: geom.Vec{X: 1}, N: geom.Vec{Y: 1}}
	for _, a := range []float64{1e-9, 0.01, 1, math.Pi / 2, 3, math.Pi} {
		g := f.Arc(a, 80)
		if d := math.Abs(g.O.Sub(f.Centre(80)).Norm() - 80); d > 1e-13 {
			t.Errorf("%v rad: %v mm off the circle", a, d)
		}
		if d := g.Centre(80).Sub(f.Centre(80)).Norm(); d > 2e-14*80 {
			t.Errorf("%v rad: centre moved by %v", a, d)
		}
		if got := f.T.Angle(g.T); math.Abs(got-a) > 1e-15 {
			t.Errorf("%v rad: heads %v away", a, got)
		}
		// Rise R(1 − cos a), of which cos alone keeps nothing at 1e-9: aa/2·R = 4e-17.
		if rise, want := g.O.Y, 80*2*math.Sin(a/2)*math.Sin(a/2); math.Abs(rise-want) > 1e-15*want {
			t.Errorf("%v rad: rises %v, want %v", a, rise, want)
		}
	}
}

// A hundred thousand small steps leave the frame unit and square, and come back
// to where a whole number of full circles ends.
func TestFrameStaysTrue(t *testing.T) {
	f := geom.Frame{T: geom.Vec{X: 1}, N: geom.Vec{Y: 1}}
	g := f
	for range 100_000 {
		g = g.Arc(2*math.Pi/1000, 50)
	}
	if d := max(math.Abs(g.T.Norm()-1), math.Abs(g.N.Norm()-1), math.Abs(g.T.Dot(g.N))); d > 4e-16 {
		t.Errorf("after 100,000 steps the frame is off by %v", d)
	}
	if d := g.O.Norm(); d > 1e-8 {
		t.Errorf("a hundred circles end %v mm from the start", d)
	}
}

// A rigid move keeps lengths, angles and handedness, for points, directions and
// frames alike.
func TestMoveIsRigid(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	some := func() geom.Vec {
		return geom.Vec{X: 200*rnd.Float64() - 100, Y: 200*rnd.Float64() - 100, Z: 200*rnd.Float64() - 100}
	}
	for i := range 500 {
		m, err := geom.NewMove(some(), 7*rnd.Float64()-3, some())
		if err != nil {
			t.Fatal(err)
		}
		a, b, c := some(), some(), some()
		before := a.Sub(c).Cross(b.Sub(c)).Dot(c)
		after := m.Dir(a.Sub(c)).Cross(m.Dir(b.Sub(c))).Dot(m.Dir(c))
		length := math.Abs(m.Point(a).Sub(m.Point(b)).Norm() - a.Sub(b).Norm())
		if length > 1e-12 || math.Abs(before-after) > 1e-8 {
			t.Fatalf("seed %d case %d: length changed by %v, volume from %v to %v", seed, i, length, before, after)
		}
		f, err := geom.NewFrame(a, b, c)
		if err != nil {
			t.Fatal(err)
		}
		then, first := m.Frame(f.Turn(1).Arc(2, 60).Straight(30)), m.Frame(f).Turn(1).Arc(2, 60).Straight(30)
		if d := max(then.O.Sub(first.O).Norm(), then.T.Sub(first.T).Norm(), then.N.Sub(first.N).Norm()); d > 1e-12 {
			t.Fatalf("seed %d case %d: moving then walking differs from walking then moving by %v", seed, i, d)
		}
	}
	if _, err := geom.NewMove(geom.Vec{}, 1, geom.Vec{}); err == nil {
		t.Error("a rotation about nothing was accepted")
	}
	if _, err := geom.NewMove(geom.Vec{X: 1}, math.NaN(), geom.Vec{}); err == nil {
		t.Error("a rotation by NaN was accepted")
	}
	if m, err := geom.NewMove(geom.Vec{}, 0, geom.Vec{Z: 3}); err != nil || m.Point(geom.Vec{X: 1}) != (geom.Vec{X: 1, Z: 3}) {
		t.Errorf("a plain shift: %v", err)
	}
	// Right-hand: a quarter turn about z takes x to y.
	m, err := geom.NewMove(geom.Vec{Z: 9}, math.Pi/2, geom.Vec{})
	if err != nil || m.Point(geom.Vec{X: 2}).Sub(geom.Vec{Y: 2}).Norm() > 1e-15 {
		t.Errorf("quarter turn about z: %v, %v", m.Point(geom.Vec{X: 2}), err)
	}
}
