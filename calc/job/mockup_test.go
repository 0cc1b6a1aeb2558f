package job_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// crooked plans a mock-up of three straights whose two bends have a CLR of 63.5 mm,
// and further entries for bends, each after a straight with a CLR in mm.
func crooked(t *testing.T, more ...[2]float64) map[string]any {
	t.Helper()
	tube := job.Tube{ID: "t3", Title: "Tube 3", SurveySigma: 1}
	for straight, from := range []geom.Vec{{Z: 0}, {Y: -100, Z: 150}, {Y: -250, Z: 250}} {
		along := []geom.Vec{{Z: 25}, {Y: -25}, {Z: 25}}[straight]
		for n := range 3 {
			tube.Marks = append(tube.Marks, job.Mark{ID: fmt.Sprintf("m%d-%d", straight+1, n+1), Straight: straight + 1, At: from.Add(along.Scale(float64(n)))})
		}
	}
	for i, b := range append([][2]float64{{1, 63.5}, {2, 63.5}}, more...) {
		tube.Crooks = append(tube.Crooks, job.Crook{ID: fmt.Sprintf("k%d", i+1), After: int(b[0]), CLR: units.Length(b[1])})
	}
	b, err := json.Marshal(job.NewPlan(job.Job{Banks: []job.Bank{{ID: "A"}}, Tubes: []job.Tube{tube}}))
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// Of two entries for one bend of a mock-up the first holds, and both are named.
func TestBendOfTheMockUpThatIsEnteredTwiceIsNamed(t *testing.T) {
	if f := finding(t, crooked(t), "mock-up-bend-twice"); f != nil {
		t.Errorf("once: %v", f["text"])
	}
	for clr, says := range map[float64]string{76.2: "63.5", 63.5: "both times"} {
		p := crooked(t, [2]float64{2, clr})
		f := finding(t, p, "mock-up-bend-twice")
		if f == nil || f["severity"] != "warn" || !strings.Contains(f["text"].(string), "after straight 2") || !strings.Contains(f["text"].(string), says) || !strings.Contains(f["text"].(string), "first is used") {
			t.Errorf("CLR %v: %v", clr, f)
			continue
		}
		if at(t, f, "slots", 0) != "crook/k3/clr" {
			t.Errorf("CLR %v: rests on %v", clr, f["slots"])
		}
		if got := at(t, p, "tubes", 0, "survey", "lra", 1, "clr"); got != 63.5 {
			t.Errorf("CLR %v: %v is used", clr, got)
		}
	}
	if p := crooked(t, [2]float64{2, 76}, [2]float64{2, 80}, [2]float64{1, 90}); len(all(t, p, "mock-up-bend-twice")) != 3 {
		t.Errorf("three entries too many: %v", all(t, p, "mock-up-bend-twice"))
	}
}

// A bend behind the last straight is none yet.
func TestBendBehindTheLastStraightIsNamed(t *testing.T) {
	if f := finding(t, crooked(t, [2]float64{3, 76}), "mock-up-bend-loose"); f == nil || f["severity"] != "note" || !strings.Contains(f["text"].(string), "after straight 3") {
		t.Errorf("%v", f)
	}
}

// A point in the middle of a bend without a CLR has nothing to be compared with.
func TestCrownWithoutACLRIsRefused(t *testing.T) {
	file := strings.Replace(around(t), `"clr": ["2 1/2 in", "2 1/2 in", "2 1/2 in"]`, `"clr": ["2 1/2 in", "2 1/2 in"], "crowns": [null, [1, 2, 3], [4, 5, 6]]`, 1)
	if err := planFault(file); err == nil || !strings.Contains(err.Error(), "crowns[2]") || !strings.Contains(err.Error(), "clr") {
		t.Errorf("%v", err)
	}
	if err := planFault(strings.Replace(file, "[4, 5, 6]", "null", 1)); err != nil && strings.Contains(err.Error(), "crowns") {
		t.Errorf("%v", err)
	}
}

func all(t *testing.T, p map[string]any, rule string) (found []any) {
	t.Helper()
	for _, f := range at(t, p, "findings").([]any) {
		if at(t, f, "rule") == rule {
			found = append(found, f)
		}
	}
	return found
}
