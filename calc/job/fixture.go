package job

import (
	"slices"

	"tubewright/calc/ledger"
)

// PlanFixture works out how the header of a job is held and how it comes out again. step
// is told the share that is done; false stops, and what is known so far is returned.
func PlanFixture(j Job, step func(done float64) bool) FixturePlan {
	return FixturePlan{Stations: []StationPlan{}, NoRoom: []NoRoomPlan{}, Ends: []HeldPlan{}, Disputed: []string{}, Findings: []Finding{}, MockUpOD: mmOf(j.Fixture.MockUpOD)}
}

// FixtureOf is PlanFixture of a job's records and those of the shop's own job. A job in
// which readings are in dispute says so first.
func FixtureOf(own, shop []ledger.Record, step func(done float64) bool) (FixturePlan, error) {
	folded := ledger.Fold(own)
	facts, _ := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	p := PlanFixture(facts.job(), step)
	p.Disputed = append(p.Disputed, disputedSlots(folded, facts)...)
	p.Findings = slices.Insert(p.Findings, 0, disputeFindings(folded, facts, p.Disputed)...)
	return p, nil
}
