package job

import (
	"cmp"
	"math"
	"slices"

	"tubewright/calc/collector"
	"tubewright/calc/geom"
	"tubewright/calc/sorted"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Stretch is one straight or bend of a centreline, in the root frame.
type Stretch struct {
	Kind   string     `json:"kind"` // line or arc
	From   point      `json:"from"`
	To     point      `json:"to"`
	Centre *point     `json:"centre,omitempty"`
	Normal *direction `json:"normal,omitempty"` // the arc turns right-hand about it
	Angle  *out       `json:"angle,omitempty"`
}

// LeverPlan is what a joint that is clocked wrongly does to the end of its tube.
type LeverPlan struct {
	Joint   int    `json:"joint"` // 0 is the flange's, see stock.Pieces
	Piece   string `json:"piece"` // the one behind the joint
	Element string `json:"element"`
	PerMM   out    `json:"end_per_mm_of_mark"`
	PerDeg  out    `json:"end_per_degree"`
	AimDeg  out    `json:"aim_per_degree"`                   // degrees that the end then points elsewhere, for each degree
	PerBend *out   `json:"end_per_degree_of_bend,omitempty"` // of a bend that is bent too far
}

// SocketPlan is how a tube ends to the socket that it is meant for.
type SocketPlan struct {
	Collector string `json:"collector"`
	N         int    `json:"n"`
	Offset    out    `json:"offset"`  // mm of the end from the socket's axis
	AimOff    out    `json:"aim_off"` // degrees between the end and the socket
	Insert    out    `json:"insert"`  // mm behind the mouth
}

// inScene fills in what a tube is in the root frame.
func (tp *TubePlan) inScene(s *scene, t Tube) {
	start, walked, ok := s.walk(t)
	if !ok {
		return
	}
	tp.Path = stretches(start, walked, t.Path)
	tp.levers(start, walked.End.T, t)
	if mouth, ok := s.mouth(t); ok {
		e := collector.Enter(mouth, walked.End)
		tp.Socket = &SocketPlan{t.Collector, t.Socket, out(e.Offset), out(units.Angle(e.Aim).Deg()), out(e.Insert)}
	}
}

// stretches writes a path that was walked from start.
func stretches(start geom.Frame, walked tube.Walked, elems []tube.Element) []Stretch {
	path := make([]Stretch, 0, len(elems))
	at := start
	for i, e := range elems {
		end := walked.Ends[i]
		st := Stretch{Kind: "line", From: point(at.O), To: point(end.O)}
		if b := e.Bend; b != nil {
			f := at.Turn(float64(b.Rotation))
			centre, normal := point(f.Centre(b.Radius.MM())), direction(f.T.Cross(f.N))
			st.Kind, st.Centre, st.Normal, st.Angle = "arc", &centre, &normal, num(b.Turn.Deg())
		}
		if e.Length() > 0 {
			path = append(path, st)
		}
		at = end
	}
	return path
}

// levers lists the joints by how far the end moves, the worst first. A joint that
// has no bend behind it turns the tube in itself and is left out.
func (tp *TubePlan) levers(start geom.Frame, aim geom.Vec, t Tube) {
	section, known := t.Section()
	if !known {
		return
	}
	pieces, err := stock.Pieces(t.ID, section, t.Path)
	if err != nil {
		return
	}
	of, err := tube.Levers(start, t.Path)
	if err != nil {
		return
	}
	const still = 1e-6 // mm per degree: rounding
	for n, p := range pieces {
		i := slices.IndexFunc(t.Path, func(e tube.Element) bool { return e.ID == p.Element })
		perRad := of[i].Clock.Arm()
		perDeg := perRad * float64(units.Degree)
		if perDeg <= still {
			continue
		}
		l := LeverPlan{Joint: n, Piece: p.ID, Element: p.Element, PerMM: out(perRad / (section.OD.MM() / 2)), PerDeg: out(perDeg), AimDeg: out(of[i].Clock.Aim(aim))}
		if p.Kind == stock.Bend {
			l.PerBend = num(of[i].Turn.Arm() * float64(units.Degree))
		}
		tp.Levers = append(tp.Levers, l)
	}
	sorted.By(tp.Levers, func(a, b LeverPlan) int {
		return cmp.Or(cmp.Compare(math.Round(float64(b.PerMM)*1e6), math.Round(float64(a.PerMM)*1e6)), cmp.Compare(a.Joint, b.Joint))
	})
}
