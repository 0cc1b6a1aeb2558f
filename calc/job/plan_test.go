package job_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/job"
)

// plan reads a job file given as text and returns its plan as plain JSON, as a
// script would see it.
func plan(t *testing.T, file string) map[string]any {
	t.Helper()
	p, err := job.PlanFile([]byte(file))
	if err != nil {
		t.Fatalf("plan: %v", err)
	}
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// at follows keys and indices into JSON.
func at(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, p := range path {
		switch p := p.(type) {
		case string:
			m, ok := v.(map[string]any)
			if !ok {
				t.Fatalf("%v: no object at %q", path, p)
			}
			v = m[p]
		case int:
			l, ok := v.([]any)
			if !ok || p >= len(l) {
				t.Fatalf("%v: no item %d", path, p)
			}
			v = l[p]
		}
	}
	return v
}

const oneTube = `{"tubewright":1,
 "target":{"length":"32 in","from":"flange","tolerance":"1/4 in"},
 "banks":[{"id":"A","thickness":"5/16 in","datum":"b1","along":"b2",
   "bolts":[{"id":"b1","x":0,"y":0,"hole":10.5},{"id":"b2","x":310,"y":0,"hole":10.5}],
   "ports":[{"id":"p1","cylinder":1,"x":40,"y":28,"outline":{"shape":"stadium","width":50,"height":30}}]}],
 "tubes":[{"id":"t1","port":"p1","od":"1 3/4 in","wall":"0.065 in","material":"304",
   "path":[{"straight":"1.5 in"},{"bend":72,"clr":"3 in","rotation":180},{"straight":"3.4 in"}]}]}`

// One bend downwards: every figure has a closed form.
func TestPlanOfOneBend(t *testing.T) {
	p := plan(t, oneTube)
	const r, s1, s2 = 76.2, 38.1, 86.36
	a := 72 * math.Pi / 180
	length := s1 + r*a + s2
	want := []struct {
		name string
		got  any
		want float64
		tol  float64
		from string
	}{
		{"length", at(t, p, "tubes", 0, "length"), length, 1e-6, "closed form, s + R·θ + s"},
		{"deviation", at(t, p, "tubes", 0, "deviation"), length - 812.8, 1e-6, "closed form; 32 in = 812.8 mm exactly"},
		{"last", at(t, p, "tubes", 0, "last"), s2, 1e-6, "3.4 in"},
		{"row length", at(t, p, "tubes", 0, "lra", 0, "length"), s1, 1e-6, "1.5 in"},
		{"row rotation", at(t, p, "tubes", 0, "lra", 0, "rotation"), 180, 1e-6, "as entered"},
		{"row angle", at(t, p, "tubes", 0, "lra", 0, "angle"), 72, 1e-6, "as entered"},
		{"end x", at(t, p, "tubes", 0, "end", "at", 0), 40, 1e-6, "closed form: the bend stays in the plane x = 40"},
		{"end y", at(t, p, "tubes", 0, "end", "at", 1), 28 - r*(1-math.Cos(a)) - s2*math.Sin(a), 1e-6, "closed form"},
		{"end z", at(t, p, "tubes", 0, "end", "at", 2), s1 + r*math.Sin(a) + s2*math.Cos(a), 1e-6, "closed form"},
		{"aim y", at(t, p, "tubes", 0, "end", "dir", 1), -math.Sin(a), 1e-8, "closed form"},
		{"aim z", at(t, p, "tubes", 0, "end", "dir", 2), math.Cos(a), 1e-8, "closed form"},
		{"corner z", at(t, p, "tubes", 0, "xyz", 1, 2), s1 + r*math.Tan(a/2), 1e-6, "setback R·tan(θ/2)"},
		{"bend centreline", at(t, p, "tubes", 0, "pieces", 1, "length"), r * a, 1e-6, "R·θ"},
		{"bend outside", at(t, p, "tubes", 0, "pieces", 1, "outside"), (r + 44.45/2) * a, 1e-6, "(R + OD/2)·θ"},
		{"bend inside", at(t, p, "tubes", 0, "pieces", 1, "inside"), (r - 44.45/2) * a, 1e-6, "(R − OD/2)·θ"},
		{"bore", at(t, p, "tubes", 0, "bore"), 44.45 - 2*1.651, 1e-6, "OD − 2·wall"},
		// Stadium 50 × 30: 20·30 + π·15² and 2·20 + 2π·15.
		{"port area", at(t, p, "flanges", 0, "ports", 0, "area"), 600 + 225*math.Pi, 1e-6, "closed form"},
		{"port perimeter", at(t, p, "flanges", 0, "ports", 0, "perimeter"), 40 + 30*math.Pi, 1e-6, "closed form"},
	}
	for _, w := range want {
		got, ok := w.got.(float64)
		if !ok || !(math.Abs(got-w.want) <= w.tol) {
			t.Errorf("%s: got %v, want %v (%s)", w.name, w.got, w.want, w.from)
		}
	}
}

// The jobs of this project keep their figures; a change shows as a diff. What rules for
// size say stands in that of the four, which is what the program prints, and of the vee.
func TestPlansKeepTheirFigures(t *testing.T) {
	for _, name := range []string{"four", "around", "flange", "bench"} {
		t.Run(name, func(t *testing.T) { keepsItsFigures(t, name) })
	}
}

func keepsItsFigures(t *testing.T, name string) {
	golden := "../../testdata/golden/" + name + ".plan.json"
	file, err := os.ReadFile("../../testdata/job/" + name + ".job.json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := job.WholeFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var whole any = p
	if name != "four" {
		whole = struct {
			job.WholeFilePlan
			Sizing *bool `json:"sizing,omitempty"`
		}{WholeFilePlan: p}
	}
	got, err := json.MarshalIndent(whole, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	got = append(got, '\n')
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("the plan of testdata/job/%s.job.json is not %s; look at the difference, then -update", name, golden)
	}
}

// Moving the ports moves the ends and changes no length.
func TestMovingAJobChangesNoLength(t *testing.T) {
	a := plan(t, oneTube)
	b := plan(t, strings.NewReplacer(`"x":40,"y":28`, `"x":-113.5,"y":"3 1/2 in"`).Replace(oneTube))
	if at(t, a, "tubes", 0, "length") != at(t, b, "tubes", 0, "length") {
		t.Errorf("lengths differ: %v, %v", at(t, a, "tubes", 0, "length"), at(t, b, "tubes", 0, "length"))
	}
	for i, shift := range []float64{-113.5 - 40, 88.9 - 28, 0} {
		moved := at(t, b, "tubes", 0, "end", "at", i).(float64) - at(t, a, "tubes", 0, "end", "at", i).(float64)
		if math.Abs(moved-shift) > 2e-6 {
			t.Errorf("axis %d: end moved by %v, port by %v", i, moved, shift)
		}
	}
}

// Counting from the valve adds the distance from valve to port face.
func TestLengthFromTheValve(t *testing.T) {
	file := strings.Replace(oneTube, `"from":"flange"`, `"from":"valve"`, 1)
	p := plan(t, file)
	if at(t, p, "tubes", 0, "length") != nil {
		t.Error("a length from the valve was given though valve to face is not known")
	}
	if !hasFinding(t, p, "stop", "length-start") {
		t.Error("nothing says that valve to face is missing")
	}
	p = plan(t, strings.Replace(file, `"target"`, `"engine":{"valve_to_face":95},"target"`, 1))
	want := 38.1 + 76.2*72*math.Pi/180 + 86.36 + 95
	if got, ok := at(t, p, "tubes", 0, "length").(float64); !ok || math.Abs(got-want) > 1e-6 {
		t.Errorf("got %v, want %v (closed form)", at(t, p, "tubes", 0, "length"), want)
	}
}

func hasFinding(t *testing.T, p map[string]any, severity, rule string) bool {
	t.Helper()
	for _, f := range at(t, p, "findings").([]any) {
		if at(t, f, "rule") == rule && at(t, f, "severity") == severity {
			return true
		}
	}
	return false
}

func TestPlanFindsWhatIsWrong(t *testing.T) {
	four, err := os.ReadFile("../../testdata/job/four.job.json")
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		rule, severity string
		old, new       string
	}{
		{"length-tolerance", "warn", `"5 13/16 in"`, `"6 13/16 in"`},
		{"spread", "warn", `"5 13/16 in"`, `"6 13/16 in"`},
		{"datum-origin", "stop", `"b1", "x": 0`, `"b1", "x": 2.5`},
		{"along-axis", "stop", `"x": 334, "y": 0`, `"x": 334, "y": 1.5`},
		{"along-axis", "stop", `"x": 334, "y": 0`, `"x": 0, "y": 0`},
		{"bolt-holes-meet", "stop", `"x": 81, "y": 55`, `"x": 5, "y": 5`},
		{"cylinder-twice", "warn", `"cylinder": 2`, `"cylinder": 1`},
		{"port-twice", "stop", `"port": "p2"`, `"port": "p1"`},
		{"port-without-tube", "note", `"port": "p2"`, `"port": "p1"`},
		{"path-open", "stop", `{"bend": 75.5, "clr": "2 1/2 in", "rotation": -132.0}`, `{"bend": 75.5}`},
		{"tight-clr", "warn", `{"bend": 75.5, "clr": "2 1/2 in"`, `{"bend": 75.5, "clr": "1 1/2 in"`},
		{"small-turn", "warn", `"bend": 75.5`, `"bend": 2`},
		{"first-straight", "note", `{"straight": "2 15/16 in"}`, `{"straight": "1/2 in"}`},
		{"section-open", "stop", `"t2", "port": "p2", "od": "1 5/8 in",`, `"t2", "port": "p2",`},
		{"unknown-key", "warn", `"style": "4-1"`, `"style": "4-1", "stile": 1`},
	}
	for _, tt := range tests {
		p := plan(t, strings.Replace(string(four), tt.old, tt.new, 1))
		if !hasFinding(t, p, tt.severity, tt.rule) {
			t.Errorf("%q for %q: no %s of rule %s in %v", tt.new, tt.old, tt.severity, tt.rule, at(t, p, "findings"))
		}
	}
	p := plan(t, string(four))
	for _, tt := range tests[2:] {
		if hasFinding(t, p, tt.severity, tt.rule) {
			t.Errorf("rule %s speaks up on the job as it is", tt.rule)
		}
	}
}

// What cannot be used is named with its place, its label and its range.
func TestFileRefusals(t *testing.T) {
	tests := []struct {
		name, old, new string
		where, says    string
	}{
		{"not JSON", `"banks":`, `"banks"`, "the file", "line 3"},
		{"version", `"tubewright":1`, `"tubewright":2`, "", "it says 2"},
		{"negative wall", `"0.065 in"`, `"-0.065 in"`, "tubes[0].wall", "0.3 to 12 mm"},
		{"key twice", `{"straight":"1.5 in"}`, `{"straight":400,"straight":40}`, "tubes[0].path[0]", "twice"},
		{"cylinder that the engine has not", `"target"`, `"engine":{"cylinders":2,"firing_order":[1,3]},"target"`, "engine.firing_order", "1 to 2"},
		{"aim too short to say a direction", `"cylinder":1`, `"cylinder":1,"aim":[0.001,0,0.001]`, "banks[0].ports[0].aim[2]", "too small"},
		{"aim part out of range is one fault", `"cylinder":1`, `"cylinder":1,"aim":[0,0,2]`, "banks[0].ports[0].aim[2]", "0 to 1"},
		{"flat beyond the radius", `"shape":"stadium","width":50,"height":30`, `"shape":"d","radius":20,"flat":25,"corner":2`, "banks[0].ports[0].outline.flat", "cannot use 25 mm"},
		{"power of ten", `"x":40`, `"x":1e300`, "banks[0].ports[0].x", "1e300"},
		{"no such day of digits", `"target"`, `"job":{"due":"2027-+4-01"},"target"`, "job.due", "2027-+4-01"},
		{"broken fraction", `"1 3/4 in"`, `"1 3//4 in"`, "tubes[0].od", "10 to 200 mm"},
		{"ambiguous comma", `"1 3/4 in"`, `"1,625"`, "tubes[0].od", "1,625"},
		{"improper fraction", `"1 3/4 in"`, `"11/4 in"`, "tubes[0].od", "11/4"},
		{"length as a list", `"1 3/4 in"`, `[44]`, "tubes[0].od", "[44]"},
		{"too large a turn", `"bend":72`, `"bend":181`, "tubes[0].path[1].bend", "0.1 to 180"},
		{"turn as text", `"bend":72`, `"bend":"seventy"`, "tubes[0].path[1].bend", "seventy"},
		{"bend tighter than tube", `"clr":"3 in"`, `"clr":20`, "tubes[0].path[1].clr", "22.225 to 1000 mm"},
		{"wall thicker than tube", `"od":"1 3/4 in","wall":"0.065 in"`, `"od":20,"wall":11`, "tubes[0].wall", "0.3 to 10 mm"},
		{"no such port", `"port":"p1","od"`, `"port":"p9","od"`, "tubes[0].port", "there is no port"},
		{"unknown shape", `"shape":"stadium"`, `"shape":"trapeze"`, "banks[0].ports[0].outline.shape", "rectangle, round"},
		{"half a cylinder", `"cylinder":1`, `"cylinder":1.5`, "banks[0].ports[0].cylinder", "whole number"},
		{"id twice", `"id":"b2"`, `"id":"b1"`, "banks[0].bolts[1]", "already"},
		{"id missing", `"id":"b2",`, ``, "banks[0].bolts[1]", "missing"},
		{"straight and bend", `{"straight":"1.5 in"}`, `{"straight":1,"bend":2}`, "tubes[0].path[0]", "either"},
		{"list for object", `"target":{"length":"32 in","from":"flange","tolerance":"1/4 in"}`, `"target":[]`, "target", "braces"},
		{"datum is the second hole", `"along":"b2"`, `"along":"b1"`, "banks[0].along", "another one"},
		{"due date", `"target"`, `"job":{"due":"1.4.27"},"target"`, "job.due", "year-month-day"},
		{"no such day", `"target"`, `"job":{"due":"2027-02-29"},"target"`, "job.due", "2027-02-29"},
		{"stage", `"target"`, `"job":{"stage":"later"},"target"`, "job.stage", "enquiry"},
		{"firing order", `"target"`, `"engine":{"cylinders":4,"firing_order":[1,3,4]},"target"`, "engine.firing_order", "each cylinder"},
		{"firing order twice", `"target"`, `"engine":{"firing_order":[1,3,3,2]},"target"`, "engine.firing_order", "twice"},
		{"corner too large", `"shape":"stadium","width":50,"height":30`, `"shape":"rectangle","width":50,"height":30,"corner":16`, "banks[0].ports[0].outline.corner", ""},
		{"aim into the head", `"cylinder":1`, `"cylinder":1,"aim":[0,0,-1]`, "banks[0].ports[0].aim[2]", "0 to 1"},
		{"aim along the face", `"cylinder":1`, `"cylinder":1,"aim":[0,1,0]`, "banks[0].ports[0].aim[2]", "above zero"},
		{"aim of two", `"cylinder":1`, `"cylinder":1,"aim":[0,1]`, "banks[0].ports[0].aim", "three numbers"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			file := strings.Replace(oneTube, tt.old, tt.new, 1)
			if file == oneTube {
				t.Fatalf("%q is not in the file", tt.old)
			}
			_, err := job.PlanFile([]byte(file))
			fields := fault.All(err)
			if len(fields) != 1 {
				t.Fatalf("want one fault, got %d: %v", len(fields), err)
			}
			if fields[0].Where != tt.where || !strings.Contains(fields[0].Error(), tt.says) {
				t.Errorf("got %q at %q, want %q at %q", fields[0].Error(), fields[0].Where, tt.says, tt.where)
			}
		})
	}
}

