package job

import (
	"encoding/hex"
	"hash/fnv"
	"slices"
	"strings"

	"tubewright/calc/ledger"
)

// Worked is a job with what follows from it: what sheets are made of.
type Worked struct {
	Job  Job
	Plan Plan
	Hash string // of what it was worked out from: of the records that sheets rest on, or of the bytes of a job file

	facts  Facts
	folded ledger.Folded // of the job's records, as photos; of a job file nothing
	photos []ledger.Shown
}

// Work works out a job from its records and those of the shop's own job, each in any
// order. Its hash is of the job's records alone.
func Work(recs []ledger.Record, shop ...ledger.Record) Worked {
	folded, shared := ledger.Fold(recs), SharedOf(shop)
	v := fromFold(folded, shared, Hash(slices.DeleteFunc(slices.Clone(recs), isBesideSheets)))
	facts, _ := fromFolded(folded)
	facts.Shared = shared
	return Worked{facts.job(), v.Plan, v.Hash, facts, folded, ledger.Photos(recs)}
}

// isBesideSheets tells of records that change no sheet: photos, and what was measured on
// printed sheets, which would otherwise make old what it has just found good.
func isBesideSheets(r ledger.Record) bool {
	return r.Kind == ledger.PhotoKind || strings.HasPrefix(r.Slot, "print/")
}

// WorkFile works out a job file. The error is that of PlanFile.
func WorkFile(data []byte) (Worked, error) {
	plan, err := PlanFile(data)
	if err != nil {
		return Worked{}, err
	}
	facts, err := ReadFile(data)
	if err != nil {
		return Worked{}, err
	}
	h := fnv.New128a()
	h.Write(data) // never fails
	return Worked{facts.job(), plan.Plan, hex.EncodeToString(h.Sum(nil)), facts, ledger.Folded{}, nil}, nil
}

// job is the job as far as it is usable.
func (f Facts) job() Job {
	j, _ := f.built()
	return j
}

// built is the job as far as it is usable, and what is not.
func (f Facts) built() (Job, []Fault) {
	usable, faults, _ := check(f)
	unusable := map[string]bool{}
	for _, f := range faults {
		unusable[f.Slot] = true
	}
	j, more := build(usable, unusable)
	return j, append(faults, more...)
}
