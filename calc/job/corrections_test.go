package job_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"tubewright/calc/job"
)

// walker follows straights and bends with arithmetic of its own: turning about an axis
// by Rodrigues' formula, three numbers at a time.
type walker struct{ o, t, n [3]float64 }

func sum(a [3]float64, f float64, b [3]float64) [3]float64 {
	return [3]float64{a[0] + f*b[0], a[1] + f*b[1], a[2] + f*b[2]}
}
func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func cross(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func about(axis, v [3]float64, a float64) [3]float64 {
	return sum(sum(sum([3]float64{}, math.Cos(a), v), math.Sin(a), cross(axis, v)), dot(axis, v)*(1-math.Cos(a)), axis)
}

func (w *walker) straight(l float64) { w.o = sum(w.o, l, w.t) }

func (w *walker) bend(turn, clr, rotation float64) {
	const rad = math.Pi / 180
	w.n = about(w.t, w.n, rotation*rad)
	centre, normal := sum(w.o, clr, w.n), cross(w.t, w.n)
	w.o = sum(centre, 1, about(normal, sum(w.o, -1, centre), turn*rad))
	w.t, w.n = about(normal, w.t, turn*rad), about(normal, w.n, turn*rad)
}

// part is a piece of a chain in the words of the plan.
type part struct {
	id                           string
	length, angle, clr, rotation float64
}

// changed does what a correction says, by its new figures.
func changed(t *testing.T, parts []part, changes any) []part {
	t.Helper()
	parts = append([]part{}, parts...)
	at0 := func(c any, key string) float64 { v, _ := c.(map[string]any)[key].(float64); return v }
	find := func(id string) int {
		for i, p := range parts {
			if p.id == id {
				return i
			}
		}
		t.Fatalf("no piece %q", id)
		return 0
	}
	for _, c := range changes.([]any) {
		switch kind := at(t, c, "kind"); kind {
		case "turn":
			parts[find(at(t, c, "bend").(string))].rotation = at0(c, "clock")
		case "straight", "trim", "straight anew":
			i := find(at(t, c, "piece").(string))
			if was := parts[i].length; math.Abs(was-at0(c, "trim")-at0(c, "length")) > 1e-5 {
				t.Errorf("%v of %v: %v less %v is not %v", kind, parts[i].id, was, at0(c, "trim"), at0(c, "length"))
			}
			parts[i].length = at0(c, "length")
		case "bend", "recut", "bend anew":
			parts[find(at(t, c, "piece").(string))].angle = at0(c, "bent")
		case "new straight", "new bend":
			n := part{id: "new", length: at0(c, "length"), angle: at0(c, "bent"), clr: at0(c, "clr"), rotation: at0(c, "clock")}
			i := len(parts)
			if behind := at(t, c, "between", 1).(string); behind != "" {
				i = find(behind)
			}
			parts = append(parts[:i:i], append([]part{n}, parts[i:]...)...)
			if next, has := c.(map[string]any)["next"]; has {
				parts[find(at(t, next, "bend").(string))].rotation = at(t, next, "clock").(float64)
			}
		default:
			t.Fatalf("kind %v", kind)
		}
	}
	return parts
}

func (w walker) follow(parts []part) walker {
	for _, p := range parts {
		if p.clr == 0 {
			w.straight(p.length)
		} else {
			w.bend(p.angle, p.clr, p.rotation)
		}
	}
	return w
}

// Every answer ends where it says, walked with other arithmetic: on the axis of its
// socket, or off it along the flow by no more than the socket has of slip.
func TestCorrectionsEndWhereTheySay(t *testing.T) {
	p := whole(t, string(readFile(t, benchJob)))
	chains := map[string][]part{}
	starts := map[string]walker{"t2": {o: [3]float64{124, 27.5, 0}, t: [3]float64{0, 0, 1}, n: [3]float64{0, 1, 0}}}
	for _, tube := range at(t, p, "tubes").([]any) {
		id := at(t, tube, "id").(string)
		for _, pc := range at(t, tube, "pieces").([]any) {
			m := pc.(map[string]any)
			n := part{id: m["id"].(string), length: m["length"].(float64)}
			if m["kind"] == "bend" {
				n.angle, n.clr, n.rotation = m["angle"].(float64), m["clr"].(float64), m["rotation"].(float64)
			}
			if c, _ := m["as_cut"].(map[string]any); c != nil {
				n.length = c["length"].(float64)
				if a, ok := c["angle"].(float64); ok {
					n.angle = a
				}
			}
			if r, ok := m["as_clocked"].(float64); ok {
				n.rotation = r
			}
			chains[id] = append(chains[id], n)
		}
	}
	// Of tube 3 the free end behind its fourth piece was measured: the plane of its last
	// bend is carried along, square to the measured aim.
	w := walker{o: [3]float64{210, 27.5, 0}, t: [3]float64{0, 0, 1}, n: [3]float64{0, 1, 0}}.follow(chains["t3"][:4])
	aim := [3]float64{-0.6768, -0.7329, 0.0689}
	aim = sum([3]float64{}, 1/math.Sqrt(dot(aim, aim)), aim)
	n := sum(w.n, -dot(w.n, aim), aim)
	starts["t3"] = walker{o: [3]float64{263.1, -119.8, 120.2}, t: aim, n: sum([3]float64{}, 1/math.Sqrt(dot(n, n)), n)}
	chains["t3"] = chains["t3"][4:]

	corrections := at(t, p, "corrections").([]any)
	if len(corrections) != 2 {
		t.Fatalf("%d corrections, want those of tubes 2 and 3", len(corrections))
	}
	for _, c := range corrections {
		id := at(t, c, "tube").(string)
		socket := at(t, p, "collectors", 0, "sockets", map[string]int{"t2": 0, "t3": 2}[id])
		if at(t, socket, "tube") != id {
			t.Fatalf("socket %v is not that of %s", socket, id)
		}
		for _, a := range append(at(t, c, "others").([]any), c) {
			if at(t, a, "closes") != true {
				t.Errorf("%s: an answer that does not close is among the others", id)
			}
			end := starts[id].follow(changed(t, chains[id], at(t, a, "changes")))
			mouth, dir := vec(t, at(t, socket, "at")), vec(t, at(t, socket, "dir"))
			from := sum(end.o, -1, mouth)
			off := sum(from, -dot(from, dir), dir) // square to the axis
			angle := math.Acos(min(1, dot(end.t, dir))) * 180 / math.Pi
			miss, said := math.Sqrt(dot(off, off)), at(t, a, "miss").(float64)
			if miss > said+1e-3 || said > 1.5 || math.Abs(angle-at(t, a, "aim").(float64)) > 1e-3 || angle > 0.5 {
				t.Errorf("%s: ends %.3f mm off the axis and %.3f° from it, said are %v and %v", id, miss, angle, said, at(t, a, "aim"))
			}
			if in := dot(from, dir); in < 0.5*31.75-said || in > 31.75+said { // half of the socket stays filled
				t.Errorf("%s: ends %.2f mm behind the mouth of a socket 31.75 mm deep", id, in)
			}
			if l := at(t, a, "length").(float64); math.Abs(l-660.4) > 6.35 {
				t.Errorf("%s: %v mm long, wanted 660.4 ± 6.35", id, l)
			}
		}
	}
}

func vec(t *testing.T, v any) [3]float64 {
	return [3]float64{at(t, v, 0).(float64), at(t, v, 1).(float64), at(t, v, 2).(float64)}
}

// An answer that leads the tube into something is turned down, and says into what.
func TestCorrectionsKeepTheirGaps(t *testing.T) {
	bench := string(readFile(t, benchJob))
	first := at(t, whole(t, bench), "corrections", 0)
	if fs := at(t, first, "rejected").([]any); len(fs) == 0 || !strings.Contains(at(t, fs[0], "why").(string), "Tube 2 and Tube 1 run into each other") {
		t.Errorf("rejected %v", fs)
	}
	// A wall right in the way: nothing closes that does not meet it.
	walled := strings.Replace(bench, `{"id": "n2",`, `{"id": "n3", "name": "invented wall", "what": "frame or bolt head", "shape": {"sphere": {"at": [262, -380, 140], "radius": 60}}}, {"id": "n2",`, 1)
	p := whole(t, walled)
	c := at(t, p, "corrections", 0)
	if at(t, c, "closes") == true || !strings.Contains(at(t, c, "why").(string), "touches") || !hasFinding(t, p, "warn", "no-correction") {
		t.Errorf("closes %v, why %v", at(t, c, "closes"), at(t, c, "why"))
	}
	for _, r := range at(t, c, "rejected").([]any) {
		if why := at(t, r, "why").(string); !strings.Contains(why, "invented wall") && !strings.Contains(why, "Tube") {
			t.Errorf("turned down: %s", why)
		}
	}
}

// What is tacked of the other tubes is where it was made: with tube 1 bent so that it lies
// elsewhere, nothing of tube 2 runs into it any more. What of it is only cut will still be
// corrected, and so is in the way where it was planned.
func TestCorrectionsLookAtTubesAsMade(t *testing.T) {
	for _, stage := range []string{"cut", "tacked"} {
		var j map[string]any
		if err := json.Unmarshal(readFile(t, benchJob), &j); err != nil {
			t.Fatal(err)
		}
		path := at(t, j, "tubes", 0, "path").([]any)
		for _, e := range path {
			e.(map[string]any)["stage"] = stage
		}
		bend := path[1].(map[string]any)
		bend["as_cut"], bend["as_clocked"] = map[string]any{"angle": 40}, 60
		file, err := json.Marshal(j)
		if err != nil {
			t.Fatal(err)
		}
		isInTheWay := false
		for _, c := range at(t, whole(t, string(file)), "corrections").([]any) {
			if at(t, c, "tube") != "t2" {
				continue
			}
			for _, r := range at(t, c, "rejected").([]any) {
				isInTheWay = isInTheWay || strings.Contains(at(t, r, "why").(string), "Tube 1")
			}
		}
		if isInTheWay != (stage == "cut") {
			t.Errorf("tube 1 %s: in the way %v", stage, isInTheWay)
		}
	}
}

// A tube that ends where it has to and meets something on its way is led around it, and
// is told why it cannot stay.
func TestWhatClosesAndTouchesIsLedAround(t *testing.T) {
	var j map[string]any
	if err := json.Unmarshal(readFile(t, benchJob), &j); err != nil {
		t.Fatal(err)
	}
	at(t, j, "tubes", 0, "path", 0).(map[string]any)["stage"] = "cut"
	third := at(t, j, "tubes", 2).(map[string]any) // as made it is in the way of tube 1
	delete(third, "tacks")
	for _, e := range third["path"].([]any) {
		for _, made := range []string{"as_cut", "as_clocked", "stage"} {
			delete(e.(map[string]any), made)
		}
	}
	of := func(p any, tube string) any {
		for _, c := range at(t, p, "corrections").([]any) {
			if at(t, c, "tube") == tube {
				return c
			}
		}
		return nil
	}
	file := func() string {
		b, err := json.Marshal(j)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	plain := whole(t, file())
	if at(t, plain, "tubes", 0, "made", "closes") != true || of(plain, "t1") != nil {
		t.Fatalf("tube 1 is cut as planned: %v", of(plain, "t1"))
	}
	// On the third piece of tube 1, in the middle of its centreline.
	line := at(t, plain, "tubes", 0, "path", 2)
	from, to := vec(t, at(t, line, "from")), vec(t, at(t, line, "to"))
	mid := sum(sum([3]float64{}, 0.5, from), 0.5, to)
	stud := map[string]any{"id": "n3", "name": "invented stud", "what": "frame or bolt head",
		"shape": map[string]any{"sphere": map[string]any{"at": sum(mid, 16, [3]float64{1}), "radius": 4}}}
	j["neighbours"] = append(j["neighbours"].([]any), stud)
	c := of(whole(t, file()), "t1")
	if c == nil || at(t, c, "around") != true || !strings.Contains(at(t, c, "touches").(string), "invented stud") {
		t.Fatalf("got %v", c)
	}
	if at(t, c, "closes") != true || len(at(t, c, "changes").([]any)) == 0 {
		t.Errorf("no way around: %v", at(t, c, "why"))
	}
	for _, a := range append(at(t, c, "others").([]any), c) {
		for _, g := range at(t, a, "gaps").([]any) {
			if at(t, g, "gap").(float64) < at(t, g, "least").(float64) {
				t.Errorf("%v of air to %v", at(t, g, "gap"), at(t, g, "b"))
			}
		}
	}
}

// What is cut too short is cut anew where there is stock for it.
func TestShortPiecesAreCutAnew(t *testing.T) {
	p := whole(t, string(readFile(t, benchJob)))
	found := false
	for _, c := range at(t, p, "corrections", 0, "changes").([]any) {
		if at(t, c, "kind") == "straight anew" {
			found = at(t, c, "length").(float64) > 193.7 && at(t, c, "length").(float64) < 48*25.4
		}
	}
	if !found {
		t.Errorf("changes %v", at(t, p, "corrections", 0, "changes"))
	}
	bare := strings.Replace(string(readFile(t, benchJob)), `"length": "48 in", "price": 21`, `"length": "48 in", "material": "321", "price": 21`, 1)
	bare = strings.Replace(bare, `"material": "304", "length": "48 in"`, `"length": "48 in"`, 1)
	for _, c := range at(t, whole(t, bare), "corrections", 0, "changes").([]any) {
		if at(t, c, "kind") == "straight anew" {
			t.Error("a straight anew without tubing for it")
		}
	}
}

func TestNothingIsCorrectedThatIsTackedOrCloses(t *testing.T) {
	all := strings.NewReplacer(`"stage": "cut"`, `"stage": "tacked"`, `"stage": "deburred"`, `"stage": "tacked"`,
		`{"straight": "2 3/8 in", "number": 7}]}`, `{"straight": "2 3/8 in", "number": 7, "tacked": true}], "tacks": [{"element": "t2-e7", "at": [320, -440, 170]}]}`).Replace(string(readFile(t, benchJob)))
	p := whole(t, all)
	c := at(t, p, "corrections", 0)
	if at(t, c, "tube") != "t2" || at(t, c, "closes") != false || at(t, c, "why") != "all its pieces are tacked" || !hasFinding(t, p, "warn", "no-correction") {
		t.Errorf("a tube of which all is tacked: %v", c)
	}
	if got := at(t, whole(t, string(readFile(t, four))), "corrections").([]any); len(got) != 0 {
		t.Errorf("a job of which nothing is cut: %v", got)
	}
}

func BenchmarkCorrections(b *testing.B) {
	w, err := job.WorkFile(readFile(b, benchJob))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if got := job.Corrections(w.Job, nil); len(got) != 2 {
			b.Fatal(len(got))
		}
	}
}

func BenchmarkCuts(b *testing.B) {
	w, err := job.WorkFile(readFile(b, benchJob))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := job.Cuts(w.Job, nil); err != nil {
			b.Fatal(err)
		}
	}
}
