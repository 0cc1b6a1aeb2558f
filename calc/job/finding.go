package job

import (
	"fmt"
	"math"

	"tubewright/calc/units"
)

// Severity says what a finding asks of a person.
type Severity string

const (
	Stop Severity = "stop" // no metal is cut before this is settled
	Warn Severity = "warn" // a person has to look and decide
	Note Severity = "note" // worth knowing
)

// Finding is one thing that the plan has to say about a job. It never hides
// where it comes from: the rule, the value, the limit and how well the limit is
// founded stand beside the sentence.
type Finding struct {
	Severity Severity `json:"severity"`
	Rule     string   `json:"rule"`
	Where    []string `json:"where"` // ids of the entities it is about
	Slots    []string `json:"slots"` // slots it rests on
	Value    *out     `json:"value"`
	Limit    *out     `json:"limit"`
	Unit     string   `json:"unit"`
	Grade    string   `json:"grade"` // where the limit comes from
	Text     string   `json:"text"`
	Help     string   `json:"help"` // what would help
}

const (
	given        = "entered for this job"
	fromGeometry = "geometry"
	fromFrame    = "definition of the bank frame"
	practice     = "common practice, no source"
	memory       = "from memory"
	ownChoice    = "own choice"
	seen         = "named in inspection rules and builders' reports"
	thumb        = "published rule of thumb"
)

// slack is what a figure may lie beyond its limit and still be called at it: a
// nanometre, the step in which lengths are entered.
const slack units.Length = 1e-6

// atSource lets findings name the slots from which their values came: of what was left
// open on a tube and counts as decided, the decision's.
func (j Job) atSource(fs []Finding) []Finding {
	for _, f := range fs {
		for i, slot := range f.Slots {
			if other := j.elsewhere[slot]; other != "" {
				f.Slots[i] = other
			}
		}
	}
	return fs
}

// findings looks at a job and its figures. Rules that need no figure come first.
func findings(j Job, p Plan) []Finding {
	var fs []Finding
	for _, k := range j.Banks {
		fs = append(fs, frameFindings(k)...)
		fs = append(fs, boltFindings(k)...)
	}
	fs = append(fs, pairFindings(j)...)
	for i, k := range j.Banks {
		fs = append(fs, flangeFindings(j, k, p.Flanges[i])...)
	}
	fs = append(fs, printFindings(j)...)
	for i, t := range j.Tubes {
		fs = append(fs, tubeFindings(j, t, p.Tubes[i], t.Title)...)
		fs = append(fs, pieceFindings(j, t, p.Tubes[i])...)
		fs = append(fs, madeFindings(t, p.Tubes[i])...)
		fs = append(fs, stockFindings(j, t, p.Tubes[i])...)
	}
	fs = append(fs, clrFindings(j)...)
	fs = append(fs, aroundFindings(j, p)...)
	fs = append(fs, spreadFinding(j, p)...)
	return append(fs, sizeFindings(j, p)...)
}

// frameTolerance is how far, in mm, the datum and the second hole may lie off
// the axes that they define before the entry is called contradictory. It is
// the finest step of a vernier caliper and far below any use of the frame.
const frameTolerance = 0.02

// frameFindings checks that the two holes which define the frame lie in it
// where the definition says.
func frameFindings(k Bank) []Finding {
	var fs []Finding
	for _, b := range k.Bolts {
		off := math.Hypot(b.X.V.MM(), b.Y.V.MM())
		x, y := Slot("bolt", b.ID, "x"), Slot("bolt", b.ID, "y")
		switch {
		case b.ID == k.Datum && b.X.Known && b.Y.Known && !(off <= frameTolerance):
			fs = append(fs, Finding{Stop, "datum-origin", []string{k.ID, b.ID}, []string{Slot("bank", k.ID, "datum"), x, y}, num(off), num(0), "mm", fromFrame,
				fmt.Sprintf("The datum bolt hole of bank %s stands at %s, %s. Its centre is where x and y are 0.", k.ID, say(b.X.V), say(b.Y.V)),
				"Enter 0 for both, or name the hole that lies at 0, 0 as the datum."})
		case b.ID == k.Along && b.Y.Known && !(math.Abs(b.Y.V.MM()) <= frameTolerance):
			fs = append(fs, Finding{Stop, "along-axis", []string{k.ID, b.ID}, []string{Slot("bank", k.ID, "along"), y}, num(b.Y.V.MM()), num(0), "mm", fromFrame,
				fmt.Sprintf("The second bolt hole of bank %s has y = %s. The x axis goes through it, so its y is 0.", k.ID, say(b.Y.V)),
				"Measure y of all other holes and ports from the line through these two holes."})
		case b.ID == k.Along && b.X.Known && !(math.Abs(b.X.V.MM()) > 1):
			fs = append(fs, Finding{Stop, "along-axis", []string{k.ID, b.ID}, []string{Slot("bank", k.ID, "along"), x}, num(b.X.V.MM()), num(1), "mm", fromFrame,
				fmt.Sprintf("The second bolt hole of bank %s lies on the datum, so it gives no direction.", k.ID),
				"Name a hole far from the datum, best the farthest."})
		}
	}
	return fs
}

