package flange

import (
	"cmp"
	"math"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/sorted"
)

// piece is a stretch of one of several lines and arcs that were cut where they
// meet.
type piece struct {
	geom.Segment
	of       int     // which of them
	from, to float64 // its parameters there
	a, b     int     // the nodes it joins
}

// box is an upright box around a segment.
type box struct {
	low, high [2]float64
	of        int
}

func boxes(segs []geom.Segment) []box {
	bs := make([]box, len(segs))
	for i, s := range segs {
		low, high := s.Bounds()
		bs[i] = box{low, high, i}
	}
	sorted.By(bs, func(a, b box) int { return cmp.Or(cmp.Compare(a.low[0], b.low[0]), cmp.Compare(a.of, b.of)) })
	return bs
}

// split cuts lines and arcs wherever two of them meet.
func split(segs []geom.Segment) []piece {
	type cut struct {
		t float64
		p [2]float64
	}
	cuts := make([][]cut, len(segs))
	add := func(i int, p [2]float64) {
		if s := segs[i]; distance(p, s.From) > apart/10 && distance(p, s.To) > apart/10 {
			cuts[i] = append(cuts[i], cut{along(s, p), p})
		}
	}
	bs := boxes(segs)
	for k, a := range bs {
		for _, b := range bs[k+1:] {
			if b.low[0] > a.high[0]+apart {
				break
			}
			if b.low[1] > a.high[1]+apart || a.low[1] > b.high[1]+apart {
				continue
			}
			at, _ := segs[a.of].Meet(segs[b.of])
			for _, p := range at {
				add(a.of, p)
				add(b.of, p)
			}
		}
	}
	var out []piece
	for i, s := range segs {
		sorted.By(cuts[i], func(x, y cut) int { return cmp.Compare(x.t, y.t) })
		at := cut{0, s.From}
		for _, c := range append(cuts[i], cut{1, s.To}) {
			if distance(at.p, c.p) > apart/10 || c.t == 1 {
				out = append(out, piece{Segment: stretch(s, at.t, c.t, at.p, c.p), of: i, from: at.t, to: c.t})
				at = c
			}
		}
	}
	return out
}

// along returns the parameter of a place on a line or arc.
func along(s geom.Segment, p [2]float64) float64 {
	if s.Kind == geom.Line {
		d := [2]float64{s.To[0] - s.From[0], s.To[1] - s.From[1]}
		return dot([2]float64{p[0] - s.From[0], p[1] - s.From[1]}, d) / dot(d, d)
	}
	past := math.Atan2(p[1]-s.Centre[1], p[0]-s.Centre[0]) - s.Start
	if s.Sweep < 0 {
		past = -past
	}
	past -= 2 * math.Pi * math.Floor(past/(2*math.Pi))
	if past > math.Pi+math.Abs(s.Sweep)/2 { // just before its beginning
		past -= 2 * math.Pi
	}
	return past / math.Abs(s.Sweep)
}

// stretch returns the stretch of a line or arc from parameter a at p to b at q.
func stretch(s geom.Segment, a, b float64, p, q [2]float64) geom.Segment {
	s.From, s.To = p, q
	s.Start, s.Sweep = s.Start+a*s.Sweep, (b-a)*s.Sweep
	return s
}

// fence is the outline that pieces must keep clear of.
type fence struct {
	segs  []geom.Segment
	boxes []box
}

func boxed(segs []geom.Segment) fence { return fence{segs, boxes(segs)} }

// nearer reports whether the outline comes nearer to p than d.
func (f fence) nearer(p [2]float64, d float64) bool {
	for _, b := range f.boxes {
		if b.low[0] >= p[0]+d {
			return false
		}
		if b.high[0] <= p[0]-d || b.low[1] >= p[1]+d || b.high[1] <= p[1]-d {
			continue
		}
		if got, _ := f.segs[b.of].Nearest(p); got < d {
			return true
		}
	}
	return false
}

// clearOf returns the pieces that nowhere come nearer to the outline than d. A
// piece that met nothing on its way is clear as a whole or not at all; three
// places are asked all the same.
func clearOf(f fence, d float64, pieces []piece) []piece {
	var kept []piece
	for _, c := range pieces {
		clear := true
		for _, t := range [...]float64{0.5, 0.25, 0.75} {
			p, _ := c.At(t)
			if f.nearer(p, d-tooNear) {
				clear = false
				break
			}
		}
		if clear {
			kept = append(kept, c)
		}
	}
	return kept
}

