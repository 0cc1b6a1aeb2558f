package survey_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Without noise the tube comes back, and walking it ends where it ended.
func TestFitFindsTheTube(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		d := newTube(t, rnd, 1+rnd.IntN(6), 2+rnd.IntN(3), 0.5)
		f, err := d.m.Fit()
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		if f.Chi2 > 1e-12 || f.Tests.Failed() || f.DOF != len(d.m.Straights)*2*len(d.m.Straights[0].Points)-3*len(d.m.Bends)-4 {
			t.Fatalf("seed %d case %d: chi² %v of %d, tests %+v", seed, i, f.Chi2, f.DOF, f.Tests)
		}
		for k, r := range f.LRA.Rows {
			want := d.lra.Rows[k]
			if d := max(math.Abs((r.Length - want.Length).MM()), 100*math.Abs(float64(r.Turn-want.Turn)), 100*math.Abs(turned(r.Rotation-want.Rotation))); d > 1e-6 {
				t.Fatalf("seed %d case %d: row %d is %+v, want %+v", seed, i, k+1, r, want)
			}
		}
		w, err := tube.Walk(f.Start, f.LRA.Elements())
		if err != nil {
			t.Fatal(err)
		}
		if off := w.End.O.Sub(d.end.O).Norm(); off > 1e-6 || math.Abs((w.Length-f.Length).MM()) > 1e-9 || math.Abs((f.Length-d.lra.Length()).MM()) > 1e-6 {
			t.Fatalf("seed %d case %d: ends %v mm off, length %v, want %v", seed, i, off, f.Length, d.lra.Length())
		}
	}
}

// With noise the fitted bender data still walk through the fitted corners.
func TestFittedRowsWalkToTheFittedEnd(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		d := newTube(t, rnd, 1+rnd.IntN(5), 3, 0.7)
		if i%2 == 0 {
			d.m.Up = geom.Vec{}
		}
		f, err := d.noisy(rnd).Fit()
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		w, err := tube.Walk(f.Start, f.LRA.Elements())
		if err != nil {
			t.Fatal(err)
		}
		if off := w.End.O.Sub(f.Corners[len(f.Corners)-1]).Norm(); off > 1e-7 {
			t.Fatalf("seed %d case %d: walked to %v, %v mm from the fitted end", seed, i, w.End.O, off)
		}
		again, err := tube.FromPoints(f.Corners, f.LRA.Radii(), d.m.Up)
		if err != nil || len(again.Rows) != len(f.LRA.Rows) || math.Abs((again.Length()-f.Length).MM()) > 1e-8 {
			t.Fatalf("seed %d case %d: read as points %v, %v", seed, i, again, err)
		}
	}
}

// Moving, turning and reversing the survey changes no length, no turn, no sigma.
func TestFitDoesNotRestOnTheFrame(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 100 {
		m := newTube(t, rnd, 3, 3, 0.5).noisy(rnd)
		m.Start, m.End = nil, nil
		f, err := m.Fit()
		if err != nil {
			t.Fatal(err)
		}
		move, err := geom.NewMove(anyDir(rnd), between(rnd, -3, 3), anyDir(rnd).Scale(500))
		if err != nil {
			t.Fatal(err)
		}
		o := m
		o.Straights = nil
		o.Up = geom.Vec{}
		for k := range m.Straights {
			var s survey.Straight
			for _, p := range m.Straights[len(m.Straights)-1-k].Points {
				s.Points = append(s.Points, move.Point(p))
			}
			rnd.Shuffle(len(s.Points), func(a, b int) { s.Points[a], s.Points[b] = s.Points[b], s.Points[a] })
			o.Straights = append(o.Straights, s)
		}
		b, err := o.Fit()
		if err != nil {
			t.Fatal(err)
		}
		n := len(f.LRA.Rows)
		off := math.Abs((b.Length - f.Length).MM()) + math.Abs((b.LengthSigma - f.LengthSigma).MM()) + math.Abs(b.Chi2-f.Chi2)
		for k, r := range f.LRA.Rows {
			off += math.Abs(float64(r.Turn-b.LRA.Rows[n-1-k].Turn)) + math.Abs(float64(f.Sigmas[k].Turn-b.Sigmas[n-1-k].Turn))
			if k > 0 {
				off += math.Abs(turned(r.Rotation-b.LRA.Rows[n-k].Rotation)) + math.Abs(float64(f.Sigmas[k].Rotation-b.Sigmas[n-k].Rotation))
			}
		}
		if off > 1e-7 {
			t.Fatalf("seed %d case %d: off by %v\n%+v\n%+v", seed, i, off, f, b)
		}
	}
}

