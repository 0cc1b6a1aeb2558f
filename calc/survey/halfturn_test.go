package survey_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// withU returns a tube of a bend, a bend near a half turn, and another, with a
// point in the middle one: on its centreline some way off its middle, or its
// centre.
func withU(t *testing.T, rnd *rand.Rand, turn units.Angle, centre bool) made {
	t.Helper()
	l := tube.LRA{Last: 90, Rows: []tube.Row{
		{Length: 100, Rotation: units.Angle(between(rnd, -3, 3)), Turn: 70 * deg, Radius: 76.2},
		{Length: units.Length(between(rnd, 70, 140)), Rotation: units.Angle(between(rnd, -3, 3)), Turn: turn, Radius: 76.2},
		{Length: units.Length(between(rnd, 70, 140)), Rotation: units.Angle(between(rnd, -3, 3)), Turn: 60 * deg, Radius: 76.2},
	}}
	d := measured(t, rnd, l, 3, 0.5)
	f := d.start.Straight(l.Rows[0].Length.MM()).Turn(float64(l.Rows[0].Rotation)).Arc(float64(l.Rows[0].Turn), 76.2).
		Straight(l.Rows[1].Length.MM()).Turn(float64(l.Rows[1].Rotation))
	p := f.Centre(76.2)
	if centre {
		d.m.Bends[1].Centre = &p
		return d
	}
	p = f.Arc(float64(turn)/2+between(rnd, -0.4, 0.4), 76.2).O
	d.m.Bends[1].Middle = &p
	return d
}

// With a point in it a half turn is found, and with it everything else: exactly
// without noise, and within honest sigmas with.
func TestHalfTurn(t *testing.T) {
	const seed = 17
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, centre := range []bool{false, true} {
		var length, rotation, turn, total honest
		for i := range 600 {
			bent := 180 * deg
			if i%3 > 0 {
				bent = units.Angle(between(rnd, 120, 180)) * deg
			}
			d := withU(t, rnd, bent, centre)
			f, err := d.m.Fit()
			if err != nil {
				t.Fatalf("seed %d case %d: %v", seed, i, err)
			}
			if len(f.LRA.Rows) != 3 || f.Chi2 > 1e-10 || math.Abs((f.Length-d.lra.Length()).MM()) > 1e-6 {
				t.Fatalf("seed %d case %d, %v°: %+v, chi² %v, want %+v", seed, i, bent.Deg(), f.LRA, f.Chi2, d.lra)
			}
			w, err := tube.Walk(f.Start, f.LRA.Elements())
			if err != nil || w.End.O.Sub(d.end.O).Norm() > 1e-5 {
				t.Fatalf("seed %d case %d: walked to %v, want %v; %v", seed, i, w.End.O, d.end.O, err)
			}
			if f, err = d.noisy(rnd).Fit(); err != nil {
				t.Fatalf("seed %d case %d: %v", seed, i, err)
			}
			total.add((f.Length - d.lra.Length()).MM(), f.LengthSigma.MM())
			for k, r := range f.LRA.Rows {
				want := d.lra.Rows[k]
				length.add((r.Length - want.Length).MM(), f.Sigmas[k].Length.MM())
				rotation.add(turned(r.Rotation-want.Rotation), float64(f.Sigmas[k].Rotation))
				if want.Turn < 175*deg { // nearer, the turn is cut at 180°
					turn.add(float64(r.Turn-want.Turn), float64(f.Sigmas[k].Turn))
				}
			}
		}
		length.check(t, "straights")
		rotation.check(t, "rotations")
		turn.check(t, "turns")
		total.check(t, "total")
	}
}

// A CLR with a sigma adds its share, also where the fit rests on it.
func TestCLRSigmaIsHonest(t *testing.T) {
	const seed = 18
	rnd := rand.New(rand.NewPCG(seed, 0))
	var length, total honest
	for range 1000 {
		d := withU(t, rnd, 170*deg, false)
		m := d.noisy(rnd)
		for i := range m.Bends {
			m.Bends[i].CLRSigma = 0.8
			m.Bends[i].CLR += units.Length(0.8 * rnd.NormFloat64())
		}
		f, err := m.Fit()
		if err != nil {
			t.Fatal(err)
		}
		total.add((f.Length - d.lra.Length()).MM(), f.LengthSigma.MM())
		for k, r := range f.LRA.Rows {
			length.add((r.Length - d.lra.Rows[k].Length).MM(), f.Sigmas[k].Length.MM())
		}
	}
	length.check(t, "straights")
	total.check(t, "total")
}

