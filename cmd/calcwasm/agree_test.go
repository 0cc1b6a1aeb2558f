package main

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"

	"tubewright/calc/ask"
	"tubewright/calc/ledger"
	"tubewright/cmd/build/wasmtest"
)

// Tablet and shop machine come to the same plan after rounding to 0.001 mm and
// 0.01°: four jobs, 360 others made from them by chance, and what 20 readings in dispute lead to.
func TestTabletAndShopAgree(t *testing.T) {
	const seed = 1
	file, around, flange, vee := readJob(t, "four"), readJob(t, "around"), readJob(t, "flange"), readJob(t, "vee")
	files := [][]byte{file, around, flange, vee}
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
		files = append(files, wasmtest.Tuned(t, rnd, vee))
	}
	questions := []string{`{"op":"view","job":"j1","records":["no record"]}`, viewed(t, unlike(t))}
	for _, f := range files {
		raws, _ := entered(t, f)
		questions = append(questions, viewed(t, raws...))
	}
	questions = append(questions, withQuestions(t, rnd, file, 20)...)
	questions = append(questions, pointsQuestions(t, rnd, 30)...)
	limits := wasmtest.Limits{Size: 6_900_000, Without: []string{"calc/stock.Pack", "calc/route.Close", "calc/draw/sheet.Make", "calc/draw/dxf.Read", "calc/sizing.Near", "calc/job.ReadFile"}}
	for i, got := range wasmtest.Answers(t, limits, questions) {
		if err := wasmtest.Agree(answer(questions[i]), got.Text); err != nil {
			t.Errorf("seed %d question %d: %v", seed, i, err)
		}
	}
}

// viewed asks for all that a screen shows of a job with these records.
func viewed(t *testing.T, raws ...string) string {
	t.Helper()
	q, err := json.Marshal(question{Op: "view", Job: "j1", Records: raws})
	if err != nil {
		t.Fatal(err)
	}
	return string(q)
}

// unlike is a reading of the bore whose text and figure do not say the same.
func unlike(t *testing.T) string {
	t.Helper()
	nm := int64(86_000_000)
	return encoded(t, 1, 0, "engine/-/bore", ledger.ReadingKind, ledger.Reading{Text: "8 3/ in", Unit: "in", NM: &nm, Tool: "caliper", Person: "Invented"})
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
func varied(t *testing.T, rnd *rand.Rand, file []byte) []byte {
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
	return b
}

func TestAnswerSaysWhatItCannotDo(t *testing.T) {
	for _, q := range []string{"", "{", `{"op":"weld"}`, `{"op":"view","job":"j","records":["no record"]}`, `{"op":"plan"}`} {
		var r ask.Refusal
		if err := json.Unmarshal([]byte(answer(q)), &r); err != nil || r.Error == "" {
			t.Errorf("%q: answered %s", q, answer(q))
		}
	}
	var view struct {
		Faults []struct{ Slot, Name, Message string }
	}
	if err := json.Unmarshal([]byte(answer(viewed(t, unlike(t)))), &view); err != nil || len(view.Faults) != 1 || view.Faults[0].Slot != "engine/-/bore" {
		t.Errorf("faults %+v, %v", view.Faults, err)
	}
}
