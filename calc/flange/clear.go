package flange

import (
	"math"

	"tubewright/calc/geom"
)

// clearChord is how far the polylines are from the outlines, in mm.
const clearChord = 0.005

// Clear returns by how many mm an opening keeps outside a port all round, at least
// and at most, within 0.02 mm. It is false where the opening does not go round the
// port with room to spare; then Shadow says how it lies. It takes a tenth of the time
// of Shadow, and most openings are clear.
func Clear(opening, port geom.Outline) (least, most float64, ok bool) {
	a, b := opening.Polyline(clearChord), port.Polyline(clearChord)
	if len(a) < 3 || len(b) < 3 || !surrounds(a, b[0]) {
		return 0, 0, false
	}
	if sidesCross(a, b) {
		return 0, 0, false
	}
	near := math.Inf(1)
	for _, p := range a {
		d := nearestOf(b, p)
		near, most = min(near, d), max(most, d)
	}
	for _, p := range b {
		near = min(near, nearestOf(a, p))
	}
	least, most = math.Sqrt(near), math.Sqrt(most)
	return least, most, least > 2*clearChord
}

// surrounds reports whether the polygon goes round p.
func surrounds(poly [][2]float64, p [2]float64) bool {
	in := false
	for i, a := range poly {
		b := poly[(i+1)%len(poly)]
		if (a[1] > p[1]) != (b[1] > p[1]) && (p[0]-a[0])*(b[1]-a[1]) < (b[0]-a[0])*(p[1]-a[1]) == (b[1] > a[1]) {
			in = !in
		}
	}
	return in
}

// sidesCross reports whether a side of one polygon crosses a side of the other.
func sidesCross(a, b [][2]float64) bool {
	side := func(p, q, r [2]float64) float64 {
		return float64((q[0]-p[0])*(r[1]-p[1])) - float64((q[1]-p[1])*(r[0]-p[0]))
	}
	for i, p := range a {
		q := a[(i+1)%len(a)]
		before := side(p, q, b[0])
		for k, r := range b {
			s := b[(k+1)%len(b)]
			after := side(p, q, s)
			if before*after <= 0 && side(r, s, p)*side(r, s, q) <= 0 {
				return true
			}
			before = after
		}
	}
	return false
}

// nearestOf returns the square of the distance of p from the closed polyline.
func nearestOf(line [][2]float64, p [2]float64) float64 {
	best := math.Inf(1)
	for i, a := range line {
		best = min(best, fromPiece(p, a, line[(i+1)%len(line)]))
	}
	return best
}

// Lacks returns by how many mm, at most, an outline reaches beyond an opening that it
// has to go through, and where; 0 where it goes through. Within 0.02 mm. Opening it up
// by as much all round is more than enough.
func Lacks(opening, through geom.Outline) (by float64, at [2]float64) {
	a := opening.Polyline(clearChord)
	for _, p := range through.Polyline(clearChord) {
		if d := nearestOf(a, p); d > by && !surrounds(a, p) {
			by, at = d, p
		}
	}
	return math.Sqrt(by), at
}