// refused wants one *fault.Field that says all of the words.
func refused(t *testing.T, name string, err error, words ...string) {
	t.Helper()
	var f *fault.Field
	if !errors.As(err, &f) {
		t.Errorf("%s: got %v, want a refusal", name, err)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%s: %v does not say %q", name, err, w)
		}
	}
}

func TestSurveyRefusals(t *testing.T) {
	x, y := geom.Vec{X: 1}, geom.Vec{Y: 1}
	straight := func(from, dir geom.Vec) survey.Straight {
		return survey.Straight{Points: []geom.Vec{from, from.Add(dir.Scale(50)), from.Add(dir.Scale(100))}}
	}
	corner := func() survey.MockUp {
		return survey.MockUp{Sigma: 0.5, Bends: []survey.Bend{{CLR: 50}},
			Straights: []survey.Straight{straight(geom.Vec{}, x), straight(geom.Vec{X: 200, Y: 100}, y)}}
	}
	if _, err := corner().Fit(); err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	tests := []struct {
		name  string
		spoil func(*survey.MockUp)
		words []string
	}{
		{"no sigma", func(m *survey.MockUp) { m.Sigma = 0 }, []string{"Sigma", "cannot use 0 mm; allowed 0.001 to 100 mm"}},
		{"NaN sigma", func(m *survey.MockUp) { m.Sigma = units.Length(nan) }, []string{"Sigma"}},
		{"no straights", func(m *survey.MockUp) { m.Straights = nil }, []string{"Straights"}},
		{"bend missing", func(m *survey.MockUp) { m.Bends = nil }, []string{"Bends", "0 given for 2 straights"}},
		{"NaN point", func(m *survey.MockUp) { m.Straights[1].Points[2].Z = nan }, []string{"straight 2", "Point 3 z"}},
		{"one point", func(m *survey.MockUp) { m.Straights[0].Points = m.Straights[0].Points[:1] }, []string{"straight 1", "1 given", "two centre points"}},
		{"points together", func(m *survey.MockUp) {
			m.Straights[0].Points = []geom.Vec{{}, {X: 1}, {X: 2}}
		}, []string{"straight 1", "further apart"}},
		{"CLR zero", func(m *survey.MockUp) { m.Bends[0].CLR = 0 }, []string{"bend 1", "CLR"}},
		{"in one line", func(m *survey.MockUp) { m.Straights[1] = straight(geom.Vec{X: 300}, x) }, []string{"bend 1", "one line"}},
		{"half turn", func(m *survey.MockUp) { m.Straights[1] = straight(geom.Vec{X: 100, Y: 100}, x.Scale(-1)) }, []string{"bend 1", "bend centre", "near its middle"}},
		{"nearly a half turn", func(m *survey.MockUp) {
			m.Straights[1] = straight(geom.Vec{X: 100, Y: 100}, geom.Vec{X: -1, Y: 0.1})
		}, []string{"bend 1", "bend centre"}},
		{"too short", func(m *survey.MockUp) { m.Bends[0].CLR = 230 }, []string{"straight 1", "30 mm too short"}},
		{"wrong order", func(m *survey.MockUp) {
			m.Bends = append(m.Bends, survey.Bend{CLR: 50})
			m.Straights = append(m.Straights, straight(geom.Vec{X: 50, Y: -50, Z: 50}, geom.Vec{Z: 1}))
		}, []string{"check the order"}},
		{"plane along the straight", func(m *survey.MockUp) { m.Start = &survey.Cut{Normal: y} }, []string{"straight 1", "plane"}},
		{"plane without normal", func(m *survey.MockUp) { m.End = &survey.Cut{} }, []string{"end", "Normal"}},
		{"reference along", func(m *survey.MockUp) { m.Up = x }, []string{"Reference"}},
		{"point in a slight bend", func(m *survey.MockUp) {
			m.Straights[1] = straight(geom.Vec{X: 300, Y: 100}, geom.Vec{X: 1, Y: 1})
			m.Bends[0].Middle = &geom.Vec{X: 200}
		}, []string{"bend 1", "Bent through", "leave the point out"}},
		{"both points", func(m *survey.MockUp) { m.Bends[0].Middle, m.Bends[0].Centre = &geom.Vec{}, &geom.Vec{} }, []string{"bend 1", "leave one"}},
	}
	for _, tt := range tests {
		m := corner()
		tt.spoil(&m)
		_, err := m.Fit()
		refused(t, tt.name, err, tt.words...)
	}
	// What is too short is returned with its refusal, to be shown.
	m := corner()
	m.Bends[0].CLR = 230
	if f, _ := m.Fit(); math.Abs(f.LRA.Rows[0].Length.MM()+30) > 1e-6 {
		t.Errorf("the straight that is too short is shown as %v, want −30 mm", f.LRA.Rows[0].Length)
	}
}
