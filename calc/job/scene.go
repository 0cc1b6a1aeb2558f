package job

import (
	"maps"
	"math"
	"slices"

	"tubewright/calc/collector"
	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// scene is everything of a job in one frame, the first bank's, which is called the
// root: z = 0 on its port face, mm.
type scene struct {
	job    Job
	root   string
	frames map[string]geom.Move // into the root, by bank id or Car; those not tied yet are not in it
	ties   []tied
	loose  map[string]string  // frames that points are tied to in vain, and why
	points map[string]located // in the root
	taped  []PointPlan
	mouths map[string][]geom.Frame // of collectors, in the root
}

// tied is a frame that was laid onto the root by points measured in both.
type tied struct {
	frame string
	fit   survey.Tie
	ids   []string // of the ties, in the order of the residuals
}

// located is a point and how well it is known.
type located struct {
	at    geom.Vec
	known survey.Ellipsoid // zero where it was measured directly: nothing is known of how well then
}

// tieSigma is how far off a coordinate of one point is taken to be between two
// frames that were both measured to a millimetre. Own choice.
const tieSigma = math.Sqrt2 * units.Millimetre

func newScene(j Job) scene {
	s := scene{job: j, frames: map[string]geom.Move{}, loose: map[string]string{}, points: map[string]located{}, mouths: map[string][]geom.Frame{}}
	if len(j.Banks) > 0 {
		s.root = j.Banks[0].ID
		s.frames[s.root] = geom.Still
	}
	for s.tieOne() {
	}
	s.locate()
	for _, c := range j.Collectors {
		if m := s.sockets(c); m != nil {
			s.mouths[c.ID] = m
		}
	}
	return s
}

// tieOne lays one more frame onto those that are placed.
func (s *scene) tieOne() bool {
	pairs, ids := map[string][]survey.Pair{}, map[string][]string{}
	for _, t := range s.job.Ties {
		if !t.InA.Known || !t.InB.Known {
			continue
		}
		a, hasA := s.frames[t.A]
		b, hasB := s.frames[t.B]
		switch {
		case hasA && !hasB:
			pairs[t.B] = append(pairs[t.B], survey.Pair{From: t.InB.V, To: a.Point(t.InA.V)})
			ids[t.B] = append(ids[t.B], t.ID)
		case hasB && !hasA:
			pairs[t.A] = append(pairs[t.A], survey.Pair{From: t.InA.V, To: b.Point(t.InB.V)})
			ids[t.A] = append(ids[t.A], t.ID)
		}
	}
	for _, frame := range slices.Sorted(maps.Keys(pairs)) { // in one order on every machine
		fit, err := survey.Register(pairs[frame], tieSigma)
		if err != nil {
			s.loose[frame] = reasons(err)
			continue
		}
		delete(s.loose, frame)
		s.frames[frame] = fit.Move
		s.ties = append(s.ties, tied{frame, fit, ids[frame]})
		return true
	}
	return false
}

// at returns where a bolt, a port or a point is. A bolt and a port lie on the port face.
func (s *scene) at(id string) (located, bool) {
	for _, k := range s.job.Banks {
		move, placed := s.frames[k.ID]
		if !placed {
			continue
		}
		for _, b := range k.Bolts {
			if b.ID == id && b.X.Known && b.Y.Known {
				return located{at: move.Point(geom.Vec{X: b.X.V.MM(), Y: b.Y.V.MM()})}, true
			}
		}
		for _, p := range k.Ports {
			if p.ID == id && p.X.Known && p.Y.Known {
				return located{at: move.Point(geom.Vec{X: p.X.V.MM(), Y: p.Y.V.MM()})}, true
			}
		}
	}
	l, ok := s.points[id]
	return l, ok
}

// spot returns where a shape is told to be.
func (s *scene) spot(sp Spot, frame geom.Move) (geom.Vec, bool) {
	if sp.Point == "" {
		return frame.Point(sp.At), true
	}
	l, ok := s.points[sp.Point]
	return l.at, ok
}

// start returns where a tube's path begins, in the root.
func (s *scene) start(t Tube) (geom.Frame, bool) {
	f, ok := s.job.start(t)
	move, placed := s.frames[s.job.bankOf(t)]
	return move.Frame(f), ok && placed
}

// bankOf returns the bank in whose frame a tube is laid out.
func (j Job) bankOf(t Tube) string {
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			if p.ID == t.Port {
				return k.ID
			}
		}
	}
	return ""
}

// usualWall is taken for sockets whose tube is not known yet: 0.065 in, common
// practice, no source.
const usualWall = 0.065 * units.Inch

// sockets returns the mouths of a collector's sockets, nil while it has no place.
func (s *scene) sockets(c Collector) []geom.Frame {
	move, placed := s.frames[c.Frame]
	if !placed || !c.Pose.Known || c.Sockets == 0 || c.Nest == "" || !c.Pitch.Known && !c.SocketID.Known {
		return nil
	}
	pitch := c.Pitch.V
	if !c.Pitch.Known {
		wall := usualWall
		for _, t := range s.job.Tubes {
			if t.Collector == c.ID && t.Wall.Known {
				wall = t.Wall.V
				break
			}
		}
		pitch = c.SocketID.V + 2*wall
	}
	nest := collector.InRing
	if c.Nest == "row" {
		nest = collector.InRow
	}
	return nest(move.Frame(c.Pose.V), c.Sockets, pitch.MM())
}

// mouth returns the socket that a tube is meant for.
func (s *scene) mouth(t Tube) (geom.Frame, bool) {
	m := s.mouths[t.Collector]
	if t.Socket < 1 || t.Socket > len(m) {
		return geom.Frame{}, false
	}
	return m[t.Socket-1], true
}

// walk returns the tube's path in the root.
func (s *scene) walk(t Tube) (start geom.Frame, w tube.Walked, ok bool) {
	if len(t.Path) == 0 || len(t.Open) > 0 {
		return start, w, false
	}
	if start, ok = s.start(t); !ok {
		return start, w, false
	}
	w, err := tube.Walk(start, t.Path)
	return start, w, err == nil
}