// A frame that hangs on another flange's holes is no frame.
func TestBankNamesItsOwnBoltsOnly(t *testing.T) {
	file := strings.Replace(oneTube, `"banks":[`, `"banks":[{"id":"B","thickness":8,"datum":"b1","along":"b3","bolts":[{"id":"b3","x":100,"y":0,"hole":9}]},`, 1)
	_, err := job.PlanFile([]byte(file))
	if fields := fault.All(err); len(fields) != 1 || fields[0].Where != "banks[0].datum" || !strings.Contains(fields[0].Error(), "bank B") {
		t.Errorf("got %v", err)
	}
}

// A length exactly at its tolerance is within it.
func TestLimitItselfIsWithin(t *testing.T) {
	for _, straight := range []string{"406.35", "393.65"} {
		p := plan(t, `{"tubewright":1,"target":{"length":400,"from":"flange","tolerance":"1/4 in"},"tubes":[{"id":"t1","path":[{"straight":`+straight+`}]}]}`)
		if hasFinding(t, p, "warn", "length-tolerance") {
			t.Errorf("%s mm is called beyond 400 ± 6.35", straight)
		}
	}
	p := plan(t, `{"tubewright":1,"target":{"length":400,"from":"flange","tolerance":"1/4 in"},"tubes":[{"id":"t1","path":[{"straight":406.351}]}]}`)
	if !hasFinding(t, p, "warn", "length-tolerance") {
		t.Error("406.351 mm is called within 400 ± 6.35")
	}
}

