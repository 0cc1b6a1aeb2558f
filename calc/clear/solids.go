package clear

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Solids returns the least gap between two sets that stand still, a tool on its way and
// what stands in it; Options.Roll is not looked at. Rods and stretches of tube are
// walked as in To, planes have a closed form. Other cores are convex: steps go from
// one to the nearest place of the other and back, with the momentum of Nesterov, from
// memory, and what lies between the two along the join of the places found bounds the
// gap from below. Cores that meet overlap by their skins, however deep they do. Two
// planes are not compared: they are Beyond.
func Solids(a, b Set, o Options) Result {
	switch r := b.(type) {
	case *round:
		return r.alone().toStill([]Set{a}, o).swap()
	case *plane:
		return r.under(a, o)
	}
	switch a.(type) {
	case *round, *plane:
		return Solids(b, a, o).swap()
	}
	skins := a.Skin() + b.Skin()
	ca, ra := a.Bound()
	cb, rb := b.Bound()
	if d := norm(ca.Sub(cb)) - ra - rb - skins; d >= o.cutoff() {
		return Result{Gap: units.Length(min(d, o.cutoff())), Beyond: true}
	}
	return bounce(a.(solid), b.(solid), skins, o)
}

// solid is a convex core. Lowest returns the place of it farthest against a direction.
type solid interface {
	Set
	lowest(dir geom.Vec) geom.Vec
}

// mostBounces is where nearest places are given up; then Eps says what is known.
const mostBounces = 1000

func bounce(a, b solid, skins float64, o Options) Result {
	ca, _ := a.Bound()
	q := b.Nearest(ca)
	last, t := q, 1.0
	best, lower := math.Inf(1), math.Inf(-1)
	r := Result{}
	for r.Evaluations < mostBounces {
		r.Evaluations++
		next := (1 + math.Sqrt(1+4*t*t)) / 2
		from := q.Add(q.Sub(last).Scale((t - 1) / next))
		last, t = q, next
		p := a.Nearest(from)
		q = b.Nearest(p)
		if from.Sub(q).Dot(q.Sub(last)) > 0 { // it ran past: begin anew
			t = 1
		}
		join := q.Sub(p)
		if d := norm(join); d < best {
			best, r.A.Axis, r.B.Axis = d, p, q
		}
		dir, apart := join.Unit()
		if !apart {
			lower = 0
			break
		}
		lower = max(lower, b.lowest(dir).Dot(dir)-a.lowest(dir.Scale(-1)).Dot(dir))
		if lower-skins >= o.cutoff() {
			return Result{Gap: units.Length(o.cutoff()), Beyond: true, Evaluations: r.Evaluations}
		}
		if best-max(0, lower) <= o.eps() {
			break
		}
	}
	r.Gap, r.Eps = units.Length(best-skins), units.Length(best-max(0, lower))
	r.surfaces(a.Skin(), b.Skin())
	return r
}

// alone is the piece as a path.
func (r *round) alone() Path { return pathOf([]piece{r.piece}, r.skin, 0, r.from+2*r.half) }

// under returns how high a set stands over the plane.
func (s *plane) under(a Set, o Options) Result {
	var at geom.Vec
	switch a := a.(type) {
	case *round:
		at = a.point(s.lowest(&a.piece))
	case solid:
		at = a.lowest(s.normal)
	default:
		return Result{Gap: units.Length(math.Inf(1)), Beyond: true}
	}
	gap := s.height(at) - a.Skin()
	if gap >= o.cutoff() {
		return Result{Gap: units.Length(o.cutoff()), Beyond: true, Evaluations: 1}
	}
	on := at.Sub(s.normal.Scale(s.height(at)))
	return Result{Gap: units.Length(gap), Evaluations: 1,
		A: Place{Axis: at, Surface: at.Sub(s.normal.Scale(a.Skin()))}, B: Place{Axis: on, Surface: on}}
}

func (r Result) swap() Result {
	r.A, r.B = r.B, r.A
	return r
}

func (b *ball) lowest(geom.Vec) geom.Vec { return b.at }

func (b *box) lowest(dir geom.Vec) geom.Vec {
	at := b.at
	for _, e := range [3]geom.Vec{b.x.Scale(b.half.X), b.y.Scale(b.half.Y), b.z.Scale(b.half.Z)} {
		at = at.Sub(e.Scale(math.Copysign(1, e.Dot(dir))))
	}
	return at
}

func (c *cylinder) lowest(dir geom.Vec) geom.Vec {
	along := dir.Dot(c.dir)
	at := c.at.Sub(c.dir.Scale(math.Copysign(c.half, along)))
	out := dir.Sub(c.dir.Scale(along))
	if r := norm(out); r > finest { // else it is rounding, and may point along the axis
		at = at.Sub(out.Scale(c.radius / r))
	}
	return at
}
