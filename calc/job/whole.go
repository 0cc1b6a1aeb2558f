package job

import (
	"tubewright/calc/ledger"
)

// Long is what is worked out of a job beside its plan, when it is asked for: most of it
// takes long.
type Long struct {
	Sizing      SizingPlan       `json:"sizing"`
	Cuts        *CutsPlan        `json:"cuts"` // null where stock cannot be planned at all
	Corrections []CorrectionPlan `json:"corrections"`
	Fixture     FixturePlan      `json:"fixture"`
	Weld        WeldPlan         `json:"weld"`
	Inspection  InspectionPlan   `json:"inspection"`
}

// WholePlan is the plan of a job with what takes long. Its findings are those of all.
type WholePlan struct {
	Plan
	Long
}

// WholeFilePlan is the same of a job file.
type WholeFilePlan struct {
	FilePlan
	Long
}

// Whole works out a job and waits for all of it; see FromRecords.
func Whole(recs []ledger.Record, shop ...ledger.Record) WholePlan {
	w := Work(recs, shop...)
	p := WholePlan{Plan: w.Plan}
	p.Long = w.Job.long(&p.Findings)
	p.Weld.signed(w.folded)
	p.Weld.photographed(recs)
	p.inspect(w, &p.Findings)
	return p
}

// WholeFile works out a job file and waits for all of it; the error is that of PlanFile.
func WholeFile(data []byte) (WholeFilePlan, error) {
	plan, err := PlanFile(data)
	if err != nil {
		return WholeFilePlan{}, err
	}
	facts, err := ReadFile(data)
	if err != nil {
		return WholeFilePlan{}, err
	}
	p := WholeFilePlan{FilePlan: plan}
	w := Worked{Job: facts.job(), Plan: plan.Plan, facts: facts}
	p.Long = w.Job.long(&p.Findings)
	p.inspect(w, &p.Findings)
	return p, nil
}

// inspect adds what was read of the header. That readings differ is in the plan already.
func (l *Long) inspect(w Worked, found *[]Finding) {
	l.Inspection = w.Inspection()
	for _, f := range l.Inspection.Findings {
		if f.Rule != disputedRule {
			*found = append(*found, f)
		}
	}
}

// long works out what takes long, and adds what it finds to the findings.
func (j Job) long(found *[]Finding) Long {
	l := Long{Sizing: Sizing(j), Corrections: Corrections(j, nil), Fixture: PlanFixture(j, nil), Weld: Weld(j)} // the findings of sizes are in the plan already
	switch cuts, err := Cuts(j, nil); {
	case err != nil:
		*found = append(*found, Finding{Severity: Warn, Rule: "cuts", Where: []string{}, Slots: []string{}, Grade: given,
			Text: "There is no plan of cuts: " + reasons(err) + ".", Help: "Look at the stock and at the saw's kerf."})
	default:
		l.Cuts = &cuts
		*found = append(*found, cuts.Findings...)
	}
	for _, c := range l.Corrections {
		*found = append(*found, c.Findings...)
	}
	*found = append(*found, l.Fixture.Findings...)
	*found = append(*found, l.Weld.Findings...)
	return l
}
