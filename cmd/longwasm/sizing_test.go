package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"
)

// tuned changes the engine of the vee, and what rules want besides, by chance.
func tuned(t *testing.T, rnd *rand.Rand, file []byte) []byte {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	between := func(low, high float64) float64 { return low + (high-low)*rnd.Float64() }
	engine, besides := j["engine"].(map[string]any), j["sizing"].(map[string]any)
	engine["bore"], engine["stroke"] = between(60, 110), between(50, 110)
	engine["peak_torque_rpm"], engine["exhaust_opens_bbdc"] = between(2000, 9000), between(30, 90)
	engine["numbering"] = []string{"odd-even", "1-4/5-8", "inline"}[rnd.IntN(3)]
	engine["fuel"] = []string{"petrol", "ethanol", "methanol", "iso-octane"}[rnd.IntN(4)]
	besides["gas_temperature"], besides["opening_temperature"] = between(400, 1100), between(700, 1700)
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// sizingQuestions ask what rules say to the vee, and to n engines made of it by chance.
func sizingQuestions(t *testing.T, rnd *rand.Rand, n int) []string {
	t.Helper()
	vee, err := os.ReadFile("../../testdata/job/vee.job.json")
	if err != nil {
		t.Fatal(err)
	}
	questions := []string{benched(t, "sizing", vee, true)}
	for range n {
		questions = append(questions, benched(t, "sizing", tuned(t, rnd, vee), rnd.IntN(2) == 0))
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
