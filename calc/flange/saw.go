package flange

import (
	"math"

	"tubewright/calc/sorted"
)

// Cut is a saw cut into a one-piece flange between two ports, from its edge inwards.
type Cut struct {
	From, To [2]float64
	Between  [2]string // ids of the ports
	// Bridge is the metal left, in mm, from the end of the cut to the edge beyond.
	Bridge float64
	// Web is the metal left beside the cut to the nearer of the two openings, in mm;
	// below 0 it would run through one.
	Web float64
}

// places is at how many places between two openings a cut is tried.
const places = 65

// saw returns the cuts between neighbouring ports, square to the line through the
// two ports that are farthest apart. Of the places between two openings, and of
// both edges, the one is taken from which the cut gets deepest without coming
// nearer to a bolt hole or an opening than the metal that is left round it; of
// several the one in the middle. It ends the bridge short of the other edge. Where
// two openings leave no room it is half-way between them.
func (d *Design) saw(s Spec) {
	if len(s.Mouths) < 2 {
		return
	}
	middle := make([][2]float64, len(s.Mouths))
	for i, m := range s.Mouths {
		middle[i][0], middle[i][1] = m.Opening.Centroid()
	}
	along := [2]float64{1, 0}
	far := 0.0
	for i, p := range middle {
		for _, q := range middle[i+1:] {
			if l := math.Hypot(q[0]-p[0], q[1]-p[1]); l > far+1e-9 {
				far, along = l, [2]float64{(q[0] - p[0]) / l, (q[1] - p[1]) / l}
			}
		}
	}
	if far == 0 {
		return
	}
	if along[0] < 0 || along[0] == 0 && along[1] < 0 {
		along = [2]float64{-along[0], -along[1]}
	}
	order := numbers(len(s.Mouths))
	sorted.By(order, func(i, j int) int {
		if dot(middle[i], along) < dot(middle[j], along) {
			return -1
		}
		return 1
	})
	for k := range order[1:] {
		a, b := s.Mouths[order[k]], s.Mouths[order[k+1]]
		_, low := extent(a.Opening.Polyline(0.01), along)
		high, _ := extent(b.Opening.Polyline(0.01), along)
		d.Cuts = append(d.Cuts, d.deepest(s, a, b, along, low, high))
	}
}

func (d *Design) deepest(s Spec, a, b Mouth, along [2]float64, low, high float64) Cut {
	across := [2]float64{-along[1], along[0]}
	plate := d.Pieces[0].Outline.Polyline(0.005)
	best, reached := Cut{}, -1.0
	room := max(0, high-low-2*s.Web)
	for i := range places {
		// From the middle outwards, to and fro.
		off := float64((i+1)/2) / float64(places-1)
		if i%2 == 1 {
			off = -off
		}
		x := (low+high)/2 + off*room
		bottom, top := throughAt(plate, along, across, x)
		for _, up := range [2]bool{false, true} {
			from, full := bottom, top-bottom-s.Bridge
			dir := 1.0
			if !up {
				from, dir = top, -1
			}
			depth := max(0, full)
			for _, h := range d.Holes {
				depth = min(depth, before(h.slot(), s.Edge, along, across, x, from, dir))
			}
			if depth > reached+1e-6 {
				point := func(y float64) [2]float64 {
					return [2]float64{x*along[0] + y*across[0], x*along[1] + y*across[1]}
				}
				reached = depth
				best = Cut{From: point(from), To: point(from + dir*depth), Between: [2]string{a.ID, b.ID},
					Bridge: top - bottom - depth, Web: min(x-low, high-x)}
			}
		}
	}
	return best
}

// throughAt returns where the line at x along crosses a convex polygon, across it.
func throughAt(poly [][2]float64, along, across [2]float64, x float64) (bottom, top float64) {
	bottom, top = math.Inf(1), math.Inf(-1)
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		a, b := dot(p, along)-x, dot(q, along)-x
		if a*b > 0 || a == b {
			continue
		}
		r := partway(p, q, a/(a-b))
		y := dot(r, across)
		bottom, top = min(bottom, y), max(top, y)
	}
	return bottom, top
}

// before returns how deep the cut at x, from an edge in the direction dir, gets
// before it is nearer to the hole than keep; +Inf where it passes.
func before(h slot, keep float64, along, across [2]float64, x, from, dir float64) float64 {
	depth := math.Inf(1)
	r := h.r + keep - 1e-9 // what touches has room
	if reach := r + distance(h.a, h.b)/2; math.Abs(dot(h.at(0.5), along)-x) >= reach {
		return depth
	}
	const n = 8
	for i := range n + 1 {
		p := h.at(float64(i) / n)
		off, deep := dot(p, along)-x, dir*(dot(p, across)-from)
		if math.Abs(off) < r {
			depth = min(depth, max(0, deep-math.Sqrt(r*r-off*off)))
		}
	}
	return depth
}

// slot returns the cut as what is taken out: a line without width.
func (c Cut) slot() slot { return slot{c.From, c.To, 0} }

// area returns the area in mm² that a hole or slot takes out.
func (s slot) area() float64 {
	return math.Pi*s.r*s.r + 2*s.r*math.Hypot(s.b[0]-s.a[0], s.b[1]-s.a[1])
}
