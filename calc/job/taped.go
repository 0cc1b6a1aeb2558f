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
	Why       string         `json:"why"`     // what keeps it from being found
	Disputed  []string       `json:"disputed"`
}

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
	for found := true; found; {
		found = false
		for i, p := range s.job.Points {
			if !open[i] || !s.canLocate(p) {
				continue
			}
			s.locateOne(p, &s.taped[i])
			delete(open, i)
			found = true
		}
	}
	for i := range open {
		s.taped[i].Why = "what it was taped from has no place itself yet"
	}
}

// canLocate tells whether everything that a point was taped from has been found.
func (s *scene) canLocate(p Point) bool {
	if p.At.Known {
		return true
	}
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
	if p.At.Known && len(p.Tapes) == 0 {
		at := frame.Point(p.At.V)
		s.points[p.ID] = located{at: at, sure: true}
		plan.At = (*point)(&at)
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
	if err != nil {
		plan.Why = reasons(err)
		return
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
