package job_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

func angle(slot, text string, udeg int64) job.Draft {
	return job.Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: "deg", UDeg: &udeg, Res: 100000, Person: "B. Invented", Tool: "gauge"}}
}

func word(slot, text string) job.Draft {
	return job.Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: "word", Person: "B. Invented"}}
}

// The mark stands at every figure that rests on a slot in dispute, and at no other.
func TestDisputeIsMarkedWhereItIsUsed(t *testing.T) {
	recs := entered(t, four)
	for _, c := range []struct {
		other   job.Draft
		tubes   []string // with the mark
		pieces  []string
		rows    int
		ports   []string
		ends    int // tubes whose end bears the mark
		lengths bool
	}{
		{length("element/t2-e1/length", "103.5", 103500000, 100000), []string{"t2"}, []string{"t2-1"}, 1, nil, 1, true},
		{length("element/t2-e7/length", "115", 115000000, 100000), []string{"t2"}, []string{"t2-7"}, 0, nil, 1, true},
		{angle("element/t2-e2/rotation", "-150", -150000000), []string{"t2"}, []string{"t2-2"}, 1, nil, 1, false},
		{length("tube/t3/od", "42", 42000000, 100000), []string{"t3"}, []string{"t3-2", "t3-4", "t3-6"}, 0, nil, 0, false},
		{length("target/self/length", "650", 650000000, 1000000), []string{"t1", "t2", "t3", "t4"}, nil, 0, nil, 0, false},
		{length("port/p3/width", "43", 43000000, 100000), nil, nil, 0, []string{"p3"}, 0, false},
		{length("port/p3/x", "212", 212000000, 100000), []string{"t3"}, nil, 0, nil, 1, false},
		{length("engine/self/rod", "150", 150000000, 100000), nil, nil, 0, nil, 0, false}, // nothing rests on it yet
	} {
		slot := c.other.Slot
		v := job.FromRecords(append(slices.Clip(recs), record(t, 2, 900, c.other)))
		if v.Slots[slot].Kind != ledger.Disputed {
			t.Fatalf("%s is %s", slot, v.Slots[slot].Kind)
		}
		var tubes, pieces, ports []string
		rows, ends := 0, 0
		is := func(d []string) bool {
			if len(d) > 0 && !slices.Equal(d, []string{slot}) {
				t.Errorf("%s: the mark names %v", slot, d)
			}
			return len(d) > 0
		}
		for _, tube := range v.Plan.Tubes {
			if is(tube.Disputed) {
				tubes = append(tubes, tube.ID)
			}
			if (tube.Low != nil) != (c.lengths && is(tube.Disputed)) {
				t.Errorf("%s: %s has a least length: %v", slot, tube.ID, tube.Low != nil)
			}
			if is(tube.End.Disputed) {
				ends++
			}
			if is(tube.LastOn) != slices.Contains(c.pieces, tube.ID+"-7") {
				t.Errorf("%s: last straight of %s is marked: %v", slot, tube.ID, tube.LastOn)
			}
			for _, p := range tube.Pieces {
				if is(p.Disputed) {
					pieces = append(pieces, p.ID)
				}
			}
			for _, r := range tube.LRA {
				if is(r.Disputed) {
					rows++
				}
			}
		}
		for _, p := range v.Plan.Flanges[0].Ports {
			if is(p.Disputed) {
				ports = append(ports, p.ID)
			}
		}
		if !slices.Equal(tubes, c.tubes) || !slices.Equal(pieces, c.pieces) || rows != c.rows || ends != c.ends || !slices.Equal(ports, c.ports) || is(v.Plan.Engine.Disputed) {
			t.Errorf("%s: marked are tubes %v, pieces %v, %d rows, %d ends, ports %v", slot, tubes, pieces, rows, ends, ports)
		}
	}
}

// Readings of one value of which two people chose different ones are in dispute
// too, and so is a reading that this version cannot read: the mark stands at all
// that would be lost without the value.
func TestDisputeWithoutAnotherFigureIsMarked(t *testing.T) {
	recs := entered(t, four)
	const slot = "element/t2-e1/length"
	later := record(t, 2, 900, length(slot, "100.0", 100000000, 1))
	later.Body = []byte(`{"text":"100","unit":"furlong"}`)
	later, err := ledger.Decode(ledger.Encode(ledger.Record{ID: later.ID, Dev: later.Dev, N: later.N, HLC: later.HLC, Kind: later.Kind, Job: later.Job, Slot: slot, SV: 9, Body: later.Body}))
	if err != nil {
		t.Fatal(err)
	}
	v := job.FromRecords(append(recs, later))
	if k := v.Slots[slot].Kind; k != ledger.Disputed {
		t.Fatalf("the slot is %s", k)
	}
	if d := v.Plan.Tubes[1].Disputed; !slices.Equal(d, []string{slot}) {
		t.Errorf("tube 2 rests on %v", d)
	}
}

// Least and greatest length with several slots in dispute, against sums by hand:
// straights add up, and of one bend turn and CLR are taken together.
func TestDisputesAddUp(t *testing.T) {
	recs := enteredFrom(t, []byte(oneTube))
	recs = append(recs,
		record(t, 2, 900, length("element/t1-e1/length", "40.1", 40100000, 100000)), // 38.1 + 2
		record(t, 2, 901, length("element/t1-e3/length", "85.36", 85360000, 10000)), // 86.36 − 1
		record(t, 2, 902, angle("element/t1-e2/turn", "75", 75000000)),              // 72 + 3
		record(t, 2, 903, length("element/t1-e2/clr", "80", 80000000, 1000000)))     // 76.2 + 3.8
	tube := job.FromRecords(recs).Plan.Tubes[0]
	if tube.Low == nil || tube.High == nil {
		t.Fatal("no least and greatest length")
	}
	low := 38.1 + 76.2*72*math.Pi/180 + 85.36
	high := 40.1 + 80*75*math.Pi/180 + 86.36
	if math.Abs(float64(*tube.Low)-low) > 1e-9 || math.Abs(float64(*tube.High)-high) > 1e-9 {
		t.Errorf("length from %v to %v, want %v to %v", *tube.Low, *tube.High, low, high)
	}
	if len(tube.Disputed) != 4 || !slices.IsSorted(tube.Disputed) {
		t.Errorf("the tube rests on %v", tube.Disputed)
	}
}

// Two tablets that move one piece of a path differently make another tube of it.
func TestDisputedPlaceInThePathIsMarked(t *testing.T) {
	recs := enteredFrom(t, []byte(oneTube))
	v := job.FromRecords(append(recs, record(t, 2, 900, word("element/t1-e1/order", "zz"))))
	if d := v.Plan.Tubes[0].Disputed; !slices.Equal(d, []string{"element/t1-e1/order"}) {
		t.Errorf("the tube rests on %v", d)
	}
	if f := v.Plan.Findings[0]; f.Rule != "disputed" || !strings.Contains(f.Text, "place in the list") {
		t.Errorf("first finding: %+v", f)
	}
}
