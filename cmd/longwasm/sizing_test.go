package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"

	"tubewright/cmd/build/wasmtest"
)

// sizingQuestions ask what rules say to the vee, and to n engines made of it by chance.
func sizingQuestions(t *testing.T, rnd *rand.Rand, n int) []string {
	t.Helper()
	vee, err := os.ReadFile("../../testdata/job/vee.job.json")
	if err != nil {
		t.Fatal(err)
	}
	questions := []string{benched(t, "sizing", vee, true)}
	for range n {
		questions = append(questions, benched(t, "sizing", wasmtest.Tuned(t, rnd, vee), rnd.IntN(2) == 0))
	}
	return questions
}

// The answer has every rule, and what was decided; of no records it has the rules still.
func TestAnswerWithSizes(t *testing.T) {
	for _, tt := range []struct {
		question string
		decided  bool
	}{{sizingQuestions(t, nil, 0)[0], true}, {asked(t, question{Op: "sizing", Job: "j1"}), false}} {
		var p struct {
			Rules    []struct{ ID string }
			Decision struct{ Decided bool }
		}
		if err := json.Unmarshal([]byte(answer(tt.question, toTheEnd)), &p); err != nil || len(p.Rules) < 20 || p.Decision.Decided != tt.decided {
			t.Errorf("%v: %.300s", err, answer(tt.question, toTheEnd))
		}
	}
}