// Two points ℓ apart are their middle to σ/√2 and the direction to σ√2/ℓ; closed
// form. Their middle, measured twice, and that direction give the same fit.
func TestDirectionIsTwoPoints(t *testing.T) {
	const seed = 8
	rnd := rand.New(rand.NewPCG(seed, 0))
	d := newTube(t, rnd, 2, 2, 0.5)
	m := d.noisy(rnd)
	points, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	a, b := m.Straights[1].Points[0], m.Straights[1].Points[1]
	mid := a.Add(b).Scale(0.5)
	m.Straights[1] = survey.Straight{Points: []geom.Vec{mid, mid}, Dir: a.Sub(b), DirSigma: units.Angle(0.5 * math.Sqrt2 / b.Sub(a).Norm())}
	aimed, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	if off := math.Abs((aimed.Length - points.Length).MM()) + math.Abs((aimed.LengthSigma - points.LengthSigma).MM()) + math.Abs(float64(aimed.Sigmas[1].Rotation-points.Sigmas[1].Rotation)); off > 1e-3 {
		t.Errorf("middle and direction: length %v ± %v, two points %v ± %v", aimed.Length, aimed.LengthSigma, points.Length, points.LengthSigma)
	}
	if l := aimed.Points[4].Label; l.String() != "direction of straight 2" {
		t.Errorf("reading 5 is %v", l)
	}
	// One point and a direction are enough, with the neighbours.
	m.Straights[1].Points = []geom.Vec{mid}
	if f, err := m.Fit(); err != nil || f.DOF != points.DOF {
		t.Errorf("one point and a direction: dof %d, %v", f.DOF, err)
	}
}

// A straight alone: its length is that between its ends, each known to σ along it.
func TestOneStraight(t *testing.T) {
	m := survey.MockUp{Sigma: 0.5, Straights: []survey.Straight{{Points: []geom.Vec{{X: 0}, {X: 40}, {X: 100}}}}}
	f, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Length.MM()-100) > 1e-9 || math.Abs(f.LengthSigma.MM()-0.5*math.Sqrt2) > 1e-6 || f.DOF != 2 || f.LRA.Last != f.Length {
		t.Errorf("length %v ± %v, dof %d", f.Length, f.LengthSigma, f.DOF)
	}
	m.End = &survey.Cut{At: geom.Vec{X: 120, Y: 7}, Normal: geom.Vec{X: 1}, Sigma: 0.3}
	if f, err = m.Fit(); err != nil || math.Abs(f.Length.MM()-120) > 1e-9 || math.Abs(f.LengthSigma.MM()-math.Hypot(0.5, 0.3)) > 1e-6 {
		t.Errorf("to the plane: %v ± %v, %v", f.Length, f.LengthSigma, err)
	}
}

// A right angle, points known by hand: the corner is where the axes cross, and the
// miss is what one axis was lifted by.
func TestMissByHand(t *testing.T) {
	m := survey.MockUp{Sigma: 0.5, Bends: []survey.Bend{{CLR: 50}}, Straights: []survey.Straight{
		{Points: []geom.Vec{{X: 0}, {X: 100}}},
		{Points: []geom.Vec{{X: 200, Y: 100, Z: 3}, {X: 200, Y: 200, Z: 3}}},
	}}
	f, err := m.Fit()
	if err != nil {
		t.Fatal(err)
	}
	j := f.Joints[0]
	// The feet are at λ = 2 and λ = −1: (1−λ)² + λ² is 5 for both; closed form.
	if want := 0.5 * math.Sqrt(10); math.Abs(j.Miss.MM()-3) > 1e-12 || math.Abs(j.Sigma.MM()-want) > 1e-12 || j.Failed || j.Middle.Sub(geom.Vec{X: 200, Z: 1.5}).Norm() > 1e-12 {
		t.Errorf("%+v, want 3 ± %v", j, want)
	}
	// One redundant reading, the miss: chi² is its square.
	if f.DOF != 1 || math.Abs(f.Chi2-9/2.5) > 0.02 {
		t.Errorf("chi² %v of %d, want 3.6 of 1", f.Chi2, f.DOF)
	}
	m.Straights[1].Points[0].Z, m.Straights[1].Points[1].Z = 5, 5
	if f, err = m.Fit(); err != nil || !f.Joints[0].Failed || !f.Tests.Miss || f.Tests.Suspect != nil {
		t.Errorf("5 mm at ±1.58: %+v, %+v, %v", f.Joints, f.Tests, err)
	}
}
