package sheet

import (
	"math"
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
)

// shaded returns lines at 45°, step mm apart, over what lies within the loop and not
// within the other one. Arcs are taken within 0.05 mm.
func shaded(in, out []geom.Vertex, step float64) []draw.Entity {
	a, b := turned(in), turned(out)
	var list []draw.Entity
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range a {
		low, high = math.Min(low, p[1]), math.Max(high, p[1])
	}
	for y := step * math.Ceil(low/step); y < high; y += step {
		covered := crossings(b, y)
		for _, s := range without(crossings(a, y), covered) {
			if s[1]-s[0] > 0.05 {
				list = append(list, draw.Line{Layer: draw.Dimension, From: back(s[0], y), To: back(s[1], y)})
			}
		}
	}
	return list
}

// turned is a loop as points, turned by −45° so that the lines over it are level.
func turned(loop []geom.Vertex) [][2]float64 {
	var points [][2]float64
	for _, p := range (draw.Loop{Vertices: loop}).Pieces() {
		switch p := p.(type) {
		case draw.Line:
			points = append(points, ahead(p.From))
		case draw.Arc:
			const near = 0.05
			step := math.Pi / 4
			if p.Radius > near {
				step = math.Min(step, 2*math.Acos(1-near/p.Radius))
			}
			n := 1 + int(math.Abs(p.Sweep)/step)
			for i := range n {
				points = append(points, ahead(p.At(float64(i)/float64(n))))
			}
		}
	}
	return points
}

func ahead(p [2]float64) [2]float64 {
	return [2]float64{(p[0] + p[1]) * math.Sqrt2 / 2, (p[1] - p[0]) * math.Sqrt2 / 2}
}

func back(x, y float64) draw.Pos { return draw.Pos{(x - y) * math.Sqrt2 / 2, (x + y) * math.Sqrt2 / 2} }

// crossings are the intervals of a level line that lie within a polygon.
func crossings(polygon [][2]float64, y float64) [][2]float64 {
	var xs []float64
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		if (p[1] < y) != (q[1] < y) {
			xs = append(xs, p[0]+(y-p[1])/(q[1]-p[1])*(q[0]-p[0]))
		}
	}
	slices.Sort(xs)
	var list [][2]float64
	for i := 0; i+1 < len(xs); i += 2 {
		list = append(list, [2]float64{xs[i], xs[i+1]})
	}
	return list
}

// without takes intervals out of others; both are in order.
func without(list, out [][2]float64) [][2]float64 {
	for _, o := range out {
		var kept [][2]float64
		for _, s := range list {
			if left := math.Min(s[1], o[0]); left > s[0] {
				kept = append(kept, [2]float64{s[0], left})
			}
			if right := math.Max(s[0], o[1]); right < s[1] {
				kept = append(kept, [2]float64{right, s[1]})
			}
		}
		list = kept
	}
	return list
}
