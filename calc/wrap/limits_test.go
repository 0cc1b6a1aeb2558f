package wrap_test

import (
	"errors"
	"math"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/units"
	"tubewright/calc/wrap"
)

// A refusal says what was said and between which figures it would do.
func TestRefusalsSayTheirRange(t *testing.T) {
	good := wrap.Saddle{Branch: 28, Wall: 2, Tube: 50, Angle: 60 * deg, Offset: 5}
	saddle := func(edit func(*wrap.Saddle)) error {
		s := good
		edit(&s)
		return s.Check()
	}
	for name, tt := range map[string]struct {
		err            error
		got, low, high float64
	}{
		"wall":            {saddle(func(s *wrap.Saddle) { s.Wall = 15 }), 15, 0, 14},
		"branch":          {saddle(func(s *wrap.Saddle) { s.Branch, s.Offset = 51, 0 }), 51, 0, 50},
		"offset":          {saddle(func(s *wrap.Saddle) { s.Offset = 12 }), 12, -11, 11},
		"no bore":         {func() error { s := good; s.Wall = 0; _, err := s.Hole(false, 36, 0); return err }(), 0, 0, 14},
		"gore CLR":        {wrap.PieCut{OD: 50, CLR: 25, Turn: 90 * deg, Welds: 3}.Check(), 25, 25, 10000},
		"welds":           {wrap.PieCut{OD: 50, CLR: 75, Turn: 100 * deg, Welds: 1}.Check(), 1, 2, 24},
		"turn":            {wrap.PieCut{OD: 50, CLR: 75, Turn: 181 * deg, Welds: 6}.Check(), 181, 0, 180},
		"miss":            {func() error { _, err := wrap.Miss(50, 75, 60); return err }(), 60, -50, 50},
		"gore":            {func() error { _, _, err := wrap.RealCLR(15*deg, 20, 30); return err }(), 20, 30, 10000},
		"steps":           {func() error { _, err := wrap.InSteps(50*deg, 10*deg); return err }(), 50, 40, 60},
		"more than steps": {func() error { _, err := wrap.InSteps(48*deg, 10*deg); return err }(), 48, 40, 60},
		"one step":        {func() error { _, err := wrap.InSteps(10*deg, 10*deg); return err }(), 10, 20, 20},
	} {
		var f *fault.Field
		if !errors.As(tt.err, &f) || math.Abs(f.Got-tt.got) > 1e-9 || math.Abs(f.Low-tt.low) > 1e-9 || math.Abs(f.High-tt.high) > 1e-9 {
			t.Errorf("%s: %v, want %v refused, allowed %v to %v", name, tt.err, tt.got, tt.low, tt.high)
		}
	}
}

// The limits themselves are taken, and what lies just within.
func TestLimitsAreTaken(t *testing.T) {
	for name, err := range map[string]error{
		"a bore of a hair":   wrap.Saddle{Branch: 28, Wall: 13.99, Tube: 50, Angle: 60 * deg}.Check(),
		"flat":               wrap.Saddle{Branch: 28, Wall: 2, Tube: 50, Angle: 15 * deg}.Check(),
		"square":             wrap.Saddle{Branch: 28, Wall: 2, Tube: 50, Angle: 90 * deg}.Check(),
		"the widest":         wrap.Saddle{Branch: 500, Tube: 500, Angle: 90 * deg}.Check(),
		"gores on the most":  wrap.PieCut{OD: 500, CLR: 10000, Turn: 180 * deg, Welds: 24}.Check(),
		"a weld of 45°":      wrap.PieCut{OD: 50, CLR: 75, Turn: 90 * deg, Welds: 1}.Check(),
		"miss on the most":   func() error { _, err := wrap.Miss(50, 10000, 1); return err }(),
		"paper of 1 mm":      func() error { _, err := wrap.Width(500, 1); return err }(),
		"mitre of 60°":       func() error { _, err := wrap.Mitre(500, 60*deg, -360*deg); return err }(),
		"gores as at 45°":    func() error { _, _, err := wrap.RealCLR(45*deg, 20, 0); return err }(),
		"steps of 45°":       func() error { _, err := wrap.InSteps(90*deg, 45*deg); return err }(),
		"all but a gore out": func() error { _, err := wrap.Miss(50, 75, -49.999); return err }(),
	} {
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The hole of a rod square on a tube, closed form: along the tube as wide as the rod d,
// round it (D + paper)·asin(d/D) on the middle of the paper; its points begin on the side
// with the flow and go once round it, left first, each as far on as its share.
func TestHoleGoesRoundOnPaper(t *testing.T) {
	const n, paper = 360, 0.1
	for _, offset := range []units.Length{0, 5} {
		s := wrap.Saddle{Branch: 25.4, Tube: 41.275, Angle: 90 * deg, Offset: offset}
		list, err := s.Hole(true, n, paper)
		if err != nil || len(list) != n {
			t.Fatalf("%d points, %v", len(list), err)
		}
		// Right of the tube's middle line is where the rod's sides are: e ± d/2.
		side := func(off float64) float64 { return (41.275 + paper) / 2 * math.Asin(off/(41.275/2)) }
		e := offset.MM()
		for _, c := range []struct {
			i        int
			what     string
			x, along float64
		}{{0, "with the flow", side(e), 12.7}, {n / 4, "left", side(e - 12.7), 0}, {n / 2, "against the flow", side(e), -12.7}, {3 * n / 4, "right", side(e + 12.7), 0}} {
			near(t, c.what+", round", list[c.i][0], c.x, 1e-9)
			near(t, c.what+", along", list[c.i][1], c.along, 1e-9)
		}
		for i, p := range list {
			near(t, "along", p[1], 12.7*math.Cos(2*math.Pi*float64(i)/n), 1e-9)
		}
	}
	if list, err := (wrap.Saddle{Branch: 28, Wall: 2, Tube: 50, Angle: 60 * deg}).Hole(false, 3, 0); err != nil || len(list) != 8 {
		t.Errorf("a hole of %d points, %v, want 8 at least", len(list), err)
	}
}

// 70.5° on CLR 63.5 with 3 welds: the corners lie 63.5/cos 11.75° = 64.8591 mm off.
func TestCornersLieBeyondTheCLR(t *testing.T) {
	near(t, "corner", wrap.PieCut{OD: 41.275, CLR: 63.5, Turn: 70.5 * deg, Welds: 3}.Corner().MM(), 64.8591, 0.00005)
}
