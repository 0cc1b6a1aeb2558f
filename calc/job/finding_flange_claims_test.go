package job_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
)

// A wall that leans by 10° and not more goes the same way out over the length times the
// ratio of the tangents (closed form); it is said in whole mm, rounded up.
func TestLongerTransitionIsNamed(t *testing.T) {
	f := finding(t, plan(t, strings.Replace(flangeFile(t), `"transition": 20`, `"transition": 15`, 1)), "end-wall-angle")
	lean := at(t, f, "value").(float64) * math.Pi / 180
	want := math.Ceil(15 * math.Tan(lean) / math.Tan(10*math.Pi/180))
	if help := at(t, f, "help").(string); !strings.Contains(help, fmt.Sprintf("about %.0f mm", want)) && !strings.Contains(help, fmt.Sprintf("about %.2f mm", want)) {
		t.Errorf("%q, want %v mm", help, want)
	}
}

// While the bolts' size is open they have 0.5 mm on each side: a hole that is 0.4 mm off
// lets the flange go on the other way round, one that is 3.4 mm off does not.
func TestOpenBoltsHaveUsualPlay(t *testing.T) {
	open := strings.Replace(flangeFile(t), `"bolt_size": "M8", "hole_class": "normal", `, "", 1)
	if open == flangeFile(t) {
		t.Fatal("the file names no bolts")
	}
	if p := plan(t, open); !hasFinding(t, p, "warn", "flange-way-round") {
		t.Errorf("%v", at(t, p, "findings"))
	}
	if p := plan(t, strings.Replace(open, `"x": 220.4`, `"x": 223.4`, 1)); hasFinding(t, p, "warn", "flange-way-round") {
		t.Errorf("%v", at(t, p, "findings"))
	}
}

// Points that lie 3 mm to the right and 1 mm up of the port's centre, and are turned by
// 90° with it, have their shape 1 mm to the left and 3 mm up.
func TestShapeOfTurnedPointsLiesWhereTheyDo(t *testing.T) {
	var j map[string]any
	if err := json.Unmarshal([]byte(flangeFile(t)), &j); err != nil {
		t.Fatal(err)
	}
	outline := at(t, j, "banks", 0, "ports", 2, "outline").(map[string]any)
	outline["turn"] = 90
	for _, q := range outline["points"].([]any) {
		p := q.([]any)
		p[0], p[1] = p[0].(float64)+3, p[1].(float64)+1
	}
	file, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	shift := at(t, plan(t, string(file)), "flanges", 0, "ports", 2, "fit", "shift").([]any)
	if x, y := shift[0].(float64), shift[1].(float64); math.Hypot(x+1, y-3) > 0.15 {
		t.Errorf("shifted by %v, %v", x, y)
	}
}
