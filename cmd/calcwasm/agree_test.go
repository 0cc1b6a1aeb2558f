package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"

	"tubewright/calc/ask"
	"tubewright/cmd/build/wasmtest"
)

// Tablet and shop machine come to the same plan after rounding to 0.001 mm and
// 0.01°: four jobs, 360 others made from them by chance, and what 20 readings in dispute lead to.
func TestTabletAndShopAgree(t *testing.T) {
	const seed = 1
	file, around, flange, vee := readJob(t, "four"), readJob(t, "around"), readJob(t, "flange"), readJob(t, "vee")
	files := []string{string(file), string(around), string(flange), string(vee), `{"tubewright":1,"engine":{"bore":"8 3/ in"}}`, "no job"}
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 200 {
		files = append(files, varied(t, rnd, file))
	}
	for range 50 {
		files = append(files, varied(t, rnd, around))
	}
	for range 60 {
		files = append(files, shaken(t, rnd, flange))
	}
	for range 50 {
		files = append(files, string(wasmtest.Tuned(t, rnd, vee)))
	}
	limits := wasmtest.Limits{Size: 7_000_000, Without: []string{"calc/stock.Pack", "calc/route.Close", "calc/draw/sheet.Make", "calc/draw/dxf.Read", "calc/sizing.Near"}}
	var questions []string
	for _, f := range files {
		q, err := json.Marshal(question{Op: "plan", File: f})
		if err != nil {
			t.Fatal(err)
		}
		questions = append(questions, string(q))
	}
	questions = append(questions, withQuestions(t, rnd, file, 20)...)
	questions = append(questions, pointsQuestions(t, rnd, 30)...)
	for i, got := range wasmtest.Answers(t, limits, questions) {
		if err := wasmtest.Agree(answer(questions[i]), got.Text); err != nil {
			t.Errorf("seed %d job %d: %v", seed, i, err)
		}
	}
}

func readJob(t *testing.T, name string) []byte {
	t.Helper()
	file, err := os.ReadFile("../../testdata/job/" + name + ".job.json")
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// varied changes angles and rotations of a job file by chance.
func varied(t *testing.T, rnd *rand.Rand, file []byte) string {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	for _, tube := range j["tubes"].([]any) {
		for _, e := range tube.(map[string]any)["path"].([]any) {
			e := e.(map[string]any)
			if _, bend := e["bend"]; bend {
				e["bend"] = 1 + 179*rnd.Float64()
				e["rotation"] = 720*rnd.Float64() - 360
			} else {
				e["straight"] = 300 * rnd.Float64()
			}
		}
	}
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestAnswerSaysWhatItCannotDo(t *testing.T) {
	for _, q := range []string{"", "{", `{"op":"weld"}`, `{"op":"view","job":"j","records":["no record"]}`, `{"op":"plan","file":"[]"}`} {
		var r ask.Refusal
		if err := json.Unmarshal([]byte(answer(q)), &r); err != nil || r.Error == "" {
			t.Errorf("%q: answered %s", q, answer(q))
		}
	}
	var r struct {
		Faults []struct{ Name, Where, Message string }
	}
	if err := json.Unmarshal([]byte(answer(`{"op":"plan","file":"{\"tubewright\":1,\"engine\":{\"bore\":-1}}"}`)), &r); err != nil || len(r.Faults) != 1 || r.Faults[0].Where != "engine.bore" {
		t.Errorf("faults %+v, %v", r.Faults, err)
	}
}
