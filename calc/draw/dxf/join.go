package dxf

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/sorted"
)

// cell is a square of a grid, to find what lies near.
type cell [2]int64

func cellOf(p xy, width float64) cell {
	return cell{int64(math.Floor(p[0] / width)), int64(math.Floor(p[1] / width))}
}

// spend counts comparisons, so that a file made for it cannot keep the tablet busy.
func (r *reader) spend(n int) error {
	const most = 50_000_000
	if r.work += n; r.work > most {
		return fmt.Errorf("too many pieces lie in the same place to be told apart: have only the flange saved")
	}
	return nil
}

func (p piece) first() xy { return at(p.v[0]) }
func (p piece) last() xy  { return at(p.v[len(p.v)-1]) }

// sides returns the lines and arcs of the piece.
func (p piece) sides() []geom.Segment {
	var list []geom.Segment
	for i, v := range p.v {
		switch {
		case i+1 < len(p.v):
			list = append(list, geom.Bulged(at(v), at(p.v[i+1]), v.Bulge))
		case p.closed:
			list = append(list, geom.Bulged(at(v), p.first(), v.Bulge))
		}
	}
	return list
}

// reversed returns the open piece from its end to its start.
func (p piece) reversed() piece {
	n := len(p.v)
	v := make([]geom.Vertex, n)
	for i := range n {
		v[i] = p.v[n-1-i]
		if i < n-1 {
			v[i].Bulge = -p.v[n-2-i].Bulge
		} else {
			v[i].Bulge = 0
		}
	}
	p.v = v
	return p
}

// join makes loops of the pieces and returns what stays open. Pieces that only
// lead to an end that nothing else reaches are set aside first, so that a centre
// line that stops at the outline does not draw the outline aside with it.
func (r *reader) join() (loops, open []piece, err error) {
	var rest []piece
	for _, p := range r.pieces {
		switch near := apart(p.first(), p.last()) <= r.opts.Join; {
		case p.closed:
			loops = append(loops, p)
		case near && p.length() <= 2*r.opts.Join:
			r.short++
		case near && len(p.v) > 2:
			p.close(r)
			loops = append(loops, p)
		default:
			rest = append(rest, p)
		}
	}
	if rest, err = r.single(rest); err != nil {
		return nil, nil, err
	}
	spot, err := r.spots(rest)
	if err != nil {
		return nil, nil, err
	}
	inner, dangling := prune(rest, spot)
	for _, set := range [][]int{inner, dangling} {
		closed, rows := r.trace(rest, set, spot)
		loops, open = append(loops, closed...), append(open, rows...)
	}
	sorted.By(loops, func(a, b piece) int { return a.line - b.line })
	sorted.By(open, func(a, b piece) int { return a.line - b.line })
	return loops, open, nil
}

// length is that of the chords.
func (p piece) length() float64 {
	sum := 0.0
	for _, s := range p.sides() {
		sum += apart(s.From, s.To)
	}
	return sum
}

// close ends a piece of three vertices at least where it began, half way between
// its two ends.
func (p *piece) close(r *reader) {
	r.gap = max(r.gap, apart(p.first(), p.last()))
	m := p.first()
	if p.last() != m {
		m = between(m, p.last(), 0.5)
	}
	p.v[0].X, p.v[0].Y = m[0], m[1]
	p.v, p.closed = p.v[:len(p.v)-1], true
}

// single drops pieces that are there twice, in whichever direction.
func (r *reader) single(pieces []piece) ([]piece, error) {
	width := 8 * r.opts.Join
	type key [2]cell
	seen := map[key][]int{}
	var kept []piece
	for _, p := range pieces {
		// An end near the border of a square is looked for on both sides of it.
		near := func(q xy) (list []cell) {
			for _, dx := range [2]float64{-1, 1} {
				for _, dy := range [2]float64{-1, 1} {
					if c := cellOf(add(q, times(xy{dx, dy}, r.opts.Join)), width); !slices.Contains(list, c) {
						list = append(list, c)
					}
				}
			}
			return list
		}
		double := false
		for _, a := range near(p.first()) {
			for _, b := range near(p.last()) {
				for _, k := range [2]key{{a, b}, {b, a}} {
					for _, i := range seen[k] {
						if err := r.spend(1 + len(p.v)); err != nil {
							return nil, err
						}
						double = double || same(p, kept[i], r.opts.Join)
					}
				}
			}
		}
		if double {
			r.doubles++
			continue
		}
		k := key{cellOf(p.first(), width), cellOf(p.last(), width)}
		seen[k] = append(seen[k], len(kept))
		kept = append(kept, p)
	}
	return kept, nil
}

// same reports whether two open pieces have the same vertices and arcs to within
// tol mm.
func same(p, q piece, tol float64) bool {
	if len(p.v) != len(q.v) {
		return false
	}
	for _, q := range [2]piece{q, q.reversed()} {
		all := true
		for i, v := range p.v {
			w := q.v[i]
			// Half the difference of two bulges times the chord is how far the arcs are apart.
			all = apart(at(v), at(w)) <= tol
			if all && i+1 < len(p.v) {
				all = math.Abs(v.Bulge-w.Bulge)/2*apart(at(v), at(p.v[i+1])) <= tol
			}
			if !all {
				break
			}
		}
		if all {
			return true
		}
	}
	return false
}

// spots gives ends that are within the joining tolerance of each other the same
// number. End 2i is the start of piece i, 2i+1 its end.
func (r *reader) spots(pieces []piece) ([]int, error) {
	ends := make([]xy, 0, 2*len(pieces))
	for _, p := range pieces {
		ends = append(ends, p.first(), p.last())
	}
	group := make([]int, len(ends))
	for i := range group {
		group[i] = i
	}
	root := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	grid := map[cell][]int{}
	for i, e := range ends {
		c := cellOf(e, r.opts.Join)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				list := grid[cell{c[0] + dx, c[1] + dy}]
				if err := r.spend(1 + len(list)); err != nil {
					return nil, err
				}
				for _, j := range list {
					if apart(e, ends[j]) <= r.opts.Join {
						group[root(i)] = root(j)
					}
				}
			}
		}
		grid[c] = append(grid[c], i)
	}
	for i := range group {
		group[i] = root(i)
	}
	return group, nil
}
