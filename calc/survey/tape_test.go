package survey_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/units"
)

// stretched returns the tapes from the references to at, each off by noise.
func stretched(refs []geom.Vec, at geom.Vec, sigma float64, noise func() float64) (tapes []survey.Tape) {
	for _, r := range refs {
		tapes = append(tapes, survey.Tape{From: r, Distance: units.Length(at.Sub(r).Norm() + noise()), Sigma: units.Length(sigma)})
	}
	return tapes
}

func quiet() float64 { return 0 }

// Three spheres by hand: 3-4-5 triangles about the origin; closed form.
func TestTapeByHand(t *testing.T) {
	tapes := []survey.Tape{
		{From: geom.Vec{X: 300}, Distance: 500, Sigma: 1}, {From: geom.Vec{X: -300}, Distance: 500, Sigma: 1}, {From: geom.Vec{Y: 300}, Distance: 500, Sigma: 1},
	}
	f, err := survey.Locate(tapes, geom.Vec{Z: 1})
	if err != nil || f.At.Sub(geom.Vec{Z: 400}).Norm() > 1e-9 || f.Mirror == nil || f.Mirror.Sub(geom.Vec{Z: -400}).Norm() > 1e-9 || f.DOF != 0 {
		t.Fatalf("%+v, %v", f, err)
	}
	// U = ((−3, 0, 4), (3, 0, 4), (0, −3, 4))/5: x is half the difference of the first two,
	// z their sum; by hand σx = √2·5/6, σz = √2·5/8, y = (4z − 5d₃)/3.
	want := geom.Vec{X: math.Sqrt2 * 5 / 6, Y: math.Sqrt(math.Pow(5/3.0, 2) + math.Pow(4/3.0*math.Sqrt2*5/8, 2)), Z: math.Sqrt2 * 5 / 8}
	if f.Known.Along.Sub(want).Norm() > 1e-9 {
		t.Errorf("sigma %v, want %v", f.Known.Along, want)
	}
	if f, err = survey.Locate(tapes, geom.Vec{X: 0.3, Z: -1}); err != nil || f.At.Sub(geom.Vec{Z: -400}).Norm() > 1e-9 {
		t.Errorf("the other side: %+v, %v", f, err)
	}
}

func TestTapeFindsThePoint(t *testing.T) {
	const seed = 25
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		var refs []geom.Vec
		for range 3 + rnd.IntN(4) {
			refs = append(refs, geom.Vec{X: between(rnd, 0, 400), Y: between(rnd, -100, 100)})
		}
		if i%2 == 0 {
			refs = append(refs, geom.Vec{X: between(rnd, 0, 400), Y: between(rnd, -100, 100), Z: between(rnd, 100, 500)})
		}
		at := geom.Vec{X: between(rnd, -200, 600), Y: between(rnd, -500, 500), Z: between(rnd, 60, 600)}
		f, err := survey.Locate(stretched(refs, at, 0.01, quiet), geom.Vec{Z: 1})
		if err != nil {
			t.Fatalf("seed %d case %d: %v: %v", seed, i, refs, err)
		}
		if d := f.At.Sub(at).Norm(); d > 1e-6 || (f.Mirror != nil) != (i%2 == 1) {
			t.Fatalf("seed %d case %d: %v found as %v, %v mm off; mirror %v", seed, i, at, f.At, d, f.Mirror)
		}
	}
}

var (
	onFlange  = []geom.Vec{{X: 0, Y: 0}, {X: 310, Y: 0}, {X: 155, Y: 90}}
	collector = geom.Vec{X: 310, Y: -240, Z: 420}
)

func TestTapeSigmasAreHonest(t *testing.T) {
	const seed = 26
	rnd := rand.New(rand.NewPCG(seed, 0))
	offPlane := append(append([]geom.Vec(nil), onFlange...), geom.Vec{X: 100, Y: 100, Z: 300}, geom.Vec{X: 500, Y: -300, Z: 200})
	for name, refs := range map[string][]geom.Vec{"three on the flange": onFlange, "two off it": offPlane} {
		var along [3]honest
		var off, said geom.Vec
		chi, dof := 0.0, 0.0
		for range 2000 {
			f, err := survey.Locate(stretched(refs, collector, 1, rnd.NormFloat64), geom.Vec{Z: 1})
			if err != nil {
				t.Fatal(err)
			}
			e := f.At.Sub(collector)
			for k, a := range f.Known.Axis {
				along[k].add(e.Dot(a), f.Known.Sigma[k].MM())
			}
			off = off.Add(geom.Vec{X: e.X * e.X, Y: e.Y * e.Y, Z: e.Z * e.Z}.Scale(1.0 / 2000))
			said = f.Known.Along
			chi, dof = chi+f.Chi2, dof+float64(f.DOF)
		}
		t.Logf("%s: off %.1f %.1f %.1f mm rms, said %.1f %.1f %.1f", name, math.Sqrt(off.X), math.Sqrt(off.Y), math.Sqrt(off.Z), said.X, said.Y, said.Z)
		for k, h := range along {
			h.check(t, name+", axis "+string(rune('1'+k)))
		}
		if dof > 0 && math.Abs(chi/dof-1) > 0.1 {
			t.Errorf("%s: chi² is %v of dof", name, chi/dof)
		}
	}
}

