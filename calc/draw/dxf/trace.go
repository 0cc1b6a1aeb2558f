package dxf

import (
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/sorted"
)

// prune parts the pieces that go round from those that lead to a loose end.
func prune(pieces []piece, spot []int) (inner, dangling []int) {
	count := map[int]int{}
	at := map[int][]int{} // pieces
	for i := range pieces {
		for _, s := range [2]int{spot[2*i], spot[2*i+1]} {
			count[s]++
			at[s] = append(at[s], i)
		}
	}
	gone := make([]bool, len(pieces))
	var loose []int
	for i := range pieces {
		for _, s := range [2]int{spot[2*i], spot[2*i+1]} {
			if count[s] == 1 {
				loose = append(loose, s)
			}
		}
	}
	for len(loose) > 0 {
		s := loose[len(loose)-1]
		loose = loose[:len(loose)-1]
		for _, i := range at[s] {
			if gone[i] || count[s] != 1 {
				continue
			}
			gone[i] = true
			for _, end := range [2]int{spot[2*i], spot[2*i+1]} {
				if count[end]--; count[end] == 1 {
					loose = append(loose, end)
				}
			}
		}
	}
	for i := range pieces {
		if gone[i] {
			dangling = append(dangling, i)
		} else {
			inner = append(inner, i)
		}
	}
	return inner, dangling
}

// trace follows the pieces of the set from end to end.
func (r *reader) trace(pieces []piece, set, spot []int) (closed, open []piece) {
	at := map[int][]int{} // ends
	var order []int
	for _, i := range set {
		for _, end := range [2]int{2 * i, 2*i + 1} {
			if at[spot[end]] == nil {
				order = append(order, spot[end])
			}
			at[spot[end]] = append(at[spot[end]], end)
		}
	}
	mate := map[int]int{}
	for _, s := range order {
		r.pair(pieces, at[s], mate)
	}
	used := map[int]bool{}
	follow := func(end int) {
		first := end
		var row piece
		for {
			i := end / 2
			used[i] = true
			p := pieces[i]
			if end%2 == 1 {
				p = p.reversed()
			}
			r.extend(&row, p)
			next, ok := mate[end^1]
			if !ok {
				open = append(open, row)
				return
			}
			if next == first {
				if len(row.v) < 3 { // an arc that comes back on itself within the tolerance
					r.short++
					return
				}
				row.close(r)
				closed = append(closed, row)
				return
			}
			end = next
		}
	}
	for _, i := range set {
		for _, end := range [2]int{2 * i, 2*i + 1} {
			if _, ok := mate[end]; !ok && !used[i] {
				follow(end)
			}
		}
	}
	for _, i := range set {
		if !used[i] {
			follow(2 * i)
		}
	}
	return closed, open
}

// pair says which ends go on in which where they meet: two and two, on the same
// layer and as straight on as can be.
func (r *reader) pair(pieces []piece, ends []int, mate map[int]int) {
	if len(ends) == 2 {
		mate[ends[0]], mate[ends[1]] = ends[1], ends[0]
		return
	}
	const most = 16
	if len(ends) > 2 {
		p := pieces[ends[0]/2]
		q := p.first()
		if ends[0]%2 == 1 {
			q = p.last()
		}
		r.forks = append(r.forks, q)
	}
	if len(ends) > most {
		return
	}
	type choice struct {
		a, b  int
		other bool
		back  float64 // −1 goes straight on
	}
	var list []choice
	for i, a := range ends {
		for _, b := range ends[i+1:] {
			list = append(list, choice{a, b, pieces[a/2].layer != pieces[b/2].layer, dot(leaving(pieces, a), leaving(pieces, b))})
		}
	}
	sorted.By(list, func(x, y choice) int {
		switch {
		case x.other != y.other && x.other:
			return 1
		case x.other != y.other:
			return -1
		case x.back < y.back:
			return -1
		case x.back > y.back:
			return 1
		}
		return 0
	})
	for _, c := range list {
		_, a := mate[c.a]
		_, b := mate[c.b]
		if !a && !b {
			mate[c.a], mate[c.b] = c.b, c.a
		}
	}
}

// leaving returns the direction in which a piece leaves one of its ends.
func leaving(pieces []piece, end int) xy {
	p := pieces[end/2]
	if end%2 == 1 {
		p = p.reversed()
	}
	_, d := geom.Bulged(at(p.v[0]), at(p.v[1]), p.v[0].Bulge).At(0)
	return times(d, 1/size(d))
}

// extend puts a piece behind a row, the two ends half way between them.
func (r *reader) extend(row *piece, p piece) {
	if len(row.v) == 0 {
		*row = piece{layer: p.layer, line: p.line, v: slices.Clone(p.v)}
		return
	}
	end := &row.v[len(row.v)-1]
	gap := apart(at(*end), p.first())
	r.gap = max(r.gap, gap)
	m := at(*end)
	if gap > 0 {
		m = between(m, p.first(), 0.5)
	}
	end.X, end.Y, end.Bulge = m[0], m[1], p.v[0].Bulge
	row.v = append(row.v, p.v[1:]...)
	row.line = min(row.line, p.line)
}
