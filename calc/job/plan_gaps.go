package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// GapPlan is the least air between a tube and something else, over every position of
// both. A tube against itself has B = A.
type GapPlan struct {
	A         string `json:"a"`
	B         string `json:"b"`
	Gap       out    `json:"gap"` // between the surfaces; below 0 they overlap
	Eps       out    `json:"eps"` // the true least gap is at least Gap − Eps
	Sigma     *out   `json:"sigma"`
	Least     out    `json:"least"` // below it nothing is cut
	Wanted    out    `json:"wanted"`
	Grade     string `json:"grade"`
	AtA       point  `json:"at_a"` // on the surfaces, in the root frame
	AtB       point  `json:"at_b"`
	AlongA    out    `json:"along_a"` // mm along the tube from the port
	WorstCase string `json:"worst_case"`
	TooClose  bool   `json:"too_close_to_call"`

	Disputed []string `json:"disputed"`
	rule     string
}

// AccessPlan is how much air a tool has on its way to a bolt or a plug.
type AccessPlan struct {
	What    string `json:"what"` // id of the bolt or plug
	Tool    string `json:"tool"` // id of the one that has most air; a plug brings its own
	Gap     out    `json:"gap"`
	Wanted  out    `json:"wanted"`
	Against string `json:"against"`
	At      point  `json:"at"`

	Disputed []string `json:"disputed"`
}

// Mount ends: where tubes leave the flange and where they come together on purpose,
// gaps between them are not asked for. Own choices: 30 mm from the port face, 110 mm
// before a touching bundle.
const (
	portEnd    = 30 * units.Millimetre
	bundleEnd  = 110 * units.Millimetre
	bundleBite = 0.5 * units.Millimetre // tubes of a touching bundle may seem to overlap by so much
)

// usualRoll is by how much an engine rolls on its mounts, each way. From memory.
const usualRoll = 1.5 * units.Degree

// laid is a tube that has a place and an OD.
type laid struct {
	tube  Tube
	path  clear.Path
	start geom.Frame
	sigma float64 // mm, of a place on it as far as its mock-up tells
}

func (s *scene) laid(plans []TubePlan) []laid {
	var ls []laid
	for i, t := range s.job.Tubes {
		start, _, ok := s.walk(t)
		if !ok || !t.OD.Known {
			continue
		}
		path, err := clear.NewPath(start, t.Path, t.OD.V)
		if err != nil {
			continue
		}
		l := laid{tube: t, path: path, start: start}
		if sp := plans[i].Survey; sp != nil && sp.Why == "" {
			l.sigma = t.SurveySigma.MM()
		}
		ls = append(ls, l)
	}
	return ls
}

// gaps looks at every pair once. Neighbours that have no place yet are left out, and
// a finding says so.
func (s *scene) gaps(tubes []laid) []GapPlan {
	plans := []GapPlan{}
	own := tubeGap.wanting(s.job.Target.Gap)
	for i, a := range tubes {
		if r := clear.Self(a.path, clear.Options{Cutoff: 2 * own.wanted}); !r.Beyond { // a tube that is merely bent is not listed
			plans = append(plans, gapOf(a.tube.ID, a.tube.ID, r, own, 0, ""))
		}
		for _, b := range tubes[i+1:] {
			plans = append(plans, s.between(a, b, own)...)
		}
	}
	roll := s.roll()
	for _, n := range s.job.Neighbours {
		body, on, ok := s.body(n)
		if !ok {
			continue
		}
		rule := gapRuleOf(n)
		o := clear.Options{Cutoff: wide(rule)}
		if !n.OnEngine {
			o.Roll = roll
		}
		for _, a := range tubes {
			r := clear.To(a.path, body, o)
			if r.Beyond {
				continue
			}
			doubt := on[r.Set].along(r.B.Surface.Sub(r.A.Surface))
			plans = append(plans, gapOf(a.tube.ID, n.ID, r, rule, math.Hypot(a.sigma, doubt), s.worst(n, r)))
		}
	}
	slices.SortStableFunc(plans, func(a, b GapPlan) int {
		return cmp.Compare(math.Round(float64(a.Gap-a.Wanted)*1e6), math.Round(float64(b.Gap-b.Wanted)*1e6))
	})
	return plans
}

// between compares two tubes. Where they end in one collector they may touch near it,
// and only run into each other no further than a tack pulls.
func (s *scene) between(a, b laid, own gapRule) []GapPlan {
	sigma := math.Hypot(a.sigma, b.sigma)
	end := units.Length(0)
	var plans []GapPlan
	if a.tube.Collector != "" && a.tube.Collector == b.tube.Collector {
		end = bundleEnd
		r := clear.Between(a.path.Trim(portEnd, 0), b.path.Trim(portEnd, 0), clear.Options{Cutoff: own.wanted})
		if !r.Beyond && r.Gap < -bundleBite {
			plans = append(plans, gapOf(a.tube.ID, b.tube.ID, r, bundleGap, sigma, ""))
		}
	}
	r := clear.Between(a.path.Trim(portEnd, end), b.path.Trim(portEnd, end), clear.Options{Cutoff: wide(own)})
	if !r.Beyond {
		plans = append(plans, gapOf(a.tube.ID, b.tube.ID, r, own, sigma, ""))
	}
	return plans
}

