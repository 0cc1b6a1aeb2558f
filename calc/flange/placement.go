package flange

import (
	"math"
	"strconv"

	"tubewright/calc/geom"
)

// Placement lays one face on another: turned over if Mirrored (x becomes −x),
// then turned about the origin by Angle rad, counter-clockwise positive as seen
// facing the port, −π < Angle ≤ π, then shifted by Move mm.
type Placement struct {
	Mirrored bool
	Angle    float64
	Move     [2]float64
}

// Point returns where the point q, in mm, goes.
func (p Placement) Point(q [2]float64) [2]float64 { return p.lay().at(q) }

// Outline returns where the outline o goes, counter-clockwise again.
func (p Placement) Outline(o geom.Outline) geom.Outline {
	if p.Mirrored {
		o = o.Mirrored()
	}
	return o.Turned(p.Angle).Moved(p.Move[0], p.Move[1])
}

// level is how far an axis may lie from the horizontal or the vertical and still
// be called so, in rad, and turned how far a turn may be from none or from half a
// turn. The frame of a face follows two bolts, not its axis of symmetry.
const (
	level  = 7 * math.Pi / 180
	turned = 3 * math.Pi / 180
)

// Words says how the face is laid, whole degrees, as a person would do it: "as it
// lies", "turned half round", "turned by 120°" (counter-clockwise), "turned by 90°
// clockwise", "turned over about the vertical", "turned over about the
// horizontal", "turned over about a line tilted by 30°" (from the horizontal,
// counter-clockwise). Vertical and horizontal mean within 7°.
func (p Placement) Words() string {
	if !p.Mirrored {
		switch {
		case math.Abs(p.Angle) < turned:
			return "as it lies"
		case math.Abs(p.Angle) > math.Pi-turned:
			return "turned half round"
		case p.Angle < 0:
			return "turned by " + degrees(-p.Angle) + " clockwise"
		}
		return "turned by " + degrees(p.Angle)
	}
	// x → −x and a turn by A leave the line at 90° + A/2 where it is.
	tilt := (p.Angle + math.Pi) / 2
	if tilt > math.Pi/2 {
		tilt -= math.Pi
	}
	switch {
	case math.Abs(tilt) < level:
		return "turned over about the horizontal"
	case math.Abs(tilt) > math.Pi/2-level:
		return "turned over about the vertical"
	}
	sign := ""
	if tilt < 0 {
		sign = "−"
	}
	return "turned over about a line tilted by " + sign + degrees(math.Abs(tilt))
}

func degrees(rad float64) string {
	return strconv.Itoa(int(math.Round(rad*180/math.Pi))) + "°"
}

func (p Placement) lay() lay {
	l := lay{flip: 1, x: p.Move[0], y: p.Move[1]}
	if p.Mirrored {
		l.flip = -1
	}
	l.sin, l.cos = math.Sincos(p.Angle)
	return l
}

// lay is a placement at work: q goes to the turned (flip·x, y), shifted.
type lay struct{ flip, cos, sin, x, y float64 }

func (l lay) at(q [2]float64) [2]float64 {
	x, y := l.flip*q[0], q[1]
	return [2]float64{l.cos*x - l.sin*y + l.x, l.sin*x + l.cos*y + l.y}
}

// nudged returns the placement followed by a turn of angle rad about pivot and a
// shift.
func (l lay) nudged(angle float64, pivot [2]float64, dx, dy float64) lay {
	sin, cos := math.Sincos(angle)
	x, y := l.x-pivot[0], l.y-pivot[1]
	n := lay{flip: l.flip, cos: cos*l.cos - sin*l.sin, sin: sin*l.cos + cos*l.sin}
	// Kept a pure turn however often it is nudged.
	size := math.Hypot(n.cos, n.sin)
	n.cos, n.sin = n.cos/size, n.sin/size
	n.x, n.y = pivot[0]+cos*x-sin*y+dx, pivot[1]+sin*x+cos*y+dy
	return n
}

func (l lay) placement() Placement {
	angle := math.Atan2(l.sin, l.cos)
	if angle <= -math.Pi {
		angle = math.Pi
	}
	return Placement{l.flip < 0, angle, [2]float64{l.x, l.y}}
}

// apart returns the greatest distance between where l and m lay the points.
func (l lay) apart(m lay, points [][2]float64) float64 {
	worst := 0.0
	for _, q := range points {
		worst = max(worst, distance(l.at(q), m.at(q)))
	}
	return worst
}

// overTwo returns the placement that lays the middle of a and b on the middle of c
// and d, and the direction from a to b along that from c to d.
func overTwo(flip float64, a, b, c, d [2]float64) lay {
	ux, uy := flip*(b[0]-a[0]), b[1]-a[1]
	vx, vy := d[0]-c[0], d[1]-c[1]
	l := lay{flip: flip, cos: ux*vx + uy*vy, sin: ux*vy - uy*vx}
	return l.centred([2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}, [2]float64{(c[0] + d[0]) / 2, (c[1] + d[1]) / 2})
}

// centred makes cos and sin a turn, none where they are nothing, and shifts so
// that from goes to to.
func (l lay) centred(from, to [2]float64) lay {
	size := math.Hypot(l.cos, l.sin)
	if size > 0 {
		l.cos, l.sin = l.cos/size, l.sin/size
	} else {
		l.cos, l.sin = 1, 0
	}
	l.x, l.y = 0, 0
	p := l.at(from)
	l.x, l.y = to[0]-p[0], to[1]-p[1]
	return l
}

func distance(p, q [2]float64) float64 { return math.Sqrt(square(p, q)) }

// square returns the square of the distance. All places are within 1e5 mm, so it
// cannot overflow.
func square(p, q [2]float64) float64 {
	dx, dy := p[0]-q[0], p[1]-q[1]
	return float64(dx*dx) + float64(dy*dy)
}