// A tape 12 mm too long among six is named; with one redundant tape none can be.
func TestTapeBlunder(t *testing.T) {
	const seed, tries = 27, 200
	rnd := rand.New(rand.NewPCG(seed, 0))
	refs := []geom.Vec{{}, {X: 310}, {X: 155, Y: 60}, {X: 100, Y: 100, Z: 300}, {X: 500, Y: -300, Z: 200}, {X: 0, Y: -300, Z: 300}, {X: 300, Y: 100, Z: 600}}
	named, wrong, alarms := 0, 0, 0
	for range tries {
		tapes := stretched(refs, collector, 1, rnd.NormFloat64)
		f, err := survey.Locate(tapes, geom.Vec{Z: 1})
		if err != nil {
			t.Fatal(err)
		}
		if f.Suspect != 0 {
			alarms++
		}
		k := rnd.IntN(len(refs))
		tapes[k].Distance += 12
		if f, err = survey.Locate(tapes, geom.Vec{Z: 1}); err != nil {
			t.Fatal(err)
		}
		switch {
		case f.Suspect == k+1:
			named++
			if math.Abs(f.Error.MM()-12) > 8 {
				t.Errorf("tape %d is said to be %v mm off, it is 12", k+1, f.Error)
			}
		case f.Suspect != 0:
			wrong++
		}
	}
	t.Logf("of %d: right tape named %d, wrong %d, false alarms on sound ones %d", tries, named, wrong, alarms)
	if named < tries*9/10 || wrong > tries/20 || alarms > tries*2/100 {
		t.Errorf("of %d: named %d, wrong %d, false alarms %d", tries, named, wrong, alarms)
	}
	four := stretched(refs[:4], collector, 1, quiet)
	four[1].Distance += 25
	if f, err := survey.Locate(four, geom.Vec{Z: 1}); err != nil || f.Suspect != 0 || !f.TooFar || f.DOF != 1 {
		t.Errorf("four tapes: %+v, %v", f, err)
	}
}

func TestReferenceOffTheFlangeHelps(t *testing.T) {
	f, err := survey.Locate(stretched(onFlange, collector, 1, quiet), geom.Vec{Z: 1})
	if err != nil {
		t.Fatal(err)
	}
	out := geom.Vec{X: 100, Y: 100, Z: 300}
	list, err := f.Better(geom.Vec{X: 310, Y: 60}, out)
	if err != nil || list[0].At != out {
		t.Fatalf("%+v, %v", list, err)
	}
	// What is foretold is what comes of it.
	g, err := survey.Locate(stretched(append(onFlange[:3:3], out), collector, 1, quiet), geom.Vec{Z: 1})
	if err != nil || math.Abs((g.Known.RMS()-list[0].After).MM()) > 1e-6 || list[0].Before != f.Known.RMS() {
		t.Errorf("foretold %v, came %v, %v", list[0].After, g.Known.RMS(), err)
	}
	best, err := f.Better()
	if err != nil || best[0].After > list[0].After || math.Abs(best[0].At.Z) < 50 {
		t.Errorf("the best place: %+v, %v", best, err)
	}
	t.Logf("%.1f mm; with one off the flange %.1f, at the best place %v %.1f", f.Known.RMS(), list[0].After, best[0].At, best[0].After)
}

func TestTapeRefusals(t *testing.T) {
	up := geom.Vec{Z: 1}
	locate := func(tapes []survey.Tape, side geom.Vec) error { _, err := survey.Locate(tapes, side); return err }
	good := func() []survey.Tape { return stretched(onFlange, collector, 1, quiet) }
	if err := locate(good(), up); err != nil {
		t.Fatal(err)
	}
	refused(t, "two tapes", locate(good()[:2], up), "Tapes", "3 to 100")
	refused(t, "no side", locate(good(), geom.Vec{}), "Side", "either side", "420.0")
	refused(t, "side along the flange", locate(good(), geom.Vec{X: 1}), "Side")
	line := stretched([]geom.Vec{{}, {X: 100}, {X: 200, Y: 0.5}}, collector, 1, quiet)
	refused(t, "collinear", locate(line, up), "References", "one line", "add a reference")
	refused(t, "one place", locate(stretched(make([]geom.Vec, 4), collector, 1, quiet), up), "References")
	flat := stretched(onFlange, geom.Vec{X: 200, Y: -100, Z: 5}, 1, quiet)
	refused(t, "in the plane", locate(flat, up), "plane", "add a reference")
	short := good()
	for i := range short {
		short[i].Distance = 50
	}
	refused(t, "too short to meet", locate(short, up), "do not meet")
	bad := good()
	bad[1].Distance, bad[2].Sigma, bad[0].From.X = units.Length(math.NaN()), 0, math.Inf(1)
	refused(t, "numbers", locate(bad, up), "tape 1", "Reference x", "tape 2", "Distance", "tape 3", "Sigma")
	refused(t, "NaN side", locate(good(), geom.Vec{X: math.NaN()}), "Side")
	if _, err := (survey.Fix{}).Better(); err == nil {
		t.Error("advice on no fix")
	}
}

// Where the references leave no doubt the side is not asked for, and cannot mislead.
func TestReferencesOffThePlaneNeedNoSide(t *testing.T) {
	refs := append(onFlange[:3:3], geom.Vec{X: 100, Y: 100, Z: 300})
	for _, side := range []geom.Vec{{}, {Z: -1}} {
		f, err := survey.Locate(stretched(refs, collector, 1, quiet), side)
		if err != nil || f.Mirror != nil || f.At.Sub(collector).Norm() > 1e-6 {
			t.Errorf("side %v: %+v, %v", side, f, err)
		}
	}
}
