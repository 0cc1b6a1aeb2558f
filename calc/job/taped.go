package job

import (
	"math"
	"strings"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/units"
)

// PointPlan is a point that others are told by: where it is in the root frame and
// how well that is known.
type PointPlan struct {
	ID        string         `json:"id"`
	At        *point         `json:"at"`
	Sigma     []out          `json:"sigma"` // half axes of its ellipsoid, 1 sigma, the longest first
	Axes      []direction    `json:"axes"`
	Residuals []TapeResidual `json:"residuals"`
	Suspect   string         `json:"suspect"` // the tape that is most likely wrong
	Off       *out           `json:"off"`     // by how much that one is too long
	Mirror    *point         `json:"mirror"`  // the other place that fits
	Entered   *EnteredPlan   `json:"entered"` // where it has coordinates beside its tapes
	Why       string         `json:"why"`     // what keeps it from being found
	Disputed  []string       `json:"disputed"`
}

// EnteredPlan is where the coordinates of a point lie that is taped too. Off, Sigma
// and Most are null where the tapes give no place.
type EnteredPlan struct {
	At    point  `json:"at"`
	Off   *out   `json:"off"`   // from the taped place
	Sigma *out   `json:"sigma"` // what Off may be at one sigma of both
	Most  *out   `json:"most"`  // and at the most
	Used  bool   `json:"used"`  // in place of the tapes
	Why   string `json:"why"`   // what keeps the tapes from giving a place
}

// enteredSigma is how far off along each axis coordinates of a point are taken to
// be: as a measured socket. Own choice.
const enteredSigma = socketSigma

// TapeResidual is by how much a tape is longer than from the point found.
type TapeResidual struct {
	Tape string `json:"tape"`
	Off  out    `json:"off"`
}

// locate finds the points, those first that hang on no other.
func (s *scene) locate() {
	s.taped = make([]PointPlan, len(s.job.Points))
	open := map[int]bool{}
	for i, p := range s.job.Points {
		s.taped[i] = PointPlan{ID: p.ID, Sigma: []out{}, Axes: []direction{}, Residuals: []TapeResidual{}, Disputed: []string{}}
		open[i] = true
	}
	next := func(ready func(Point) bool) bool {
		for i, p := range s.job.Points {
			if open[i] && ready(p) {
				s.locateOne(p, &s.taped[i])
				delete(open, i)
				return true
			}
		}
		return false
	}
	// Coordinates help on where points were taped from each other.
	for next(s.canLocate) || next(func(p Point) bool { return p.At.Known }) {
	}
	for i := range open {
		s.taped[i].Why = "what it was taped from has no place itself yet"
	}
}

// canLocate tells whether everything that a point was taped from has been found.
func (s *scene) canLocate(p Point) bool {
	for _, t := range p.Tapes {
		if _, ok := s.at(t.From); t.From != "" && !ok {
			return false
		}
	}
	return true
}

func (s *scene) locateOne(p Point, plan *PointPlan) {
	frame, placed := s.frames[p.Frame]
	if !placed {
		plan.Why = "its frame is not tied to the first bank's yet"
		return
	}
	entered := frame.Point(p.At.V)
	if p.At.Known && len(p.Tapes) == 0 {
		s.points[p.ID] = located{at: entered}
		plan.At = (*point)(&entered)
		return
	}
	var tapes []survey.Tape
	var ids []string
	for _, t := range p.Tapes {
		from, ok := s.at(t.From)
		if !ok || !t.Distance.Known {
			continue
		}
		sigma := units.Length(math.Hypot(p.Sigma.MM(), from.known.RMS().MM()/math.Sqrt(3)))
		tapes = append(tapes, survey.Tape{From: from.at, Distance: t.Distance.V, Sigma: sigma})
		ids = append(ids, t.ID)
	}
	fix, err := survey.Locate(tapes, frame.Dir(sideOf(p.Side)))
	switch {
	case err != nil && p.At.Known:
		s.points[p.ID] = located{at: entered}
		plan.At = (*point)(&entered)
		plan.Entered = &EnteredPlan{At: point(entered), Used: true, Why: reasons(err)}
		return
	case err != nil:
		plan.Why = reasons(err)
		return
	case p.At.Known:
		off := entered.Sub(fix.At)
		sigma, most := fix.Known.Apart(off, enteredSigma)
		plan.Entered = &EnteredPlan{At: point(entered), Off: num(off.Norm()), Sigma: num(sigma.MM()), Most: num(most.MM())}
	}
	s.points[p.ID] = located{at: fix.At, known: fix.Known}
	plan.At = (*point)(&fix.At)
	plan.Mirror = (*point)(fix.Mirror)
	for i := range fix.Known.Axis {
		plan.Sigma = append(plan.Sigma, out(fix.Known.Sigma[i].MM()))
		plan.Axes = append(plan.Axes, direction(fix.Known.Axis[i]))
	}
	for i, r := range fix.Residuals {
		plan.Residuals = append(plan.Residuals, TapeResidual{ids[i], out(r.MM())})
	}
	if fix.Suspect > 0 {
		plan.Suspect, plan.Off = ids[fix.Suspect-1], num(fix.Error.MM())
	}
}

// sideOf returns the direction that a side names, the zero vector for none.
func sideOf(side string) geom.Vec {
	return map[string]geom.Vec{"+x": {X: 1}, "-x": {X: -1}, "+y": {Y: 1}, "-y": {Y: -1}, "+z": {Z: 1}, "-z": {Z: -1}}[side]
}

// reasons says in words why a calculation could not be made.
func reasons(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
