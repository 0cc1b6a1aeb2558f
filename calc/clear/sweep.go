package clear

import (
	"math"

	"tubewright/calc/geom"
)

// least looks at all positions of the motions from the n-th on, the others being
// done in pre. The true least is at least the outcome's lower, which is cut or more
// where nothing was found.
func (w *sweep) least(n int, pre geom.Move, cut, eps float64) outcome {
	if n == len(w.motions) {
		for i := range w.moved {
			w.moved[i] = w.path.pieces[i].moved(&pre)
		}
		return w.look(cut, eps)
	}
	m := w.motions[n]
	switch {
	case m.still():
		return w.least(n+1, pre, cut, eps)
	case len(m.poses) > 0:
		out := outcome{gap: math.Inf(1), lower: math.Inf(1)}
		for i := range m.poses {
			out.take(w.position(n, float64(i), pre, min(cut, out.gap), eps))
		}
		return out
	}
	return w.branch(n, pre, cut, eps)
}

// position looks at one position of the n-th motion and all of those after it.
func (w *sweep) position(n int, t float64, pre geom.Move, cut, eps float64) outcome {
	pose := w.motions[n].pose(t)
	if n == 0 {
		pose = pose.Inverse()
	}
	out := w.least(n+1, pose.Then(pre), cut, eps)
	out.t[n] = t
	return out
}

// branch searches the range of one motion as walk searches a piece: the least gap
// at one position is a distance that changes no faster than the fastest point goes,
// and its square has the same bound from above as that of one point on its way.
// Every value is known to a quarter of eps; bounds are taken from below.
func (w *sweep) branch(n int, pre geom.Move, cut, eps float64) outcome {
	m, speed := w.motions[n], w.speed[n]
	skin := w.skin + w.deepest // from here on distances, as in walk
	out := outcome{gap: math.Inf(1), lower: math.Inf(1)}
	limit := func() float64 { return min(cut, out.gap-eps) }
	// look returns what the distance at t is at least and at most. Where it is more
	// than the way to any other position in reach, it is not worked out.
	look := func(t, reach float64) (low, high float64) {
		got := w.position(n, t, pre, limit()+reach, eps/4)
		low = got.lower
		got.lower = out.lower
		out.take(got)
		return low + skin, got.gap + skin
	}

	var stack [deep]leg
	held := 0
	split := func(l leg, t, low, high float64) {
		left := leg{span{a: l.a, b: t, fa: l.fa, fb: low, depth: l.depth + 1}, l.topA, high}
		right := leg{span{a: t, b: l.b, fa: low, fb: l.fb, depth: l.depth + 1}, high, l.topB}
		left.bounded(m, speed)
		right.bounded(m, speed)
		if left.lower < right.lower {
			left, right = right, left
		}
		for _, l := range [2]leg{left, right} {
			switch {
			case l.lower-skin >= limit():
			case held == deep || w.k.evals >= most || (l.b-l.a)*speed < finest/10:
				// Shorter ways are lost in rounding.
				out.lower = min(out.lower, l.lower-skin)
			default:
				stack[held] = l
				held++
			}
		}
	}
	half := (m.high - m.low) / 2
	all := leg{span: span{a: m.low, b: m.high}}
	low, high := look(m.low+half, half*speed)
	if low-half*speed-skin < limit() {
		all.fa, all.topA = look(all.a, half*speed)
		all.fb, all.topB = look(all.b, half*speed)
		split(all, m.low+half, low, high)
	}
	for held > 0 {
		held--
		l := stack[held]
		if l.lower-skin >= limit() {
			continue
		}
		t := l.a + l.cut*(l.b-l.a)
		low, high := look(t, (l.b-l.a)*speed)
		split(l, t, low, high)
	}
	out.lower = min(out.lower, limit())
	return out
}

// leg is a span of a motion: its values are known from below, and in topA and topB
// from above, +Inf where they are not.
type leg struct {
	span
	topA, topB float64
}

func (l *leg) bounded(m *Motion, speed float64) {
	h := (l.b - l.a) * speed
	if top := (l.topA + l.topB + h) / 2; !math.IsInf(top, 1) {
		l.span.bounded(h, m.curvature(speed), top)
	} else {
		l.cut, l.lower = 0.5, (l.fa+l.fb-h)/2
	}
	l.lower = max(l.lower, l.fa-h, l.fb-h)
}
