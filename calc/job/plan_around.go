package job

import (
	"fmt"

	"tubewright/calc/geom"
)

// PosePlan is where a frame lies in the root: its origin, and two of its axes. Of a
// bank and a collector dir is out of the head or with the flow, ref is x or towards
// socket 1.
type PosePlan struct {
	At  point     `json:"at"`
	Dir direction `json:"dir"`
	Ref direction `json:"ref"`
}

// CollectorPlan is a collector with its sockets in the root frame.
type CollectorPlan struct {
	ID       string        `json:"id"`
	Placed   *PosePlan     `json:"placed"` // null while its place is not known
	SocketID *out          `json:"socket_id"`
	OutletOD *out          `json:"outlet_od"`
	Depth    *out          `json:"socket_depth"`
	Sockets  []SocketPlace `json:"sockets"`
	Disputed []string      `json:"disputed"`
}

// SocketPlace is one mouth, and the tube that is meant for it.
type SocketPlace struct {
	N    int       `json:"n"`
	At   point     `json:"at"`
	Dir  direction `json:"dir"`
	Tube string    `json:"tube"`
}

// FramePlan is how a frame was tied to the root.
type FramePlan struct {
	Frame     string        `json:"frame"`
	In        string        `json:"in"`
	RMS       out           `json:"rms"`
	TooFar    bool          `json:"too_far"` // the points do not fit as well as they should
	Residuals []TieResidual `json:"residuals"`
	Targets   []TargetPlan  `json:"targets"`
	Advice    string        `json:"advice"`
	Disputed  []string      `json:"disputed"`
}

// TieResidual is by how much a point measured in both frames is off.
type TieResidual struct {
	Tie string `json:"tie"`
	Off out    `json:"off"`
}

// TargetPlan is how well a collector is known in the root through the ties, root
// mean square.
type TargetPlan struct {
	Collector string `json:"collector"`
	Sigma     out    `json:"sigma"`
	WithOne   out    `json:"with_one_more"` // with one more point near it
}

// ShapePlan is one shape of a neighbour in the root frame.
type ShapePlan struct {
	Kind   string     `json:"kind"`
	At     *point     `json:"at,omitempty"`
	From   *point     `json:"from,omitempty"`
	To     *point     `json:"to,omitempty"`
	Points []point    `json:"points,omitempty"`
	Radius *out       `json:"radius,omitempty"`
	Size   *point     `json:"size,omitempty"`
	Normal *direction `json:"normal,omitempty"`
	X      *direction `json:"x,omitempty"`
	Y      *direction `json:"y,omitempty"`
	Z      *direction `json:"z,omitempty"`
}

// NeighbourPlan is a neighbour where it was measured; how it moves shows in gaps.
type NeighbourPlan struct {
	ID      string      `json:"id"`
	Name    string      `json:"name"`
	What    string      `json:"what"`
	FixedTo string      `json:"fixed_to"`
	Shapes  []ShapePlan `json:"shapes"`
}

func poseOf(f geom.Frame) *PosePlan { return &PosePlan{point(f.O), direction(f.T), direction(f.N)} }

// around fills in what lies about the tubes.
func (p *Plan) around(s *scene) {
	p.loose = s.loose
	for i := range p.Flanges {
		if move, ok := s.frames[p.Flanges[i].Bank]; ok {
			p.Flanges[i].Placed = poseOf(move.Frame(geom.Frame{T: geom.Vec{Z: 1}, N: geom.Vec{X: 1}}))
		}
	}
	for _, c := range s.job.Collectors {
		p.Collectors = append(p.Collectors, s.collector(c))
	}
	p.Points = append(p.Points, s.taped...)
	for _, t := range s.ties {
		p.Frames = append(p.Frames, s.framePlan(t))
	}
	for _, n := range s.job.Neighbours {
		p.Neighbours = append(p.Neighbours, s.neighbourPlan(n))
	}
}

func (s *scene) collector(c Collector) CollectorPlan {
	cp := CollectorPlan{ID: c.ID, SocketID: mmOf(c.SocketID), OutletOD: mmOf(c.OutletOD), Depth: mmOf(c.SocketDepth), Sockets: []SocketPlace{}, Disputed: []string{}}
	if move, ok := s.frames[c.Frame]; ok && c.Pose.Known {
		cp.Placed = poseOf(move.Frame(c.Pose.V))
	}
	for i, m := range s.mouths[c.ID] {
		place := SocketPlace{N: i + 1, At: point(m.O), Dir: direction(m.T)}
		for _, t := range s.job.Tubes {
			if t.Collector == c.ID && t.Socket == i+1 {
				place.Tube = t.ID
			}
		}
		cp.Sockets = append(cp.Sockets, place)
	}
	return cp
}

func (s *scene) framePlan(t tied) FramePlan {
	fp := FramePlan{Frame: t.frame, In: s.root, RMS: out(t.fit.RMS.MM()), TooFar: t.fit.TooFar, Residuals: []TieResidual{}, Targets: []TargetPlan{}, Disputed: []string{}}
	for i, r := range t.fit.Residuals {
		fp.Residuals = append(fp.Residuals, TieResidual{t.ids[i], out(r.Norm())})
	}
	for _, c := range s.job.Collectors {
		move, ok := s.frames[c.Frame]
		if !ok || !c.Pose.Known || c.Frame != t.frame && s.root != t.frame {
			continue // its place does not come through these ties
		}
		better, err := t.fit.Better(move.Point(c.Pose.V.O))
		if err != nil || len(better) == 0 {
			continue
		}
		b := better[0]
		fp.Targets = append(fp.Targets, TargetPlan{c.ID, out(b.Before.MM()), out(b.After.MM())})
		fp.Advice = fmt.Sprintf("%s is known to %.1f mm through these points; one more point near it, measured in both frames, makes that %.1f mm.", c.Title, b.Before.MM(), b.After.MM())
	}
	return fp
}

func (s *scene) neighbourPlan(n Neighbour) NeighbourPlan {
	np := NeighbourPlan{ID: n.ID, Name: n.Title, What: n.What, FixedTo: Car, Shapes: []ShapePlan{}}
	if n.OnEngine {
		np.FixedTo = "engine"
	}
	frame, ok := s.frames[n.Frame]
	if !ok {
		return np
	}
	for _, p := range n.Parts {
		if shape, ok := s.shapePlan(p, frame); ok {
			np.Shapes = append(np.Shapes, shape)
		}
	}
	return np
}

func (s *scene) shapePlan(p Part, frame geom.Move) (ShapePlan, bool) {
	at, ok := s.spot(p.At, frame)
	sp := ShapePlan{Kind: p.Shape, At: (*point)(&at)}
	dir := func(v geom.Vec) *direction { d := direction(frame.Dir(v)); return &d }
	switch p.Shape {
	case "sphere":
		sp.Radius = num(p.Radius)
	case "rod":
		to, found := s.spot(p.To, frame)
		sp.At, sp.From, sp.To, sp.Radius, ok = nil, (*point)(&at), (*point)(&to), num(p.Radius), ok && found
	case "box":
		size := point(p.Size)
		sp.Size, sp.X, sp.Y, sp.Z = &size, dir(p.X), dir(p.Y), dir(p.X.Cross(p.Y))
	case "plane":
		sp.Normal = dir(p.X)
	case "sleeve":
		sp.At, sp.Radius, ok = nil, num(p.Radius), true
		for _, c := range p.Corners {
			at, found := s.spot(c, frame)
			sp.Points, ok = append(sp.Points, point(at)), ok && found
		}
	}
	return sp, ok
}
