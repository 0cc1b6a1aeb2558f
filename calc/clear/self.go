package clear

import (
	"math"

	"tubewright/calc/units"
)

// Apart is how far two places of one tube have to lie from each other along the
// centreline, in ODs, to be compared: nearer ones are neighbours. Own choice, no
// source.
const Apart = 2.6

// Self returns the least gap between places of one tube that are at least Apart
// ODs from each other along it. On a tube that comes nowhere near itself it is that
// of two places just so far apart.
func Self(p Path, o Options) Result {
	k := ownSearch{way: Apart * 2 * p.radius, skin: 2 * p.radius}
	k.start(o.cutoff(), o.eps())
	for i := range p.pieces {
		k.same(&p.pieces[i])
	}
	for i := range p.pieces {
		for j := i + 1; j < len(p.pieces); j++ {
			k.two(&p.pieces[i], &p.pieces[j])
		}
	}
	r := k.result(o.cutoff())
	if r.Beyond {
		return r
	}
	r.A.S, r.B.S = units.Length(k.sa), units.Length(k.sb)
	r.A.Axis, _ = p.At(r.A.S)
	r.B.Axis, _ = p.At(r.B.S)
	r.surfaces(p.radius, p.radius)
	return r
}

// ownSearch compares places s and t of one path, t ≥ s + way.
type ownSearch struct {
	search
	way, skin float64
	sa, sb    float64 // the places found
}

// same compares a piece with itself. Its chords grow with the way between their
// ends, as a bend is at most a half turn.
func (k *ownSearch) same(p *piece) {
	if k.way <= 2*p.half {
		k.chord(p, p, p.from, p.from+k.way)
	}
}

// chord returns the distance of two places, s on p and t on q.
func (k *ownSearch) chord(p, q *piece, s, t float64) float64 {
	a := p.point(within(s-p.from-p.half, p.half))
	d := norm(a.Sub(q.point(within(t-q.from-q.half, q.half))))
	k.evals++
	if d-k.skin < k.best {
		k.note(d, a, pair{skin: k.skin})
		k.sa, k.sb = s, t
	}
	return d
}

// two compares a piece with a later one. The pairs of places that are far enough
// apart are columns of full height, then, where the rule cuts them off, a triangle
// with a block upon it.
func (k *ownSearch) two(p, q *piece) {
	p0, p1, q0, q1 := p.from, p.from+2*p.half, q.from, q.from+2*q.half
	full := q0 - k.way // up to here all of q is far enough
	if p1 <= full {
		k.cell(p, q)
		return
	}
	last := min(p1, q1-k.way)
	if !(last > p0) || apart(p, q, k.best+k.skin-k.eps) {
		return
	}
	if full > p0 {
		k.cells(p, q, p0, full, q0, q1)
		p0 = full
	}
	k.cells(p, q, p0, last, last+k.way, q1)
	k.triangle(p, q, p0, last, k.chord(p, q, p0, p0+k.way), k.chord(p, q, last, last+k.way))
}

// cells compares s0 to s1 on p with t0 to t1 on q, all of them far enough apart.
func (k *ownSearch) cells(p, q *piece, s0, s1, t0, t1 float64) {
	if t1 > t0 {
		a := p.part(s0-p.from-p.half, s1-p.from-p.half)
		b := q.part(t0-q.from-q.half, t1-q.from-q.half)
		k.cell(&a, &b)
	}
}

func (k *ownSearch) cell(a, b *piece) {
	if apart(a, b, k.best+k.skin-k.eps) {
		return
	}
	before := k.best
	k.pieces(a, b, pair{skin: k.skin})
	if k.best < before {
		k.sa, k.sb = a.from+a.half+a.nearest(k.at), b.from+b.half+b.nearest(k.at)
	}
}

// triangle compares s in [s0, s1] with t from s + way to s1 + way. f0 and f1 are
// the chords at the ends of its long side. F = |γ(s) − γ(t)|² has second derivatives
// of at most 2(1 + κd) along s and t, and of 2 across, so that
//
//	F − ½·H·(s² + t²),   H = 4 + 2κd
//
// is concave and F lies above its chord plane less (1 + (κs+κt)·d/4)·h². The
// long side is where a tube that is merely bent has its least chords; they can all
// be alike there, which only a bound of second order gets by.
func (k *ownSearch) triangle(p, q *piece, s0, s1, f0, f1 float64) {
	h := s1 - s0
	f2 := k.chord(p, q, s0, s1+k.way)
	lower := max(0, f2-h, (f0+f1)/2-h)
	least := min(f0, f1, f2)
	if square := least*least - (1+(p.kappa+q.kappa)*(f2+h)/4)*h*h; square > lower*lower {
		lower = math.Sqrt(square)
	}
	if !k.open(lower, k.skin) || k.spent(lower, k.skin, 0) {
		return
	}
	m := s0 + h/2
	fm := k.chord(p, q, m, m+k.way)
	k.triangle(p, q, s0, m, f0, fm)
	k.triangle(p, q, m, s1, fm, f1)
	k.cells(p, q, s0, m, m+k.way, s1+k.way)
}
