package flange

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/geom"
)

// blob is a piece of what a plate has to cover: a disc, or the part of its rim in
// the directions from start on over sweep rad, which is the outside of an arc.
type blob struct {
	at           [2]float64
	radius       float64
	start, sweep float64 // sweep of a whole disc is 2π
}

func disc(at [2]float64, radius float64) blob { return blob{at, radius, 0, 2 * math.Pi} }

// blobs returns what covers an outline and web mm of metal round it: its arcs,
// grown, and a disc about each corner. Cubics become arcs within arcError.
func blobs(o geom.Outline, web float64) []blob {
	var list []blob
	segs := arced(o).Segments()
	for i, s := range segs {
		// Where it turns smoothly into or out of an arc, the arc's rim is there already.
		last := segs[(i+len(segs)-1)%len(segs)]
		smooth := math.Abs(math.Remainder(heading(s, 0)-heading(last, 1), 2*math.Pi)) <= blunt
		if !smooth || !bulges(s) && !bulges(last) {
			list = append(list, disc(s.From, web))
		}
		if bulges(s) {
			list = append(list, blob{s.Centre, s.Radius + web, s.Start, s.Sweep})
		}
	}
	return list
}

// arced returns the outline with arcs within arcError for its cubics, which are
// quicker to ask; one that touches itself comes back as it is.
func arced(o geom.Outline) geom.Outline {
	if !slices.ContainsFunc(o.Segments(), func(s geom.Segment) bool { return s.Kind == geom.Cubic }) {
		return o
	}
	a, err := geom.FromLoop(o.Loop(arcError))
	if err != nil {
		return o
	}
	return a
}

// blunt is the turn in rad below which a corner is none, and by which arcs reach
// farther than they do so that nothing is left open between two.
const blunt = 1e-6

func bulges(s geom.Segment) bool { return s.Kind == geom.Arc && s.Sweep > 0 }

// reach returns how far the blob reaches in the unit direction n; it has to span it.
func (b blob) reach(n [2]float64) float64 { return dot(b.at, n) + b.radius }

// spans reports whether the blob has a rim in the direction a.
func (b blob) spans(a float64) bool {
	return b.sweep >= 2*math.Pi || ahead(b.start-blunt, a) <= b.sweep+2*blunt
}

func (b blob) rim(a float64) [2]float64 {
	sin, cos := math.Sincos(a)
	return [2]float64{b.at[0] + b.radius*cos, b.at[1] + b.radius*sin}
}

// ahead returns how far, counter-clockwise, b lies ahead of a, 0 to 2π.
func ahead(a, b float64) float64 {
	d := b - a
	return d - 2*math.Pi*math.Floor(d/(2*math.Pi))
}

// glance is the turn in rad within which two places on a hull are one: what it
// covers ends there by less than 3e-5 mm on a plate of half a metre.
const glance = 1e-7

// hair is the shortest side of a hull in mm; shorter ones are left out.
const hair = 1e-4

// hull returns the shortest outline round everything, exact lines and arcs. It
// goes round all directions: at each, one of the blobs reaches farthest, and the
// next one j takes over from i where
//
//	(cⱼ − cᵢ)·n(a) = rᵢ − rⱼ,   a = ψ − acos((rᵢ − rⱼ)/D)
//
// with D and ψ the length and direction from centre i to centre j.
func hull(all []blob) (geom.Outline, error) {
	if len(all) == 0 {
		return geom.Outline{}, fmt.Errorf("plate: there is nothing to go round")
	}
	type run struct {
		of   blob
		from float64 // direction in which it takes over
	}
	var runs []run
	a := nextTurn(all, topmost(all, 0), 0)
	begin := a
	for total := 0.0; total < 2*math.Pi-glance; {
		i := topmost(all, a+glance)
		if n := len(runs); n == 0 || all[i] != runs[n-1].of {
			runs = append(runs, run{all[i], a})
		}
		if len(runs) > 4*len(all)+16 {
			return geom.Outline{}, fmt.Errorf("plate: its outline has no end")
		}
		next := nextTurn(all, i, a)
		total += next - a
		a = next
	}
	if n := len(runs) - 1; n > 0 && runs[0].of == runs[n].of { // begun within it
		begin = runs[n].from - 2*math.Pi
		runs[0].from, runs = begin, runs[:n]
	}
	runs = append(runs, run{runs[0].of, begin + 2*math.Pi})
	var loop []geom.Vertex
	for k, r := range runs[:len(runs)-1] {
		next := runs[k+1]
		if r.of.radius*(next.from-r.from) < hair {
			p := r.of.rim(r.from)
			loop = append(loop, geom.Vertex{X: p[0], Y: p[1]})
			continue
		}
		parts := 1 + math.Floor((next.from-r.from)/(1.2*math.Pi))
		step := (next.from - r.from) / parts
		for n := 0.0; n < parts; n++ {
			p := r.of.rim(r.from + n*step)
			loop = append(loop, geom.Vertex{X: p[0], Y: p[1], Bulge: math.Tan(step / 4)})
		}
		if p, q := r.of.rim(next.from), next.of.rim(next.from); math.Hypot(p[0]-q[0], p[1]-q[1]) > hair {
			loop = append(loop, geom.Vertex{X: p[0], Y: p[1]})
		}
	}
	o, err := geom.FromLoop(loop)
	if err != nil {
		return geom.Outline{}, fmt.Errorf("plate: %w", err)
	}
	return o, nil
}

// topmost returns which blob reaches farthest in the direction a; of two that do,
// the one of the greater radius.
func topmost(all []blob, a float64) int {
	sin, cos := math.Sincos(a)
	n := [2]float64{cos, sin}
	best, reach := 0, math.Inf(-1)
	for i, b := range all {
		r := b.reach(n)
		if r < reach-1e-12 || !b.spans(a) {
			continue
		}
		if r > reach+1e-12 || b.radius > all[best].radius {
			best, reach = i, r
		}
	}
	return best
}

// nextTurn returns the first direction behind a, by more than glance and at most a
// full turn, at which another blob than i may reach farther or i ends.
func nextTurn(all []blob, i int, a float64) float64 {
	b := all[i]
	first := 2 * math.Pi
	if b.sweep < 2*math.Pi {
		if d := ahead(a, b.start+b.sweep+blunt); d > glance/2 {
			first = d
		}
	}
	for j, c := range all {
		if j == i {
			continue
		}
		if !c.spans(a) && ahead(a, c.start-blunt) > first {
			continue // its rim begins behind what is found already
		}
		d := [2]float64{c.at[0] - b.at[0], c.at[1] - b.at[1]}
		dist, less := math.Hypot(d[0], d[1]), b.radius-c.radius
		if !(math.Abs(less) < dist) {
			continue
		}
		at := math.Atan2(d[1], d[0]) - math.Acos(less/dist)
		if turn := ahead(a, at); turn > glance && turn < first && c.spans(at+glance) {
			first = turn
		}
	}
	return a + first
}
