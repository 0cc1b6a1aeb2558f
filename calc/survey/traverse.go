package survey

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Traverse is a tube entered piece by piece, from clamp centre to bend centre and
// with a protractor, and where it is known to end.
type Traverse struct {
	Start     geom.Frame // exact: the port centre and its aim
	Rows      []TraverseRow
	Last      units.Length
	LastSigma units.Length
	End       Socket
}

// TraverseRow is a row of bender data as measured. A sigma of 0 holds its value.
type TraverseRow struct {
	tube.Row
	LengthSigma, CLRSigma    units.Length
	RotationSigma, TurnSigma units.Angle
}

// Socket is the measured collector: where the tube ends, which way it then heads,
// and what its reference must point along, the one that walking leaves in the plane
// of the last bend. Dir and Ref may be the zero vector: not measured.
type Socket struct {
	At                 geom.Vec
	Sigma              units.Length // of each coordinate of At
	Dir, Ref           geom.Vec
	DirSigma, RefSigma units.Angle // of Dir each way; of Ref about Dir
}

// Misclosure is what a tube as measured lacks at the collector.
type Misclosure struct {
	Off      geom.Vec // from where the tube ends to where it should, mm
	Distance units.Length
	Angle    units.Angle // between where it heads and where it should
	Roll     units.Angle // of the reference about the direction, unsigned
}

// Closed is a tube adjusted onto its collector.
type Closed struct {
	Before, After Misclosure
	LRA           tube.LRA
	Sigmas        []TraverseSigma // one a row of LRA
	LastSigma     units.Length
	Length        units.Length
	LengthSigma   units.Length
	End           Ellipsoid // of where the adjusted tube ends
	Chi2          float64
	DOF           int  // 3 for the place, 2 for the direction, 1 for the reference
	TooFar        bool // Chi2 above dof + 3√(2·dof): a reading is wrong, or a sigma too small
}

// TraverseSigma is how well the values of a row are known after adjusting.
type TraverseSigma struct {
	Length, CLR    units.Length
	Rotation, Turn units.Angle
}

// Close adjusts the values to the measured collector, each as far as its sigma
// lets it, like a surveyor's traverse:
//
//	x = x₀ + C Jᵀ (J C Jᵀ + S)⁻¹ (m + J (x − x₀))
//
// with x₀ as measured, C and S the variances of the values and of the collector, m
// the misclosure and J its derivative at x; repeated from x₀ until x stays, at
// most 40 times. Their covariance is then C − C Jᵀ (J C Jᵀ + S)⁻¹ J C. Mikhail and
// Ackermann, Observations and Least Squares, chapter 9; from memory.
//
// The error is one or more *fault.Field: values or sigmas out of range, a collector
// more than a quarter turn from where the tube heads, values that can only be
// reached with a straight shorter than nothing.
func (t Traverse) Close() (Closed, error) {
	if err := t.check(); err != nil {
		return Closed{}, err
	}
	prior, variance := t.values()
	x := append([]float64(nil), prior...)
	var c Closed
	var last closing
	for step := 0; ; step++ {
		last = t.closing(x)
		if step == 0 {
			c.Before = t.misclosure(last.end)
			if last.end.T.Dot(t.End.aim()) < 0 && t.End.isAimed() || t.End.isRolled() && c.Before.Roll.Deg() >= 90 {
				return Closed{Before: c.Before}, fault.Refuse("Collector", fmt.Sprintf("the tube as measured arrives %.3g mm away, turned by %.3g° and rolled by %.3g°; that is no error of measuring. Check rotations and the collector's direction",
					c.Before.Distance.MM(), c.Before.Angle.Deg(), c.Before.Roll.Deg()))
			}
		}
		if !last.solve(variance, x, prior) {
			return Closed{Before: c.Before}, fault.Refuse("Sigma", "no value may give way; state how well each is known")
		}
		moved := 0.0
		for i := range x {
			to := prior[i] + last.change[i]
			if variance[i] > 0 {
				moved = max(moved, math.Abs(to-x[i])/math.Sqrt(variance[i]))
			}
			x[i] = to
		}
		if moved < 1e-9 {
			break
		}
		if step == 40 || !(moved < 1e6) {
			return Closed{Before: c.Before}, fault.Refuse("Collector", fmt.Sprintf("the tube as measured arrives %.4g mm away and does not settle onto it in %d steps; check the values", c.Before.Distance.MM(), step+1))
		}
	}
	return t.closed(c, x, variance, last)
}

