package geom

import "math"

// Along calls visit at the nodes of an integral round the outline: the sum of
// weight·f(s, p, d) over all calls is ∮ f ds, where s mm of the outline lie
// before the place p and d is the unit direction there. Gauss-Legendre, 8 points
// on each of 4 panels of every segment, as Perimeter and Centroid have it.
func (o Outline) Along(visit func(weight, s float64, p, d [2]float64)) {
	const n = panelCount
	before := 0.0
	for _, seg := range o.segments {
		for i := range n {
			a, h := float64(i)/n, 1.0/(2*n)
			for k := range 2 * len(gauss) {
				node, weight := node(k)
				t := a + h*(1+node)
				p, d := seg.At(t)
				speed := math.Hypot(d[0], d[1])
				if speed == 0 {
					continue
				}
				visit(weight*h*speed, before+seg.between(a, t), p, [2]float64{d[0] / speed, d[1] / speed})
			}
			before += seg.between(a, a+2*h)
		}
	}
}

// Nodes returns how often Along calls visit, at most.
func (o Outline) Nodes() int { return len(o.segments) * panelCount * 2 * len(gauss) }

// Evenly returns n points on the outline at equal distances along it, the first
// where the outline begins. On cubics the distance is within 1e-9 relative, as
// for Perimeter.
func (o Outline) Evenly(n int) [][2]float64 {
	if len(o.segments) == 0 || n < 1 {
		return nil
	}
	step := o.Perimeter() / float64(n)
	pts := make([][2]float64, 0, n)
	// The place reached: segment, its parameter, mm from the start, mm where the
	// segment ends.
	i, t, s, end := 0, 0.0, 0.0, o.segments[0].Length()
	for k := range n {
		want := step * float64(k)
		for want > end && i < len(o.segments)-1 {
			i, t, s = i+1, 0, end
			end += o.segments[i].Length()
		}
		t = o.segments[i].after(t, want-s)
		s = want
		p, _ := o.segments[i].At(t)
		pts = append(pts, p)
	}
	return pts
}

// between returns the length of the segment between two of its parameters.
func (s Segment) between(a, b float64) float64 {
	if s.Kind != Cubic {
		return (b - a) * s.Length()
	}
	sum, h := 0.0, (b-a)/2
	for k := range 2 * len(gauss) {
		node, weight := node(k)
		_, d := s.At(a + h*(1+node))
		sum += weight * h * math.Hypot(d[0], d[1])
	}
	return sum
}

// after returns the parameter that lies length mm behind a, at most 1. Newton's
// steps on a cubic are kept within what is left of it.
func (s Segment) after(a, length float64) float64 {
	if s.Kind != Cubic {
		return min(1, a+length/s.Length())
	}
	low, high, t := a, 1.0, a
	for range 60 {
		off := s.between(a, t) - length
		if off > 0 {
			high = t
		} else {
			low = t
		}
		_, d := s.At(t)
		step := off / math.Hypot(d[0], d[1])
		if math.Abs(step) < 1e-13 {
			break
		}
		if t -= step; !(t > low && t < high) {
			t = (low + high) / 2
		}
	}
	return t
}

// node returns the k-th of the 8 nodes between −1 and 1, and its weight.
func node(k int) (at, weight float64) {
	g := gauss[k/2]
	if k%2 == 0 {
		return -g.node, g.weight
	}
	return g.node, g.weight
}