// wide is how far apart parts are no longer listed: ten times the gap that is wanted,
// and never less than 100 mm, so that what is near is seen before it is too near.
func wide(r gapRule) units.Length { return max(100, 10*r.wanted) }

func gapOf(a, b string, r clear.Result, rule gapRule, sigma float64, worst string) GapPlan {
	g := GapPlan{A: a, B: b, Gap: out(r.Gap.MM()), Eps: out(r.Eps.MM()), Least: out(rule.least.MM()), Wanted: out(rule.wanted.MM()), Grade: rule.grade,
		AtA: point(r.A.Surface), AtB: point(r.B.Surface), AlongA: out(r.A.S.MM()), WorstCase: worst, Disputed: []string{}, rule: rule.rule}
	if sigma > 0 {
		g.Sigma = num(sigma)
	}
	doubt := 2*sigma + r.Eps.MM()
	for _, limit := range []units.Length{rule.least, rule.wanted} {
		g.TooClose = g.TooClose || math.Abs(r.Gap.MM()-limit.MM()) <= doubt
	}
	return g
}

// roll is how the engine, and the header with it, moves; not at all while its axis is
// not known.
func (s *scene) roll() clear.Motion {
	e := s.job.Engine
	if !e.RollY.Known || !e.RollZ.Known {
		return clear.Motion{}
	}
	by := e.Roll.Or(usualRoll)
	m, err := clear.Turning(geom.Vec{Y: e.RollY.V.MM(), Z: e.RollZ.V.MM()}, geom.Vec{X: 1}, -by, by)
	if err != nil {
		return clear.Motion{} // its fields were held to their ranges
	}
	return m
}

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

// worst says in which position a gap is least, "" where nothing moves.
func (s *scene) worst(n Neighbour, r clear.Result) string {
	var text string
	if s.job.Engine.RollY.Known && s.job.Engine.RollZ.Known && !n.OnEngine {
		text = fmt.Sprintf("engine rolled %s°", signed(units.Angle(r.Roll).Deg()))
	}
	if !n.Motion.Known {
		return text
	}
	if text != "" {
		text += ", "
	}
	if n.Motion.V.Turns {
		return text + fmt.Sprintf("%s turned %s°", n.Title, signed(units.Angle(r.Move).Deg()))
	}
	return text + fmt.Sprintf("%s moved %s mm", n.Title, signed(r.Move))
}

// signed writes a figure with its sign, a minus as long as the plus.
func signed(v float64) string {
	text := fmt.Sprintf("%+.1f", v)
	if rest, isBelow := strings.CutPrefix(text, "-"); isBelow {
		return "−" + rest
	}
	return text
}

// toolAir is how much air a socket wants on its way: 0.03 in. From memory.
const toolAir = 0.03 * units.Inch

// access looks whether bolts and plugs can be reached past the tubes.
func (s *scene) access(tubes []laid) []AccessPlan {
	plans := []AccessPlan{}
	if len(tubes) == 0 {
		return plans
	}
	for _, k := range s.job.Banks {
		move, placed := s.frames[k.ID]
		if !placed {
			continue
		}
		for _, b := range k.Bolts {
			if !b.X.Known || !b.Y.Known || !k.Thickness.Known {
				continue
			}
			var best *AccessPlan
			seat := move.Point(geom.Vec{X: b.X.V.MM(), Y: b.Y.V.MM(), Z: k.Thickness.V.MM()})
			for _, tool := range s.job.Tools {
				if !tool.OD.Known || !tool.Length.Known {
					continue
				}
				if a := toolGap(b.ID, tool.ID, seat, move.Dir(geom.Vec{Z: 1}), tool.Length.V, tool.OD.V, tubes); a != nil && (best == nil || a.Gap > best.Gap) {
					best = a
				}
			}
			if best != nil {
				plans = append(plans, *best)
			}
		}
		for _, p := range k.Plugs {
			if !p.At.Known || !p.Out.Known || !p.OD.Known || !p.Withdraw.Known {
				continue
			}
			if a := toolGap(p.ID, "", move.Point(p.At.V), move.Dir(p.Out.V), p.Withdraw.V, p.OD.V, tubes); a != nil {
				plans = append(plans, *a)
			}
		}
	}
	return plans
}

// toolGap returns the tube that comes nearest to a tool on its way along an axis.
func toolGap(what, tool string, seat, axis geom.Vec, length, od units.Length, tubes []laid) *AccessPlan {
	way, err := clear.Cylinder(seat, axis, length, od/2)
	if err != nil {
		return nil
	}
	var best *AccessPlan
	for _, t := range tubes {
		r := clear.To(t.path, clear.Body{Sets: []clear.Set{way}}, clear.Options{})
		if r.Beyond || best != nil && out(r.Gap.MM()) >= best.Gap {
			continue
		}
		best = &AccessPlan{what, tool, out(r.Gap.MM()), out(toolAir.MM()), t.tube.ID, point(r.A.Surface), []string{}}
	}
	return best
}
