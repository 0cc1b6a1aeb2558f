package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/ask"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/cmd/build/wasmtest"
)

// toTheEnd is a step that waits for all.
func toTheEnd(float64) bool { return true }

// recordsOf are those of a job file, as a tablet writes them, with the stock and saw of
// the file in the shop's own job where isShared.
func recordsOf(t *testing.T, file []byte, isShared bool) (raws []string) {
	t.Helper()
	facts, err := job.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, d := range facts.Drafts() {
		kind, body, of := ledger.ReadingKind, any(d.Reading), "j1"
		if d.Note != nil {
			kind, body = ledger.NoteKind, d.Note
		}
		if isShared && strings.HasPrefix(d.Slot, "stock/") {
			of = job.ShopJob
		}
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		raws = append(raws, ledger.Encode(ledger.Record{ID: ledger.ID([16]byte{0: 1, 14: byte(i >> 8), 15: byte(i)}), Dev: "t1", N: int64(i),
			HLC: ledger.Stamp(1764025441123+int64(i), 0, "t1"), Kind: kind, Job: of, Slot: d.Slot, SV: 1, Body: b}))
	}
	return raws
}

func asked(t *testing.T, q question) string {
	t.Helper()
	b, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// benched asks an op of a job file.
func benched(t *testing.T, op string, file []byte, isShared bool) string {
	t.Helper()
	return asked(t, question{Op: op, Job: "j1", Records: recordsOf(t, file, isShared)})
}

// turned changes the bends of a job file by chance.
func turned(t *testing.T, rnd *rand.Rand, file []byte) []byte {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	for _, tube := range j["tubes"].([]any) {
		for _, e := range tube.(map[string]any)["path"].([]any) {
			if e := e.(map[string]any); e["bend"] != nil {
				e["bend"] = 10 + float64(rnd.IntN(80))
			}
		}
	}
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Tablet and shop machine plan the same cuts and corrections: the bench of the invented
// job, with its stock in the job and in the shop's own, and cuts of jobs made of it by chance; and what rules
// for size say to 60 engines. How far the
// tablet says it is never goes back. Sheets are the same to the letter.
func TestTabletAndShopAgree(t *testing.T) {
	const seed = 1
	rnd := rand.New(rand.NewPCG(seed, 0))
	bench, err := os.ReadFile("../../testdata/job/bench.job.json")
	if err != nil {
		t.Fatal(err)
	}
	questions := []string{benched(t, "cuts", bench, false), benched(t, "cuts", bench, true), benched(t, "corrections", bench, false), benched(t, "weld", bench, true)}
	for _, s := range []job.Span{{Tube: "t4", From: 0, To: 7}, {Tube: "t4", From: 1, To: 4}, {Tube: "t2", From: 2, To: 7}, {Tube: "t3", From: 4, To: 6}} {
		questions = append(questions, asked(t, question{Op: "filling", Job: "j1", Records: recordsOf(t, bench, true), Span: s}))
	}
	for range 12 {
		questions = append(questions, benched(t, "cuts", turned(t, rnd, bench), rnd.IntN(2) == 0))
	}
	questions = append(questions, fixtureQuestions(t, rnd, 12)...)
	questions = append(questions, sizingQuestions(t, rnd, 60)...)
	questions = append(questions, inspectionQuestions(t, rnd, 20)...)
	questions = append(questions, asked(t, question{Op: "group", Job: "j1", Records: recordsOf(t, bench, false), Cylinders: []int{1, 3}}))
	jobs := len(questions) // the rest may be what cannot be made
	questions = append(questions, sheetQuestions(t)...)
	questions = append(questions, asked(t, question{Op: "sheet", Job: "j1", Records: recordsOf(t, bench, true), Sheet: "cuts", Form: "svg"}), asked(t, question{Op: "misses", OD: 41.275, CLR: 63.5}))
	for i, got := range wasmtest.Answers(t, wasmtest.Limits{Size: 11_200_000}, questions) {
		want := answer(questions[i], toTheEnd)
		if i < jobs && strings.Contains(want, `"error"`) {
			t.Errorf("seed %d question %d: %.300s", seed, i, want)
		}
		if err := wasmtest.Agree(want, got.Text); err != nil {
			t.Errorf("seed %d question %d: %v", seed, i, err)
		}
		if !slices.IsSorted(got.Done) {
			t.Errorf("seed %d question %d: %v is done", seed, i, got.Done)
		}
	}
}

// Stock counts wherever it stands, and the bench has something to cut from it.
func TestStockOfTheShopCounts(t *testing.T) {
	bench, err := os.ReadFile("../../testdata/job/bench.job.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, isShared := range []bool{false, true} {
		var plan struct{ Stock []any }
		if err := json.Unmarshal([]byte(answer(benched(t, "cuts", bench, isShared), nil)), &plan); err != nil || len(plan.Stock) == 0 {
			t.Errorf("shared %v: %v, %v", isShared, plan, err)
		}
	}
}

func TestAnswerSaysWhatItCannotDo(t *testing.T) {
	for _, q := range []string{"", "{", `{"op":"knit"}`, `{"op":"cuts","job":"j","records":["no record"]}`} {
		var r ask.Refusal
		if err := json.Unmarshal([]byte(answer(q, nil)), &r); err != nil || r.Error == "" {
			t.Errorf("%q: answered %s", q, answer(q, nil))
		}
	}
}
