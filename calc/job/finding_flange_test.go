package job_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
)

// The seven bolts lie alike turned over about x = 165, and port 3 at 205.9 mm is then
// 0.9 mm from port 2 at 125 mm; its points scatter by 0.05 mm.
func TestNearlySymmetricalFlangeIsMarked(t *testing.T) {
	p := plan(t, flangeFile(t))
	f := finding(t, p, "flange-way-round")
	if off := at(t, f, "value").(float64); at(t, f, "severity") != "warn" || math.Abs(off-0.9) > 0.15 {
		t.Errorf("%v", f)
	}
	for _, want := range []string{"turned over about the vertical", "port 3", "port 2", "mm off"} {
		if text := strings.ReplaceAll(at(t, f, "text").(string), " (0.038 in)", ""); !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	// Moved back, it fits both ways and does no harm.
	back := strings.Replace(flangeFile(t), `"x": 205.9`, `"x": 205`, 1)
	if f := finding(t, plan(t, back), "flange-way-round"); at(t, f, "severity") != "note" {
		t.Errorf("%v", f)
	}
	// With b2 at 90 mm instead of 110 no other way is left.
	one := strings.Replace(flangeFile(t), `"id": "b2", "x": 110`, `"id": "b2", "x": 90`, 1)
	if p := plan(t, one); hasFinding(t, p, "warn", "flange-way-round") || hasFinding(t, p, "note", "flange-way-round") {
		t.Errorf("%v", at(t, p, "findings"))
	}
}

// The supplier's hole 5 was drawn 0.4 mm too high. With M8 in 8.8 mm the bolts have
// 0.4 mm, so half of it is left once the flange sits half-way; with the hole 1.2 mm
// too high they do not go in.
func TestSuppliersHoleIsCaught(t *testing.T) {
	p := plan(t, flangeFile(t))
	f := finding(t, p, "pattern-hole-off")
	if at(t, f, "severity") != "warn" || math.Abs(at(t, f, "value").(float64)-0.4) > 0.01 || at(t, f, "where", 1) != "s1h5" || at(t, f, "where", 2) != "b5" || !strings.Contains(at(t, f, "text").(string), "0.40 mm up") {
		t.Errorf("%v", f)
	}
	if room := at(t, p, "flanges", 0, "patterns", 1, "room").(float64); math.Abs(room-0.2) > 0.01 {
		t.Errorf("%v mm of room left, want 0.2", room)
	}
	file := strings.Replace(flangeFile(t), `"x": 110, "y": 76.4`, `"x": 110, "y": 77.2`, 1)
	if !hasFinding(t, plan(t, file), "stop", "pattern-hole-off") {
		t.Errorf("%v", at(t, plan(t, file), "findings"))
	}
}

// Written the other way round, x and all, the same flange is the same from the tubes.
func TestSideOfAPatternTurnsItOver(t *testing.T) {
	p := plan(t, flangeFile(t))
	same := at(t, p, "flanges", 0, "patterns", 1)
	if at(t, same, "mirrored") != true || at(t, same, "how") != "as it lies" {
		t.Errorf("%v %v", at(t, same, "mirrored"), at(t, same, "how"))
	}
	for i, h := range at(t, same, "holes").([]any) {
		bolt := at(t, p, "flanges", 0, "design", "holes", i)
		for k := range 2 {
			if d := at(t, h, "at", k).(float64) - at(t, bolt, "at", k).(float64); math.Abs(d) > 0.25 {
				t.Errorf("hole %d lies %v mm off", i+1, d)
			}
		}
	}
	// Of a head that fits one way only, the drawing said to be seen from the tubes fits
	// only turned over, which is said.
	file := flangeFile(t)
	for _, r := range [][2]string{{`"side": "head"`, `"side": "tubes"`}, {`"id": "b2", "x": 110`, `"id": "b2", "x": 90`}, {`"id": "s1h2", "x": 55`, `"id": "s1h2", "x": 75`}} {
		if !strings.Contains(file, r[0]) {
			t.Fatalf("the file has no %s", r[0])
		}
		file = strings.Replace(file, r[0], r[1], 1)
	}
	q := plan(t, file)
	if f := finding(t, q, "pattern-way-round"); f == nil || !strings.Contains(at(t, f, "text").(string), "turned over") {
		t.Errorf("%v", at(t, q, "findings"))
	}
	if at(t, q, "flanges", 0, "patterns", 1, "mirrored") != true {
		t.Error("it lies another way then")
	}
}

// The gasket's opening 2, 43 × 36 mm, sits 3.5 mm to the left of a port of 40 × 33 mm;
// the gasket itself is laid 0.1 mm to the right, half-way over a hole that is 0.2 mm
// off. So it stands 3.5 − 0.1 − (43 − 40)/2 into the port.
func TestGasketThatShadowsAPortIsNamed(t *testing.T) {
	p := plan(t, flangeFile(t))
	f := finding(t, p, "pattern-shadows-port")
	if f == nil || at(t, f, "severity") != "warn" || math.Abs(at(t, f, "value").(float64)-1.9) > 0.02 || at(t, f, "where", 2) != "p2" {
		t.Errorf("%v", f)
	}
	for i, o := range at(t, p, "flanges", 0, "patterns", 0, "openings").([]any) {
		if stands := at(t, o, "shadow").(float64) > 0; stands != (i == 1) {
			t.Errorf("opening %d: %v", i+1, o)
		}
	}
}

// The tube of port 2, 1.651 mm thick with a gap of 0.5 mm, makes 44.302 × 37.302 mm of
// the port; the supplier's opening is 44 × 37 and lies 0.2 mm too low. So at its ends
// it lacks 0.151 mm, and below 0.151 + 0.2. Where the tube butts on, nothing is lacking.
func TestBoughtFlangeIsTooSmallForItsTube(t *testing.T) {
	p := plan(t, flangeFile(t))
	if by := at(t, p, "flanges", 0, "patterns", 1, "openings", 1, "open_by").(float64); math.Abs(by-0.351) > 0.02 {
		t.Errorf("%v mm, want 0.351", by)
	}
	f := finding(t, p, "pattern-too-small")
	if f == nil || !strings.Contains(at(t, f, "text").(string), "port 1, port 2, port 3, port 4") {
		t.Errorf("%v", f)
	}
	if at(t, p, "flanges", 0, "patterns", 0, "openings", 1, "open_by") != nil {
		t.Error("a tube goes through the gasket")
	}
	butt := strings.Replace(flangeFile(t), `"opening": "tube", "opening_gap": 0.5`, `"opening": "port"`, 1)
	if f := finding(t, plan(t, butt), "pattern-too-small"); f != nil {
		t.Errorf("%v", f)
	}
}

// 16 points with 0.05 mm of scatter on a stadium of 40 × 33 mm are called one, and what
// they leave open is said; with 12 it is a note.
func TestMeasuredPortIsOfferedAShape(t *testing.T) {
	p := plan(t, flangeFile(t))
	port := at(t, p, "flanges", 0, "ports", 2)
	if at(t, port, "fit", "shape") != "stadium" || math.Abs(at(t, port, "fit", "width").(float64)-40) > 0.15 || math.Abs(at(t, port, "fit", "height").(float64)-33) > 0.15 || at(t, port, "fit", "worst").(float64) > 0.2 {
		t.Errorf("%v", at(t, port, "fit"))
	}
	if at(t, port, "points") != 16.0 || at(t, port, "uncertain", "perimeter_percent").(float64) > 1 || at(t, p, "flanges", 0, "ports", 0, "fit") != nil {
		t.Errorf("%v", port)
	}
	if f := finding(t, p, "port-few-points"); f != nil {
		t.Errorf("%v", f)
	}
	var j map[string]any
	if err := json.Unmarshal([]byte(flangeFile(t)), &j); err != nil {
		t.Fatal(err)
	}
	outline := at(t, j, "banks", 0, "ports", 2, "outline").(map[string]any)
	outline["turn"] = 30
	points := outline["points"].([]any)
	for i := range points {
		if i%4 == 3 {
			points[i] = nil
		}
	}
	var few []any
	for _, q := range points {
		if q != nil {
			few = append(few, q)
		}
	}
	outline["points"] = few
	file, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	p = plan(t, string(file))
	if f := finding(t, p, "port-few-points"); f == nil || at(t, f, "value") != 12.0 {
		t.Errorf("%v", f)
	}
	if turn := at(t, p, "flanges", 0, "ports", 2, "fit", "turn").(float64); math.Abs(turn-30) > 2 {
		t.Errorf("turned by %v°, want about 30", turn)
	}
}

func TestFlangeFindsWhatIsWrong(t *testing.T) {
	for _, tt := range []struct{ rule, severity, old, new string }{
		{"end-stretch", "stop", `"8.8"`, ``}, // as it is
		{"end-wall-angle", "warn", `"transition": 20`, `"transition": 15`},
		{"print-off-scale", "stop", `"across": 100, "up": 99.9`, `"across": 100, "up": 99.75`},
		{"pattern-open", "note", `"id": "g1", "what"`, `"id": "g0", "what": "gasket"}, {"id": "g1", "what"`},
		{"pattern-no-hole", "stop", `{"id": "s1h7", "x": -110, "y": 76, "diameter": 8.8}`, `{"id": "s1h7", "x": 110, "y": 96, "diameter": 8.8}`},
		{"flange-web", "warn", `"x": 125, "y": 27`, `"x": 125, "y": 24`},
		{"flange-washer", "warn", `"washer": 16`, `"washer": 20`},
		{"flange-edge", "warn", `"pieces": "one piece", "edge": 9`, `"pieces": "one piece, sawn", "edge": 1`},
		{"flange-pieces-meet", "warn", `"pieces": "one piece"`, `"pieces": "separate"`},
		{"flange-hole-off", "warn", `"x": 220.4`, `"x": 221.4`},
	} {
		file := flangeFile(t)
		if tt.new != "" && !strings.Contains(file, tt.old) {
			t.Fatalf("%s: the file has no %s", tt.rule, tt.old)
		}
		p := plan(t, strings.Replace(file, tt.old, tt.new, 1))
		if !hasFinding(t, p, tt.severity, tt.rule) {
			t.Errorf("%s: no %s in %v", tt.rule, tt.severity, at(t, p, "findings"))
		}
	}
	// While nobody said how the tubes come to the flange, a tube too thin stops nothing.
	four, err := os.ReadFile("../../testdata/job/four.job.json")
	if err != nil {
		t.Fatal(err)
	}
	if p := plan(t, string(four)); !hasFinding(t, p, "warn", "end-stretch") || hasFinding(t, p, "stop", "end-stretch") {
		t.Errorf("%v", at(t, p, "findings"))
	}
}

// Rulers within 0.2 mm are good.
func TestSheetOnScaleIsGood(t *testing.T) {
	file := strings.NewReplacer(`"across": 97.1, "up": 97`, `"across": 100.2, "up": 99.8`).Replace(flangeFile(t))
	if p := plan(t, file); hasFinding(t, p, "stop", "print-off-scale") {
		t.Errorf("%v", at(t, p, "findings"))
	}
}

// Bolts alone lie alike; without a port there is no flange to lay out.
func TestFlangeWithoutPortsIsNotLaidOut(t *testing.T) {
	var j map[string]any
	if err := json.Unmarshal([]byte(flangeFile(t)), &j); err != nil {
		t.Fatal(err)
	}
	bank := at(t, j, "banks", 0).(map[string]any)
	bank["ports"], j["tubes"] = []any{}, []any{}
	file, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	p := plan(t, string(file))
	if at(t, p, "flanges", 0, "design") != nil || len(at(t, p, "flanges", 0, "ends").([]any)) != 0 || len(at(t, p, "flanges", 0, "self_match").([]any)) == 0 {
		t.Errorf("%v", at(t, p, "flanges", 0))
	}
}
