package flange

import (
	"math"

	"tubewright/calc/geom"
)

// whole asks polyline.farther for the distance however small it is.
const whole = -1

// clearChord is how far the polylines are from the outlines, in mm.
const clearChord = 0.005

// Clear returns by how many mm an opening keeps outside a port all round, at least
// and at most, within 0.02 mm. It is false where the opening does not go round the
// port with room to spare; then Shadow says how it lies. It takes a tenth of the time
// of Shadow, and most openings are clear.
func Clear(opening, port geom.Outline) (least, most float64, ok bool) {
	a, b := newPolyline(opening.Polyline(clearChord)), newPolyline(port.Polyline(clearChord))
	if len(a.points) < 3 || len(b.points) < 3 || !surrounds(a.points, b.points[0]) {
		return 0, 0, false
	}
	if sidesCross(a, b) {
		return 0, 0, false
	}
	near := math.Inf(1)
	at := 0
	for _, p := range a.points {
		var d float64
		d, at = b.farther(p, whole, at)
		near, most = min(near, d), max(most, d)
	}
	for _, p := range b.points {
		var d float64
		d, at = a.farther(p, whole, at%len(a.points))
		near = min(near, d)
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

// sidesCross reports whether a side of one polygon crosses a side of the other. Sides
// of b are looked at where their circle is within reach.
func sidesCross(a, b polyline) bool {
	side := func(p, q, r [2]float64) float64 {
		return float64((q[0]-p[0])*(r[1]-p[1])) - float64((q[1]-p[1])*(r[0]-p[0]))
	}
	n := len(b.points)
	for i, p := range a.points {
		q := a.points[(i+1)%len(a.points)]
		long := distance(p, q)
		for c, round := range b.circles {
			// A hair more, for what rounding takes off.
			if distance(p, round.centre) > round.radius+long+1e-9 {
				continue
			}
			before := side(p, q, b.points[c*held])
			for k := c * held; k < min(n, c*held+held); k++ {
				r, s := b.points[k], b.points[(k+1)%n]
				after := side(p, q, s)
				if before*after <= 0 && side(r, s, p)*side(r, s, q) <= 0 {
					return true
				}
				before = after
			}
		}
	}
	return false
}

// Lacks returns by how many mm, at most, an outline reaches beyond an opening that it
// has to go through, and where; 0 where it goes through. Within 0.02 mm. Opening it up
// by as much all round is more than enough.
func Lacks(opening, through geom.Outline) (by float64, at [2]float64) {
	a := newPolyline(opening.Polyline(clearChord))
	if len(a.points) < 2 {
		return 0, at
	}
	near, in := 0, false
	last, free := [2]float64{}, 0.0 // a place that was asked, and how far it was from the edge
	for _, p := range through.Polyline(clearChord) {
		d, k := a.farther(p, by, near)
		near = k
		if d <= by {
			continue
		}
		// What is nearer to a place than the edge lies on its side.
		if moved := distance(p, last); !(moved < free) {
			in = surrounds(a.points, p)
		}
		last, free = p, math.Sqrt(d)
		if !in {
			by, at = d, p
		}
	}
	return math.Sqrt(by), at
}