// closed fills in what was adjusted.
func (t Traverse) closed(c Closed, x, variance []float64, last closing) (Closed, error) {
	c.LRA = t.adjusted(x)
	w, err := tube.Walk(t.Start, c.LRA.Elements())
	if err != nil {
		return Closed{Before: c.Before}, fmt.Errorf("tube adjusted to the collector: %w", err)
	}
	c.After = t.misclosure(w.End)
	c.Length = w.Length
	c.DOF = len(last.off)
	c.Chi2 = last.chi2
	c.TooFar = c.Chi2 > chiLimit(c.DOF)
	sigma := func(i int) float64 {
		return math.Sqrt(last.remaining(variance, func(k int) float64 { return unit(k == i) }))
	}
	for i := range t.Rows {
		c.Sigmas = append(c.Sigmas, TraverseSigma{
			Length: units.Length(sigma(4 * i)), Rotation: units.Angle(sigma(4*i + 1)),
			Turn: units.Angle(sigma(4*i + 2)), CLR: units.Length(sigma(4*i + 3)),
		})
	}
	c.LastSigma = units.Length(sigma(4 * len(t.Rows)))
	c.LengthSigma = units.Length(math.Sqrt(last.remaining(variance, func(k int) float64 {
		switch k % 4 { // the last straight is a length too
		case 2:
			return x[k+1]
		case 3:
			return x[k-1]
		}
		return unit(k%4 == 0)
	})))
	c.End = newEllipsoid(last.place(variance))
	return c, nil
}

func unit(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

func (t Traverse) check() error {
	var faults []error
	if n := len(t.Rows); n > mostStraights {
		faults = append(faults, fault.Within("Bends", float64(n), 0, mostStraights, ""))
	}
	for i, r := range t.Rows {
		faults = append(faults, fault.At(errors.Join(
			fault.Within("Sigma of the straight", r.LengthSigma.MM(), 0, coarsest, "mm"),
			fault.Within("Sigma of the rotation", r.RotationSigma.Deg(), 0, 45, "°"),
			fault.Within("Sigma of the turn", r.TurnSigma.Deg(), 0, 45, "°"),
			fault.Within("Sigma of the CLR", r.CLRSigma.MM(), 0, coarsest, "mm")), fault.Field{Where: fmt.Sprintf("row %d", i+1)}))
	}
	faults = append(faults, fault.Within("Sigma of the last straight", t.LastSigma.MM(), 0, coarsest, "mm"),
		fault.At(errors.Join(t.End.check()...), fault.Field{Where: "collector"}))
	if err := errors.Join(faults...); err != nil {
		return err
	}
	_, err := tube.Walk(t.Start, t.adjusted(first(t.values())).Elements())
	return err
}

func first(x, _ []float64) []float64 { return x }

func (s Socket) check() (faults []error) {
	faults = append(placed("Place", s.At), fault.Within("Sigma of the place", s.Sigma.MM(), finest, coarsest, "mm"))
	if s.isAimed() {
		faults = append(faults, fault.Within("Sigma of the direction", s.DirSigma.Deg(), finest, 45, "°"))
		if _, ok := s.Dir.Unit(); !ok {
			faults = append(faults, fault.Refuse("Direction", "a direction needs a finite length above zero"))
		}
	}
	if !s.isRolled() {
		return faults
	}
	faults = append(faults, fault.Within("Sigma of the reference", s.RefSigma.Deg(), finest, 45, "°"))
	if _, err := geom.NewFrame(geom.Vec{}, s.Dir, s.Ref); err != nil {
		faults = append(faults, fault.Refuse("Reference", "it needs a direction, square to that of the collector or nearly so"))
	}
	return faults
}

func (s Socket) isAimed() bool  { return s.Dir != (geom.Vec{}) }
func (s Socket) isRolled() bool { return s.Ref != (geom.Vec{}) }

func (s Socket) aim() geom.Vec {
	d, _ := s.Dir.Unit()
	return d
}

// values returns what was measured in a row, straight, rotation, turn, CLR of each
// bend and the last straight, and the variances.
func (t Traverse) values() (x, variance []float64) {
	for _, r := range t.Rows {
		x = append(x, r.Length.MM(), float64(r.Rotation), float64(r.Turn), r.Radius.MM())
		for _, s := range [4]float64{r.LengthSigma.MM(), float64(r.RotationSigma), float64(r.TurnSigma), r.CLRSigma.MM()} {
			variance = append(variance, s*s)
		}
	}
	return append(x, t.Last.MM()), append(variance, t.LastSigma.MM()*t.LastSigma.MM())
}

func (t Traverse) adjusted(x []float64) tube.LRA {
	l := tube.LRA{Last: units.Length(x[len(x)-1])}
	for i := range t.Rows {
		v := x[4*i:]
		l.Rows = append(l.Rows, tube.Row{Length: units.Length(v[0]), Rotation: units.Angle(v[1]), Turn: units.Angle(v[2]), Radius: units.Length(v[3])})
	}
	return l
}

func (t Traverse) misclosure(end geom.Frame) Misclosure {
	m := Misclosure{Off: t.End.At.Sub(end.O)}
	m.Distance = units.Length(m.Off.Norm())
	if t.End.isAimed() {
		m.Angle = units.Angle(end.T.Angle(t.End.Dir))
	}
	if t.End.isRolled() {
		n, ref := end.N, t.End.Ref
		d := t.End.aim()
		n, ref = n.Sub(d.Scale(n.Dot(d))), ref.Sub(d.Scale(ref.Dot(d)))
		m.Roll = units.Angle(n.Angle(ref))
	}
	return m
}
