package survey

import (
	"math"
	"strconv"

	"tubewright/calc/geom"
	"tubewright/calc/num"
	"tubewright/calc/units"
)

// Label names a reading: a point of a straight, its direction (Point 0), or the
// point of a bend (Straight 0). All count from 1.
type Label struct{ Straight, Point, Bend int }

func (l Label) String() string {
	switch {
	case l.Bend > 0:
		return "point in bend " + strconv.Itoa(l.Bend)
	case l.Point > 0:
		return "straight " + strconv.Itoa(l.Straight) + " point " + strconv.Itoa(l.Point)
	}
	return "direction of straight " + strconv.Itoa(l.Straight)
}

// Reading is a point as the fit sees it.
type Reading struct {
	Label    Label
	Off      geom.Vec // from the fitted tube to the point, mm; of a direction its error, rad
	Distance units.Length
	// Drop is by how much leaving the reading out makes the sum of squares smaller,
	// and Error how far off it is from where all others put it; zero where nothing
	// else shows it.
	Drop  float64
	Error geom.Vec
	// Past is how far the point lies beyond its straight, in a bend or off the end of
	// the tube; 0 on the straight. A point in a bend is on no axis.
	Past units.Length
}

// Tests is the search for a wrong reading. Measured on 4,000 sound surveys of four
// straights with three points each: one of the three tests failed in 1.8 % of them,
// and a point was named in 0.75 %.
type Tests struct {
	Miss      bool // a joint misses by more than three sigmas
	ChiSquare bool // the sum of squares is above ChiLimit: dof + 3√(2·dof)
	LeaveOut  bool // leaving one reading out makes it smaller by more than DropLimit
	ChiLimit  float64
	DropLimit float64
	Suspect   *Reading // the reading that LeaveOut names, else nil
	// Also explain it nearly as well: within two sigmas of the suspect. Of three
	// points on one straight, two cannot outvote the third; only the straights before
	// and after can. A fourth point settles it.
	Also []Label
}

// Failed reports whether any test failed.
func (t Tests) Failed() bool { return t.Miss || t.ChiSquare || t.LeaveOut }

const (
	// chance is how often the best of all readings gains so much by chance.
	chance = 0.01
	// asGood is by how much a second explanation may be worse, two sigmas.
	asGood = 4
	// shown is which share of an error has to show in the residuals for a reading
	// to be judged, in its worst direction; below that others take its error on.
	shown = 0.01
)

// judge fills in residuals and tests. Leaving a reading out is not done but
// worked out (Baarda's test): with its residuals r, H = J·cov·Jᵀ of its rows,
// S = 1 − H,
//
//	drop = rᵀ S⁻¹ r    error = S⁻¹ r
//
// which is exact for a linear fit, and within rounding of a second fit here.
func (mod model) judge(s solved, f *Fit) {
	for first := 0; first < len(s.rows); {
		n := 1
		for first+n < len(s.rows) && s.rows[first+n].label == s.rows[first].label {
			n++
		}
		if group := s.rows[first : first+n]; group[0].label != (Label{}) {
			r := mod.reading(group, s.cov)
			if r.Label.Point > 0 {
				r.Past = mod.past(s.at, group[0].from, r.Label.Point-1)
			}
			f.Points = append(f.Points, r)
		}
		first += n
	}
	t := &f.Tests
	for _, j := range f.Joints {
		t.Miss = t.Miss || j.Failed
	}
	t.ChiLimit = chiLimit(f.DOF)
	t.ChiSquare = f.DOF > 0 && f.Chi2 > t.ChiLimit
	t.DropLimit = dropLimit(len(f.Points))
	best := -1
	for i, p := range f.Points {
		if p.Drop > 0 && (best < 0 || p.Drop > f.Points[best].Drop) {
			best = i
		}
	}
	if best < 0 {
		return
	}
	top := f.Points[best]
	t.LeaveOut = top.Drop > t.DropLimit
	if !t.LeaveOut {
		return
	}
	t.Suspect = &top
	for i, p := range f.Points {
		if i != best && p.Drop > top.Drop-asGood && p.Drop > 0 {
			t.Also = append(t.Also, p.Label)
		}
	}
}

// chiLimit is what a sum of squares may be: its mean and three of its own sigmas.
func chiLimit(dof int) float64 { return float64(dof) + 3*math.Sqrt(2*float64(dof)) }

// dropLimit is what the best of n readings gains by chance in one case of a
// hundred. Two squares that are normal and independent exceed x with the
// probability e^(−x/2); closed form.
func dropLimit(n int) float64 { return -2 * math.Log(chance/float64(max(n, 1))) }

func (mod model) reading(group []row, cov num.Square) Reading {
	r := Reading{Label: group[0].label}
	unit := mod.sigma
	if r.Label.Bend == 0 && r.Label.Point == 0 {
		unit = float64(mod.legSigma(r.Label.Straight - 1))
	}
	free := num.NewSquare(len(group))
	for i := range group {
		r.Off = r.Off.Add(group[i].dir.Scale(group[i].off * unit))
		free.Add(i, i, 1)
		for j := range group {
			free.Add(i, j, -joint(&group[i], &group[j], cov))
		}
	}
	if r.Label.Point > 0 || r.Label.Bend > 0 {
		r.Distance = units.Length(r.Off.Norm())
	}
	values, axes, ok := free.Eigen()
	if !ok {
		return r
	}
	for i, v := range values {
		if v < shown {
			continue
		}
		along := 0.0
		for j := range group {
			along += axes.At(i, j) * group[j].off
		}
		r.Drop += along * along / v
		for j := range group {
			r.Error = r.Error.Add(group[j].dir.Scale(axes.At(i, j) * along / v * unit))
		}
	}
	return r
}

// past returns how far a point of the leg i lies beyond the tangent points.
func (mod model) past(at []geom.Vec, i, point int) units.Length {
	from, along := at[i], at[i+1].Sub(at[i])
	length := along.Norm()
	x := mod.legs[i].of.Points[point].Sub(from).Dot(along) / length
	back, ahead := mod.setbackAt(at, i), mod.setbackAt(at, i+1)
	return units.Length(max(0, back-x, x-(length-ahead)))
}

// setbackAt returns R·tan(A/2) at a corner, 0 at a free end.
func (mod model) setbackAt(at []geom.Vec, i int) float64 {
	if mod.corners[i].bend < 0 {
		return 0
	}
	turn, _ := turnAt(at[i-1], at[i], at[i+1])
	return mod.corners[i].radius * math.Tan(turn/2)
}

func (mod model) legSigma(straight int) units.Angle {
	for _, l := range mod.legs {
		if l.straight == straight {
			return l.of.DirSigma
		}
	}
	return 0
}

// joint returns the covariance of two fitted residuals, in sigmas.
func joint(a, b *row, cov num.Square) (h float64) {
	for i := range a.n {
		for x, u := range [3]float64{a.by[i].X, a.by[i].Y, a.by[i].Z} {
			if u == 0 {
				continue
			}
			row := cov.V[(3*(a.from+i)+x)*cov.N:]
			for j := range b.n {
				k := 3 * (b.from + j)
				h += u * (row[k]*b.by[j].X + row[k+1]*b.by[j].Y + row[k+2]*b.by[j].Z)
			}
		}
	}
	return h
}
