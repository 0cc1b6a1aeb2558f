package flange

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/geom"
)

const (
	// arcError is how far arcs may be from the cubics they stand for, in mm.
	arcError = 0.002
	// nearer than the offset by more than this, in mm, and a place is not on it.
	// Where two offset sides cross, what lies beyond is nearer by far more.
	tooNear = 1e-7
	// apart: ends of pieces within that, in mm, are one. Tangents that agree to a
	// millionth of a radian, as drawings have them, leave gaps of that size.
	apart = 1e-6
	// spike is how near to half a turn a corner goes back on itself, in rad.
	spike = 1e-3
)

// Offset returns the outline all round at the distance d mm outside o, or −d
// inside when d is negative: every place of it is d ± 0.005 mm from o. Sides and
// arcs stay exact, cubics become arcs within 0.002 mm, outer corners are rounded
// by an arc, and where o is hollow what would come nearer than d is left out. An
// outer offset across a narrow mouth closes it; the hole behind is not told.
//
// For a convex o of perimeter P and area A, by Steiner's formula,
//
//	P' = P + 2π·d     A' = A + P·d + π·d²
//
// It is an error when d is not finite, when nothing is left inside, or when what
// is left falls into several parts.
func Offset(o geom.Outline, d float64) (geom.Outline, error) {
	if d == 0 {
		return o, nil
	}
	if !(math.Abs(d) <= 1e6) {
		return geom.Outline{}, fmt.Errorf("offset %v mm: want −1e6 to 1e6", d)
	}
	base, err := geom.FromLoop(o.Loop(arcError))
	if err != nil {
		return geom.Outline{}, fmt.Errorf("offset by %.6g mm: %w", d, err)
	}
	// A distance at which two sides just touch has no clear answer; a hair beside
	// it there is one. The largest step is a fiftieth of what is promised.
	var failed error
	for _, step := range [...]float64{0, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4} {
		if math.Abs(step) >= math.Abs(d) {
			continue
		}
		out, err := around(base, d+step)
		if err == nil {
			return out, nil
		}
		if errors.As(err, new(lost)) {
			return geom.Outline{}, err
		}
		failed = err
	}
	return geom.Outline{}, fmt.Errorf("offset by %.6g mm: %w", d, failed)
}

// lost is an offset that does not exist, as against one not found.
type lost string

func (l lost) Error() string { return string(l) }

// around finds the offset of an outline of lines and arcs. Every place of it
// belongs to a side moved by d or to an arc about a corner; all of these are cut
// where they meet, pieces nearer to the outline than d are dropped, and the rest
// joined up.
func around(base geom.Outline, d float64) (geom.Outline, error) {
	segs := base.Segments()
	if d < 0 { // walk the other way round: the right hand is inside
		for i, j := 0, len(segs)-1; i <= j; i, j = i+1, j-1 {
			segs[i], segs[j] = segs[j].Reversed(), segs[i].Reversed()
		}
	}
	size := math.Abs(d)
	kept := clearOf(boxed(segs), size, split(moved(segs, size)))
	loops := joined(kept)
	if d < 0 {
		return innermost(loops, size)
	}
	var best geom.Outline
	var failed error = errors.New("the pieces of the offset do not join up")
	for _, l := range loops {
		if signed(l) <= sliver(l) {
			continue
		}
		out, err := geom.FromLoop(vertices(l))
		if err != nil {
			failed = err
		} else if out.Area() > best.Area() {
			best = out
		}
	}
	if at := segs[0].From; !best.Contains(at) {
		return geom.Outline{}, failed
	}
	return best, nil
}

// innermost returns the one part that is left inside.
func innermost(loops [][]piece, d float64) (geom.Outline, error) {
	var parts []geom.Outline
	var failed error
	for _, l := range loops {
		if signed(l) >= -sliver(l) {
			continue
		}
		part, err := geom.FromLoop(vertices(l))
		if err != nil {
			failed = err
			continue
		}
		parts = append(parts, part)
	}
	switch {
	case len(parts) == 1 && failed == nil:
		return parts[0], nil
	case failed != nil:
		return geom.Outline{}, failed
	case len(parts) > 1:
		return geom.Outline{}, lost(fmt.Sprintf("%.6g mm inside the outline %d separate parts are left", d, len(parts)))
	}
	return geom.Outline{}, lost(fmt.Sprintf("%.6g mm inside the outline nothing is left", d))
}

// moved returns the sides d mm to the right of where they were, and an arc about
// every corner that turns left. A hollow arc of a smaller radius than d has all of
// its offset nearer to its own ends, and is left out.
func moved(segs []geom.Segment, d float64) []geom.Segment {
	var out []geom.Segment
	for i, s := range segs {
		next := segs[(i+1)%len(segs)]
		end, start := right(s, 1), right(next, 0)
		if m, ok := beside(s, d); ok {
			out = append(out, m)
		}
		turn := math.Atan2(cross(end, start), dot(end, start))
		if turn < spike-math.Pi { // either sign may come out; a hollow one is never reached
			turn += 2 * math.Pi
		}
		if turn*d < 1e-9 {
			continue
		}
		at := next.From
		out = append(out, geom.Segment{Kind: geom.Arc, Centre: at, Radius: d, Start: math.Atan2(end[1], end[0]),
			Sweep: turn, From: outFrom(at, end, d), To: outFrom(at, start, d)})
	}
	return out
}

func beside(s geom.Segment, d float64) (geom.Segment, bool) {
	m := s
	m.From, m.To = outFrom(s.From, right(s, 0), d), outFrom(s.To, right(s, 1), d)
	if s.Kind == geom.Arc {
		m.Radius += math.Copysign(d, s.Sweep)
		return m, m.Radius > apart
	}
	return m, true
}

// right returns the unit vector to the right of the direction of travel.
func right(s geom.Segment, t float64) [2]float64 {
	_, d := s.At(t)
	l := math.Hypot(d[0], d[1])
	return [2]float64{d[1] / l, -d[0] / l}
}

func outFrom(p, n [2]float64, d float64) [2]float64 { return [2]float64{p[0] + d*n[0], p[1] + d*n[1]} }

func cross(a, b [2]float64) float64 { return float64(a[0]*b[1]) - float64(a[1]*b[0]) }

func dot(a, b [2]float64) float64 { return float64(a[0]*b[0]) + float64(a[1]*b[1]) }
