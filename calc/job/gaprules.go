package job

import "tubewright/calc/units"

// gapRule is how much air a kind of neighbour wants: below Least it is a stop, below
// Wanted a warning. From the tube's outside, cold, after tacking.
type gapRule struct {
	what          string
	least, wanted units.Length
	grade         string
	rule          string
}

const in = units.Inch

// gapRules, a row for each of GapKinds. SEEN: named in inspection rules of hot-rod
// and road-vehicle inspections (fuel, brake, wiring: less than 1 1/2 in is a reject)
// or in builders' reports (a finger of 10 to 15 mm between what is on the engine and
// what is not, steering above all; a clip screw 1/4 in away wore a hole into a tube).
// The others are common practice or from memory, as marked.
var gapRules = []gapRule{
	{"steering", 0.5 * in, 0.75 * in, seen, "gap-steering"},
	{"brake", 1.5 * in, 3 * in, seen, "gap-brake"},
	{"fuel", 1.5 * in, 3 * in, seen, "gap-fuel"},
	{"wiring", 1.5 * in, 1.5 * in, seen, "gap-wiring"},
	{"starter", 0.75 * in, 1 * in, practice, "gap-starter"},
	{"plug boot", 0.75 * in, 1 * in, memory, "gap-plug-boot"},
	{"dipstick or filter", 0.5 * in, 0.5 * in, practice, "gap-dipstick"},
	{"mount, metal", 0.25 * in, 0.38 * in, practice, "gap-mount"},
	{"mount, rubber", 1.5 * in, 1.5 * in, practice, "gap-mount"},
	{"frame or bolt head", 0.5 * in, 0.5 * in, seen, "gap-frame"},
	{"clutch linkage", 0.38 * in, 0.38 * in, practice, "gap-clutch"},
	{"clutch hydraulics", 1.5 * in, 1.5 * in, practice, "gap-clutch"},
	{"floor or firewall", 0.75 * in, 1 * in, practice, "gap-floor"},
	{"plastic body", 2 * in, 2 * in, memory, "gap-body"},
	{"bonnet", 1 * in, 1.5 * in, memory, "gap-bonnet"},
	{"ground", 90, 4 * in, seen, "gap-ground"},
	{"scrub line", -farBelow, 0, seen, scrubLine},
}

// scrubLine is the plane through the bottoms of rims and tyres: with a tyre flat,
// what hangs below it touches the road. Street-rod inspections ask it of steering,
// suspension and chassis; of an exhaust nobody asks it, so it is a warning, however
// far below.
const (
	scrubLine = "gap-scrub-line"
	farBelow  = 10_000 * units.Millimetre
)

// Anything else that is fixed to the car, and tube to tube.
var (
	otherGap = gapRule{"", 0.5 * in, 0.75 * in, seen, "gap-neighbour"}
	tubeGap  = gapRule{"tube", 0, 3, practice, "gap-tube"} // 1/8 in, so that hot tubes do not rub through

	bundleGap = gapRule{"bundle", 0, 0, fromGeometry, "gap-bundle"} // near a collector in which both end
)

// gapRuleOf returns the rule for a neighbour. A gap that a person wants replaces the
// usual one; it is a stop below the smaller of the two least gaps.
func gapRuleOf(n Neighbour) gapRule {
	rule := otherGap
	for _, r := range gapRules {
		if r.what == n.What {
			rule = r
		}
	}
	return rule.wanting(n.Gap)
}

func (r gapRule) wanting(gap Opt[units.Length]) gapRule {
	if gap.Known {
		r.least, r.wanted, r.grade = min(r.least, gap.V), gap.V, given
	}
	return r
}
