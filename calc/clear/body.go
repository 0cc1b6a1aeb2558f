package clear

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// To returns the least gap between a tube and a body, over every position of both.
func To(p Path, b Body, o Options) Result {
	if len(p.pieces) == 0 || len(b.Sets) == 0 {
		return Result{Gap: units.Length(math.Inf(1)), Beyond: true}
	}
	if b.Moves.still() && o.Roll.still() {
		return p.toStill(b.Sets, o)
	}
	if lower := p.apart(&b, &o); lower >= o.cutoff() {
		return Result{Gap: units.Length(o.cutoff()), Beyond: true}
	}
	return p.toMoving(b, o)
}

// apart returns what the gap is at least by the spheres about the path and what the
// sets sweep through. Most neighbours are so far off that nothing else is asked.
func (p *Path) apart(b *Body, o *Options) float64 {
	lower := math.Inf(1)
	pc, pr := o.Roll.swept(p.ball, p.reach, false)
	for _, s := range b.Sets {
		c, r := s.Bound()
		sc, sr := b.Moves.swept(c, r, false)
		lower = min(lower, norm(sc.Sub(pc))-sr-pr-p.radius-s.Skin())
	}
	return lower
}

// toMoving is To where something moves. It stands apart because a sweep lies on
// the heap and would take the arguments of To with it.
func (p Path) toMoving(b Body, o Options) Result {
	w := sweep{path: &p, motions: [2]*Motion{&b.Moves, &o.Roll}, moved: make([]piece, len(p.pieces))}
	best := outcome{gap: math.Inf(1), lower: math.Inf(1)}
	for i, s := range b.Sets {
		got := w.one(s, min(o.cutoff(), best.gap), o.eps())
		got.set = i
		best.take(got)
	}
	return w.result(best, b, o.cutoff())
}

// toStill is To where nothing moves.
func (p Path) toStill(sets []Set, o Options) Result {
	var k search
	k.start(o.cutoff(), o.eps())
	for i, s := range sets {
		c, r := s.Bound()
		skin := p.radius + s.Skin()
		if k.open(norm(p.ball.Sub(c))-p.reach-r, skin) || math.IsInf(r, 1) {
			k.set(p.pieces, s, pair{ib: i, skin: skin})
		}
	}
	r := k.result(o.cutoff())
	if r.Beyond {
		return r
	}
	s, q := sets[k.ib], &p.pieces[k.ia]
	u := q.nearest(k.at)
	r.Set = k.ib
	r.A = Place{S: units.Length(q.from + q.half + u), Axis: q.point(u)}
	r.B = Place{Axis: s.Nearest(r.A.Axis)}
	r.surfaces(p.radius, s.Skin())
	return r
}

// outcome is what is known of a range of positions: a gap that is attained, +Inf
// where none was found, and what the least gap cannot be below.
type outcome struct {
	gap, lower float64

	at    geom.Vec // as seen from the body at rest
	piece int
	set   int
	t     [2]float64 // of the motions
}

// take keeps the nearer of two places and what is certain of both.
func (o *outcome) take(got outcome) {
	got.lower = min(got.lower, o.lower)
	if got.gap < o.gap {
		*o = got
	}
	o.lower = got.lower
}

// sweep compares a path with one set after the other. What moves is the path, as
// seen from the body at rest: back by the body's own motion, after the roll.
type sweep struct {
	k     search
	path  *Path
	moved []piece // the path's pieces at the position looked at

	set     Set
	skin    float64
	deepest float64    // how deep in a plane the path may get
	motions [2]*Motion // the body's, then the roll
	speed   [2]float64
}

// one compares the path with a set.
func (w *sweep) one(s Set, cut, eps float64) outcome {
	w.set, w.skin = s, w.path.radius+s.Skin()
	c, r := s.Bound()
	own, roll := w.motions[0], w.motions[1]
	sc, sr := own.swept(c, r, false)
	pc, pr := roll.swept(w.path.ball, w.path.reach, false)
	if d := norm(sc.Sub(pc)) - sr - pr - w.skin; d >= cut {
		return outcome{gap: math.Inf(1), lower: d}
	}
	// Either side may be taken for the one that moves; the slower bounds better.
	reach := 0.0
	for i := range w.path.pieces {
		q := &w.path.pieces[i]
		reach = max(reach, roll.speed(q.ball, q.reach))
	}
	w.speed = [2]float64{min(own.speed(c, r), own.speed(pc, pr)), min(reach, roll.speed(sc, sr))}
	// A height over a plane is a distance from one that lies deep enough.
	w.deepest = 0
	if s, ok := s.(*plane); ok {
		c, r := own.swept(pc, pr, true)
		w.deepest = max(0, r-s.height(c))
	}
	return w.least(0, geom.Still, cut, eps)
}

// look compares the path where it is.
func (w *sweep) look(cut, eps float64) outcome {
	w.k.start(cut, eps)
	w.k.evals++ // a position is work even where spheres settle it
	w.k.set(w.moved, w.set, pair{skin: w.skin})
	if !w.k.found {
		return outcome{gap: math.Inf(1), lower: min(cut, w.k.floor)}
	}
	return outcome{gap: w.k.best, lower: min(w.k.best-eps, w.k.floor), at: w.k.at, piece: w.k.ia}
}

// result names the places of what was found.
func (w *sweep) result(o outcome, b Body, cutoff float64) Result {
	r := Result{Gap: units.Length(o.gap), Evaluations: w.k.evals}
	if o.lower >= cutoff || math.IsInf(o.gap, 1) {
		r.Gap, r.Beyond = units.Length(min(o.lower, cutoff)), true
		return r
	}
	r.Eps, r.Set, r.Move, r.Roll = units.Length(o.gap-o.lower), o.set, o.t[0], o.t[1]
	own := w.motions[0].pose(o.t[0])
	seen := w.motions[1].pose(o.t[1]).Then(own.Inverse())
	s, p := b.Sets[o.set], w.path.pieces[o.piece].moved(&seen)
	u := p.nearest(o.at)
	at := p.point(u)
	r.A = Place{S: units.Length(p.from + p.half + u), Axis: own.Point(at)}
	r.B = Place{Axis: own.Point(s.Nearest(at))}
	r.surfaces(w.path.radius, s.Skin())
	return r
}
