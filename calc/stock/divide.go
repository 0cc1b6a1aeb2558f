package stock

import "math"

// divided divides a node where its relaxation is not whole: first by how many of each
// bar, then by which straights are cut from tubing and which bends are cut from one
// bar. It returns nil when there is nothing to divide by.
func (t *tree) divided(n *node, r *relaxed) []*node {
	low, high := *n, *n
	low.depth++
	high.depth++
	if k, at := t.partly(r); k >= 0 {
		low.most = append([]int(nil), n.most...)
		low.most[k] = at
		high.least = append([]int(nil), n.least...)
		high.least[k] = at + 1
		return []*node{&low, &high}
	}
	if n.leaf == nil {
		low.leaf = new(int)
		high.leaf = low.leaf
		n.leaf = low.leaf
	}
	*n.leaf++
	if i, at := t.cutPartly(r); i >= 0 {
		low.cut, low.leg = append([]int(nil), n.cut...), append([]bool(nil), n.leg...)
		low.cut[i] += at
		low.leg[i] = true
		high.cut = append([]int(nil), n.cut...)
		high.cut[i] += at + 1
		return []*node{&low, &high}
	}
	if p, ok := t.pair(r); ok {
		low.apart = append(append([][2]int(nil), n.apart...), p)
		high.together = append(append([][2]int(nil), n.together...), p)
		return []*node{&low, &high}
	}
	return nil
}

// partLeast is how far from whole a count has to be, to divide by it.
const partLeast = 1e-3

// cutPartly returns the straight of which a part nearest to a half is cut from tubing,
// and how many whole ones; −1 where there is none.
func (t *tree) cutPartly(r *relaxed) (straight, whole int) {
	straight = -1
	most := partLeast
	for i := range r.in {
		col := &r.in[i]
		if col.bar >= 0 || len(col.count) != 2 {
			continue
		}
		part := r.value[i] - math.Floor(r.value[i])
		if v := math.Min(part, 1-part); v > most {
			most, straight, whole = v, col.count[0].row, int(r.value[i])
		}
	}
	return straight, whole
}

// pair returns the two bends, of which one each is wanted, that are cut from one bar
// nearest to half of the time.
func (t *tree) pair(r *relaxed) (pair [2]int, ok bool) {
	parts := len(t.all)
	with := make([]float64, parts*parts)
	for i := range r.in {
		col := &r.in[i]
		if col.bar < 0 {
			continue
		}
		for a, p := range col.take {
			for _, q := range col.take[a+1:] {
				with[min(p, q)*parts+max(p, q)] += r.value[i]
			}
		}
	}
	most := partLeast
	for at, v := range with {
		p, q := at/parts, at%parts
		if v = math.Min(v, 1-v); v > most && t.all[p] == 1 && t.all[q] == 1 {
			most, pair, ok = v, [2]int{p, q}, true
		}
	}
	return pair, ok
}

// partly returns the bar of which the relaxation uses a part that is nearest to a half,
// tubing before bends, and how many whole ones; −1 where all are whole.
func (t *tree) partly(r *relaxed) (bar, whole int) {
	used := make([]float64, len(t.c.bars))
	for i, col := range r.in {
		if col.bar >= 0 {
			used[col.bar] += r.value[i]
		}
	}
	bar = -1
	most := 0.0
	for k, n := range used {
		part := n - math.Floor(n)
		if part < 1e-4 || part > 1-1e-4 {
			continue
		}
		v := math.Min(part, 1-part)
		if t.c.bars[k].class == t.straights {
			v++
		}
		if v > most {
			most, bar, whole = v, k, int(n)
		}
	}
	return bar, whole
}
