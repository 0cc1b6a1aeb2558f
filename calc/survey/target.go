package survey

import (
	"errors"
	"fmt"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/num"
)

// Target returns how well a point of the first frame is carried to the second,
// target in mm in the second frame:
//
//	cov = σ²/n · (1 + Σₖ (eₖ×r)(eₖ×r)ᵀ/fₖ²)
//
// with r from the mean of the points to the target, eₖ their principal axes and fₖ²
// the mean square of their distances from axis k. Its trace is the form of
// Fitzpatrick and West, FLE²/n·(1 + ⅓ Σ dₖ²/fₖ²) with FLE² = 3σ², from memory, here
// confirmed by Monte Carlo. σ is the one stated to Register. The error is a
// *fault.Field.
func (t Tie) Target(target geom.Vec) (Ellipsoid, error) {
	if err := errors.Join(placed("Target", target)...); err != nil {
		return Ellipsoid{}, err
	}
	if len(t.points) == 0 {
		return Ellipsoid{}, fault.Refuse("Points measured in both frames", "the frames are not tied yet")
	}
	return newEllipsoid(targetCov(t.points, target, t.sigma)), nil
}

func targetCov(pts []geom.Vec, target geom.Vec, sigma float64) num.Square {
	centre := mean(pts)
	m, axes := moments(pts, centre)
	cov := num.NewSquare(3)
	each := sigma * sigma / float64(len(pts))
	r := target.Sub(centre)
	for k, e := range axes {
		cov.Add(k, k, each)
		// n·f² is what lies along the two other axes.
		addOuter(cov, sigma*sigma/(m[(k+1)%3]+m[(k+2)%3]), e.Cross(r))
	}
	return cov
}

// Better returns what each further point, measured in both frames as well as the
// others, would bring for the target, the best first. Without candidates, the
// point is the target itself: nothing helps more than a reference near the
// collector. All in mm in the second frame.
func (t Tie) Better(target geom.Vec, candidates ...geom.Vec) ([]Advice, error) {
	now, err := t.Target(target)
	if err != nil {
		return nil, err
	}
	if len(candidates) == 0 {
		candidates = []geom.Vec{target}
	}
	var out []Advice
	for i, c := range candidates {
		if err := errors.Join(placed(fmt.Sprintf("Further point %d", i+1), c)...); err != nil {
			return nil, err
		}
		pts := append(append([]geom.Vec(nil), t.points...), c)
		out = insert(out, Advice{c, now.RMS(), newEllipsoid(targetCov(pts, target, t.sigma)).RMS()})
	}
	return out, nil
}

// insert keeps advice in order, the best first, and of equals the one given first.
func insert(list []Advice, a Advice) []Advice {
	at := len(list)
	for at > 0 && list[at-1].After > a.After {
		at--
	}
	list = append(list, Advice{})
	copy(list[at+1:], list[at:])
	list[at] = a
	return list
}
