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

// traced is a port as points, with its centre and the radius about it that holds
// the outline.
type traced struct {
	id     string
	points [][2]float64
	centre [2]float64
	radius float64
}

func trace(ports []Port) []traced {
	var list []traced
	for _, p := range ports {
		x, y := p.Outline.Centroid()
		t := traced{id: p.ID, points: p.Outline.Polyline(chord), centre: [2]float64{x, y}}
		if len(t.points) < 2 || math.IsNaN(x+y) {
			continue
		}
		for _, q := range t.points {
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
		placed := make([][2]float64, len(laid[i].points))
		for k, q := range laid[i].points {
			placed[k] = l.at(q)
		}
		at := l.at(laid[i].centre)
		pairs = append(pairs, Landing{
			ID: laid[i].id, Onto: onto[j].id, Off: deviation(placed, onto[j].points),
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

// deviation returns the Hausdorff distance between the closed polylines a and b,
// taken at their corners.
func deviation(a, b [][2]float64) float64 {
	return math.Sqrt(farthestFrom(b, a, farthestFrom(a, b, 0)))
}

// farthestFrom returns the greatest squared distance of the points from the closed
// polyline, or least if that is more. A point ends its search as soon as it is no
// farther than the worst so far, and begins where the one before it ended. A few
// points spread over the outline come first, so that most of the others look at one
// piece.
func farthestFrom(line, points [][2]float64, least float64) float64 {
	const few = 16
	for k := 0; k < len(points); k += few {
		least = walk(line, points[k:k+1], least)
	}
	return walk(line, points, least)
}

func walk(line, points [][2]float64, least float64) float64 {
	n := len(line)
	start := 0
	for _, p := range points {
		nearest, at := math.Inf(1), start
		for k := range n {
			// 0, 1, −1, 2, −2, … pieces on from the start
			step := (k + 1) / 2
			if k%2 == 0 {
				step = n - step
			}
			i := (start + step) % n
			if d := fromPiece(p, line[i], line[(i+1)%n]); d < nearest {
				nearest, at = d, i
				if nearest <= least {
					break
				}
			}
		}
		start = at
		least = max(least, nearest)
	}
	return least
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
