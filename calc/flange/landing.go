package flange

import "math"

// Landing is where one port comes to lie.
type Landing struct {
	ID, Onto string     // the port that is laid, and the one it comes to lie on
	Off      float64    // greatest distance between the two outlines, either way, in mm
	Shift    [2]float64 // from the centre of Onto to where that of ID lies, in mm
}

// chord is how far the polylines that stand for outlines in comparisons leave
// them, in mm. Off is good to 0.01 mm.
const chord = 0.005

// traced is a port as a closed polyline, with its centre and the radius about it
// that holds the outline.
type traced struct {
	id     string
	line   polyline
	centre [2]float64
	radius float64
}

func trace(ports []Port) []traced {
	var list []traced
	for _, p := range ports {
		x, y := p.Outline.Centroid()
		t := traced{id: p.ID, line: newPolyline(p.Outline.Polyline(chord)), centre: [2]float64{x, y}}
		if len(t.line.points) < 2 || math.IsNaN(x+y) {
			continue
		}
		for _, q := range t.line.points {
			t.radius = max(t.radius, distance(q, t.centre))
		}
		list = append(list, t)
	}
	return list
}

// landings lays the ports down and pairs them by their centres, each once, so that
// the squares of the distances between them sum to least. A pair whose centres are
// farther apart than within of the larger radius is none; within 0 pairs all that
// it can. spare are the ports of each side that are left.
func landings(laid, onto []traced, l lay, within float64) (pairs []Landing, spareLaid, spareOnto []string) {
	var d desk
	mate := d.pairUp(len(laid), len(onto), func(i, j int) float64 {
		d := square(l.at(laid[i].centre), onto[j].centre)
		if r := within * max(laid[i].radius, onto[j].radius); r > 0 && d > r*r {
			return math.Inf(1)
		}
		return d
	}, 1e12)
	taken := make([]bool, len(onto))
	for i, j := range mate {
		if j < 0 {
			spareLaid = append(spareLaid, laid[i].id)
			continue
		}
		taken[j] = true
		at := l.at(laid[i].centre)
		pairs = append(pairs, Landing{
			ID: laid[i].id, Onto: onto[j].id, Off: deviation(laid[i].line.laid(l), onto[j].line),
			Shift: [2]float64{at[0] - onto[j].centre[0], at[1] - onto[j].centre[1]},
		})
	}
	for j, t := range taken {
		if !t {
			spareOnto = append(spareOnto, onto[j].id)
		}
	}
	return pairs, spareLaid, spareOnto
}

// polyline is a closed line through points, and for every so many pieces of it a
// circle that holds them, which spares looking at each.
type polyline struct {
	points  [][2]float64
	circles []circle
}

type circle struct {
	centre [2]float64
	radius float64
}

const held = 16 // pieces in a circle

func newPolyline(points [][2]float64) polyline {
	p := polyline{points: points}
	for i := 0; i < len(points); i += held {
		low, high := points[i], points[i]
		for k := i; k <= min(i+held, len(points)); k++ {
			q := points[k%len(points)]
			for c := range 2 {
				low[c], high[c] = min(low[c], q[c]), max(high[c], q[c])
			}
		}
		centre := [2]float64{(low[0] + high[0]) / 2, (low[1] + high[1]) / 2}
		p.circles = append(p.circles, circle{centre, distance(centre, high)})
	}
	return p
}

func (p polyline) laid(l lay) polyline {
	q := polyline{make([][2]float64, len(p.points)), make([]circle, len(p.circles))}
	for i, at := range p.points {
		q.points[i] = l.at(at)
	}
	for i, c := range p.circles {
		q.circles[i] = circle{l.at(c.centre), c.radius}
	}
	return q
}

// deviation returns the Hausdorff distance between a and b, taken at their corners.
func deviation(a, b polyline) float64 {
	return math.Sqrt(b.farthestFrom(a.points, a.farthestFrom(b.points, 0)))
}

// farthestFrom returns the greatest squared distance of the points from the line, or
// least if that is more. A few points spread over the outline come first, so that
// most of the others need to look at few pieces.
func (p polyline) farthestFrom(points [][2]float64, least float64) float64 {
	at := 0
	for k := 0; k < len(points); k += held {
		least, at = p.farther(points[k], least, at)
	}
	for _, q := range points {
		least, at = p.farther(q, least, at)
	}
	return least
}

// farther returns the squared distance of q from the line if that is more than
// least, else least, and the nearest piece as far as it looked. It ends as soon as a
// piece is no farther than least, and begins at the piece start.
func (p polyline) farther(q [2]float64, least float64, start int) (float64, int) {
	n := len(p.points)
	nearest, at := math.Inf(1), start
	look := func(i int) bool {
		if d := fromPiece(q, p.points[i], p.points[(i+1)%n]); d < nearest {
			nearest, at = d, i
		}
		return nearest <= least
	}
	for _, step := range [5]int{0, n - 1, 1, n - 2, 2} { // the lines may run against each other
		if look((start + step) % n) {
			return least, at
		}
	}
	for k := range p.circles {
		c := (start/held + k) % len(p.circles)
		if off := distance(q, p.circles[c].centre) - p.circles[c].radius; off > 0 && off*off >= nearest {
			continue
		}
		for i := c * held; i < min(n, c*held+held); i++ {
			if look(i) {
				return least, at
			}
		}
	}
	return nearest, at
}

// fromPiece returns the squared distance of p from the straight piece from a to b.
func fromPiece(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	x, y := p[0]-a[0], p[1]-a[1]
	along, length := float64(x*dx)+float64(y*dy), float64(dx*dx)+float64(dy*dy)
	switch {
	case along <= 0:
		return float64(x*x) + float64(y*y)
	case along >= length:
		return square(p, b)
	}
	t := along / length
	x, y = x-t*dx, y-t*dy
	return float64(x*x) + float64(y*y)
}
