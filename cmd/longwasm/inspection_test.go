package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"tubewright/calc/ledger"
)

// inspectionQuestions ask how a header came out that was read, without a second reading of
// what differs and with n by chance, and one of which nothing was read.
func inspectionQuestions(t *testing.T, rnd *rand.Rand, n int) []string {
	t.Helper()
	file, err := os.ReadFile("../../testdata/job/inspect.job.json")
	if err != nil {
		t.Fatal(err)
	}
	around, err := os.ReadFile("../../testdata/job/around.job.json")
	if err != nil {
		t.Fatal(err)
	}
	questions := []string{benched(t, "inspection", file, false), benched(t, "inspection", around, false)}
	for i := range n {
		recs := slices.Clone(recordsOf(t, file, false))
		for m, slot := range []string{"tube/t1/length_tacked", "tube/t2/length_tacked", "collector/c1/tacked_y", "bank/A/flat_welded"} {
			nm := int64(rnd.IntN(605_000_000))
			if m > 1 {
				nm /= 200
			}
			b, err := json.Marshal(ledger.Reading{Text: fmt.Sprintf("%d.%06d", nm/1e6, nm%1e6), Unit: "mm", NM: &nm, Res: 1000, Tool: "tape", Person: "B. Invented", At: "2026-11-30T12:00:00Z"})
			if err != nil {
				t.Fatal(err)
			}
			recs = append(recs, ledger.Encode(ledger.Record{ID: ledger.ID([16]byte{0: 2, 14: byte(i), 15: byte(m)}), Dev: "t2", N: int64(m),
				HLC: ledger.Stamp(1764025541123+int64(m), 0, "t2"), Kind: ledger.ReadingKind, Job: "j1", Slot: slot, SV: 1, Body: b}))
		}
		questions = append(questions, asked(t, question{Op: "inspection", Job: "j1", Records: recs}))
	}
	return questions
}

// The answer has what was read, and who read it where readings differ.
func TestAnswerWithAnInspection(t *testing.T) {
	questions := inspectionQuestions(t, rand.New(rand.NewPCG(1, 0)), 1)
	for i, want := range []int{0, 0, 2} {
		var p struct {
			Rows []struct{ Readings []any }
			Open []any
		}
		if err := json.Unmarshal([]byte(answer(questions[i], toTheEnd)), &p); err != nil {
			t.Fatalf("%v: %.300s", err, answer(questions[i], toTheEnd))
		}
		n := 0
		for _, r := range p.Rows {
			n = max(n, len(r.Readings))
		}
		if n != want || i != 1 && len(p.Rows) == 0 || len(p.Open) == 0 {
			t.Errorf("question %d: %d readings of one thing, want %d; %d rows, %d open", i, n, want, len(p.Rows), len(p.Open))
		}
	}
}
