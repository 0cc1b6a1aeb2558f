package job_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/job"
)

// fixturePlan is what the program prints of a fixture.
type fixturePlan struct {
	Base, Upright *struct {
		Choice      string
		At, Normal  [3]float64
		Outline     [][2]float64
		Holes, Feet []struct {
			What, Kind, Rule string
			At               [2]float64
			Diameter         float64
		}
		Flange [][2]float64
	}
	Stations []fixtureStation
	NoRoom   []struct{ Tube, Text string } `json:"no_room"`
	Ends     []struct {
		Tube, Collector, End string
		By                   []string
	}
	Release struct {
		Header *fixtureWay
		MockUp *fixtureWay `json:"mock_up"`
	}
	Earth *struct {
		Clamp string
		Order []struct {
			Joint, Name, Clamp string
			Reached            bool
		}
		Unreached []string
	}
	Findings []job.Finding
}

type fixtureStation struct {
	ID, Name, Tube, Collector, Element, Joint, Nearest string
	Along, Post                                        float64
	AxisHeight                                         float64 `json:"axis_height"`
	Spacer, Clearance                                  *float64
	ClampedOff                                         *float64 `json:"clamped_off"`
	Suggested, Removable, Said, Checked                bool
}

type fixtureWay struct {
	Free          bool
	Name          string
	Remove, Fixed []string
	Steps         []struct{ Travel float64 }
	Tried         int
}