// A bend tighter than its tube is refused before the wall is known.
func TestBendTighterThanItsTubeNeedsNoWall(t *testing.T) {
	_, err := job.PlanFile([]byte(strings.NewReplacer(`"wall":"0.065 in",`, ``, `"clr":"3 in"`, `"clr":20`).Replace(oneTube)))
	if fields := fault.All(err); len(fields) != 1 || fields[0].Where != "tubes[0].path[1].clr" {
		t.Errorf("got %v", err)
	}
}

// A dimension that the shape does not have is reported, not dropped in silence.
func TestDimensionOfAnotherShapeIsReported(t *testing.T) {
	p := plan(t, strings.Replace(oneTube, `"shape":"stadium","width":50,"height":30`, `"shape":"round","diameter":40,"width":9999`, 1))
	if !hasFinding(t, p, "warn", "unknown-key") {
		t.Error("nothing is said of the width of a round port")
	}
}

func TestEveryFaultIsReportedAtOnce(t *testing.T) {
	file := strings.NewReplacer(`"bend":72`, `"bend":0`, `"1 3/4 in"`, `"much"`, `"width":50`, `"width":500`).Replace(oneTube)
	if _, err := job.PlanFile([]byte(file)); len(fault.All(err)) != 3 {
		t.Errorf("want all that can be seen at once, got %v", err)
	}
}
