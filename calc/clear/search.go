package clear

import (
	"math"

	"tubewright/calc/geom"
)

const (
	finest = 1e-9    // mm, the least eps; below it there is only rounding
	most   = 1 << 20 // evaluations of one search, about 0.1 s; then Eps says what is known
	// Cuts of an interval that may fall as unevenly as 1 : 9; further ones halve it.
	// Halving 1e5 mm to finest takes 47, so that deep is never reached.
	uneven = 24
	deep   = uneven + 56
)

// search is the least gap so far. Everything that was left out is at least
// best − eps, or floor where the search was cut short.
type search struct {
	best  float64
	eps   float64
	floor float64
	evals int

	found  bool
	at     geom.Vec // the place found: on one of the two, and the other is nearest to it there
	ia, ib int
}

// start begins a search that gives up what is not nearer than cut. Its best lies
// eps above, so that what it leaves out is at least cut.
func (k *search) start(cut, eps float64) {
	k.best, k.eps, k.floor, k.found = cut+eps, eps, math.Inf(1), false
}

// pair says which two are compared, and the sum of their radii.
type pair struct {
	ia, ib int
	skin   float64
}

func (k *search) note(d float64, at geom.Vec, p pair) {
	if gap := d - p.skin; gap < k.best {
		k.best, k.found, k.at, k.ia, k.ib = gap, true, at, p.ia, p.ib
	}
}

// span is an interval of the walk, or of a motion, with the values at its ends.
type span struct {
	a, b, fa, fb float64
	lower        float64 // bound over the interval
	cut          float64 // where to cut it, 0.1 to 0.9
	depth        int
}

// bounded fills in lower and cut as the package comment has them, for an interval
// of length h; top is the most that d can be in it.
func (s *span) bounded(h, kappa, top float64) {
	s.lower = max(0, (s.fa+s.fb-h)/2)
	k := (1 + kappa*max(0, top)) * h * h
	fa, fb := s.fa*s.fa, s.fb*s.fb
	cut := 0.5
	if k > 0 {
		cut = (k + fa - fb) / (2 * k)
	}
	square := min(fa, fb)
	if cut > 0 && cut < 1 {
		square = (1-cut)*fa + cut*fb - k*cut*(1-cut)
	}
	if square > s.lower*s.lower {
		s.lower = math.Sqrt(square)
	}
	s.cut = max(0.1, min(0.9, cut))
	if s.depth > uneven {
		s.cut = 0.5
	}
}

// open reports whether there may be something better in what has this bound.
func (k *search) open(lower, skin float64) bool { return lower < k.best+skin-k.eps }

// spent reports whether the search has to end here; if so, what is left is at
// least lower.
func (k *search) spent(lower, skin float64, depth int) bool {
	if k.evals < most && depth < deep {
		return false
	}
	k.floor = min(k.floor, lower-skin)
	return true
}

// walk looks for a place on p nearer than the best to another piece q, or, where
// that is nil, to a set. One interface for both would put the pieces that are made
// for the moment on the heap. It begins at first, where the least may be.
func (k *search) walk(p, q *piece, s Set, first float64, pr pair) {
	f := k.look(p, q, s, first, pr)
	if !k.open(f-p.half-math.Abs(first), pr.skin) {
		return
	}
	all := span{a: -p.half, b: p.half}
	all.fa = k.look(p, q, s, all.a, pr)
	all.fb = k.look(p, q, s, all.b, pr)
	k.split(p, q, s, all, first, f, pr)
}

// look returns the distance from the place u on p.
func (k *search) look(p, q *piece, s Set, u float64, pr pair) (d float64) {
	at := p.point(u)
	if q != nil {
		d = q.distance(at)
	} else {
		d = s.Distance(at)
	}
	k.evals++
	k.note(d, at, pr)
	return d
}

// split cuts a span at u, where the distance is f, and goes on in what is open. The
// nearer half comes first: what it finds may settle the other.
func (k *search) split(p, q *piece, s Set, t span, u, f float64, pr pair) {
	left := span{a: t.a, b: u, fa: t.fa, fb: f, depth: t.depth + 1}
	right := span{a: u, b: t.b, fa: f, fb: t.fb, depth: t.depth + 1}
	left.bounded(u-t.a, p.kappa, (t.fa+f+u-t.a)/2)
	right.bounded(t.b-u, p.kappa, (f+t.fb+t.b-u)/2)
	if right.lower < left.lower {
		left, right = right, left
	}
	for _, h := range [2]*span{&left, &right} {
		if k.open(h.lower, pr.skin) && !k.spent(h.lower, pr.skin, h.depth) {
			u := h.a + h.cut*(h.b-h.a)
			k.split(p, q, s, *h, u, k.look(p, q, s, u, pr), pr)
		}
	}
}
