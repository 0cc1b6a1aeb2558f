package clear

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// box is a solid with flat faces square to each other.
type box struct {
	at      geom.Vec // its middle
	x, y, z geom.Vec
	half    geom.Vec // half its size along x, y, z
}

// Box returns a box about the middle at, size.X mm long along x, size.Y along y
// and size.Z along x × y, each more than 0 and at most 10,000. Neither x nor y need
// be of unit length; y is projected square to x.
func Box(at, size, x, y geom.Vec) (Set, error) {
	if err := placed("At", at); err != nil {
		return nil, err
	}
	for _, l := range [3]float64{size.X, size.Y, size.Z} {
		if !(l > 0 && l <= widest) {
			return nil, &fault.Field{Name: "Size", Got: l, Unit: "mm", Low: 0, High: widest, Why: "a box has three sizes, each more than 0"}
		}
	}
	f, err := geom.NewFrame(at, x, y)
	if err != nil {
		return nil, fault.Refuse("Axes", "a box needs two directions that are not parallel")
	}
	return &box{at, f.T, f.N, f.T.Cross(f.N), size.Scale(0.5)}, nil
}

// local returns p as seen from the middle along the box.
func (b *box) local(p geom.Vec) geom.Vec {
	p = p.Sub(b.at)
	return geom.Vec{X: p.Dot(b.x), Y: p.Dot(b.y), Z: p.Dot(b.z)}
}

func (b *box) Distance(p geom.Vec) float64 {
	v := b.local(p)
	x, y, z := max(0, math.Abs(v.X)-b.half.X), max(0, math.Abs(v.Y)-b.half.Y), max(0, math.Abs(v.Z)-b.half.Z)
	return math.Sqrt(x*x + y*y + z*z)
}

func (b *box) Nearest(p geom.Vec) geom.Vec {
	v := b.local(p)
	return b.at.Add(b.x.Scale(within(v.X, b.half.X))).Add(b.y.Scale(within(v.Y, b.half.Y))).Add(b.z.Scale(within(v.Z, b.half.Z)))
}

func (b *box) Skin() float64              { return 0 }
func (b *box) Bound() (geom.Vec, float64) { return b.at, norm(b.half) }

// cylinder is a solid round bar that ends square.
type cylinder struct {
	at           geom.Vec // its middle
	dir          geom.Vec
	half, radius float64
}

// Cylinder returns a round bar that ends square, from the middle of one end along
// dir: a socket on a bolt from the face it seats on, or a plug's socket, as long as
// the plug and the socket together, so that it can be drawn off. 0 ≤ length and
// radius ≤ 10,000 mm; dir need not be of unit length.
func Cylinder(from, dir geom.Vec, length, radius units.Length) (Set, error) {
	if err := fault.Within("Length", length.MM(), 0, widest, "mm"); err != nil {
		return nil, err
	}
	if err := fault.Within("Radius", radius.MM(), 0, widest, "mm"); err != nil {
		return nil, err
	}
	if err := placed("From", from); err != nil {
		return nil, err
	}
	d, ok := dir.Unit()
	if !ok {
		return nil, fault.Refuse("Axis", "a cylinder needs a direction")
	}
	return &cylinder{from.Add(d.Scale(length.MM() / 2)), d, length.MM() / 2, radius.MM()}, nil
}

func (c *cylinder) Distance(p geom.Vec) float64 {
	along, out := c.split(p)
	x, r := max(0, math.Abs(along)-c.half), max(0, norm(out)-c.radius)
	return math.Sqrt(x*x + r*r)
}

func (c *cylinder) Nearest(p geom.Vec) geom.Vec {
	along, out := c.split(p)
	if r := norm(out); r > c.radius {
		out = out.Scale(c.radius / r)
	}
	return c.at.Add(c.dir.Scale(within(along, c.half))).Add(out)
}

// split returns p, seen from the middle, along the axis and square to it.
func (c *cylinder) split(p geom.Vec) (along float64, out geom.Vec) {
	p = p.Sub(c.at)
	along = p.Dot(c.dir)
	return along, p.Sub(c.dir.Scale(along))
}

func (c *cylinder) Skin() float64              { return 0 }
func (c *cylinder) Bound() (geom.Vec, float64) { return c.at, math.Hypot(c.half, c.radius) }
