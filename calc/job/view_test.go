package job_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// entered makes records of a job file as one tablet would have made them.
func entered(t testing.TB, file string) []ledger.Record {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return enteredFrom(t, data)
}

func enteredFrom(t testing.TB, data []byte) []ledger.Record {
	t.Helper()
	facts, err := job.ReadFile(data)
	if err != nil {
		t.Fatal(err)
	}
	var recs []ledger.Record
	for i, d := range facts.Drafts() {
		recs = append(recs, record(t, byte(1), i, d))
	}
	return recs
}

func record(t testing.TB, dev byte, n int, d job.Draft) ledger.Record {
	t.Helper()
	r := ledger.Record{ID: ledger.ID([16]byte{0: dev, 14: byte(n >> 8), 15: byte(n)}), Dev: fmt.Sprintf("tablet%d", dev), N: int64(n),
		HLC: ledger.Stamp(1764025441123+int64(n), 0, fmt.Sprintf("tablet%d", dev)), Kind: "reading", Job: "j1", Slot: d.Slot, SV: 1}
	kind, body := d.Record()
	r.Kind = kind
	b, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	r.Body = b
	back, err := ledger.Decode(ledger.Encode(r))
	if err != nil {
		t.Fatal(err)
	}
	return back
}

func length(slot, text string, nm, res int64) job.Draft {
	return job.Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: "mm", NM: &nm, Res: res, Person: "B. Invented", Tool: "caliper"}}
}

const four = "../../testdata/job/four.job.json"

// What is entered on a tablet and what stands in a file come to the same plan.
func TestRecordsAndFileGiveTheSamePlan(t *testing.T) {
	for _, file := range []string{four, "../../testdata/job/around.job.json", flangeJob, benchJob, veeJob} {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		want, err := job.PlanFile(data)
		if err != nil {
			t.Fatal(err)
		}
		v := job.FromRecords(entered(t, file))
		if len(v.Faults) > 0 || len(v.Todo) > 0 {
			t.Errorf("%s: faults %v, todo %v", file, v.Faults, v.Todo)
		}
		if !reflect.DeepEqual(v.Plan, want.Plan) {
			t.Errorf("%s: plans differ:\n%+v\n%+v", file, v.Plan, want.Plan)
		}
	}
}

func TestOrderOfRecordsDoesNotMatter(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	recs := entered(t, four)
	recs = append(recs, record(t, 2, 900, length("port/p1/width", "42,0", 42000000, 100000)))
	want := job.FromRecords(recs)
	for i := range 50 {
		rnd.Shuffle(len(recs), func(a, b int) { recs[a], recs[b] = recs[b], recs[a] })
		if got := job.FromRecords(recs); !reflect.DeepEqual(got, want) {
			t.Fatalf("seed %d, shuffle %d: the view differs", seed, i)
		}
	}
}

// Two tablets that enter different straights: both stay, the length is given
// from least to greatest, and the job stops.
func TestDisputedStraightSpreadsTheLength(t *testing.T) {
	recs := entered(t, four)
	const slot = "element/t2-e1/length"
	other := record(t, 2, 900, length(slot, "78.1", 78100000, 100000))
	v := job.FromRecords(append(recs, other))
	if s := v.Slots[slot]; s.Kind != ledger.Disputed || len(s.Heads) != 2 {
		t.Fatalf("slot is %s with %d heads", s.Kind, len(s.Heads))
	}
	tube := v.Plan.Tubes[1]
	if tube.Low == nil || tube.High == nil {
		t.Fatal("no least and greatest length")
	}
	// The file has 2 15/16 in = 74.6125 mm there, so the two differ by 3.4875 mm.
	if got := float64(*tube.High - *tube.Low); math.Abs(got-3.4875) > 1e-6 {
		t.Errorf("lengths differ by %v, want 3.4875", got)
	}
	if v.Plan.Tubes[0].Low != nil {
		t.Error("a tube that the dispute does not touch has a spread too")
	}
	f := v.Plan.Findings[0]
	if f.Rule != "disputed" || f.Severity != job.Stop || f.Slots[0] != slot {
		t.Errorf("first finding is %+v", f)
	}
	s := job.Summarise("j1", append(recs, other))
	if s.Disputed != 1 || s.Stops != 4 || // its tubes are smaller than their ports
		s.Decided != nil || s.Missing != 0 || s.Stage != "layout" {
		t.Errorf("summary %+v", s)
	}
}

