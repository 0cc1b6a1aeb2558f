package geom

import "math"

// smooth reports whether b goes on where a ends without a corner: within a
// millionth of a radian, less than the arcs can show.
func smooth(a, b Segment) bool {
	_, d := a.At(1)
	_, e := b.At(0)
	return dot(d, e) > 0 && math.Abs(cross(d, e)) <= 1e-6*dot(d, e)
}

// biarcs returns arcs along a smooth run of cubics, without its end: each pair
// reaches as far as it can within tol mm. The run's parameter u counts cubics.
func biarcs(run []Segment, tol float64) []Vertex {
	n := float64(len(run))
	var loop []Vertex
	u, step := 0.0, 1.0
	for u < n {
		step = min(step, n-u)
		pair, fits := biarc(run, u, u+step, tol)
		for !fits && step > shortest {
			step /= 2
			pair, fits = biarc(run, u, u+step, tol)
		}
		if !fits { // a cusp: the chord of so short a piece is as good
			p, _ := on(run, u)
			pair = []Vertex{{p[0], p[1], 0}}
		} else {
			for u+step < n {
				longer, ok := biarc(run, u, min(u+2*step, n), tol)
				if !ok {
					break
				}
				pair, step = longer, min(2*step, n-u)
			}
			for more := step / 2; more > step/16 && u+step < n; more /= 2 {
				if longer, ok := biarc(run, u, min(u+step+more, n), tol); ok {
					pair, step = longer, min(step+more, n-u)
				}
			}
		}
		loop = append(loop, pair...)
		if u += step; n-u < shortest/2 {
			break // rounding
		}
	}
	return loop
}

// shortest is the least piece of a cubic, in its parameter, that is still tried
// as arcs.
const shortest = 1.0 / 1024

// on returns place and derivative of a run of cubics at u.
func on(run []Segment, u float64) (p, d [2]float64) {
	i := min(int(u), len(run)-1)
	return run[i].At(u - float64(i))
}

// biarc returns the Biarc from u to v, and whether it stays within tol.
func biarc(run []Segment, u, v, tol float64) ([]Vertex, bool) {
	p, s := on(run, u)
	q, t := on(run, v)
	if back := math.Floor(v); back == v && v > u { // the end of a cubic, not the start of the next
		q, t = run[int(v)-1].At(1)
	}
	m, b1, b2, ok := Biarc(p, s, q, t)
	if !ok {
		return nil, false
	}
	arcs := [2]Segment{Bulged(p, m, b1), Bulged(m, q, b2)}
	steps := max(24, int(math.Ceil(8*(v-u))))
	for i := 1; i < steps; i++ {
		at, _ := on(run, u+(v-u)*float64(i)/float64(steps))
		d1, _ := arcs[0].Nearest(at)
		d2, _ := arcs[1].Nearest(at)
		if !(min(d1, d2) <= sampled*tol) {
			return nil, false
		}
	}
	return []Vertex{{p[0], p[1], b1}, {m[0], m[1], b2}}, true
}

// Biarc returns two arcs from p in the direction of s to q in the direction of t,
// as the place m where they touch, in mm, and the bulges before and after it. With
// s and t of length 1 and c = q − p, of the many such pairs it is the one with equal
// legs,
//
//	d = c·c / (c·(s+t) + √((c·(s+t))² + 2(1 − s·t) c·c)),  m = (p + q + d(s − t))/2
//
// It is not ok where a direction is missing or an arc turns by more than a right
// angle.
func Biarc(p, s, q, t [2]float64) (m [2]float64, before, after float64, ok bool) {
	ls, lt := math.Hypot(s[0], s[1]), math.Hypot(t[0], t[1])
	if !(ls > 0 && lt > 0) {
		return m, 0, 0, false
	}
	c := [2]float64{q[0] - p[0], q[1] - p[1]}
	for i := range 2 {
		s[i] /= ls
		t[i] /= lt
	}
	cc, along := dot(c, c), dot(c, s)+dot(c, t)
	d := cc / (along + math.Sqrt(along*along+2*max(0, 1-dot(s, t))*cc))
	if !(d > 0 && d <= 4*math.Sqrt(cc)) {
		return m, 0, 0, false
	}
	m = [2]float64{(p[0] + q[0] + d*(s[0]-t[0])) / 2, (p[1] + q[1] + d*(s[1]-t[1])) / 2}
	first, second := [2]float64{m[0] - p[0], m[1] - p[1]}, [2]float64{q[0] - m[0], q[1] - m[1]}
	// tan of half the angle between tangent and chord.
	before = cross(s, first) / (math.Hypot(first[0], first[1]) + dot(s, first))
	after = cross(second, t) / (math.Hypot(second[0], second[1]) + dot(second, t))
	if !(math.Abs(before) <= quarter && math.Abs(after) <= quarter) {
		return m, 0, 0, false
	}
	return m, before, after, true
}

// quarter is the bulge of a quarter circle, tan(π/8), and a little.
const quarter = 0.4143

// sampled is how much of the error the samples may use: between two of them the
// curve leaves the arcs by a little more.
const sampled = 0.9

func dot(a, b [2]float64) float64 { return float64(a[0]*b[0]) + float64(a[1]*b[1]) }
