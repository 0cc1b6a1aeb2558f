package dxf

import (
	"math"
	"slices"

	"tubewright/calc/draw"
)

// run is the way along an entity, to tell whether another draws it again.
type run struct {
	pieces []pass
	box    draw.Box
}

// pass is a line or an arc by start, middle and end. A circle is one too, with a
// point of it for both ends.
type pass [3]xy

// runOf returns the way along an entity; none for what is shorter than a piece may
// be, and for text.
func runOf(e draw.Entity) run {
	r := run{box: e.Bounds()}
	switch x := e.(type) {
	case draw.Line:
		if apart(x.From, x.To) >= shortest {
			r.pieces = []pass{{x.From, between(x.From, x.To, 0.5), x.To}}
		}
	case draw.Arc:
		if x.Radius*math.Abs(x.Sweep) >= shortest {
			r.pieces = []pass{{x.At(0), x.At(0.5), x.At(1)}}
		}
	case draw.Circle:
		if x.Radius >= shortest {
			right := add(x.Centre, xy{x.Radius, 0})
			r.pieces = []pass{{right, add(x.Centre, xy{-x.Radius, 0}), right}}
		}
	case draw.Loop:
		for _, p := range x.Pieces() {
			r.pieces = append(r.pieces, runOf(p).pieces...)
		}
	}
	return r
}

// isIn reports whether the whole way is a part of the other. A way is not in itself,
// and in one without pieces there is nothing.
func (r run) isIn(other run) bool {
	if len(r.pieces) > len(other.pieces) || len(r.pieces) == 0 || &r.pieces[0] == &other.pieces[0] {
		return false
	}
	b, o := r.box, other.box.Grown(shortest)
	if b.Min[0] < o.Min[0] || b.Min[1] < o.Min[1] || b.Max[0] > o.Max[0] || b.Max[1] > o.Max[1] {
		return false
	}
	for _, p := range r.pieces {
		if !slices.ContainsFunc(other.pieces, p.isSame) {
			return false
		}
	}
	return true
}

func (p pass) isSame(q pass) bool {
	near := func(a, b xy) bool { return apart(a, b) < shortest }
	return near(p[1], q[1]) && (near(p[0], q[0]) && near(p[2], q[2]) || near(p[0], q[2]) && near(p[2], q[0]))
}
