package clear

import "math"

// axes returns where the axes of two pieces come nearest, each from its middle, and
// how near (Ericson, Real-Time Collision Detection, 5.1.9, from memory). For two
// straights that is their distance; for others, less what the rods are thick, a
// bound of it. Nearly parallel ones are worked out a second time as seen from the
// place found, where the digits that the first pass loses are small.
func axes(p, q *piece) (u, v, d float64) {
	cross := p.w.Cross(q.w)
	det := cross.Dot(cross) // 1 − (p·q)², with all its digits
	dot := p.w.Dot(q.w)
	join := q.axis.Sub(p.axis)
	if det > 1e-24 {
		u = within(join.Dot(p.w.Sub(q.w.Scale(dot)))/det, p.span)
	}
	v = within(u*dot-join.Dot(q.w), q.span)
	u = within(v*dot+join.Dot(p.w), p.span)
	r := join.Add(q.w.Scale(v)).Sub(p.w.Scale(u))
	if det < 1e-6 && det > 1e-24 {
		u = within(u+r.Dot(p.w.Sub(q.w.Scale(dot)))/det, p.span)
		v = within(u*dot-join.Dot(q.w), q.span)
		u = within(v*dot+join.Dot(p.w), p.span)
		r = join.Add(q.w.Scale(v)).Sub(p.w.Scale(u))
	}
	return u, v, norm(r)
}

// lowest returns where on p the height over a plane is least: on a bend, where
// it heads along the plane, or an end.
func (s *plane) lowest(p *piece) (u float64) {
	if p.kappa == 0 {
		if p.w.Dot(s.normal) > 0 {
			return -p.half
		}
		return p.half
	}
	turn := math.Atan2(-p.w.Dot(s.normal), -p.m.Dot(s.normal))
	if math.Abs(turn) <= p.half*p.kappa {
		return turn * p.radius
	}
	// Beyond the ends the height rises on both ways to the top: the end on the same side.
	return math.Copysign(p.half, turn)
}

// pieces compares two pieces.
func (k *search) pieces(p, q *piece, pr pair) {
	u, v, d := axes(p, q)
	k.evals++
	if !k.open(d-p.thick-q.thick, pr.skin) {
		return
	}
	if p.kappa == 0 && q.kappa == 0 {
		k.note(d, p.point(u), pr)
		return
	}
	// A straight has the tighter bound, a short bend the fewer intervals.
	if q.kappa == 0 || p.kappa != 0 && q.half < p.half {
		p, q, u = q, p, v
	}
	if p.kappa != 0 {
		u = p.nearest(p.axis.Add(p.w.Scale(u)))
	}
	k.walk(p, q, nil, u, pr)
}

// against compares a piece with a set.
func (k *search) against(p *piece, s Set, pr pair) {
	switch s := s.(type) {
	case *round:
		k.pieces(p, &s.piece, pr)
	case *ball:
		at := p.point(p.nearest(s.at))
		k.evals++
		k.note(s.Distance(at), at, pr)
	case *plane:
		at := p.point(s.lowest(p))
		k.evals++
		k.note(s.height(at), at, pr)
	default:
		k.walk(p, nil, s, 0, pr)
	}
}

// lists compares every piece of as with every one of bs, the two whose spheres are
// nearest first: what is found there settles most of the others.
func (k *search) lists(as, bs []piece, skin float64) {
	first, fa, fb := math.Inf(1), 0, 0
	for i := range as {
		for j := range bs {
			if d := norm(as[i].ball.Sub(bs[j].ball)) - as[i].reach - bs[j].reach; d < first {
				first, fa, fb = d, i, j
			}
		}
	}
	if !k.open(first, skin) {
		return
	}
	k.pieces(&as[fa], &bs[fb], pair{ia: fa, ib: fb, skin: skin})
	for i := range as {
		for j := range bs {
			if apart(&as[i], &bs[j], k.best+skin-k.eps) || i == fa && j == fb {
				continue
			}
			k.pieces(&as[i], &bs[j], pair{ia: i, ib: j, skin: skin})
		}
	}
}

// set compares every piece of as with a set, the one that may be nearest first.
func (k *search) set(as []piece, s Set, pr pair) {
	c, r := s.Bound()
	least := func(p *piece) float64 {
		if math.IsInf(r, 1) {
			return math.Inf(-1)
		}
		return norm(p.ball.Sub(c)) - p.reach - r
	}
	first, low := 0, math.Inf(1)
	for i := range as {
		if d := least(&as[i]); d < low {
			first, low = i, d
		}
	}
	if !k.open(low, pr.skin) {
		return
	}
	pr.ia = first
	k.against(&as[first], s, pr)
	for i := range as {
		if i != first && k.open(least(&as[i]), pr.skin) {
			pr.ia = i
			k.against(&as[i], s, pr)
		}
	}
}

// apart reports whether two pieces are at least d from each other, by their
// spheres.
func apart(p, q *piece, d float64) bool {
	d = max(0, d+p.reach+q.reach)
	v := p.ball.Sub(q.ball)
	return v.Dot(v) >= d*d
}
