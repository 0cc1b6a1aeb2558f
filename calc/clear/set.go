package clear

import (
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// widest is the largest radius or size of a part that is taken, in mm. Common
// practice, no source.
const widest = 10_000.0

// Set is what a tube has to keep clear of: a closed core, whose distance from a
// point has a closed form, and a skin that stands off the core all round.
//
// The bounds rest on Distance being the true distance from the core, 0 within it.
// A tube whose centreline enters the core overlaps by half its OD and the skin,
// however deep it is.
type Set interface {
	Distance(p geom.Vec) float64 // mm, of p from the core
	Nearest(p geom.Vec) geom.Vec // the place of the core nearest to p
	Skin() float64               // mm by which the surface stands off the core
	Bound() (geom.Vec, float64)  // a sphere about the core; its radius may be +Inf
}

// Body is a neighbour: everything it is made of, and how it moves.
type Body struct {
	Sets  []Set
	Moves Motion
}

// round is a straight or a bend with a skin: a rod, a stretch of hose, a tube.
type round struct {
	piece
	skin float64
}

func (r *round) Distance(p geom.Vec) float64 { return r.distance(p) }
func (r *round) Nearest(p geom.Vec) geom.Vec { return r.point(r.nearest(p)) }
func (r *round) Skin() float64               { return r.skin }
func (r *round) Bound() (geom.Vec, float64)  { return r.ball, r.reach }

// Rod returns the cylinder about the line between two points, with half balls on
// its ends. A rod that ends square is a little smaller, by its radius at the most,
// so that its gap is on the safe side; Cylinder ends square. Points that coincide
// give a ball. 0 ≤ radius ≤ 10,000 mm.
func Rod(from, to geom.Vec, radius units.Length) (Set, error) {
	if err := fault.Within("Radius", radius.MM(), 0, widest, "mm"); err != nil {
		return nil, err
	}
	if err := placed("End", from, to); err != nil {
		return nil, err
	}
	along := to.Sub(from)
	dir, _ := along.Unit()
	return &round{straight(0, from, dir, along.Norm()), radius.MM()}, nil
}

// Sleeve returns the rods along a line through points: a hose, a loom, a linkage.
// Two points or more, 0 ≤ radius ≤ 10,000 mm.
func Sleeve(points []geom.Vec, radius units.Length) ([]Set, error) {
	if len(points) < 2 {
		return nil, fault.Refuse("Points", "a sleeve needs two points or more")
	}
	sets := make([]Set, 0, len(points)-1)
	for i := range points[1:] {
		rod, err := Rod(points[i], points[i+1], radius)
		if err != nil {
			return nil, err
		}
		sets = append(sets, rod)
	}
	return sets, nil
}

// Sets returns the path as something that others keep clear of, with its OD: a
// tube of another bank, a hose with bends.
func (p Path) Sets() []Set {
	sets := make([]Set, len(p.pieces))
	for i := range p.pieces {
		sets[i] = &round{p.pieces[i], p.radius}
	}
	return sets
}

// ball is a point with a skin.
type ball struct {
	at   geom.Vec
	skin float64
}

func (b *ball) Distance(p geom.Vec) float64 { return norm(p.Sub(b.at)) }
func (b *ball) Nearest(geom.Vec) geom.Vec   { return b.at }
func (b *ball) Skin() float64               { return b.skin }
func (b *ball) Bound() (geom.Vec, float64)  { return b.at, 0 }

// Ball returns a sphere, 0 ≤ radius ≤ 10,000 mm.
func Ball(at geom.Vec, radius units.Length) (Set, error) {
	if err := fault.Within("Radius", radius.MM(), 0, widest, "mm"); err != nil {
		return nil, err
	}
	if err := placed("At", at); err != nil {
		return nil, err
	}
	return &ball{at, radius.MM()}, nil
}

// plane is everything on one side of a plane.
type plane struct{ at, normal geom.Vec }

func (s *plane) Distance(p geom.Vec) float64 { return max(0, s.height(p)) }
func (s *plane) Skin() float64               { return 0 }
func (s *plane) Bound() (geom.Vec, float64)  { return s.at, math.Inf(1) }

func (s *plane) Nearest(p geom.Vec) geom.Vec {
	return p.Sub(s.normal.Scale(s.Distance(p)))
}

// height is negative behind the plane. The gap of a path is found with it, so that
// a tube behind the plane is told by how much.
func (s *plane) height(p geom.Vec) float64 { return p.Sub(s.at).Dot(s.normal) }

// Plane returns everything behind the plane through at: the ground, a bonnet, a
// bulkhead. The normal points away from it, to where tubes may be, and need not be
// of unit length. Alone among sets it says how deep a tube is in it.
func Plane(at, normal geom.Vec) (Set, error) {
	if err := placed("At", at); err != nil {
		return nil, err
	}
	n, ok := normal.Unit()
	if !ok {
		return nil, fault.Refuse("Normal", "a plane needs a direction that points away from it, to where tubes may be")
	}
	return &plane{at, n}, nil
}
