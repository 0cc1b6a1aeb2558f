package job_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

const flangeJob = "../../testdata/job/flange.job.json"

func flangeFile(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile(flangeJob)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A D that is turned encloses what it did, and 16 points on a stadium of 40 × 33 mm
// with 0.05 mm of scatter come near its closed forms, π·33²/4 + 33·7 and π·33 + 2·7.
func TestOutlinesOfPortsAreReadFromTheFile(t *testing.T) {
	p := plan(t, flangeFile(t))
	figure := func(port int, name string) float64 { return at(t, p, "flanges", 0, "ports", port, name).(float64) }
	if a, b := figure(0, "area"), figure(3, "area"); math.Abs(a-b) > 1e-6 {
		t.Errorf("a D of %v mm² has %v turned round", a, b)
	}
	if a, want := figure(2, "area"), math.Pi*33*33/4+33*7; math.Abs(a-want) > 0.0075*want {
		t.Errorf("16 points enclose %v mm², the stadium %v", a, want)
	}
	if l, want := figure(2, "perimeter"), math.Pi*33+14; math.Abs(l-want) > 0.009*want {
		t.Errorf("16 points are %v mm round, the stadium %v", l, want)
	}
}

func TestFlangeOfAFileIsRead(t *testing.T) {
	f, err := job.ReadFile([]byte(flangeFile(t)))
	if err != nil {
		t.Fatal(err)
	}
	for kind, want := range map[string]int{"rim": 16, "pattern": 2, "hole": 14, "opening": 8, "spot": 0, "print": 2} {
		if got := len(f.Lists[kind]); got != want {
			t.Errorf("%d of %s, want %d", got, kind, want)
		}
	}
	for slot, want := range map[string]string{
		"bank/A/bolt_size": "M8", "bank/A/fixed": "b6", "port/p4/turn": "180", "rim/p3-r1/x": "5.72",
		"pattern/g1/side": "tubes", "opening/s1o1/path": "21.3 0 1;-21.3 0 1", "print/r2/across": "97.1", "tube/t1/transition": "45",
	} {
		if got := f.Values[slot].Text; got != want {
			t.Errorf("%s is %q, want %q", slot, got, want)
		}
	}
	if got := f.Notes["pattern/g1/name"]; got != "gasket as bought" {
		t.Errorf("the gasket is called %q", got)
	}
	if len(f.Unknown) > 0 {
		t.Errorf("not known: %v", f.Unknown)
	}
}

// What is not known here is kept and named, also where it is known elsewhere.
func TestUnknownKeysOfAFlangeAreKept(t *testing.T) {
	file := strings.NewReplacer(`"revision": "A"`, `"revision": "A", "colour": "red"`, `"shape": "stadium", "width": 40`, `"shape": "stadium", "turn": 3, "radius": 4, "path": [], "width": 40`,
		`"shape": "oval", "width": 42`, `"shape": "round", "diameter": 42, "turn": 5, "width": 42`, `"side": "head"`, `"side": "head", "bore": 3`, `"of": "A", "across": 97.1`, `"of": "A", "scale": 1, "across": 97.1`).Replace(flangeFile(t))
	f, err := job.ReadFile([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	var where []string
	for _, u := range f.Unknown {
		where = append(where, u.Where)
	}
	for _, want := range []string{"banks[0].colour", "banks[0].ports[1].outline.path", "banks[0].ports[1].outline.radius", "banks[0].patterns[0].openings[0].outline.turn",
		"banks[0].patterns[0].openings[0].outline.width", "banks[0].patterns[1].bore", "prints[1].scale"} {
		if !slices.Contains(where, want) {
			t.Errorf("%s is not among %v", want, where)
		}
	}
}

// A refusal names the place in the file, the field, and what is allowed.
func TestFlangeThatCannotBeUsedSaysWhy(t *testing.T) {
	for _, tt := range []struct {
		name, old, new string
		want           []string
	}{
		{"size", `"M8"`, `"M9"`, []string{"banks[0].bolt_size", "Bolt size", "M6, M8"}},
		{"a bolt of no bank", `"fixed": "b6"`, `"fixed": "b9"`, []string{"banks[0].fixed", "Hole that stays round", "no bolt"}},
		{"edge", `"edge": 9`, `"edge": 0.5`, []string{"banks[0].edge", "Metal round bolt holes", "1 to 60"}},
		{"hot", `"hot": 500`, `"hot": 1400`, []string{"banks[0].hot", "50 to 1000"}},
		{"turn", `"turn": 180`, `"turn": 400`, []string{"banks[0].ports[3].outline.turn", "Port turned by"}},
		{"a point with one value", `"points": [[5.72, -16.44]`, `"points": [[5.72]`, []string{"banks[0].ports[2].outline.points[0]", "two values"}},
		{"a point far off", `"points": [[5.72, -16.44]`, `"points": [[1002, -15.15]`, []string{"outline.points[0][0]", "Outline point x", "-300 to 300"}},
		{"two points in one place", `"points": [[5.72, -16.44]`, `"points": [[5.72, -16.44], [5.72, -16.44]`, []string{"banks[0].ports[2]", "Port shape", "coincide"}},
		{"side", `"side": "head"`, `"side": "back"`, []string{"patterns[1].side", "tubes, head"}},
		{"hole", `"diameter": 8.8}`, `"diameter": 88}`, []string{"patterns[1].holes[0].diameter", "3 to 40"}},
		{"a corner with one value", `[[21.3, 0, 1], [-21.3, 0, 1]]`, `[[21.3], [-21.3, 0, 1]]`, []string{"patterns[1].openings[0].outline.path", "Drawn outline", "corner 1"}},
		{"an outline that crosses itself", `[[21.3, 0, 1], [-21.3, 0, 1]]`, `[[0, 0], [9, 9], [9, 0], [0, 9]]`, []string{"patterns[1].openings[0].outline.path", "Drawn outline", "outline"}},
		{"ruler", `"across": 97.1`, `"across": 9.71`, []string{"prints[1].across", "Ruler across", "20 to 500"}},
		{"transition", `"transition": 45`, `"transition": 450`, []string{"tubes[0].transition", "3 to 300"}},
	} {
		file := flangeFile(t)
		if !strings.Contains(file, tt.old) {
			t.Fatalf("%s: the file has no %s", tt.name, tt.old)
		}
		_, err := job.PlanFile([]byte(strings.Replace(file, tt.old, tt.new, 1)))
		if err == nil || len(fault.All(err)) != 1 {
			t.Errorf("%s: %v, want one fault", tt.name, err)
			continue
		}
		for _, want := range tt.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want %q in it", tt.name, err, want)
			}
		}
	}
}

// With seven points of eight the port has no outline yet, and the eighth is asked for.
func TestMorePointsOfAnOutlineAreAskedFor(t *testing.T) {
	var j map[string]any
	if err := json.Unmarshal([]byte(flangeFile(t)), &j); err != nil {
		t.Fatal(err)
	}
	outline := at(t, j, "banks", 0, "ports", 2, "outline").(map[string]any)
	outline["points"] = outline["points"].([]any)[:7]
	file, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	p := plan(t, string(file))
	if ports := at(t, p, "flanges", 0, "ports").([]any); len(ports) != 3 {
		t.Errorf("%d ports have an outline, want 3", len(ports))
	}
	todo := at(t, p, "todo").([]any)
	if len(todo) != 1 || at(t, todo, 0, "slot") != "rim/p3" || !strings.Contains(at(t, todo, 0, "where").(string), "7 of at least 8") {
		t.Errorf("asked for is %v", todo)
	}
}

// While a seventeenth point has its x only, the outline is that of the other sixteen.
func TestHalfAPointLeavesTheOutline(t *testing.T) {
	before := job.FromRecords(entered(t, flangeJob)).Plan.Flanges[0].Ports[2]
	word := func(n int, slot, text string) ledger.Record {
		return record(t, 1, n, job.Draft{Slot: slot, Reading: &ledger.Reading{Text: text, Unit: "word"}})
	}
	half := job.FromRecords(append(entered(t, flangeJob), word(900, "rim/p3-r17/order", "0017"), word(902, "rim/p3-r17/port", "p3"), record(t, 1, 901, length("rim/p3-r17/x", "3", 3000000, 1000000))))
	after := half.Plan.Flanges[0].Ports[2]
	if after.Points == nil || *after.Points != 16 || after.Area != before.Area {
		t.Errorf("%v points, %v mm², want 16 and %v", after.Points, after.Area, before.Area)
	}
	if !slices.ContainsFunc(half.Todo, func(d job.Todo) bool { return d.Slot == "rim/p3-r17/y" }) {
		t.Errorf("its y is not asked for: %v", half.Todo)
	}
}

// Two people who read one point of an outline differently dispute the port.
func TestDisputedOutlinePointIsMarked(t *testing.T) {
	const slot = "rim/p3-r4/x"
	v := job.FromRecords(append(entered(t, flangeJob), record(t, 2, 900, length(slot, "22", 22000000, 1000000))))
	for _, p := range v.Plan.Flanges[0].Ports {
		if marked := slices.Contains(p.Disputed, slot); marked != (p.ID == "p3") {
			t.Errorf("%s rests on %v", p.ID, p.Disputed)
		}
	}
}

// A bolt read in two places is disputed by what is laid on the bolts and by the plate,
// and by no outline; a port's place by its place alone.
func TestDisputedBoltIsMarkedWhereItIsUsed(t *testing.T) {
	bolt, port := "bolt/b3/x", "port/p2/x"
	v := job.FromRecords(append(entered(t, flangeJob), record(t, 2, 900, length(bolt, "221", 221000000, 100000)), record(t, 2, 901, length(port, "124", 124000000, 100000))))
	f := v.Plan.Flanges[0]
	for _, tt := range []struct {
		what string
		on   []string
		want []string
	}{
		{"self-match", f.SelfOn, []string{bolt, port}},
		{"gasket", f.Patterns[0].Disputed, []string{bolt, port}},
		{"design", f.Design.Disputed, []string{bolt, port}},
		{"end of tube 2", f.Ends[1].Disputed, nil},
		{"outline of port 2", f.Ports[1].Disputed, nil},
		{"place of port 2", f.Ports[1].AtOn, []string{port}},
		{"place of port 1", f.Ports[0].AtOn, nil},
	} {
		if !slices.Equal(tt.on, tt.want) {
			t.Errorf("%s rests on %v, want %v", tt.what, tt.on, tt.want)
		}
	}
}

// The flat of a D lies on the left; turned by 90° counter-clockwise it lies below:
// 14 mm under the centre.
func TestPortIsTurnedCounterClockwise(t *testing.T) {
	p := plan(t, strings.Replace(flangeFile(t), `"turn": 180`, `"turn": 90`, 1))
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range at(t, p, "flanges", 0, "ports", 3, "loop").([]any) {
		low, high = min(low, at(t, c, 1).(float64)), max(high, at(t, c, 1).(float64))
	}
	if math.Abs(low-(27-14)) > 1e-6 || high > 27 { // the corners all lie at the flat
		t.Errorf("it reaches from %v to %v", low, high)
	}
}

// A gasket whose openings would lie better turned over stays on the side that it was
// measured from, since its bolts go in; without a side it is turned over.
func TestPatternStaysOnTheSideThatWasSaid(t *testing.T) {
	file := flangeFile(t)
	for _, r := range [][2]string{{`"x": 121.31`, `"x": 123.9`}, {`"x": 205.31`, `"x": 204.8`}} {
		if !strings.Contains(file, r[0]) {
			t.Fatalf("the file has no %s", r[0])
		}
		file = strings.Replace(file, r[0], r[1], 1)
	}
	for side, want := range map[string]bool{`"side": "tubes"`: false, `"number": 1`: true} {
		p := plan(t, strings.Replace(file, `"side": "tubes"`, side, 1))
		if got := at(t, p, "flanges", 0, "patterns", 0, "mirrored"); got != want {
			t.Errorf("with %s: turned over %v, want %v", side, got, want)
		}
	}
}
