package sheet_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// isOfFixture tells the sheets of a fixture from others.
func isOfFixture(key string) bool {
	kind, _, _ := strings.Cut(key, "-")
	return kind == "fixture" || kind == "base"
}

func benched(t testing.TB) job.Worked {
	t.Helper()
	data, err := os.ReadFile("../../../testdata/job/bench.job.json")
	if err != nil {
		t.Fatal(err)
	}
	w, err := job.WorkFile(data)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// put and set fill a plan, whose figures are of types of their own.
func put[T ~struct{ X, Y, Z float64 }](to *T, v geom.Vec) { *to = T(v) }
func set[T ~float64](to *T, v float64)                    { *to = T(v) }

// setUp is a fixture made by hand: a plate in the port face, a post in the middle
// of every straight of 100 mm and more, each second one to come off.
func setUp(w job.Worked) job.FixturePlan {
	const thick, post = 20.0, 16.0
	p := job.FixturePlan{Base: &job.BasePlan{Choice: "standing", Thickness: thick}}
	put(&p.Base.At, geom.Vec{})
	put(&p.Base.X, geom.Vec{X: 1})
	put(&p.Base.Y, geom.Vec{Y: 1})
	put(&p.Base.Normal, geom.Vec{Z: 1})
	corner := func(x, y float64) { p.Base.Outline = append(p.Base.Outline, [2]float64{x, y}) }
	corner(-60, -420)
	corner(400, -420)
	corner(400, 110)
	corner(-60, 110)
	for _, b := range w.Job.Banks[0].Bolts {
		p.Base.Holes = append(p.Base.Holes, job.BaseHole{What: b.ID, Name: strings.ReplaceAll(b.Title, "Bolt ", "b"), Kind: "tapped", At: [2]float64{b.X.V.MM(), b.Y.V.MM()}, Diameter: 6.8})
	}
	for i, t := range w.Job.Tubes {
		along := 0.0
		for n, s := range w.Plan.Tubes[i].Path {
			from, to := geom.Vec(s.From), geom.Vec(s.To)
			if s.Angle != nil {
				along += geom.Vec(s.From).Sub(geom.Vec(*s.Centre)).Norm() * float64(*s.Angle) * math.Pi / 180
				continue
			}
			long := to.Sub(from).Norm()
			if long >= 100 {
				mid, dir := from.Add(to).Scale(0.5), to.Sub(from).Scale(1/long)
				st := job.StationPlan{ID: t.ID + string(rune('a'+n)), Tube: t.ID, Straight: n, Wrap: 180, Suggested: true}
				put(&st.At, mid)
				put(&st.Dir, dir)
				put(&st.Opening, geom.Vec{Z: 1})
				foot := geom.Vec{X: mid.X, Y: mid.Y}
				put(&st.FootAt, foot)
				put(&st.Top, geom.Vec{X: mid.X, Y: mid.Y, Z: mid.Z - t.OD.V.MM()/2})
				st.Foot = [2]float64{mid.X, mid.Y}
				set(&st.Along, along+long/2)
				set(&st.AxisHeight, mid.Z)
				set(&st.Post, mid.Z-t.OD.V.MM()/2)
				set(&st.CradleAngle, math.Asin(dir.Z)*180/math.Pi)
				set(&st.CradleTurn, math.Atan2(dir.Y, dir.X)*180/math.Pi)
				set(&st.OD, t.OD.V.MM())
				spacer(&st.Spacer, 3.937)
				st.Name = string(rune('1'+i)) + "-" + string(rune('A'+n))
				st.Removable = len(p.Stations)%2 == 1
				p.Stations = append(p.Stations, st)
				p.Base.Feet = append(p.Base.Feet, job.BaseHole{What: st.ID, Name: st.Name, Kind: "foot", At: st.Foot, Diameter: post})
			}
			along += long
		}
	}
	p.Release.Header = &job.WayOutPlan{Free: true, Name: "straight up off the plate", Steps: []job.StepPlan{{Name: "25 mm off the studs"}, {Name: "straight up off the plate"}}}
	put(&p.Release.Header.Dir, geom.Vec{Z: 1})
	for _, st := range p.Stations {
		if st.Removable {
			p.Release.Header.Remove = append(p.Release.Header.Remove, st.ID)
		}
	}
	return p
}

func spacer[T ~float64](to **T, v float64) {
	f := T(v)
	*to = &f
}

// The station sheet is read at arm's length: it says of every station its mark, along,
// post, angles, spacer and whether it comes off, in figures 5 mm high, on one page of every
// paper; beside it stand the header from two sides and two boxes to tick.
func TestStationSheetIsReadAtArmsLength(t *testing.T) {
	w := benched(t)
	p := setUp(w)
	for _, unit := range []string{"mm", "in"} {
		m := make1(t, w, "fixture", sheet.Options{Unit: units.Unit(unit), Date: "2026-11-30"})
		if len(m.Sheets) != 1 {
			t.Errorf("%s: %d pages", unit, len(m.Sheets))
		}
		svg, err := m.SVG()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, map[string]string{"mm": "fixture.svg", "in": "fixture-in.svg"}[unit], svg)
		for _, s := range m.Sheets {
			b := s.Drawing.Bounds()
			if b.Width() > 188.01 || b.Height() > 225 {
				t.Errorf("%s: the drawing is %.1f × %.1f mm, more than a page has unshrunk", unit, b.Width(), b.Height())
			}
			boxes, names := 0, 0
			for _, e := range s.Drawing.Entities {
				switch e := e.(type) {
				case draw.Text:
					// what stands on paper in running text is no figure that is worked by
					if strings.ContainsAny(e.Text, "0123456789") && e.Height < 5 && !strings.Contains(e.Text, " ") {
						t.Errorf("%s: %q is %.1f mm high", unit, e.Text, e.Height)
					}
					for _, st := range p.Stations {
						if e.Text == st.Name {
							names++
						}
					}
				case draw.Loop:
					if c := e.Bounds(); !e.Filled && math.Abs(c.Width()-6.4) < 1e-9 && math.Abs(c.Height()-6.4) < 1e-9 {
						boxes++
					}
				}
			}
			if names != 3*len(p.Stations) { // in the row and on both pictures
				t.Errorf("%s: %d names of %d stations", unit, names, len(p.Stations))
			}
			if boxes != 2*len(p.Stations) {
				t.Errorf("%s: %d boxes to tick for %d stations", unit, boxes, len(p.Stations))
			}
		}
	}
	m := make1(t, w, "fixture", sheet.Options{})
	wants(t, m, "REMOVABLE", "fixed", "take off", "hot work", "clamped")
	if _, err := m.DXF(); err == nil {
		t.Error("a list of stations is cut")
	}
}

