package flange

import (
	"math"
	"slices"

	"tubewright/calc/geom"
)

// Piece is one plate of a flange and what is in it, by ids.
type Piece struct {
	Outline      geom.Outline
	Mouths       []string
	Bolts        []string
	mouths, bolt []int // the same by number
}

// Overlap is two plates that want the same metal, by their ports, and how deep.
type Overlap struct {
	A, B string
	By   float64 // mm
}

// shared is how much farther, in mm, a bolt may be from a port than from the
// nearest one and still hold both. Heads have bolts half-way between two ports, and
// rounding must not choose.
const shared = 1.0

// plates returns the plates: one round everything, or one for each port with the
// bolts nearest to it, at least two.
func (d *Design) plates(s Spec) error {
	var sets [][]int
	if s.Pieces == Separate && len(s.Mouths) > 0 {
		sets = holders(s)
	} else {
		sets = [][]int{numbers(len(s.Bolts))}
	}
	for i, bolts := range sets {
		p := Piece{bolt: bolts, mouths: []int{i}}
		if len(sets) == 1 {
			p.mouths = numbers(len(s.Mouths))
		}
		var list []blob
		for _, b := range bolts {
			p.Bolts = append(p.Bolts, s.Bolts[b].ID)
		}
		for _, m := range p.mouths {
			p.Mouths = append(p.Mouths, s.Mouths[m].ID)
			list = append(list, blobs(s.Mouths[m].Opening, s.Web)...)
		}
		d.grow(s, bolts)
		for _, b := range bolts {
			h := d.Holes[b].slot()
			list = append(list, disc(h.a, h.r+s.Edge), disc(h.b, h.r+s.Edge))
		}
		var err error
		if p.Outline, err = hull(list); err != nil {
			return err
		}
		d.Pieces = append(d.Pieces, p)
	}
	for i, p := range d.Pieces {
		for _, q := range d.Pieces[:i] {
			if by := overlap(p.Outline, q.Outline); by > 0 {
				d.Overlaps = append(d.Overlaps, Overlap{q.Mouths[0], p.Mouths[0], by})
			}
		}
	}
	return nil
}

// holders returns for each port the bolts that hold it.
func holders(s Spec) [][]int {
	away := make([][]float64, len(s.Mouths)) // of each bolt from each opening
	for m := range s.Mouths {
		away[m] = make([]float64, len(s.Bolts))
		for b := range s.Bolts {
			away[m][b], _ = s.Mouths[m].Opening.Nearest(s.Bolts[b].At)
		}
	}
	sets := make([][]int, len(s.Mouths))
	for b := range s.Bolts {
		near := math.Inf(1)
		for m := range away {
			near = min(near, away[m][b])
		}
		for m := range away {
			if away[m][b] <= near+shared {
				sets[m] = append(sets[m], b)
			}
		}
	}
	for m := range sets {
		for len(sets[m]) < 2 && len(sets[m]) < len(s.Bolts) {
			next := -1
			for b := range s.Bolts {
				if !slices.Contains(sets[m], b) && (next < 0 || away[m][b] < away[m][next]) {
					next = b
				}
			}
			sets[m] = append(sets[m], next)
		}
		slices.Sort(sets[m])
	}
	return sets
}

func numbers(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// overlap returns how deep two outlines that are nowhere hollow stand into each
// other: the shortest way that would part them, 0 where a straight line does.
func overlap(o, p geom.Outline) float64 {
	a, b := o.Polyline(0.01), p.Polyline(0.01)
	depth := math.Inf(1)
	for _, poly := range [2][][2]float64{a, b} {
		for i, from := range poly {
			to := poly[(i+1)%len(poly)]
			n := [2]float64{to[1] - from[1], from[0] - to[0]}
			l := math.Hypot(n[0], n[1])
			if l == 0 {
				continue
			}
			n[0], n[1] = n[0]/l, n[1]/l
			lowA, highA := extent(a, n)
			lowB, highB := extent(b, n)
			depth = min(depth, highA-lowB, highB-lowA)
			if depth <= 0 {
				return 0
			}
		}
	}
	return depth
}

// extent returns how far points reach along n, from and to.
func extent(pts [][2]float64, n [2]float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		v := float64(p[0]*n[0]) + float64(p[1]*n[1])
		low, high = min(low, v), max(high, v)
	}
	return low, high
}
