package job_test

import (
	"math"
	"strings"
	"testing"
)

// both gives the taped joint coordinates too.
func both(t *testing.T, coordinates string) string {
	t.Helper()
	file := strings.Replace(around(t), `"what": "steering joint", "frame": "A",`, `"what": "steering joint", "frame": "A", "at": `+coordinates+`,`, 1)
	if file == around(t) {
		t.Fatal("the file has no joint")
	}
	return file
}

func finding(t *testing.T, p map[string]any, rule string) map[string]any {
	t.Helper()
	for _, f := range at(t, p, "findings").([]any) {
		if at(t, f, "rule") == rule {
			return f.(map[string]any)
		}
	}
	return nil
}

// A point that has coordinates and tapes is put where the tapes say; how far off the
// coordinates are is said, and is a warning where that is more than both allow.
func TestCoordinatesBesideTapesAreCompared(t *testing.T) {
	taped := at(t, plan(t, around(t)), "points", 1)
	if e := at(t, taped, "entered"); e != nil {
		t.Errorf("nothing but tapes: %v", e)
	}
	for _, tt := range []struct {
		at       string
		severity string
		off      float64 // mm from the true place, of which the tapes know to 2 mm or so
	}{
		{"[188, -285, 269.5]", "note", 0},
		{"[188, -285, 299.5]", "warn", 30},
	} {
		p := plan(t, both(t, tt.at))
		q := at(t, p, "points", 1)
		for k := range 3 {
			if at(t, q, "at", k) != at(t, taped, "at", k) {
				t.Errorf("%s: the place is %v, by tapes alone %v", tt.at, at(t, q, "at"), at(t, taped, "at"))
			}
		}
		e := at(t, q, "entered")
		sum := 0.0
		for k := range 3 {
			d := at(t, e, "at", k).(float64) - at(t, q, "at", k).(float64)
			sum += d * d
		}
		off := at(t, e, "off").(float64)
		if math.Abs(off-math.Sqrt(sum)) > 1e-5 || math.Abs(off-tt.off) > 6 {
			t.Errorf("%s: off by %v, by Pythagoras %v", tt.at, off, math.Sqrt(sum))
		}
		if is := off > at(t, e, "most").(float64); is != (tt.severity == "warn") || at(t, e, "used") != false || !(at(t, e, "sigma").(float64) >= 1) {
			t.Errorf("%s: %v", tt.at, e)
		}
		f := finding(t, p, "point-twice")
		if f == nil || f["severity"] != tt.severity || f["value"] != e.(map[string]any)["off"] || !strings.Contains(f["text"].(string), "from the tapes is used") || !strings.Contains(f["help"].(string), "remove") {
			t.Errorf("%s: %v", tt.at, f)
		}
	}
}

// Where the tapes give no place the coordinates hold, and both are said.
func TestCoordinatesHoldWhereTapesGiveNoPlace(t *testing.T) {
	file := both(t, "[188, -285, 269.5]")
	i, j := strings.Index(file, `{"from": "A/b2"`), strings.Index(file, `{"from": "A/b5"`)
	two := file[:strings.LastIndex(file[:i], ",")] + file[j+strings.Index(file[j:], "}")+1:] // two tapes are left
	p := plan(t, two)
	q := at(t, p, "points", 1)
	if z, _ := at(t, q, "at", 2).(float64); z != 269.5 || at(t, q, "why") != "" || at(t, q, "entered", "used") != true || at(t, q, "entered", "why") == "" || at(t, q, "entered", "off") != nil {
		t.Errorf("%v", q)
	}
	f := finding(t, p, "point-twice")
	if f == nil || f["severity"] != "note" || !strings.Contains(f["text"].(string), "coordinates are used") {
		t.Errorf("%v", f)
	}
	if hasFinding(t, p, "warn", "point-open") || hasFinding(t, p, "warn", "neighbour-open") {
		t.Errorf("%v", at(t, p, "findings"))
	}
}

// Two points taped from each other hang on the coordinates of one of them.
func TestPointsTapedFromEachOtherHangOnCoordinates(t *testing.T) {
	file := strings.Replace(both(t, "[188, -285, 269.5]"), `"at": [70, -60, 250]`,
		`"side": "+z", "tape": [{"from": "q1", "distance": 254.81}, {"from": "A/b1", "distance": 266.46}, {"from": "A/b2", "distance": 275.4}, {"from": "A/b5", "distance": 368.51}]`, 1)
	p := plan(t, file)
	for i, want := range []float64{250, 269.5} {
		if z, isPlace := at(t, p, "points", i, "at").([]any); !isPlace || math.Abs(z[2].(float64)-want) > 15 { // four tapes from one plane, known to 12 mm across it
			t.Errorf("%v", at(t, p, "points", i))
		}
	}
}
