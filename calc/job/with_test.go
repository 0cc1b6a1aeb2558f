package job_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// The bend of one tube read as 72° and as 75°. By hand, in mm: the tube is
// 38.1 + 76.2·θ + 86.36 long, so 220.2157 and 224.2056; the target is
// 224 ± 0.5, so 3.7843 short and outside, and 0.2056 long and within.
func TestPlanWithEachReading(t *testing.T) {
	file := strings.NewReplacer(`"32 in"`, "224", `"1/4 in"`, "0.5").Replace(oneTube)
	const slot = "element/t1-e2/turn"
	recs := append(enteredFrom(t, []byte(file)), record(t, 2, 900, angle(slot, "75", 75000000)))
	plans := job.With(recs, slot)
	if len(plans) != 2 {
		t.Fatalf("%d plans", len(plans))
	}
	for i, want := range []struct {
		length, deviation float64
		within            bool
		found, gone       int
	}{
		{220.2157440838, -3.7842559162, false, 1, 0},
		{224.2055667540, 0.2055667540, true, 0, 1},
	} {
		p := plans[i]
		if len(p.Tubes) != 1 || !p.Rests {
			t.Fatalf("plan %d: %+v", i, p)
		}
		tube := p.Tubes[0]
		if math.Abs(float64(*tube.Length)-want.length) > 1e-6 || math.Abs(float64(*tube.Deviation)-want.deviation) > 1e-6 || *tube.Within != want.within {
			t.Errorf("plan %d: length %v, deviation %v, within %v", i, *tube.Length, *tube.Deviation, *tube.Within)
		}
		if !slices.Equal(tube.Differs, []string{"length", "deviation", "end", "pieces"}) {
			t.Errorf("plan %d: differs in %v", i, tube.Differs)
		}
		if len(p.Findings) != want.found || len(p.Gone) != want.gone || len(p.Todo) != 0 || p.Spread != nil {
			t.Errorf("plan %d: %+v", i, p)
		}
	}
	if f := plans[1].Gone[0]; f.Rule != "length-tolerance" || f != plans[0].Findings[0] {
		t.Errorf("what goes away is %+v, what stood there %+v", f, plans[0].Findings[0])
	}
}

// The outline of a port: a rectangle with corners has the area w·h − (4 − π)·r²
// and the perimeter 2·(w + h) − (8 − 2π)·r. 41.275 × 34.925 mm with corners of
// 9.525 mm against a width of 43 mm; lengths do not change.
func TestPortWithEachReading(t *testing.T) {
	const slot = "port/p3/width"
	plans := job.With(append(entered(t, four), record(t, 2, 900, length(slot, "43", 43000000, 100000))), slot)
	if len(plans) != 2 {
		t.Fatalf("%d plans", len(plans))
	}
	for i, w := range []float64{41.275, 43} {
		p := plans[i]
		if len(p.Tubes) != 0 || len(p.Ports) != 1 || p.Ports[0].ID != "p3" {
			t.Fatalf("plan %d: %+v", i, p)
		}
		area := w*34.925 - (4-math.Pi)*9.525*9.525
		perimeter := 2*(w+34.925) - (8-2*math.Pi)*9.525
		if got := p.Ports[0]; math.Abs(float64(*got.Area)-area) > 1e-6 || math.Abs(float64(*got.Perimeter)-perimeter) > 1e-6 {
			t.Errorf("plan %d: area %v, perimeter %v, want %v and %v", i, *got.Area, *got.Perimeter, area, perimeter)
		}
	}
}

// A reading put aside by a choice is worked out as well, so that a choice can be
// seen through; a word in dispute says what it would ask for.
func TestPlanWithReadingsPutAside(t *testing.T) {
	const slot = "port/p3/shape"
	recs := append(entered(t, four), record(t, 2, 900, word(slot, "round")))
	plans := job.With(recs, slot)
	if len(plans) != 2 || len(plans[1].Todo) != 1 || plans[1].Todo[0].Slot != "port/p3/diameter" || plans[1].Ports[0].Area != nil || plans[0].Ports[0].Area == nil {
		t.Fatalf("with a rectangle and a round port: %+v", plans)
	}
	choice := ledger.Record{ID: ledger.ID([16]byte{7}), Dev: "tablet1", N: 950, HLC: ledger.Stamp(1764025449999, 0, "tablet1"), Kind: "choice", Job: "j1", Slot: slot,
		Seen: []string{plans[0].ID, plans[1].ID}, Chosen: plans[1].ID, SV: 1, Body: json.RawMessage(`{}`)}
	chosen := job.With(append(recs, choice), slot)
	if len(chosen) != 2 || chosen[0].ID != plans[1].ID || !chosen[0].InUse || chosen[1].ID != plans[0].ID {
		t.Errorf("after the choice: %+v", chosen)
	}
}