// fixtureOf plans the fixture of the bench in it, of which some of the text is another.
func fixtureOf(t *testing.T, changes ...string) (p fixturePlan) {
	t.Helper()
	b, err := os.ReadFile("../../testdata/job/fixture.job.json")
	if err != nil {
		t.Fatal(err)
	}
	file := string(b)
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("the job has no %s", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	whole, err := job.WorkFile([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(job.PlanFixture(whole.Job, nil))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func (p fixturePlan) rules() (rules []string) {
	for _, f := range p.Findings {
		rules = append(rules, string(f.Severity)+" "+f.Rule)
	}
	return rules
}

func TestFixtureOfTheBench(t *testing.T) {
	p := fixtureOf(t)
	if len(p.Stations) != 10 || p.Base == nil || p.Upright != nil || p.Base.Choice != "standing" || p.Base.Normal != [3]float64{0, 0, 1} || len(p.Base.Holes) != 5 || len(p.Base.Feet) != 10 || len(p.Base.Outline) != 4 {
		t.Fatalf("%+v", p)
	}
	names := map[string]bool{}
	for i, s := range p.Stations {
		if names[s.Name] {
			t.Errorf("two are called %s", s.Name)
		}
		names[s.Name] = true
		if s.Tube != "" && (s.Spacer == nil || math.Abs(*s.Spacer-(41.275-33.401)/2) > 1e-6) { // 1 5/8 in over 1.315 in
			t.Errorf("%s: spacer %v", s.Name, s.Spacer)
		}
		if p.Base.Feet[i].What != s.ID {
			t.Errorf("foot %d is of %s, the station %s", i, p.Base.Feet[i].What, s.ID)
		}
		foot := p.Base.Feet[i].At
		if o := p.Base.Outline; foot[0] < o[0][0]+40 || foot[1] < o[0][1]+40 || foot[0] > o[2][0]-40 || foot[1] > o[2][1]-40 {
			t.Errorf("foot of %s at %v, the plate is %v", s.Name, foot, o)
		}
	}
	i := slices.IndexFunc(p.Stations, func(s fixtureStation) bool {
		return s.ID == "s1"
	})
	if s := p.Stations[i]; s.Along != 318 || s.Suggested || !s.Said || !s.Checked || s.Removable || s.ClampedOff == nil || *s.ClampedOff != 0.5 || s.Name != "3C" {
		t.Errorf("%+v", s)
	}
	if w := p.Release.Header; w == nil || !w.Free || len(w.Steps) != 1 || slices.Contains(w.Remove, "s1") || w.Tried < 1000 {
		t.Errorf("%+v", w)
	}
	if w := p.Release.MockUp; w == nil || !w.Free || len(w.Remove) > len(p.Release.Header.Remove) {
		t.Errorf("the thinner mock-up: %+v", w)
	}
	if len(p.Earth.Order) != 10+4*8 { // posts; each tube has 7 pieces, and the joint at its socket
		t.Errorf("%d joints", len(p.Earth.Order))
	}
	for _, o := range p.Earth.Order {
		if !o.Reached || o.Name == "" || o.Clamp != "plate" {
			t.Errorf("%+v", o)
		}
	}
}

// What is wrong is said, with the rule by name.
func TestFixtureSaysWhatIsWrong(t *testing.T) {
	for _, tt := range []struct {
		name    string
		changes []string
		want    string
		not     bool
	}{
		{"as it is", nil, "stop", true},
		{"a bend", []string{`"along": 390`, `"along": 260`}, "stop station-on-bend", false},
		{"torch", []string{`"along": 390`, `"along": 351`}, "warn station-in-torch-room", false},
		{"as much off as its sheet rounds", []string{`"along": 390`, `"along": 369.75`}, "warn station-in-torch-room", true},
		{"a little more", []string{`"along": 390`, `"along": 369.7`}, "warn station-in-torch-room", false},
		{"off the tube", []string{`"along": 390`, `"along": 1390`}, "stop station-off-tube", false},
		{"a post through a tube", []string{`{"id": "s2", "on": "t4", "along": 390, "arm": 0}`, `{"id": "s2", "on": "t2", "along": 74, "arm": 9, "arm_angle": 90}`}, "stop post-too-near", false},
		{"a large mock-up", []string{`"mock_up_od": "1.315 in"`, `"mock_up_od": "1.660 in"`}, "stop mock-up-too-large", false},
		{"clamped elsewhere", []string{`"clamped_at": 318.5`, `"clamped_at": 321`}, "warn clamped-off", false},
		{"clamped nearly there", nil, "warn clamped-off", true},
		{"earth on the collector", []string{`"earth": "plate"`, `"earth": "c1"`}, "warn no-earth", false},
		{"and a mock-up that conducts", []string{`"earth": "plate"`, `"earth": "c1"`, `"mock_up_conducts": false`, `"mock_up_conducts": true`}, "warn no-earth", true},
		{"no room", nil, "note no-room", false},
		{"none on the last straight, none at the collector", []string{`{"id": "s3", "on": "c1", "along": 52}`, `{"id": "s3", "on": "c1", "along": 52, "leave_out": true}`}, "warn collector-not-held", false},
		{"so the ends hang", []string{`{"id": "s3", "on": "c1", "along": 52}`, `{"id": "s3", "on": "c1", "along": 52, "leave_out": true}`}, "warn end-not-held", false},
		{"one that stays and must not", []string{`{"id": "s2", "on": "t4", "along": 390, "arm": 0}`, `{"id": "s2", "on": "t2", "along": 44, "removable": false}, {"id": "s4", "on": "t3", "along": 318, "opening": 180, "removable": false}, {"id": "s5", "on": "t3", "along": 290, "removable": false}`}, "stop will-not-come-out", false},
	} {
		got := fixtureOf(t, tt.changes...).rules()
		has := slices.ContainsFunc(got, func(r string) bool { return strings.HasPrefix(r, tt.want) })
		if has == tt.not {
			t.Errorf("%s: %v, want %q: %v", tt.name, got, tt.want, !tt.not)
		}
	}
}

// Earth is followed in the order of tacking, over the joints that the weld plan names: each
// tube from its port on, or in an own order.
func TestEarthIsFollowedInTackOrder(t *testing.T) {
	for weld, want := range map[string][]string{
		`{}`:                       {"t1/port", "t1/6-7 t1/socket t2/port t2/8-2"},
		`{"template": "tack-all"}`: {"t1/port", "t1/port t1/1-2 t1/2-3"},
		`{"template": "own", "order": "t3/port t3/1-2"}`: {"t3/port", "t3/port t3/1-2 t"},
	} {
		p := fixtureOf(t, `"stations": [`, `"weld": `+weld+`, "stations": [`)
		var ids []string
		for _, o := range p.Earth.Order[10:] { // behind the posts
			ids = append(ids, o.Joint)
		}
		if text := strings.Join(ids, " "); ids[0] != want[0] || !strings.Contains(text, want[1]) {
			t.Errorf("%s: %s, want %q", weld, text, want)
		}
		slices.Sort(ids)
		if len(slices.Compact(ids)) != 4*8 {
			t.Errorf("%s: %d joints", weld, len(ids))
		}
	}
}

// A header that lies has an upright, with the holes in it, and a plate below all tubes.
func TestFixtureThatLies(t *testing.T) {
	p := fixtureOf(t, `"base": "standing"`, `"base": "lying"`, `"flange_held": "bolts"`, `"flange_held": "studs", "stud_length": 30`, `"thickness": "3/8 in"`, `"thickness": "3/8 in", "bolt_size": "5/16"`)
	if p.Upright == nil || len(p.Upright.Holes) != 5 || len(p.Base.Holes) != 0 || p.Upright.Holes[0].Kind != "tapped" || math.Abs(p.Upright.Holes[0].Diameter-6.528) > 1e-9 || p.Base.Normal != [3]float64{0, 1, 0} {
		t.Fatalf("%+v", p.Upright)
	}
	for _, s := range p.Stations {
		if s.AxisHeight < 60 {
			t.Errorf("%s lies %v over the plate", s.Name, s.AxisHeight)
		}
	}
	down := fixtureOf(t, `"base": "standing"`, `"base": "lying", "base_turn": 90, "base_below": 400`)
	if n := down.Base.Normal; math.Abs(n[0]+1) > 1e-9 || math.Abs(down.Base.At[0]-400) > 1e-6 {
		t.Errorf("turned: %+v", down.Base)
	}
}

// A fixture of nothing says so.
func TestFixtureOfNoTubes(t *testing.T) {
	p := job.PlanFixture(job.Job{}, nil)
	if p.Base != nil || len(p.Findings) != 1 || p.Findings[0].Rule != "fixture-open" {
		t.Errorf("%+v", p)
	}
}
