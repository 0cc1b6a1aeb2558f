package survey

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/units"
)

// Tape is a distance from a known point to the one that is looked for.
type Tape struct {
	From     geom.Vec
	Distance units.Length
	Sigma    units.Length // of the distance, with what From is not known to along it
}

// Fix is a point found by tapes.
type Fix struct {
	At        geom.Vec
	Known     Ellipsoid
	Residuals []units.Length // measured less fitted, a tape each
	Chi2      float64
	DOF       int  // tapes − 3
	TooFar    bool // Chi2 above dof + 3√(2·dof)

	// Suspect is the number of the tape that leaving one out names, from 1, else 0;
	// Error is how much too long it is. With four tapes one can be too much but none
	// be named: any one of them explains it.
	Suspect int
	Error   units.Length
	Also    []int // explain it nearly as well

	Mirror *geom.Vec // the other point that fits as well, across the plane of the references; nil when there is none

	cov    num.Square
	sigma  float64  // mean of the tapes
	centre geom.Vec // of the references
}

const mostTapes = 100

// doubt is by how much the sum of squares must be worse on the other side for the
// tapes to decide alone: five sigmas.
const doubt = 25

// Locate returns the point that fits the distances to three or more known points
// best: least squares of |x − rᵢ| − dᵢ in their sigmas, by Levenberg-Marquardt
// steps from both sides of the plane nearest to the references. Its covariance is
// (UᵀWU)⁻¹ with U the directions from the references.
//
// References in one plane, as three always are, have two such points, mirrored in
// it; side, a direction, says on which side of them the point lies. References that
// leave no doubt need none, and none is asked of them. Settled to 1e-8 mm, at most 200
// steps a side.
//
// The error is a *fault.Field: too few tapes, references on one line, no side where
// one is needed, a point too near the plane of its references for tapes to tell
// how far from it.
func Locate(tapes []Tape, side geom.Vec) (Fix, error) {
	refs, sigma, err := checkTapes(tapes, side)
	if err != nil {
		return Fix{}, err
	}
	centre := mean(refs)
	m, axes := moments(refs, centre)
	if wide := math.Sqrt(m[1]); !(wide >= shortest*sigma && m[1] > 1e-18*m[0]) {
		return Fix{}, fault.Refuse("References", fmt.Sprintf("they lie on one line to %.2g mm, so the point could be anywhere round it; add a reference well off that line", math.Sqrt(m[1]/float64(len(refs)))))
	}
	foot, height := linear(tapes, centre, m, axes)
	var found []tapeFit
	for _, s := range []float64{1, -1} {
		if f, ok := settle(tapes, foot.Add(axes[2].Scale(s*height))); ok {
			found = append(found, f)
		}
	}
	f, err := pick(tapes, found, centre, axes[2], side)
	if err != nil {
		return Fix{}, err
	}
	f.sigma, f.centre = sigma, centre
	f.judge(tapes)
	return f, nil
}

func checkTapes(tapes []Tape, side geom.Vec) (refs []geom.Vec, sigma float64, err error) {
	if n := len(tapes); n < 3 || n > mostTapes {
		return nil, 0, fault.Within("Tapes", float64(n), 3, mostTapes, "")
	}
	var faults []error
	for i, t := range tapes {
		refs = append(refs, t.From)
		sigma += t.Sigma.MM() / float64(len(tapes))
		one := append(placed("Reference", t.From),
			within("Distance", t.Distance.MM(), 0, farthest, "mm"), fault.Within("Sigma", t.Sigma.MM(), finest, coarsest, "mm"))
		faults = append(faults, fault.At(errors.Join(one...), fault.Field{Where: fmt.Sprintf("tape %d", i+1)}))
	}
	if !side.IsFinite() {
		faults = append(faults, fault.Refuse("Side", "every part has to be a finite number"))
	}
	return refs, sigma, errors.Join(faults...)
}