// boltFindings finds holes that run into each other.
func boltFindings(k Bank) []Finding {
	var fs []Finding
	for i, a := range k.Bolts {
		for _, b := range k.Bolts[:i] {
			if !(a.X.Known && a.Y.Known && a.Hole.Known && b.X.Known && b.Y.Known && b.Hole.Known) {
				continue
			}
			apart := math.Hypot(a.X.V.MM()-b.X.V.MM(), a.Y.V.MM()-b.Y.V.MM())
			need := (a.Hole.V.MM() + b.Hole.V.MM()) / 2
			if !(apart > need) {
				fs = append(fs, Finding{Stop, "bolt-holes-meet", []string{b.ID, a.ID},
					[]string{Slot("bolt", a.ID, "x"), Slot("bolt", a.ID, "y"), Slot("bolt", b.ID, "x"), Slot("bolt", b.ID, "y")},
					num(apart), num(need), "mm", fromGeometry,
					fmt.Sprintf("The holes of %s and %s of bank %s lie %s apart and would run into each other.", b.Title, a.Title, k.ID, say(units.Length(apart))),
					"Look at the signs of x and y: right and up are plus."})
			}
		}
	}
	return fs
}

// pairFindings finds a cylinder named by two ports, a port used by two tubes
// and a port without a tube.
func pairFindings(j Job) []Finding {
	var fs []Finding
	byCylinder := map[float64]string{}
	byPort := map[string]string{}
	for _, t := range j.Tubes {
		if first, taken := byPort[t.Port]; taken && t.Port != "" {
			fs = append(fs, Finding{Stop, "port-twice", []string{first, t.ID}, []string{Slot("tube", first, "port"), Slot("tube", t.ID, "port")}, nil, nil, "", fromGeometry,
				"Two tubes start at the same port.", "Give each tube its own port."})
			continue
		}
		byPort[t.Port] = t.ID
	}
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			name := p.Title + " of bank " + k.ID
			slot := Slot("port", p.ID, "cylinder")
			if c := p.Cylinder; c.Known {
				if first, taken := byCylinder[c.V]; taken {
					fs = append(fs, Finding{Warn, "cylinder-twice", []string{first, p.ID}, []string{Slot("port", first, "cylinder"), slot}, num(c.V), nil, "", given,
						fmt.Sprintf("%s names cylinder %g, which another port names already.", name, c.V), "Right for an engine with two exhaust ports a cylinder; otherwise look at the maker's cylinder numbering."})
				} else {
					byCylinder[c.V] = p.ID
				}
			}
			if _, used := byPort[p.ID]; !used {
				fs = append(fs, Finding{Note, "port-without-tube", []string{p.ID}, []string{}, nil, nil, "", given,
					name + " has no tube yet.", "Add a tube that starts there."})
			}
		}
	}
	return fs
}

// spreadFinding compares the tubes with each other. Two tubes that are both just
// within ± tolerance can differ by twice the tolerance, so that is the limit.
func spreadFinding(j Job, p Plan) []Finding {
	tol := j.Target.Tolerance
	if p.Spread == nil || !tol.Known || float64(*p.Spread) <= (2*tol.V+slack).MM() {
		return nil
	}
	var ids []string
	for _, t := range p.Tubes {
		if t.Length != nil {
			ids = append(ids, t.ID)
		}
	}
	return []Finding{{Warn, "spread", ids, []string{Slot("target", Self, "tolerance")}, p.Spread, num(2 * tol.V.MM()), "mm", given,
		fmt.Sprintf("Longest and shortest tube differ by %s; twice the tolerance is %s.", say(units.Length(*p.Spread)), say(2*tol.V)),
		"Lengthen the shortest or shorten the longest tube."}}
}

// say writes a length for a sentence, in both units.
func say(l units.Length) string {
	return units.MM(l.NM(), 2) + " mm (" + units.Inches(l.NM()) + " in)"
}
