package survey

import (
	"errors"
	"fmt"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/num"
)

// reach is how far from the point a further reference is proposed, in mm, where
// the user names none: within an arm's length, and long beside what it is known to.
const reach = 300

// Better returns what a tape from each further reference would bring, as good as
// the mean of those there are, the best first. Without candidates the place is
// 300 mm from the point along the longest axis of its ellipsoid, on the side of the
// references: there one tape helps most.
func (f Fix) Better(candidates ...geom.Vec) ([]Advice, error) {
	if f.cov.N == 0 {
		return nil, fault.Refuse("Tapes", "the point is not fixed yet")
	}
	if len(candidates) == 0 {
		away := f.Known.Axis[0].Scale(reach)
		if away.Dot(f.centre.Sub(f.At)) < 0 {
			away = away.Scale(-1)
		}
		candidates = []geom.Vec{f.At.Add(away)}
	}
	var out []Advice
	for i, c := range candidates {
		if err := errors.Join(placed(fmt.Sprintf("Further reference %d", i+1), c)...); err != nil {
			return nil, err
		}
		u, _ := f.At.Sub(c).Unit()
		out = insert(out, Advice{c, f.Known.RMS(), newEllipsoid(f.with(u)).RMS()})
	}
	return out, nil
}

// with returns the covariance after one more tape along u (Sherman and Morrison):
//
//	C − C u uᵀ C/(σ² + uᵀ C u)
func (f Fix) with(u geom.Vec) num.Square {
	cov := num.Square{N: 3, V: append([]float64(nil), f.cov.V...)}
	v := f.cov.Times([]float64{u.X, u.Y, u.Z})
	addOuter(cov, -1/(f.sigma*f.sigma+spread(f.cov, u)), geom.Vec{X: v[0], Y: v[1], Z: v[2]})
	return cov
}