// Taking an entity's place in the list back removes it, and its open values with it.
func TestRetractedEntityLeavesTheJob(t *testing.T) {
	recs := entered(t, four)
	for _, r := range recs {
		if r.Slot == "tube/t4/order" {
			recs = append(recs, ledger.Record{ID: ledger.ID([16]byte{9}), Dev: "tablet1", N: 999, HLC: ledger.Stamp(1764025449999, 0, "tablet1"), Kind: "retract", Job: "j1", Slot: r.Slot, Target: r.ID, SV: 1})
			break
		}
	}
	v := job.FromRecords(recs)
	if len(v.Plan.Tubes) != 3 || len(v.Lists["element"]) != 21 || len(v.Todo) != 1 || v.Todo[0].Slot != "tube" {
		t.Errorf("%d tubes, %d pieces of path, todo %v", len(v.Plan.Tubes), len(v.Lists["element"]), v.Todo)
	}
}

// A figure that is not what its text says must not reach the saw.
func TestTextAndFigureThatDisagreeAreRefused(t *testing.T) {
	recs := entered(t, four)
	r := record(t, 2, 900, length("target/self/tolerance", "6.0", 60000000, 100000))
	for _, old := range recs {
		if old.Slot == r.Slot {
			r.Over = []string{old.ID}
		}
	}
	r, err := ledger.Decode(ledger.Encode(ledger.Record{ID: r.ID, Dev: r.Dev, N: r.N, HLC: r.HLC, Kind: r.Kind, Job: r.Job, Slot: r.Slot, Over: r.Over, SV: 1, Body: r.Body}))
	if err != nil {
		t.Fatal(err)
	}
	v := job.FromRecords(append(recs, r))
	if len(v.Faults) != 1 || v.Faults[0].Slot != r.Slot {
		t.Errorf("faults %v", v.Faults)
	}
	if v.Plan.Tubes[0].Tolerance != nil {
		t.Errorf("the value was used: %v", *v.Plan.Tubes[0].Tolerance)
	}
}

// One value out of range is named and the rest of the job goes on.
func TestValueOutOfRangeDoesNotStopTheRest(t *testing.T) {
	recs := entered(t, four)
	r := record(t, 2, 900, length("engine/self/bore", "8340", 8340000000, 1000000))
	recs = append(recs, r)
	for i, old := range recs[:len(recs)-1] {
		if old.Slot == r.Slot {
			recs = append(recs[:i], recs[i+1:]...)
			break
		}
	}
	v := job.FromRecords(recs)
	if len(v.Faults) != 1 || v.Faults[0].Slot != r.Slot {
		t.Errorf("faults %v", v.Faults)
	}
	if v.Plan.Tubes[3].Length == nil {
		t.Error("the tubes are not worked out any more")
	}
}

// Readings a whole unit apart never count as the same, and a plan without
// findings has a list all the same.
func TestWholeUnitsApartAreDisputed(t *testing.T) {
	for _, two := range [][2]string{{"10 in", "11 in"}, {"41", "42"}, {"1 m", "2 m"}} {
		var recs []ledger.Record
		for i, text := range two {
			typed, err := units.ParseLength(text, "mm")
			if err != nil {
				t.Fatal(err)
			}
			recs = append(recs, record(t, byte(i+1), 900, length("target/self/length", text, typed.V, typed.Res)))
		}
		v := job.FromRecords(recs)
		if s := v.Slots["target/self/length"]; s.Kind != ledger.Disputed {
			t.Errorf("%v: %s", two, s.Kind)
		}
	}
	note := record(t, 1, 1, job.Draft{Slot: "job/self/name", Note: &ledger.Note{Text: "New"}})
	if fs := job.FromRecords([]ledger.Record{note}).Plan.Findings; fs == nil {
		t.Error("findings are null")
	}
}

