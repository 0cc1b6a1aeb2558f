package survey

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Crown is the distance from where the axes of a bend cross to the middle of its
// centreline, taken to check a CLR. Measured to the outside of the tube it is
// shorter by half the OD.
type Crown struct {
	Distance, DistanceSigma units.Length
	Turn, TurnSigma         units.Angle
}

// Radius is a measured CLR.
type Radius struct{ CLR, Sigma units.Length }

const (
	// sharpest and flattest are the turns in degrees between which a crown tells the
	// CLR: at 60° a millimetre in the distance is 6.5 mm in the CLR, at 45° 12, at 30°
	// 28; above 150° the crossing of the axes is not a place that can be measured from.
	flattest = 60
	sharpest = 150
)

// CLR returns the radius of the bend:
//
//	R = e/(1/cos(A/2) − 1)
//
// with e the distance in mm and A the turn, 60 to 150°; closed form. Its sigma is
// that of e and of A, taken as independent. The error is a *fault.Field.
func (c Crown) CLR() (Radius, error) {
	err := errors.Join(
		within("Distance to the crown", c.Distance.MM(), 0, longest, "mm"),
		fault.Within("Sigma of the distance", c.DistanceSigma.MM(), finest, coarsest, "mm"),
		fault.Within("Sigma of the turn", c.TurnSigma.Deg(), 0, 15, "°"),
		tellsCLR(c.Turn),
	)
	if err != nil {
		return Radius{}, err
	}
	r, byE, byA := crown(c.Distance.MM(), float64(c.Turn))
	return Radius{units.Length(r), units.Length(math.Hypot(byE*c.DistanceSigma.MM(), byA*float64(c.TurnSigma)))}, nil
}

// CLR returns the radius of a bend, numbered from 1, from a point on its
// centreline in the middle, mm, known to sigma. What the axes share with each
// other, where they cross and how they turn, is counted once.
func (f Fit) CLR(bend int, middle geom.Vec, sigma units.Length) (Radius, error) {
	if bend < 1 || bend > len(f.crowns) {
		return Radius{}, fault.Within("Bend", float64(bend), 1, float64(len(f.crowns)), "")
	}
	c := f.crowns[bend-1]
	if c.half {
		return Radius{}, fault.Refuse("Bend", "its axes cross nowhere; half their distance is its CLR")
	}
	if err := errors.Join(append(placed("Point in the bend", middle), fault.Within("Sigma", sigma.MM(), finest, coarsest, "mm"), tellsCLR(units.Angle(c.turn)))...); err != nil {
		return Radius{}, err
	}
	rel := middle.Sub(c.at)
	e := rel.Norm()
	u, ok := rel.Unit()
	if !ok {
		return Radius{}, fault.Refuse("Point in the bend", "it lies where the axes cross")
	}
	r, byE, byA := crown(e, c.turn)
	own := byE * sigma.MM()
	var by [9]float64
	for k, v := range c.by {
		v = v.Scale(byA)
		if k == 1 {
			v = v.Sub(u.Scale(byE))
		}
		by[3*k], by[3*k+1], by[3*k+2] = v.X, v.Y, v.Z
	}
	variance := own * own
	for i, x := range by {
		for j, y := range by {
			variance += x * y * c.cov[i][j]
		}
	}
	return Radius{units.Length(r), units.Length(math.Sqrt(max(variance, 0)))}, nil
}

// crossing is what Fit.CLR needs of a bend: where its axes cross, how they turn,
// and how well that is known.
type crossing struct {
	half bool
	at   geom.Vec
	turn float64
	by   [3]geom.Vec // of the turn
	cov  [9][9]float64
}

func (mod model) crossings(s solved) (out []crossing) {
	for i, c := range mod.corners {
		if c.bend < 0 || c.bend < len(out) {
			continue
		}
		x := crossing{half: c.half, at: s.at[i]}
		x.turn, x.by = turnAt(s.at[i-1], s.at[i], s.at[i+1])
		for a := range x.cov {
			for b := range x.cov {
				x.cov[a][b] = s.cov.At(3*(i-1)+a, 3*(i-1)+b)
			}
		}
		out = append(out, x)
	}
	return out
}

func tellsCLR(turn units.Angle) error {
	const hair = 1e-9 // a turn made of 60° by arithmetic is 60°
	if turn.Deg() >= flattest-hair && turn.Deg() <= sharpest+hair {
		return nil
	}
	f := &fault.Field{Name: "Bent through", Got: turn.Deg(), Unit: "°", Low: flattest, High: sharpest}
	switch {
	case turn > 0 && turn.Deg() < flattest:
		_, byE, _ := crown(1, float64(turn))
		f.Why = fmt.Sprintf("a millimetre in the distance would be %.2g mm in the CLR; take the CLR of the catalogue", byE)
	case turn.Deg() > sharpest:
		f.Why = "the axes cross too far away; half the distance between them is nearer the CLR"
	}
	return f
}

// crown returns R = e/(sec(A/2) − 1) and its derivatives by e and by A.
func crown(e, turn float64) (r, byE, byA float64) {
	half := turn / 2
	sec := 1 / math.Cos(half)
	byE = 1 / (sec - 1)
	r = e * byE
	return r, byE, -r * byE * sec * math.Tan(half) / 2
}
