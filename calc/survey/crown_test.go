package survey_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/survey"
	"tubewright/calc/units"
)

func TestCrown(t *testing.T) {
	// dR/de of 2.4 at 90°; own calculation of the design, and closed form 1/(√2 − 1).
	for _, tt := range []struct{ turn, per float64 }{{90, 2.4142136}, {60, 6.4641016}, {120, 1}} {
		a := units.Angle(tt.turn) * deg
		e := 76.2 * (1/math.Cos(float64(a)/2) - 1)
		r, err := survey.Crown{Distance: units.Length(e), DistanceSigma: 0.5, Turn: a}.CLR()
		if err != nil || math.Abs(r.CLR.MM()-76.2) > 1e-9 || math.Abs(r.Sigma.MM()-0.5*tt.per) > 1e-6 {
			t.Errorf("%v°: %v ± %v, %v; want 76.2 ± %v", tt.turn, r.CLR, r.Sigma, err, 0.5*tt.per)
		}
		// The sigma of the turn counts as the difference quotient says.
		const h = 1e-6
		more, _ := survey.Crown{Distance: units.Length(e), DistanceSigma: 0.001, Turn: a + h}.CLR()
		less, _ := survey.Crown{Distance: units.Length(e), DistanceSigma: 0.001, Turn: a - h}.CLR()
		both, _ := survey.Crown{Distance: units.Length(e), DistanceSigma: 0.001, Turn: a, TurnSigma: 0.01}.CLR()
		if tt.turn > 60 && math.Abs(both.Sigma.MM()-0.01*math.Abs((more.CLR-less.CLR).MM())/(2*h)) > 1e-3 {
			t.Errorf("%v°: ± %v from the turn, want %v", tt.turn, both.Sigma, 0.01*(more.CLR-less.CLR).MM()/(2*h))
		}
	}
	for _, tt := range []struct {
		turn float64
		word string
	}{{45, "12 mm in the CLR"}, {30, "28 mm in the CLR"}, {59.9, "catalogue"}, {151, "half the distance"}, {math.NaN(), "Bent through"}, {0, "Bent through"}} {
		_, err := survey.Crown{Distance: 10, DistanceSigma: 0.5, Turn: units.Angle(tt.turn) * deg}.CLR()
		refused(t, "crown", err, tt.word)
	}
}

func TestCrownOfASurveyIsHonest(t *testing.T) {
	const seed = 19
	rnd := rand.New(rand.NewPCG(seed, 0))
	var h honest
	for range 2000 {
		d := newTube(t, rnd, 2, 3, 0.3)
		r := d.lra.Rows[0]
		if r.Turn < 65*deg {
			continue
		}
		f, err := d.noisy(rnd).Fit()
		if err != nil {
			t.Fatal(err)
		}
		middle := shaken(rnd, d.start.Straight(r.Length.MM()).Turn(float64(r.Rotation)).Arc(float64(r.Turn)/2, r.Radius.MM()).O, 0.3)
		got, err := f.CLR(1, middle, 0.3)
		if err != nil {
			t.Fatal(err)
		}
		h.add((got.CLR - r.Radius).MM(), got.Sigma.MM())
	}
	h.check(t, "CLR")
}
