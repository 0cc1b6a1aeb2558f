package main

import (
	"encoding/json"
	"math/rand/v2"
	"strconv"
	"testing"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// encoded is the i-th record of a device.
func encoded(t *testing.T, dev byte, i int, slot, kind string, body any) string {
	t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	return ledger.Encode(ledger.Record{ID: ledger.ID([16]byte{0: dev, 14: byte(i >> 8), 15: byte(i)}), Dev: "t" + strconv.Itoa(int(dev)), N: int64(i),
		HLC: ledger.Stamp(1764025441123+int64(i), 0, "t"+strconv.Itoa(int(dev))), Kind: kind, Job: "j1", Slot: slot, SV: 1, Body: b})
}

// entered are the records of a job file, and their slots.
func entered(t *testing.T, file []byte) (raws, slots []string) {
	t.Helper()
	facts, err := job.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range facts.Drafts() {
		kind, body := d.Record()
		raws, slots = append(raws, encoded(t, 1, i, d.Slot, kind, body)), append(slots, d.Slot)
	}
	return raws, slots
}

// withQuestions asks for the plan with each reading of a bend of the job whose
// turn a second tablet read otherwise, n times by chance.
func withQuestions(t *testing.T, rnd *rand.Rand, file []byte, n int) []string {
	t.Helper()
	raws, slots := entered(t, file)
	var turns []string
	for _, slot := range slots {
		if _, _, field, _ := job.SplitSlot(slot); field == "turn" {
			turns = append(turns, slot)
		}
	}
	var questions []string
	for range n {
		slot := turns[rnd.IntN(len(turns))]
		text := strconv.Itoa(10+rnd.IntN(160)) + "." + strconv.Itoa(rnd.IntN(10))
		typed, err := units.ParseAngle(text)
		if err != nil {
			t.Fatal(err)
		}
		other := encoded(t, 2, len(raws), slot, ledger.ReadingKind, ledger.Reading{Text: text, Unit: "deg", UDeg: &typed.V, Res: typed.Res, Tool: "gauge", Person: "Invented"})
		q, err := json.Marshal(question{Op: "with", Job: "j1", Slot: slot, Records: append(raws[:len(raws):len(raws)], other)})
		if err != nil {
			t.Fatal(err)
		}
		questions = append(questions, string(q))
	}
	return questions
}

// The answer names both readings with what follows from each.
func TestAnswerWithEachReading(t *testing.T) {
	const seed = 2
	q := withQuestions(t, rand.New(rand.NewPCG(seed, 0)), readJob(t, "four"), 1)[0]
	var plans []struct {
		ID     string
		In_use bool
		Tubes  []struct {
			Length  float64
			Differs []string
		}
	}
	if err := json.Unmarshal([]byte(answer(q)), &plans); err != nil || len(plans) != 2 {
		t.Fatalf("seed %d: %v: %s", seed, err, answer(q))
	}
	if plans[0].In_use == plans[1].In_use || len(plans[0].Tubes) != 1 || plans[0].Tubes[0].Length == plans[1].Tubes[0].Length {
		t.Errorf("seed %d: %s", seed, answer(q))
	}
}
