package clear

import (
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// Usual is the eps that will do for a plan.
const Usual = units.Length(0.01)

// Options say how far to go. The zero value looks for the least gap to within
// Usual, of parts that stand still.
type Options struct {
	// Eps is how far below the gap found the true one may lie; 0 means Usual.
	// Anything below 1e-9 mm counts as 1e-9.
	Eps units.Length
	// Cutoff, where not 0, skips what is at least as far apart: the result is then
	// Beyond.
	Cutoff units.Length
	// Roll moves the path, and with it the header and the engine, against what To
	// compares it with. The tubes of one header keep their gaps, so Between and Self
	// do not look at it.
	Roll Motion
}

func (o Options) eps() float64 {
	if o.Eps == 0 || math.IsNaN(o.Eps.MM()) {
		return Usual.MM()
	}
	return max(finest, min(farthest, o.Eps.MM()))
}

func (o Options) cutoff() float64 {
	if o.Cutoff == 0 || math.IsNaN(o.Cutoff.MM()) {
		return math.Inf(1)
	}
	return o.Cutoff.MM()
}

// Result is the least gap between two parts and where it is.
type Result struct {
	Gap    units.Length // between the surfaces, negative where they overlap
	Eps    units.Length // the true least gap is at least Gap − Eps
	Beyond bool         // it is at least Gap, the cut-off, or there was nothing to compare and Gap is +Inf; no places are named

	A, B Place
	Set  int // of the body, for To
	// Roll and Move are the worst positions of Options.Roll and of the body's own
	// motion: rad or mm as the Motion has it, or the number of the pose.
	Roll, Move float64

	Evaluations int // of a distance, or of a closed form
}

// Place is one end of a gap. Where parts move, it is given as it is in the worst
// position.
type Place struct {
	S       units.Length // arc length from the start of the tube; of a body, 0
	Axis    geom.Vec     // on the centreline, or on the core of a set
	Surface geom.Vec     // on the surface, towards the other one; Axis where the axes meet
}

// Between returns the least gap between two tubes.
func Between(a, b Path, o Options) Result {
	var k search
	k.start(o.cutoff(), o.eps())
	if len(a.pieces) > 0 && len(b.pieces) > 0 &&
		k.open(norm(a.ball.Sub(b.ball))-a.reach-b.reach, a.radius+b.radius) {
		k.lists(a.pieces, b.pieces, a.radius+b.radius)
	}
	return k.tubes(a, b, o)
}

// tubes returns what a search between the pieces of two paths has found.
func (k *search) tubes(a, b Path, o Options) Result {
	r := k.result(o.cutoff())
	if r.Beyond {
		return r
	}
	p, q := &a.pieces[k.ia], &b.pieces[k.ib]
	u := p.nearest(k.at)
	r.A = Place{S: units.Length(p.from + p.half + u), Axis: p.point(u)}
	v := q.nearest(r.A.Axis)
	r.B = Place{S: units.Length(q.from + q.half + v), Axis: q.point(v)}
	r.surfaces(a.radius, b.radius)
	return r
}

// result is without places.
func (k *search) result(cutoff float64) Result {
	if !k.found {
		least := min(cutoff, k.floor)
		return Result{Gap: units.Length(least), Beyond: true, Evaluations: k.evals}
	}
	return Result{Gap: units.Length(k.best), Eps: units.Length(max(k.eps, k.best-k.floor)), Evaluations: k.evals}
}

// surfaces fills in where the join of the axes passes the surfaces. The join may be
// shorter than what the search has found, since its ends were fitted to each other.
func (r *Result) surfaces(skinA, skinB float64) {
	join := r.B.Axis.Sub(r.A.Axis)
	r.Gap = min(r.Gap, units.Length(norm(join)-skinA-skinB))
	join, _ = join.Unit()
	r.A.Surface = r.A.Axis.Add(join.Scale(skinA))
	r.B.Surface = r.B.Axis.Sub(join.Scale(skinB))
}