// joined returns the closed walks along the pieces. Where several go on, the walk
// keeps to the right, so that it stays on the edge of what it goes round.
func joined(pieces []piece) (loops [][]piece) {
	nodes := number(pieces)
	pieces = slices.DeleteFunc(pieces, func(c piece) bool { return c.a == c.b && distance(c.From, c.To) <= apart && c.Length() <= 4*apart })
	leaving := make([][]int, nodes)
	for i, c := range pieces {
		leaving[c.a] = append(leaving[c.a], i)
	}
	// The longest first: it is no left-over between two cuts.
	order := make([]int, len(pieces))
	for i := range order {
		order[i] = i
	}
	sorted.By(order, func(x, y int) int { return cmp.Compare(pieces[y].Length(), pieces[x].Length()) })
	used := make([]bool, len(pieces))
	for _, first := range order {
		if used[first] {
			continue
		}
		var walk []int
		for at := first; at >= 0 && !used[at]; {
			used[at] = true
			walk = append(walk, at)
			at = rightmost(pieces, pieces[at], leaving[pieces[at].b], used, first)
		}
		if last := pieces[walk[len(walk)-1]]; last.b != pieces[first].a {
			continue
		}
		loop := make([]piece, len(walk))
		for i, k := range walk {
			loop[i] = pieces[k]
		}
		loops = append(loops, loop)
	}
	return loops
}

// rightmost returns which of the pieces goes on furthest to the right, −1 when
// the walk is back at its first or cannot go on.
func rightmost(pieces []piece, from piece, candidates []int, used []bool, first int) int {
	best, least, bend := -1, 0.0, 0.0
	n := right(from.Segment, 1)
	for _, k := range candidates {
		if used[k] && k != first {
			continue
		}
		m := right(pieces[k].Segment, 0)
		turn, curve := math.Atan2(cross(n, m), dot(n, m)), curvature(pieces[k])
		// Where two leave in one direction, the curve says which is further right.
		if best < 0 || turn < least-1e-7 || turn < least+1e-7 && curve < bend {
			best, least, bend = k, turn, curve
		}
	}
	if best == first {
		return -1
	}
	return best
}

func curvature(c piece) float64 {
	if c.Kind == geom.Line {
		return 0
	}
	return math.Copysign(1/c.Radius, c.Sweep)
}

// number gives the ends of pieces their nodes, ends within apart of each other
// the same, and returns how many there are.
func number(pieces []piece) int {
	type end struct {
		p    [2]float64
		node *int
	}
	var ends []end
	for i := range pieces {
		ends = append(ends, end{pieces[i].From, &pieces[i].a}, end{pieces[i].To, &pieces[i].b})
	}
	sorted.By(ends, func(x, y end) int { return cmp.Compare(x.p[0], y.p[0]) })
	top := make([]int, len(ends)) // a tree per node, its root the earliest end
	for i := range top {
		top[i] = i
	}
	root := func(i int) int {
		for top[i] != i {
			top[i] = top[top[i]]
			i = top[i]
		}
		return i
	}
	for i, e := range ends {
		for j := i + 1; j < len(ends) && ends[j].p[0] <= e.p[0]+apart; j++ {
			if distance(e.p, ends[j].p) <= apart {
				a, b := root(i), root(j)
				top[max(a, b)] = min(a, b)
			}
		}
	}
	n := 0
	names := make([]int, len(ends))
	for i := range ends {
		if r := root(i); r == i {
			names[i] = n
			n++
		} else {
			names[i] = names[r]
		}
		*ends[i].node = names[i]
	}
	return n
}

// vertices returns a loop as a path, stretches of one side as one.
func vertices(loop []piece) []geom.Vertex {
	var whole []piece
	for _, c := range loop {
		if n := len(whole); n > 0 && follows(whole[n-1], c) {
			whole[n-1].to, whole[n-1].To = c.to, c.To
			whole[n-1].Sweep += c.Sweep
			continue
		}
		whole = append(whole, c)
	}
	if n := len(whole); n > 2 && follows(whole[n-1], whole[0]) {
		whole[0].From, whole[0].Sweep = whole[n-1].From, whole[0].Sweep+whole[n-1].Sweep
		whole = whole[:n-1]
	}
	path := make([]geom.Vertex, len(whole))
	for i, c := range whole {
		path[i] = geom.Vertex{X: c.From[0], Y: c.From[1]}
		if c.Kind == geom.Arc {
			path[i].Bulge = math.Tan(c.Sweep / 4)
		}
	}
	return path
}

func follows(a, b piece) bool { return a.of == b.of && a.to == b.from }

// signed returns the area that a loop of pieces goes round, counter-clockwise
// positive.
func signed(loop []piece) float64 {
	sum := 0.0
	for _, c := range loop {
		sum += swept(c.Segment, loop[0].From)
	}
	return sum
}

// sliver returns the area below which a loop is only the left-over of cutting: a
// tenth of a micrometre along all of it.
func sliver(loop []piece) float64 {
	sum := 0.0
	for _, c := range loop {
		sum += c.Length()
	}
	return 1e-4 * sum
}