// What a newer version wrote is counted and said, never dropped in silence.
func TestRecordsOfANewerVersionAreCounted(t *testing.T) {
	recs := entered(t, four)
	recs = append(recs, ledger.Record{ID: ledger.ID([16]byte{8}), Dev: "tablet2", N: 1, HLC: ledger.Stamp(1764025449999, 0, "tablet2"), Kind: "hologram", Job: "j1", SV: 9})
	fs := job.FromRecords(recs).Plan.Findings
	if last := fs[len(fs)-1]; last.Rule != "newer-records" || last.Severity != job.Note {
		t.Errorf("last finding %+v", last)
	}
}

func TestEmptyJobAsksForItsLists(t *testing.T) {
	v := job.FromRecords([]ledger.Record{record(t, 1, 1, job.Draft{Slot: "job/self/name", Note: &ledger.Note{Text: "New"}})})
	var lists int
	for _, d := range v.Todo {
		if d.Slot == "bank" || d.Slot == "port" || d.Slot == "tube" {
			lists++
		}
	}
	if lists != 3 {
		t.Errorf("todo %v", v.Todo)
	}
	if b, err := json.Marshal(v); err != nil || len(b) == 0 {
		t.Errorf("marshal: %v", err)
	}
}

// An engine's size from bore and stroke: 4.00 × 3.48 in, eight cylinders, is the
// engine sold as 350 cu in (magazine article on header size, worked example
// 350 in³ / 8 = 43.75 in³; the nominal size is rounded to the cubic inch).
func TestSweptVolume(t *testing.T) {
	p := plan(t, `{"tubewright":1,"engine":{"cylinders":8,"bore":"4.00 in","stroke":"3.48 in"}}`)
	const cubicInch = 16.387064 // cm³, exact
	one := at(t, p, "engine", "swept_cc").(float64) / cubicInch
	if all := at(t, p, "engine", "total_cc").(float64) / cubicInch; math.Abs(all-350) > 0.5 || math.Abs(one-43.75) > 0.5/8 {
		t.Errorf("got %.3f and %.3f cu in, want 43.75 and 350", one, all)
	}
}

// A file of any bytes is read or refused, never worse.
func FuzzPlanFile(f *testing.F) {
	f.Add([]byte(oneTube)) // small seeds: the fuzzer spends its time on shortening large ones
	f.Add([]byte(`{"tubewright":1,"banks":[{"id":"A","thickness":9,"bolt_size":"M8","opening":"tube","bolts":[{"id":"b","x":0,"y":0},{"id":"c","x":90,"y":9,"hole":9}],
		"ports":[{"id":"p","x":40,"y":0,"outline":{"shape":"d","radius":20,"flat":9,"corner":4,"turn":9}}],
		"patterns":[{"id":"s","side":"head","holes":[{"id":"h","x":1,"y":0,"diameter":9},{"id":"i","x":91,"y":9}],"openings":[{"id":"o","x":40,"y":1,"outline":{"shape":"drawn","path":[[0,0,1],[40,0,1]]}}]}]}],
		"tubes":[{"id":"t","port":"p","od":42,"wall":1.6}]}`))
	f.Add([]byte(`{"tubewright":1,"banks":[null,{}],"tubes":[{"path":[{}]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := job.PlanFile(data)
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a word")
			}
			return
		}
		if _, err := json.Marshal(p); err != nil {
			t.Errorf("the plan cannot be written: %v", err)
		}
	})
}

func BenchmarkView(b *testing.B) {
	recs := entered(b, four)
	for b.Loop() {
		job.FromRecords(recs)
	}
}

func BenchmarkPlanFile(b *testing.B) {
	data, err := os.ReadFile(four)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := job.PlanFile(data); err != nil {
			b.Fatal(err)
		}
	}
}
