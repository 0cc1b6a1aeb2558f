package flange

import "math"

// assign returns for every row the column that it gets, each column at most once,
// so that the sum of costs is least. cost has rows·columns finite entries, row by
// row, rows ≤ columns.
//
// The Hungarian method with shortest augmenting paths and potentials, O(rows² ·
// columns) (Kuhn 1955, Munkres 1957; in this form Jonker and Volgenant, Computing
// 38, 1987; from memory, tested against all permutations). Rows start at their
// cheapest column, so that only those that want the same one cost time.
func assign(cost []float64, rows, columns int) []int {
	rowPrice, columnPrice := make([]float64, rows), make([]float64, columns)
	owner, column := make([]int, columns), make([]int, rows)
	for j := range owner {
		owner[j] = -1
	}
	var waiting []int
	for i := range rows {
		cheapest := 0
		for j := range columns {
			if cost[i*columns+j] < cost[i*columns+cheapest] {
				cheapest = j
			}
		}
		rowPrice[i], column[i] = cost[i*columns+cheapest], -1
		if owner[cheapest] < 0 {
			owner[cheapest], column[i] = i, cheapest
		} else {
			waiting = append(waiting, i)
		}
	}
	if len(waiting) == 0 {
		return column
	}
	reach, from, done := make([]float64, columns), make([]int, columns), make([]bool, columns)
	for _, start := range waiting {
		for j := range columns {
			reach[j], from[j], done[j] = math.Inf(1), -1, false
		}
		row, here, length := start, -1, 0.0
		for {
			next := -1
			for j := range columns {
				if done[j] {
					continue
				}
				if r := length + cost[row*columns+j] - rowPrice[row] - columnPrice[j]; r < reach[j] {
					reach[j], from[j] = r, here
				}
				if next < 0 || reach[j] < reach[next] {
					next = j
				}
			}
			here, length, done[next] = next, reach[next], true
			if owner[here] < 0 {
				break
			}
			row = owner[here]
		}
		rowPrice[start] += length
		for j := range columns {
			if done[j] && j != here {
				rowPrice[owner[j]] += length - reach[j]
				columnPrice[j] -= length - reach[j]
			}
		}
		for here >= 0 { // hand the columns on along the path
			before := from[here]
			if before < 0 {
				owner[here] = start
			} else {
				owner[here] = owner[before]
			}
			column[owner[here]] = here
			here = before
		}
	}
	return column
}

// desk is room to work on that is used again and again. The zero value is ready.
type desk struct {
	table   []float64
	nearest []int
	taken   []bool
}

// pairUp pairs each of n with one of m, each once, so that the costs sum to least,
// where being left alone costs most. It returns the mate of each of n, −1 for none.
func (d *desk) pairUp(n, m int, cost func(i, j int) float64, most float64) []int {
	mate := make([]int, n)
	for i := range mate {
		mate[i] = -1
	}
	rows, columns, turned := n, m, n > m
	if turned {
		rows, columns = m, n
	}
	d.table, d.nearest, d.taken = d.table[:0], d.nearest[:0], d.taken[:0]
	for range columns {
		d.taken = append(d.taken, false)
	}
	clash := false
	for r := range rows {
		least, at := most, -1
		for c := range columns {
			i, j := r, c
			if turned {
				i, j = c, r
			}
			v := min(cost(i, j), most)
			if v < least {
				least, at = v, c
			}
			d.table = append(d.table, v)
		}
		d.nearest = append(d.nearest, at)
		if at >= 0 {
			clash = clash || d.taken[at]
			d.taken[at] = true
		}
	}
	given := d.nearest
	if clash { // else the nearest is the best that each can have
		given = assign(d.table, rows, columns)
	}
	for r, c := range given {
		switch {
		case c < 0 || !(d.table[r*columns+c] < most):
		case turned:
			mate[c] = r
		default:
			mate[r] = c
		}
	}
	return mate
}
