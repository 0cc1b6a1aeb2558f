package survey

import (
	"math"

	"tubewright/calc/geom"
)

// turnAt returns the angle in rad by which the path a, b, c turns at b, and its
// derivative by each of the three points. With u, w the directions before and
// after, n = u×w made unit:
//
//	∂A/∂a = n×u/|ab|    ∂A/∂c = n×w/|bc|    ∂A/∂b = −∂A/∂a − ∂A/∂c
//
// Closed form. A path that does not turn has no plane and gives zeros.
func turnAt(a, b, c geom.Vec) (turn float64, by [3]geom.Vec) {
	u, w := b.Sub(a), c.Sub(b)
	turn = u.Angle(w)
	n, ok := u.Cross(w).Unit()
	if !ok {
		return turn, by
	}
	by[0] = n.Cross(u).Scale(1 / u.Dot(u))
	by[2] = n.Cross(w).Scale(1 / w.Dot(w))
	by[1] = by[0].Add(by[2]).Scale(-1)
	return turn, by
}

// rotationAbout returns the rotation in rad, −π to π, of the bend at c about the
// direction b to c against the bend at b, with its derivative by the four points:
// 0 where a and d lie on the same side. It is the dihedral angle of chemistry
// with the sign of the bender, and its derivatives are those of Blondel and
// Karplus, J. Comput. Chem. 17 (1996) 1132, from memory:
//
//	F = a−b, G = b−c, H = d−c, A = F×G, B = H×G
func rotationAbout(a, b, c, d geom.Vec) (rot float64, by [4]geom.Vec) {
	f, g, h := a.Sub(b), b.Sub(c), d.Sub(c)
	na, nb := f.Cross(g), h.Cross(g)
	aa, bb, gg := na.Dot(na), nb.Dot(nb), g.Norm()
	rot = math.Atan2(nb.Cross(na).Dot(g)/gg, na.Dot(nb))
	if !(aa > 0 && bb > 0) {
		return rot, by
	}
	by[0], by[3] = na.Scale(-gg/aa), nb.Scale(gg/bb)
	across := na.Scale(f.Dot(g) / (aa * gg)).Sub(nb.Scale(h.Dot(g) / (bb * gg)))
	by[1] = across.Sub(by[0])
	by[2] = by[3].Add(across).Scale(-1)
	return rot, by
}
