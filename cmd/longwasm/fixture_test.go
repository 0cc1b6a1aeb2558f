package main

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"testing"
)

// fixtureQuestions ask for the fixture of the invented four: as it is, lying and on studs,
// with vees, with the clamp where nothing conducts; of the six and the eight, and of n
// headers made of the four by chance.
func fixtureQuestions(t *testing.T, rnd *rand.Rand, n int) (questions []string) {
	t.Helper()
	read := func(name string) []byte {
		b, err := os.ReadFile("../../testdata/job/" + name + ".job.json")
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	held := read("fixture")
	with := func(changes ...string) []byte {
		b := held
		for i := 0; i < len(changes); i += 2 {
			b = bytes.Replace(b, []byte(changes[i]), []byte(changes[i+1]), 1)
		}
		return b
	}
	for _, file := range [][]byte{
		held, with(`"base": "standing"`, `"base": "lying", "base_turn": 20`, `"flange_held": "bolts"`, `"flange_held": "studs"`), with(`"wrap": 180`, `"wrap": 90`), with(`"earth": "plate"`, `"earth": "c1"`),
		read("eight"), read("vee"),
	} {
		questions = append(questions, benched(t, "fixture", file, false))
	}
	for range n {
		questions = append(questions, benched(t, "fixture", turned(t, rnd, held), rnd.IntN(2) == 0))
	}
	return questions
}

// The answer holds stations, and how the header comes out.
func TestAnswerWithFixture(t *testing.T) {
	var p struct {
		Stations []struct{ ID string }
		Release  struct{ Header *struct{ Free bool } }
	}
	got := answer(fixtureQuestions(t, nil, 0)[0], toTheEnd)
	if err := json.Unmarshal([]byte(got), &p); err != nil || len(p.Stations) != 10 || p.Release.Header == nil || !p.Release.Header.Free {
		t.Errorf("%v: %.300s", err, got)
	}
	stopped := answer(fixtureQuestions(t, nil, 0)[0], func(float64) bool { return false })
	var s struct{ Stopped bool }
	if err := json.Unmarshal([]byte(stopped), &s); err != nil || !s.Stopped {
		t.Errorf("stopped: %v: %.300s", err, stopped)
	}
}