// linear returns where the foot of the point lies in the plane nearest to the
// references, and how far above it the point is, from the differences of the squared
// distances; exact where the references lie in that plane and the tapes are.
func linear(tapes []Tape, centre geom.Vec, m [3]float64, axes [3]geom.Vec) (foot geom.Vec, height float64) {
	n := float64(len(tapes))
	level := 0.0 // mean of d² − ρ²
	excess := make([]float64, len(tapes))
	for i, t := range tapes {
		rho := t.From.Sub(centre)
		excess[i] = t.Distance.MM()*t.Distance.MM() - rho.Dot(rho)
		level += excess[i] / n
	}
	foot = centre
	square := level
	for k := range 2 {
		y := 0.0
		for i, t := range tapes {
			y -= t.From.Sub(centre).Dot(axes[k]) * (excess[i] - level) / (2 * m[k])
		}
		foot = foot.Add(axes[k].Scale(y))
		square -= y * y
	}
	// Tapes that do not meet still need a start off the plane, where the slope is.
	least := 0.01 * (m[0] + m[1]) / n
	return foot, math.Sqrt(max(square, least))
}

// tapeFit is a settled point.
type tapeFit struct {
	at     geom.Vec
	chi2   float64
	cov    num.Square
	unsure bool // the tapes do not fix it in all directions
}

// settle goes downhill from a start.
func settle(tapes []Tape, at geom.Vec) (tapeFit, bool) {
	f := tapeFit{at: at, chi2: stretch(tapes, at)}
	damp := 1e-3
	for range 200 {
		normal, down := pulls(tapes, f.at)
		damped := num.Square{N: 3, V: append([]float64(nil), normal.V...)}
		trace := normal.At(0, 0) + normal.At(1, 1) + normal.At(2, 2)
		for k := range 3 {
			damped.Add(k, k, damp*trace)
		}
		factor, ok := damped.Cholesky()
		if !ok {
			return f, false
		}
		x := factor.Solve(down)
		step := geom.Vec{X: x[0], Y: x[1], Z: x[2]}
		next := f.at.Add(step)
		chi2 := stretch(tapes, next)
		if !(chi2 <= f.chi2) {
			if step.Norm() < settled || damp > 1e12 {
				break
			}
			damp *= 10
			continue
		}
		f.at, f.chi2 = next, chi2
		damp = max(damp/10, 1e-15)
		if step.Norm() < settled {
			break
		}
	}
	normal, _ := pulls(tapes, f.at)
	factor, ok := normal.Cholesky()
	if f.unsure = !ok; ok {
		f.cov = factor.Inverse()
	}
	return f, f.at.IsFinite()
}

func stretch(tapes []Tape, at geom.Vec) (chi2 float64) {
	for _, t := range tapes {
		e := (t.Distance.MM() - at.Sub(t.From).Norm()) / t.Sigma.MM()
		chi2 += e * e
	}
	return chi2
}

// pulls returns UᵀWU and UᵀW(d − |x − r|).
func pulls(tapes []Tape, at geom.Vec) (normal num.Square, down []float64) {
	normal, down = num.NewSquare(3), make([]float64, 3)
	for _, t := range tapes {
		rel := at.Sub(t.From)
		u, _ := rel.Unit() // on a reference any direction is as good: none
		w := 1 / (t.Sigma.MM() * t.Sigma.MM())
		addOuter(normal, w, u)
		pull := u.Scale(w * (t.Distance.MM() - rel.Norm()))
		down[0] += pull.X
		down[1] += pull.Y
		down[2] += pull.Z
	}
	return normal, down
}

