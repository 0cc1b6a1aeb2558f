package job

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"tubewright/calc/clear"
	"tubewright/calc/geom"
	"tubewright/calc/sorted"
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

	free  clear.Path // without its mount end
	loose clear.Path // without what lies in a touching bundle too
}

func newLaid(t Tube, start geom.Frame, path clear.Path, sigma float64) laid {
	return laid{t, path, start, sigma, path.Trim(portEnd, 0), path.Trim(portEnd, bundleEnd)}
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
		sigma := 0.0
		if sp := plans[i].Survey; sp != nil && sp.Why == "" {
			sigma = t.SurveySigma.MM()
		}
		ls = append(ls, newLaid(t, start, path, sigma))
	}
	return ls
}

// gaps looks at every pair once.
func (s *scene) gaps(tubes []laid, things []thing) []GapPlan {
	plans := make([]GapPlan, 0, len(tubes)*(len(tubes)+len(things)))
	for i, a := range tubes {
		plans = s.gapsOf(plans, a, tubes[i+1:], things)
	}
	sorted.By(plans, func(a, b GapPlan) int {
		return cmp.Compare(math.Round(float64(a.Gap-a.Wanted)*1e6), math.Round(float64(b.Gap-b.Wanted)*1e6))
	})
	return plans
}

// gapsOf adds those of a tube beside itself, other tubes and things.
func (s *scene) gapsOf(plans []GapPlan, a laid, others []laid, things []thing) []GapPlan {
	own := tubeGap.wanting(s.job.Target.Gap)
	if r := clear.Self(a.path, clear.Options{Cutoff: 2 * own.wanted}); !r.Beyond { // a tube that is merely bent is not listed
		plans = append(plans, gapOf(a.tube.ID, a.tube.ID, r, own, 0, ""))
	}
	for _, b := range others {
		plans = s.between(plans, a, b, own)
	}
	roll := s.roll()
	for _, th := range things {
		n, rule := th.of, gapRuleOf(th.of)
		o := clear.Options{Cutoff: wide(rule)}
		if !n.OnEngine {
			o.Roll = roll
		}
		r := clear.To(a.path, th.body, o)
		if r.Beyond {
			continue
		}
		doubt := th.on[r.Set].along(r.B.Surface.Sub(r.A.Surface))
		plans = append(plans, gapOf(a.tube.ID, n.ID, r, rule, math.Hypot(a.sigma, doubt), s.worst(n, r)))
	}
	return plans
}

// between compares two tubes. Where they end in one collector they may touch near it,
// and only run into each other no further than a tack pulls.
func (s *scene) between(plans []GapPlan, a, b laid, own gapRule) []GapPlan {
	sigma := math.Hypot(a.sigma, b.sigma)
	from, to := a.free, b.free
	if a.tube.Collector != "" && a.tube.Collector == b.tube.Collector {
		from, to = a.loose, b.loose
		r := clear.Between(a.free, b.free, clear.Options{Cutoff: own.wanted})
		if !r.Beyond && r.Gap < -bundleBite {
			plans = append(plans, gapOf(a.tube.ID, b.tube.ID, r, bundleGap, sigma, ""))
		}
	}
	r := clear.Between(from, to, clear.Options{Cutoff: wide(own)})
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
