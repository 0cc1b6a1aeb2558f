package job

import (
	"math"
	"slices"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// hangs are the points that one shape of a body hangs on.
type hangs []located

// along returns how well they are known, 1 sigma in mm, along a direction: the
// worst of them.
func (h hangs) along(d geom.Vec) float64 {
	d, ok := d.Unit()
	worst := 0.0
	for _, l := range h {
		sum := 0.0
		for i, axis := range l.known.Axis {
			part := l.known.Sigma[i].MM()
			if ok { // surfaces that touch have no direction between them
				part *= axis.Dot(d)
			}
			sum += part * part
		}
		worst = max(worst, math.Sqrt(sum))
	}
	return worst
}

// thing is a neighbour that has a place.
type thing struct {
	of   Neighbour
	body clear.Body
	on   []hangs
}

// things are the neighbours in the root frame. Those without a place are left out, and
// a finding says so.
func (s *scene) things() []thing {
	var all []thing
	for _, n := range s.job.Neighbours {
		if body, on, ok := s.body(n); ok {
			all = append(all, thing{n, body, on})
		}
	}
	return all
}

// body makes a neighbour in the root frame; on holds for each of its sets the points
// that it hangs on.
func (s *scene) body(n Neighbour) (b clear.Body, on []hangs, ok bool) {
	frame, placed := s.frames[n.Frame]
	if !placed || len(n.Parts) == 0 || len(n.Open) > 0 {
		return b, nil, false
	}
	for _, p := range n.Parts {
		sets, err := s.sets(p, frame)
		if err != nil || sets == nil {
			return b, nil, false
		}
		b.Sets = append(b.Sets, sets...)
		var of hangs
		for _, sp := range slices.Concat([]Spot{p.At, p.To}, p.Corners) {
			if l, ok := s.points[sp.Point]; ok {
				of = append(of, l)
			}
		}
		for range sets {
			on = append(on, of)
		}
	}
	if m := n.Motion; m.Known {
		var err error
		if m.V.Turns {
			b.Moves, err = clear.Turning(frame.Point(m.V.At), frame.Dir(m.V.Axis), units.Angle(m.V.Low), units.Angle(m.V.High))
		} else {
			b.Moves, err = clear.Sliding(frame.Dir(m.V.Axis), units.Length(m.V.Low), units.Length(m.V.High))
		}
		if err != nil {
			return b, nil, false
		}
	}
	return b, on, true
}

// sets makes one shape. None without an error means that a point of it has no place yet.
func (s *scene) sets(p Part, frame geom.Move) ([]clear.Set, error) {
	one := func(set clear.Set, err error) ([]clear.Set, error) {
		if err != nil {
			return nil, err
		}
		return []clear.Set{set}, nil
	}
	at, ok := s.spot(p.At, frame)
	if p.Shape != "sleeve" && !ok {
		return nil, nil
	}
	radius := units.Length(p.Radius)
	switch p.Shape {
	case "sphere":
		return one(clear.Ball(at, radius))
	case "rod":
		to, ok := s.spot(p.To, frame)
		if !ok {
			return nil, nil
		}
		return one(clear.Rod(at, to, radius))
	case "box":
		return one(clear.Box(at, p.Size, frame.Dir(p.X), frame.Dir(p.Y)))
	case "plane":
		return one(clear.Plane(at, frame.Dir(p.X)))
	}
	var points []geom.Vec
	for _, c := range p.Corners {
		at, ok := s.spot(c, frame)
		if !ok {
			return nil, nil
		}
		points = append(points, at)
	}
	return clear.Sleeve(points, radius)
}
