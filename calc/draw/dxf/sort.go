package dxf

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"tubewright/calc/geom"
	"tubewright/calc/sorted"
)

const (
	circular = 0.005 // mm, how far a loop may be from the circle that it is taken for
	mostLoop = 4_000 // vertices of one loop
)

// region is a loop with what is asked of it again and again.
type region struct {
	Loop
	segments  []geom.Segment
	low, high xy
	area      float64
	parent    int // the smallest loop around it, −1 for none
	order     int // in the file
}

// loops makes outlines of closed pieces, each only once.
func (r *reader) loops(pieces []piece) ([]region, error) {
	if len(pieces) > mostLoops {
		return nil, fmt.Errorf("the drawing has %d closed outlines: want at most %d", len(pieces), mostLoops)
	}
	var list []region
	for _, p := range pieces {
		if len(p.v) > mostLoop {
			return nil, fmt.Errorf("line %d: an outline of %d vertices: want at most %d", p.line, len(p.v), mostLoop)
		}
		// Whether it crosses itself is asked of every side and every other at worst.
		if err := r.spend(len(p.v) * len(p.v) / 4); err != nil {
			return nil, err
		}
		o, err := geom.FromLoop(p.v)
		if err != nil {
			r.note("the outline on layer %s from line %d on is left out: %s", p.layer, p.line, strings.TrimPrefix(err.Error(), "outline: "))
			continue
		}
		g := region{Loop: Loop{p.layer, p.line, o.Loop(0), o}, segments: o.Segments(), area: o.Area(), parent: -1, order: len(list)}
		g.low, g.high = o.Bounds()
		list = append(list, g)
	}
	// The largest first: what lies around a loop then stands before it.
	sorted.By(list, func(a, b region) int { return cmp.Compare(b.area, a.area) })
	var kept []region
	for _, g := range list {
		double := false
		for i := len(kept) - 1; i >= 0 && !double; i-- {
			// Outlines within tol of each other differ in area by no more than this.
			if kept[i].area-g.area > 2*r.opts.Join*g.Outline.Perimeter() {
				break
			}
			if !near(g.low, kept[i].low, r.opts.Join) || !near(g.high, kept[i].high, r.opts.Join) {
				continue
			}
			if err := r.spend(2 * len(g.segments) * len(kept[i].segments)); err != nil {
				return nil, err
			}
			double = g.lies(kept[i].Outline, r.opts.Join)
		}
		if double {
			r.doubles++
			continue
		}
		kept = append(kept, g)
	}
	return kept, nil
}

func near(a, b xy, tol float64) bool {
	return math.Abs(a[0]-b[0]) <= tol && math.Abs(a[1]-b[1]) <= tol
}

// lies reports whether the corners and the middles of the sides lie on an outline.
func (g region) lies(on geom.Outline, tol float64) bool {
	for _, s := range g.segments {
		for _, p := range [2]xy{s.From, middle(s)} {
			if d, _ := on.Nearest(p); !(d <= tol) {
				return false
			}
		}
	}
	return true
}

func middle(s geom.Segment) xy {
	if s.Kind == geom.Arc {
		sin, cos := math.Sincos(s.Start + s.Sweep/2)
		return add(s.Centre, times(xy{cos, sin}, s.Radius))
	}
	return between(s.From, s.To, 0.5)
}