// pick takes the side that was stated, or the one the tapes leave no doubt of.
func pick(tapes []Tape, found []tapeFit, centre, normal, side geom.Vec) (Fix, error) {
	if len(found) < 2 {
		return Fix{}, fault.Refuse("Tapes", "no point was found that fits them; check the distances")
	}
	a, b := found[0], found[1]
	if b.chi2 < a.chi2 {
		a, b = b, a
	}
	if a.unsure || lean(tapes, a.at, normal) < threeSigma*math.Sqrt(spread(a.cov, normal)) {
		return Fix{}, fault.Refuse("Tapes", fmt.Sprintf("the point lies in the plane of its references as nearly as the tapes can tell, %.3g mm from it, so they do not fix how far from it, or they do not meet; check them, and add a reference well off that plane", math.Abs(a.at.Sub(centre).Dot(normal))))
	}
	fix := Fix{}
	if across := a.at.Sub(b.at); across.Norm() > 1e-3 && b.chi2-a.chi2 <= doubt {
		d, ok := side.Unit()
		u, _ := across.Unit()
		if !ok || b.unsure || math.Abs(d.Dot(u)) < 0.1 {
			return Fix{}, fault.Refuse("Side", fmt.Sprintf("two points fit, on either side of the plane of the references: %s and %s; say on which side it lies, or add a reference well off that plane", show(a.at), show(b.at)))
		}
		if d.Dot(u) < 0 {
			a, b = b, a
		}
		fix.Mirror = &b.at
	}
	fix.At, fix.Chi2, fix.cov, fix.Known = a.at, a.chi2, a.cov, newEllipsoid(a.cov)
	return fix, nil
}

// lean is how far off the plane of the references the point is as the tapes see
// it: their mean length times the root mean square of their slopes to the plane.
// Where it is no more than some sigmas, lengths change with the square of the
// distance from the plane, and linear propagation means nothing.
func lean(tapes []Tape, at, normal geom.Vec) float64 {
	length, slope, n := 0.0, 0.0, float64(len(tapes))
	for _, t := range tapes {
		rel := at.Sub(t.From)
		u, _ := rel.Unit()
		length += rel.Norm() / n
		slope += u.Dot(normal) * u.Dot(normal) / n
	}
	return length * math.Sqrt(slope)
}

func show(p geom.Vec) string { return fmt.Sprintf("(%.1f, %.1f, %.1f)", p.X, p.Y, p.Z) }

// judge fills in residuals and the suspect. Leaving tape i out makes the sum of
// squares smaller by eᵢ²/(1 − hᵢ), and puts its error at eᵢ/(1 − hᵢ), with hᵢ what
// the tape itself holds of the point (Baarda's test). One square alone exceeds the
// limit less often than the two for which it was made.
func (f *Fix) judge(tapes []Tape) {
	f.DOF = len(tapes) - 3
	f.TooFar = f.DOF > 0 && f.Chi2 > chiLimit(f.DOF)
	drops := make([]float64, len(tapes))
	best, longBy := -1, 0.0
	for i, t := range tapes {
		rel := f.At.Sub(t.From)
		e := t.Distance.MM() - rel.Norm()
		f.Residuals = append(f.Residuals, units.Length(e))
		u, _ := rel.Unit()
		free := 1 - spread(f.cov, u)/(t.Sigma.MM()*t.Sigma.MM())
		if f.DOF < 1 || free < shown {
			continue
		}
		drops[i] = e * e / free / (t.Sigma.MM() * t.Sigma.MM())
		if best < 0 || drops[i] > drops[best] {
			best, longBy = i, e/free
		}
	}
	if best < 0 || drops[best] <= dropLimit(len(tapes)) {
		return
	}
	f.Suspect, f.Error = best+1, units.Length(longBy)
	for i, d := range drops {
		if i != best && d > drops[best]-asGood {
			f.Also = append(f.Also, i+1)
		}
	}
	if len(f.Also) == len(tapes)-1 {
		f.Suspect, f.Error, f.Also = 0, 0, nil // any one of them: none is named
	}
}

// spread returns the variance along the unit vector u.
func spread(cov num.Square, u geom.Vec) (variance float64) {
	a := [3]float64{u.X, u.Y, u.Z}
	for i, v := range cov.Times(a[:]) {
		variance += v * a[i]
	}
	return variance
}