// The plate is drawn at true size: the outline and its holes are cut, nothing else; every
// post has its foot and its name.
func TestBasePlateIsCutByItsOutlineAndHoles(t *testing.T) {
	w := benched(t)
	p := setUp(w)
	m := make1(t, w, "base", sheet.Options{Date: "2026-11-30"})
	svg, err := m.SVG()
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "base.svg", svg)
	loops, holes, feet := 0, 0, 0
	for _, e := range m.Sheets[0].Drawing.Entities {
		switch e := e.(type) {
		case draw.Loop:
			if e.Layer == draw.Cut {
				loops++
				if b := e.Bounds(); b.Width() != 460 || b.Height() != 530 {
					t.Errorf("the outline is %.3f × %.3f mm, want 460 × 530", b.Width(), b.Height())
				}
			}
		case draw.Circle:
			switch {
			case e.Layer == draw.Cut && e.Radius == 3.4:
				holes++
			case e.Layer == draw.Cut:
				t.Errorf("a circle of radius %v is cut", e.Radius)
			case e.Layer == draw.Mark && e.Radius == 8:
				feet++
			}
		}
	}
	if loops != 1 || holes != len(p.Base.Holes) || feet != len(p.Stations) {
		t.Errorf("%d outlines, %d holes, %d feet, want 1, %d, %d", loops, holes, feet, len(p.Base.Holes), len(p.Stations))
	}
	for _, st := range p.Stations {
		wants(t, m, st.Name)
	}
	b, err := m.DXF()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(b), "CIRCLE") != len(p.Base.Holes) {
		t.Errorf("%d circles in the DXF, want the %d holes", strings.Count(string(b), "CIRCLE"), len(p.Base.Holes))
	}
}

// A fixture that nobody works out, or that has nothing to hold, says so.
func TestFixtureSheetSaysWhyItCannotBeMade(t *testing.T) {
	w := benched(t)
	for name, o := range map[string]sheet.Options{
		"not worked out": {},
		"to enter first": {Fixture: func() job.FixturePlan { return job.FixturePlan{} }},
		"no station has": {Fixture: func() job.FixturePlan { return job.FixturePlan{Base: &job.BasePlan{}} }},
	} {
		_, err := sheet.Make(w, "fixture", o)
		if err == nil || !strings.Contains(strings.ToLower(err.Error()), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Where the header lies its flange hangs on an upright, whose face looks to the tubes; one
// that stands has none.
func TestUprightLooksToTheTubes(t *testing.T) {
	w := benched(t)
	w.Job.Fixture.Base = "lying"
	o := sheet.Options{Fixture: func() job.FixturePlan {
		p := setUp(w)
		p.Base, p.Upright = &job.BasePlan{Choice: "lying", Outline: p.Base.Outline}, p.Base
		return p
	}}
	m := make1(t, w, "base-upright", o)
	wants(t, m, "This face to the tubes", "Fixture, upright", "b5")
	if strings.Contains(texts(m), "This face up") {
		t.Error("the upright lies")
	}
	if _, err := sheet.Make(benched(t), "base-upright", sheet.Options{}); err == nil {
		t.Error("a header that stands has an upright")
	}
}
