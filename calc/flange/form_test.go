package flange_test

import (
	"errors"
	"math"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

const tubeOD, tubeWall = 44.45, 1.651 // 1 3/4 × 0.065 in

// Worked by hand from closed forms: a stadium of 50 × 30 has a perimeter of
// 30π + 40 = 134.248 mm; the tube's middle is π·42.799.
func TestFormedEndOfAStadium(t *testing.T) {
	e, err := flange.Form(must(geom.Stadium(50, 30)), tubeOD, tubeWall, true, 0.4)
	if err != nil {
		t.Fatal(err)
	}
	before, after := math.Pi*42.799, 134.2477796+math.Pi*1.651
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"before", e.PerimeterTube, before}, {"after", e.PerimeterPort, after},
		{"stretch", e.Stretch, 0.0370195}, {"strain", e.Strain, 0.0363507},
		{"outside", e.Outside.Perimeter(), 134.2477796 + 2*math.Pi*1.651},
		{"opening", e.Opening.Perimeter(), 134.2477796 + 2*math.Pi*2.051},
		{"die", e.Die.Perimeter, 134.2477796}, {"clearance", e.Die.Clearance, 2.051},
	} {
		if math.Abs(tt.got-tt.want) > 1e-6 {
			t.Errorf("%s: %v, want %v", tt.name, tt.got, tt.want)
		}
	}
}

// A round port the size of the tube's bore needs no forming; one larger by x has
// the stretch x over the middle diameter.
func TestFormedEndOfARound(t *testing.T) {
	bore := tubeOD - 2*tubeWall
	for _, more := range []float64{-2, 0, 1, 3} {
		e, err := flange.Form(must(geom.Round(bore+more)), tubeOD, tubeWall, false, 0)
		if err != nil {
			t.Fatal(err)
		}
		if want := more / (tubeOD - tubeWall); math.Abs(e.Stretch-want) > 1e-12 || math.Abs(e.Strain-math.Log(1+want)) > 1e-12 {
			t.Errorf("%v mm more: stretch %v, strain %v", more, e.Stretch, e.Strain)
		}
		if o := e.Outside.Area(); math.Abs(o-math.Pi/4*math.Pow(bore+more+2*tubeWall, 2)) > 1e-6 {
			t.Errorf("%v mm more: outside %v mm²", more, o)
		}
		if e.Die.Clearance != 0 || e.Opening.Area() != e.Die.Outline.Area() {
			t.Errorf("%v mm more: it butts on, yet the opening is not the port", more)
		}
	}
}

// The die for the opening that the tube goes through is the port again, whatever
// its shape, and any place of the opening is wall and gap away from it.
func TestDieForAnOpening(t *testing.T) {
	for name, port := range ports(t) {
		e, err := flange.Form(port, tubeOD, tubeWall, true, flange.UsualGap)
		if err != nil {
			t.Fatal(name, err)
		}
		d, err := flange.DieFor(e.Opening, tubeWall, flange.UsualGap)
		if err != nil {
			t.Fatal(name, err)
		}
		if math.Abs(d.Perimeter-port.Perimeter()) > 0.01 || math.Abs(d.Outline.Area()-port.Area()) > 0.3 {
			t.Errorf("%s: die of %v mm and %v mm², port %v and %v", name, d.Perimeter, d.Outline.Area(), port.Perimeter(), port.Area())
		}
		for _, p := range e.Opening.Evenly(50) {
			if off, _ := port.Nearest(p); math.Abs(off-tubeWall-flange.UsualGap) > 0.005 {
				t.Errorf("%s: the opening is %v from the port", name, off)
			}
			if off, _ := e.Outside.Nearest(p); math.Abs(off-flange.UsualGap) > 0.01 {
				t.Errorf("%s: the opening is %v from the tube", name, off)
			}
		}
	}
}

func TestFormRefuses(t *testing.T) {
	port := must(geom.Round(40))
	nan := math.NaN()
	for _, tt := range []struct {
		name          string
		port          geom.Outline
		od, wall, gap float64
		field         string
	}{
		{"no tube", port, 0, 1, 0, "Tube OD"}, {"no number", port, nan, 1, 0, "Tube OD"},
		{"no wall", port, 44, 0, 0, "Tube wall"}, {"solid", port, 44, 22, 0, "Tube wall"}, {"wall no number", port, 44, nan, 0, "Tube wall"},
		{"gap below", port, 44, 1, -0.1, "Gap round the tube"}, {"gap no number", port, 44, 1, nan, "Gap round the tube"},
		{"no port", geom.Outline{}, 44, 1, 0, "Port"},
	} {
		_, err := flange.Form(tt.port, tt.od, tt.wall, true, tt.gap)
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != tt.field {
			t.Errorf("%s: %v, want %q named", tt.name, err, tt.field)
		}
	}
	if _, err := flange.DieFor(port, 20, 1); err == nil {
		t.Error("a die in an opening that the walls fill: no error")
	}
	if _, err := flange.DieFor(port, nan, 1); err == nil {
		t.Error("a die for a wall that is no number: no error")
	}
}