// sort says what each loop is. The outer one is the largest of those that hold
// another, or the only one; but where an open row goes round it, the true outline
// does not close, and there is none.
func (r *reader) sort(res *Result, list []region, open []piece) error {
	children := make([]int, len(list))
	outer := -1
	for i := range list {
		g := &list[i]
		for j := i - 1; j >= 0 && g.parent < 0; j-- {
			o := &list[j]
			if g.low[0] < o.low[0] || g.low[1] < o.low[1] || g.high[0] > o.high[0] || g.high[1] > o.high[1] {
				continue
			}
			if err := r.spend(len(o.segments)); err != nil {
				return err
			}
			if o.Outline.Contains(g.segments[0].From) {
				g.parent = j
				children[j]++
			}
		}
	}
	for i := range list {
		if list[i].parent < 0 && children[i] > 0 {
			outer = i
			break
		}
	}
	if len(list) == 1 {
		outer = 0
	}
	if outer >= 0 {
		for _, p := range open {
			if low, high := bounds([]piece{p}); low[0] < list[outer].low[0] && low[1] < list[outer].low[1] && high[0] > list[outer].high[0] && high[1] > list[outer].high[1] {
				r.note("the row from line %d on goes round the outlines but does not close: it ends at %.3f, %.3f and %.3f, %.3f",
					p.line, p.first()[0], p.first()[1], p.last()[0], p.last()[1])
				outer = -1
				break
			}
		}
	}
	if outer >= 0 {
		res.Outer = &list[outer].Loop
	}
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	sorted.By(order, func(a, b int) int { return list[a].order - list[b].order })
	var beside, deeper int
	for _, i := range order {
		g := list[i]
		switch {
		case i == outer:
		case g.parent != outer:
			res.Beside = append(res.Beside, g.Loop)
			if g.parent < 0 {
				beside++
			} else {
				deeper++
			}
		default:
			if h, ok := g.hole(r); ok {
				res.Holes = append(res.Holes, h)
			} else {
				res.Openings = append(res.Openings, g.Loop)
			}
		}
	}
	if beside > 0 {
		r.note("%s outside the outer one", counted(beside, "outline lies", "outlines lie"))
	}
	if deeper > 0 {
		r.note("%s within a hole, an opening or an outline beside", counted(deeper, "outline lies", "outlines lie"))
	}
	return r.crossings(list)
}

// hole returns the circle of a loop that is one. A centre and a diameter by area
// are within the tolerance when every corner and every middle is.
func (g region) hole(r *reader) (Hole, bool) {
	x, y := g.Outline.Centroid()
	d := 2 * math.Sqrt(g.area/math.Pi)
	if s := g.segments[0]; s.Kind == geom.Arc && apart(s.Centre, xy{x, y}) < 1e-6 && math.Abs(2*s.Radius-d) < 1e-6 {
		x, y, d = s.Centre[0], s.Centre[1], 2*s.Radius // without the rounding of sums
	}
	corners := true
	for _, s := range g.segments {
		p, q := apart(s.From, xy{x, y}), apart(middle(s), xy{x, y})
		corners = corners && math.Abs(p-d/2) <= 0.05*d
		if math.Abs(p-d/2) > circular || math.Abs(q-d/2) > circular {
			if corners && len(g.segments) >= 8 && g.polygon(xy{x, y}) {
				r.note("the opening on layer %s from line %d on is a circle of Ø %.2f mm drawn with %d corners: it is taken as an opening, not as a hole",
					g.Layer, g.Line, 2*p, len(g.segments))
			}
			return Hole{}, false
		}
	}
	return Hole{x, y, d, g.Layer, g.Line}, true
}

// polygon reports whether all corners lie on a circle about c and all sides are
// straight.
func (g region) polygon(c xy) bool {
	radius := apart(g.segments[0].From, c)
	for _, s := range g.segments {
		if s.Kind != geom.Line || math.Abs(apart(s.From, c)-radius) > circular {
			return false
		}
	}
	return true
}

// crossings notes which outlines meet each other.
func (r *reader) crossings(list []region) error {
	type side struct {
		of, at    int
		low, high xy
	}
	var sides []side
	for i, g := range list {
		for k, s := range g.segments {
			low, high := s.Bounds()
			sides = append(sides, side{i, k, low, high})
		}
	}
	sorted.By(sides, func(a, b side) int { return cmp.Compare(a.low[0], b.low[0]) })
	met := map[[2]int]bool{}
	for n, a := range sides {
		for _, b := range sides[n+1:] {
			if b.low[0] > a.high[0] {
				break
			}
			if err := r.spend(1); err != nil {
				return err
			}
			pair := [2]int{min(a.of, b.of), max(a.of, b.of)}
			if a.of == b.of || b.low[1] > a.high[1] || a.low[1] > b.high[1] || met[pair] {
				continue
			}
			if at, _ := list[a.of].segments[a.at].Meet(list[b.of].segments[b.at]); len(at) > 0 {
				met[pair] = true
				const most = 10
				if len(met) <= most {
					r.note("the outlines from line %d and line %d on cross or touch at %.3f, %.3f", list[pair[0]].Line, list[pair[1]].Line, at[0][0], at[0][1])
				}
			}
		}
	}
	return nil
}