// What nothing rests on says so, and a reading that cannot be used says why.
func TestWithSaysWhatCannotBe(t *testing.T) {
	recs := entered(t, four)
	if plans := job.With(append(slices.Clip(recs), record(t, 2, 900, length("engine/self/rod", "150", 150000000, 100000))), "engine/self/rod"); len(plans) != 2 || plans[0].Rests || plans[1].Rests {
		t.Errorf("nothing rests on the rod yet: %+v", plans)
	}
	if plans := job.With(recs, "engine/self/bore"); len(plans) != 1 || !plans[0].Rests {
		t.Errorf("one reading alone: %+v", plans)
	}
	if plans := job.With(recs, "port/p9/width"); len(plans) != 0 {
		t.Errorf("no reading: %+v", plans)
	}
	const slot = "element/t2-e1/length"
	plans := job.With(append(slices.Clip(recs), record(t, 2, 900, length(slot, "999999", 999999000000, 100000))), slot)
	i := slices.IndexFunc(plans, func(p job.HeadPlan) bool { return p.ID[:2] == "ai" }) // made on tablet 2
	if i < 0 || len(plans[i].Tubes) != 1 || plans[i].Tubes[0].Length != nil || !slices.ContainsFunc(plans[i].Findings, func(f job.HeadFinding) bool { return f.Rule == "unusable" }) {
		t.Errorf("a length of a kilometre: %+v", plans)
	}
}

// For disputes by chance in the invented job: the order of the records plays no
// part, what stands with the reading in use is what the view has, and each reading
// comes to the plan that the job would have with it alone.
func TestWithAgreesWithTheView(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	recs := entered(t, four)
	var slots []string
	for _, r := range recs {
		var body ledger.Reading
		if json.Unmarshal(r.Body, &body) == nil && body.NM != nil {
			slots = append(slots, r.Slot)
		}
	}
	for round := range 40 {
		all := slices.Clone(recs)
		pick := rnd.Perm(len(slots))[:3]
		for n, i := range pick {
			nm := int64(5+rnd.IntN(90)) * 1000000
			all = append(all, record(t, 2, 900+n, length(slots[i], fmt.Sprint(nm/1000000), nm, 500000)))
		}
		slot := slots[pick[0]]
		plans := job.With(all, slot)
		view := job.FromRecords(all)
		alone := map[string]job.View{}
		for _, p := range plans {
			alone[p.ID] = job.FromRecords(slices.DeleteFunc(slices.Clone(all), func(r ledger.Record) bool { return r.Slot == slot && r.ID != p.ID }))
		}
		for range 3 {
			rnd.Shuffle(len(all), func(a, b int) { all[a], all[b] = all[b], all[a] })
			if again := job.With(all, slot); !reflect.DeepEqual(again, plans) {
				t.Fatalf("seed %d, round %d: another order of %s, another answer", seed, round, slot)
			}
		}
		inUse := 0
		for _, p := range plans {
			want := alone[p.ID]
			if p.InUse {
				inUse++
				agrees(t, fmt.Sprintf("seed %d, round %d, %s in use", seed, round, slot), p, view)
			}
			agrees(t, fmt.Sprintf("seed %d, round %d, %s alone", seed, round, slot), p, want)
		}
		if inUse != 1 {
			t.Fatalf("seed %d, round %d: %d readings are in use", seed, round, inUse)
		}
	}
}

// agrees holds what With says of a reading against a view.
func agrees(t *testing.T, what string, p job.HeadPlan, v job.View) {
	t.Helper()
	for _, h := range p.Tubes {
		i := slices.IndexFunc(v.Plan.Tubes, func(x job.TubePlan) bool { return x.ID == h.ID })
		if i < 0 {
			t.Fatalf("%s: the view has no tube %s", what, h.ID)
		}
		x := v.Plan.Tubes[i]
		if !reflect.DeepEqual(h.Length, x.Length) || !reflect.DeepEqual(h.Deviation, x.Deviation) || (h.End == nil) != (x.End == nil) || h.End != nil && !reflect.DeepEqual(*h.End, x.End.At) || !reflect.DeepEqual(h.Bore, x.Bore) {
			t.Errorf("%s: tube %s is not the same: %+v", what, h.ID, h)
		}
	}
	stands := func(f job.HeadFinding) bool {
		return slices.ContainsFunc(v.Plan.Findings, func(x job.Finding) bool { return x.Rule == f.Rule && x.Text == f.Text })
	}
	for _, f := range p.Findings {
		if !stands(f) {
			t.Errorf("%s: %q does not stand there", what, f.Text)
		}
	}
	for _, f := range p.Gone {
		if stands(f) {
			t.Errorf("%s: %q has not gone", what, f.Text)
		}
	}
	if p.Spread != nil && !reflect.DeepEqual(p.Spread, v.Plan.Spread) {
		t.Errorf("%s: spread %v and %v", what, *p.Spread, *v.Plan.Spread)
	}
}

// With one slot in dispute among others the readings of the others stay as they
// are in use, whatever they say.
func TestReadingsOfOneSlotAreVariedAlone(t *testing.T) {
	recs := entered(t, four)
	one := record(t, 2, 900, length("element/t2-e1/length", "103.5", 103500000, 100000))
	other := record(t, 2, 901, length("element/t3-e1/length", "50", 50000000, 500000))
	for _, p := range job.With(append(recs, one, other), one.Slot) {
		if len(p.Tubes) != 1 || p.Tubes[0].ID != "t2" {
			t.Errorf("tubes %+v", p.Tubes)
		}
	}
}
