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

const deg = units.Degree

// made is a tube that is known, and a survey of it without noise.
type made struct {
	start geom.Frame
	lra   tube.LRA
	m     survey.MockUp
	end   geom.Frame
}

func between(rnd *rand.Rand, low, high float64) float64 { return low + (high-low)*rnd.Float64() }

func anyDir(rnd *rand.Rand) geom.Vec {
	for {
		v := geom.Vec{X: between(rnd, -1, 1), Y: between(rnd, -1, 1), Z: between(rnd, -1, 1)}
		if u, ok := v.Unit(); ok && v.Norm() < 1 {
			return u
		}
	}
}

// newTube returns a tube of straights of 60 to 150 mm with bends of 30 to 110°,
// and points evenly spaced over every straight, held between its end planes.
func newTube(tb testing.TB, rnd *rand.Rand, bends, points int, sigma float64) made {
	tb.Helper()
	l := tube.LRA{Last: units.Length(between(rnd, 60, 150))}
	for range bends {
		l.Rows = append(l.Rows, tube.Row{Length: units.Length(between(rnd, 60, 150)), Rotation: units.Angle(between(rnd, -180, 180)) * deg,
			Turn: units.Angle(between(rnd, 30, 110)) * deg, Radius: 76.2})
	}
	return measured(tb, rnd, l, points, sigma)
}

// measured puts a path somewhere and points on it.
func measured(tb testing.TB, rnd *rand.Rand, l tube.LRA, points int, sigma float64) made {
	tb.Helper()
	at := geom.Vec{X: between(rnd, -300, 300), Y: between(rnd, -300, 300), Z: between(rnd, -300, 300)}
	start, err := geom.NewFrame(at, anyDir(rnd), anyDir(rnd))
	if err != nil {
		tb.Fatal(err)
	}
	d := made{start: start, lra: l, m: survey.MockUp{Sigma: units.Length(sigma), Up: start.N}}
	f := start
	on := func(length units.Length) {
		var s survey.Straight
		for i := range points {
			s.Points = append(s.Points, f.Straight(length.MM()*float64(i)/float64(points-1)).O)
		}
		d.m.Straights = append(d.m.Straights, s)
		f = f.Straight(length.MM())
	}
	for _, r := range l.Rows {
		on(r.Length)
		f = f.Turn(float64(r.Rotation)).Arc(float64(r.Turn), r.Radius.MM())
		d.m.Bends = append(d.m.Bends, survey.Bend{CLR: r.Radius})
	}
	on(l.Last)
	d.end = f
	d.m.Start = &survey.Cut{At: start.O, Normal: start.T}
	d.m.End = &survey.Cut{At: f.O, Normal: f.T}
	return d
}

func shaken(rnd *rand.Rand, p geom.Vec, sigma float64) geom.Vec {
	return p.Add(geom.Vec{X: sigma * rnd.NormFloat64(), Y: sigma * rnd.NormFloat64(), Z: sigma * rnd.NormFloat64()})
}

// noisy returns the survey with every point shaken by its sigma.
func (d made) noisy(rnd *rand.Rand) survey.MockUp {
	m := d.m
	m.Straights = append([]survey.Straight(nil), m.Straights...)
	for i, s := range m.Straights {
		pts := append([]geom.Vec(nil), s.Points...)
		for k := range pts {
			pts[k] = shaken(rnd, pts[k], m.Sigma.MM())
		}
		m.Straights[i].Points = pts
	}
	m.Bends = append([]survey.Bend(nil), m.Bends...)
	for i, b := range m.Bends {
		if b.Middle != nil {
			p := shaken(rnd, *b.Middle, m.Sigma.MM())
			m.Bends[i].Middle = &p
		}
		if b.Centre != nil {
			p := shaken(rnd, *b.Centre, m.Sigma.MM())
			m.Bends[i].Centre = &p
		}
	}
	return m
}

// honest gathers how far results are from the truth in their own sigmas.
type honest struct {
	squares, inside, n float64
}

func (h *honest) add(off, sigma float64) {
	z := off / sigma
	h.squares += z * z
	h.n++
	if math.Abs(z) < 1.959964 {
		h.inside++
	}
}

// check wants the root mean square between 0.9 and 1.1 and 93 to 97 % of the
// results within their 95 % interval.
func (h honest) check(t *testing.T, name string) {
	t.Helper()
	rms, cover := math.Sqrt(h.squares/h.n), h.inside/h.n
	t.Logf("%s: z rms %.3f, 95 %% interval covers %.1f %%, %v results", name, rms, 100*cover, h.n)
	if !(rms > 0.9 && rms < 1.1 && cover > 0.93 && cover < 0.97) {
		t.Errorf("%s: z rms %.3f, cover %.3f over %v results", name, rms, cover, h.n)
	}
}

func turned(a units.Angle) float64 { return math.Remainder(float64(a), 2*math.Pi) }
