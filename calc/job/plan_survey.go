package job

import (
	"fmt"
	"slices"

	"tubewright/calc/geom"
	"tubewright/calc/survey"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// SurveyPlan is what the points of a mock-up come to.
type SurveyPlan struct {
	Why         string         `json:"why"` // what keeps it from being worked out
	Straights   []StraightPlan `json:"straights"`
	Misses      []MissPlan     `json:"misses"`
	Chi2        *out           `json:"chi2"`
	ChiLimit    *out           `json:"chi_limit"`
	DOF         int            `json:"dof"`
	Length      *out           `json:"length"` // centreline
	SigmaLength *out           `json:"sigma_length"`
	LRA         []MeasuredRow  `json:"lra"`
	Last        *out           `json:"last"`
	SigmaLast   *out           `json:"sigma_last"`
	Path        []Stretch      `json:"path"` // in the root frame
	Suspect     *SuspectPlan   `json:"suspect"`
	Crowns      []CrownPlan    `json:"crowns"`
}

// StraightPlan is one straight of a mock-up with its points, in the root frame, and
// how far each is from the tube that fits best.
type StraightPlan struct {
	N         int     `json:"n"`
	Points    []point `json:"points"`
	Residuals []out   `json:"residuals"`
}

// MissPlan is by how much the axes of two straights miss each other.
type MissPlan struct {
	After   int  `json:"after"`
	Miss    out  `json:"miss"`
	Sigma   out  `json:"sigma"`
	TooMuch bool `json:"too_much"`
}

// MeasuredRow is a row of bender data with how well each figure is known, 1 sigma.
type MeasuredRow struct {
	Length        out `json:"length"`
	Rotation      out `json:"rotation"`
	Angle         out `json:"angle"`
	CLR           out `json:"clr"`
	SigmaLength   out `json:"sigma_length"`
	SigmaRotation out `json:"sigma_rotation"`
	SigmaAngle    out `json:"sigma_angle"`
}

// SuspectPlan is the point that does not go with the others.
type SuspectPlan struct {
	Straight int        `json:"straight"`
	Point    int        `json:"point"`
	Mark     string     `json:"mark"`
	Off      out        `json:"off"`
	Tests    []string   `json:"tests"` // those that failed
	Also     []MarkPlan `json:"also"`  // those that explain it nearly as well
}

// MarkPlan names a point of a mock-up.
type MarkPlan struct {
	Straight int    `json:"straight"`
	Point    int    `json:"point"`
	Mark     string `json:"mark"`
}

// CrownPlan is a CLR as a point in the bend tells it.
type CrownPlan struct {
	After int    `json:"after"`
	CLR   *out   `json:"clr"`
	Sigma *out   `json:"sigma"`
	Given out    `json:"given"`
	Why   string `json:"why"` // what keeps the point from telling it
}

// mockUp groups the marks of a tube by straight; why says what is missing.
func (t Tube) mockUp(up geom.Vec) (m survey.MockUp, marks [][]Mark, why string) {
	last := 0
	for _, p := range t.Marks {
		last = max(last, p.Straight)
	}
	marks = make([][]Mark, last)
	for _, p := range t.Marks {
		marks[p.Straight-1] = append(marks[p.Straight-1], p)
	}
	m = survey.MockUp{Sigma: t.SurveySigma, Up: up}
	for i, of := range marks {
		if len(of) < 2 {
			return m, marks, fmt.Sprintf("straight %d has %s; two are needed, three asked for", i+1, count(len(of), "point", "points"))
		}
		var s survey.Straight
		for _, p := range of {
			s.Points = append(s.Points, p.At)
		}
		m.Straights = append(m.Straights, s)
	}
	for i := 1; i < last; i++ {
		at := slices.IndexFunc(t.Crooks, func(c Crook) bool { return c.After == i })
		if at < 0 {
			return m, marks, fmt.Sprintf("the bend after straight %d has no CLR yet", i)
		}
		c := t.Crooks[at]
		b := survey.Bend{CLR: c.CLR}
		if c.Crown.Known && nearHalfTurn(marks[i-1], marks[i]) {
			b.Middle = &c.Crown.V // parallel axes cross nowhere: the bend is where the point is
		}
		m.Bends = append(m.Bends, b)
	}
	return m, marks, ""
}

// nearHalfTurn tells whether two straights run back along each other, by their
// first and last points, to within 20°.
func nearHalfTurn(a, b []Mark) bool {
	d, _ := a[len(a)-1].At.Sub(a[0].At).Unit()
	e, _ := b[len(b)-1].At.Sub(b[0].At).Unit()
	return d.Dot(e) < -0.94
}

// survey works out a tube's mock-up in the frame of its bank, and where that lies in
// the root.
func (s *scene) survey(t Tube) *SurveyPlan {
	if len(t.Marks) == 0 {
		return nil
	}
	sp := &SurveyPlan{Straights: []StraightPlan{}, Misses: []MissPlan{}, LRA: []MeasuredRow{}, Path: []Stretch{}, Crowns: []CrownPlan{}}
	m, marks, why := t.mockUp(geom.Vec{Y: 1})
	if start, ok := s.job.start(t); ok && why == "" {
		m.Start = &survey.Cut{At: start.O, Normal: start.T}
	}
	if sp.Why = why; why != "" {
		return sp
	}
	fit, err := m.Fit()
	if err != nil {
		sp.Why = reasons(err)
		return sp
	}
	for _, j := range fit.Joints {
		sp.Misses = append(sp.Misses, MissPlan{j.Bend, out(j.Miss.MM()), out(j.Sigma.MM()), j.Failed})
	}
	sp.Chi2, sp.ChiLimit, sp.DOF = num(fit.Chi2), num(fit.Tests.ChiLimit), fit.DOF
	sp.Length, sp.SigmaLength = num(fit.Length.MM()), num(fit.LengthSigma.MM())
	sp.Last, sp.SigmaLast = num(fit.LRA.Last.MM()), num(fit.LastSigma.MM())
	for i, r := range fit.LRA.Rows {
		g := fit.Sigmas[i]
		sp.LRA = append(sp.LRA, MeasuredRow{out(r.Length.MM()), out(r.Rotation.Deg()), out(r.Turn.Deg()), out(r.Radius.MM()),
			out(g.Length.MM()), out(g.Rotation.Deg()), out(g.Turn.Deg())})
	}
	if move, ok := s.frames[s.job.bankOf(t)]; ok {
		sp.inRoot(move, marks, fit)
	}
	sp.suspect(marks, fit.Tests)
	for _, c := range t.Crooks {
		if c.Crown.Known {
			sp.Crowns = append(sp.Crowns, crownPlan(c, fit, t.SurveySigma))
		}
	}
	return sp
}

func (sp *SurveyPlan) inRoot(move geom.Move, marks [][]Mark, fit survey.Fit) {
	off := map[survey.Label]float64{}
	for _, r := range fit.Points {
		off[r.Label] = r.Distance.MM()
	}
	for i, of := range marks {
		straight := StraightPlan{N: i + 1, Points: []point{}, Residuals: []out{}}
		for n, p := range of {
			straight.Points = append(straight.Points, point(move.Point(p.At)))
			straight.Residuals = append(straight.Residuals, out(off[survey.Label{Straight: i + 1, Point: n + 1}]))
		}
		sp.Straights = append(sp.Straights, straight)
	}
	start, elems := move.Frame(fit.Start), fit.LRA.Elements()
	if walked, err := tube.Walk(start, elems); err == nil {
		sp.Path = stretches(start, walked, elems)
	}
}

func (sp *SurveyPlan) suspect(marks [][]Mark, tests survey.Tests) {
	r := tests.Suspect
	if r == nil || r.Label.Straight == 0 || r.Label.Point == 0 {
		return
	}
	id := func(l survey.Label) string { return marks[l.Straight-1][l.Point-1].ID }
	p := &SuspectPlan{Straight: r.Label.Straight, Point: r.Label.Point, Mark: id(r.Label), Off: out(r.Error.Norm()), Tests: []string{}, Also: []MarkPlan{}}
	for name, failed := range map[string]bool{"axes miss": tests.Miss, "chi-square": tests.ChiSquare, "leave one out": tests.LeaveOut} {
		if failed {
			p.Tests = append(p.Tests, name)
		}
	}
	slices.Sort(p.Tests)
	for _, l := range tests.Also {
		if l.Straight > 0 && l.Point > 0 {
			p.Also = append(p.Also, MarkPlan{l.Straight, l.Point, id(l)})
		}
	}
	sp.Suspect = p
}

func crownPlan(c Crook, fit survey.Fit, sigma units.Length) CrownPlan {
	p := CrownPlan{After: c.After, Given: out(c.CLR.MM())}
	r, err := fit.CLR(c.After, c.Crown.V, sigma)
	if err != nil {
		p.Why = reasons(err)
		return p
	}
	p.CLR, p.Sigma = num(r.CLR.MM()), num(r.Sigma.MM())
	return p
}

// ClosingPlan is a path that was taken off piece by piece, adjusted to its socket.
type ClosingPlan struct {
	Why         string        `json:"why"`
	Miss        *out          `json:"miss"` // mm before adjusting
	MissAt      *point        `json:"miss_at"`
	Aim         *out          `json:"aim"` // degrees before adjusting
	Chi2        *out          `json:"chi2"`
	DOF         int           `json:"dof"`
	TooFar      bool          `json:"too_far"`
	LRA         []MeasuredRow `json:"lra"`
	Last        *out          `json:"last"`
	SigmaLast   *out          `json:"sigma_last"`
	Length      *out          `json:"length"`
	SigmaLength *out          `json:"sigma_length"`
}

// socketSigma is how well a measured socket is taken to be known: 1 mm along each
// axis, half a degree each way. Own choice, as for other points.
const (
	socketSigma = 1 * units.Millimetre
	aimSigma    = 0.5 * units.Degree
)

// closing adjusts a path whose figures have sigmas to the socket it is meant for.
func (s *scene) closing(t Tube) *ClosingPlan {
	start, walked, ok := s.walk(t)
	if !ok || !t.Trust.Known {
		return nil
	}
	mouth, ok := s.mouth(t)
	if !ok {
		return nil
	}
	cp := &ClosingPlan{LRA: []MeasuredRow{}}
	trust, lra := t.Trust.V, tube.ToLRA(t.Path)
	tr := survey.Traverse{Start: start, Last: lra.Last, LastSigma: trust.Length,
		End: survey.Socket{At: inserted(mouth, walked.End), Sigma: socketSigma, Dir: mouth.T, DirSigma: aimSigma}}
	for _, r := range lra.Rows {
		tr.Rows = append(tr.Rows, survey.TraverseRow{Row: r, LengthSigma: trust.Length, RotationSigma: trust.Rotation, TurnSigma: trust.Turn})
	}
	c, err := tr.Close()
	if c.Before.Distance > 0 {
		off := point(c.Before.Off)
		cp.Miss, cp.MissAt, cp.Aim = num(c.Before.Distance.MM()), &off, num(c.Before.Angle.Deg())
	}
	if err != nil {
		cp.Why = reasons(err)
		return cp
	}
	cp.Chi2, cp.DOF, cp.TooFar = num(c.Chi2), c.DOF, c.TooFar
	for i, r := range c.LRA.Rows {
		g := c.Sigmas[i]
		cp.LRA = append(cp.LRA, MeasuredRow{out(r.Length.MM()), out(r.Rotation.Deg()), out(r.Turn.Deg()), out(r.Radius.MM()),
			out(g.Length.MM()), out(g.Rotation.Deg()), out(g.Turn.Deg())})
	}
	cp.Last, cp.SigmaLast = num(c.LRA.Last.MM()), num(c.LastSigma.MM())
	cp.Length, cp.SigmaLength = num(c.Length.MM()), num(c.LengthSigma.MM())
	return cp
}

// inserted returns the place on a socket's axis that lies as far behind its mouth as
// the end does: how deep a tube goes in is not measured.
func inserted(mouth, end geom.Frame) geom.Vec {
	return mouth.O.Add(mouth.T.Scale(end.O.Sub(mouth.O).Dot(mouth.T)))
}
