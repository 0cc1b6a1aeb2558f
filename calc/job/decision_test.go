package job_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// changes makes one change of several.
func changes(list ...func(j map[string]any)) func(j map[string]any) {
	return func(j map[string]any) {
		for _, c := range list {
			c(j)
		}
	}
}

// The rules of all findings of the vee as changed.
func rulesFound(t *testing.T, change func(j map[string]any)) (rules []string) {
	t.Helper()
	p, err := job.PlanFile(veeWith(t, change))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range p.Findings {
		rules = append(rules, string(f.Severity)+" "+f.Rule)
	}
	return rules
}

// A tube without OD and wall is made as decided, and nothing is asked for; one of its own
// wins, and is said to differ; without either it is asked for.
func TestDecisionStandsForWhatIsLeftOpen(t *testing.T) {
	p := plan(t, string(veeWith(t, nil)))
	for i := range 8 {
		if od, wall, bore := at(t, p, "tubes", i, "od"), at(t, p, "tubes", i, "wall"), at(t, p, "tubes", i, "bore"); od != 44.45 || wall != 1.651 || bore != 41.148 {
			t.Errorf("tube %d: %v × %v, bore %v", i+1, od, wall, bore)
		}
		if n := len(at(t, p, "tubes", i, "pieces").([]any)); n != 5 {
			t.Errorf("tube %d: %d pieces", i+1, n)
		}
	}
	if got := at(t, p, "collectors", 0, "outlet_od"); got != 76.2 {
		t.Errorf("outlet %v", got)
	}
	if todo := at(t, p, "todo").([]any); len(todo) > 0 {
		t.Errorf("todo %v", todo)
	}

	p = plan(t, string(veeWith(t, item("tubes", 1, map[string]any{"od": "1 5/8 in"}))))
	if od, wall := at(t, p, "tubes", 1, "od"), at(t, p, "tubes", 1, "wall"); od != 41.275 || wall != 1.651 {
		t.Errorf("own OD: %v × %v", od, wall)
	}

	p = plan(t, string(veeWith(t, set("target", map[string]any{"od": nil, "outlet_od": nil}))))
	todo := at(t, p, "todo").([]any)
	if len(todo) != 8 || at(t, todo[0], "slot") != "tube/t1/od" {
		t.Errorf("nothing decided: todo %v", todo)
	}
	if at(t, p, "tubes", 0, "od") != nil || at(t, p, "collectors", 0, "outlet_od") != nil || at(t, p, "decided") != nil {
		t.Error("an OD from nowhere")
	}
}

// A finding leads to where its value was entered: what a tube leaves open, to the decision.
func TestFindingsNameWhereAValueCameFrom(t *testing.T) {
	change := changes(set("target", map[string]any{"od": "1 1/4 in"}), item("tubes", 1, map[string]any{"od": "1 3/8 in"}))
	p := plan(t, string(veeWith(t, change)))
	var sizes any
	w, err := job.WorkFile(veeWith(t, change))
	if err != nil {
		t.Fatal(err)
	}
	if b, err := json.Marshal(job.Sizing(w.Job)); err != nil || json.Unmarshal(b, &sizes) != nil {
		t.Fatal(err)
	}
	for name, of := range map[string]any{"plan": p, "sizes": sizes} {
		slots := map[string]bool{}
		for _, f := range at(t, of, "findings").([]any) {
			if at(t, f, "rule") != "header-smaller" {
				continue
			}
			for _, s := range at(t, f, "slots").([]any) {
				slots[s.(string)] = true
			}
		}
		if want := []string{"target/self/od", "target/self/wall", "tube/t2/od"}; !slices.Equal(slices.Sorted(maps.Keys(slots)), want) {
			t.Errorf("%s: smaller than the port because of %v, want %v", name, slots, want)
		}
	}
}

// What was entered and cannot be used is not left open.
func TestDecisionDoesNotStandForWhatCannotBeUsed(t *testing.T) {
	recs := enteredFrom(t, veeWith(t, nil))
	recs = append(recs, record(t, 2, 900, length("tube/t1/od", "500", 500e6, 1e6)))
	v := job.FromRecords(recs)
	if len(v.Faults) != 1 || v.Faults[0].Slot != "tube/t1/od" || v.Plan.Tubes[0].OD != nil || v.Plan.Tubes[1].OD == nil {
		t.Errorf("faults %v, tube 1 %v", v.Faults, v.Plan.Tubes[0].OD)
	}
}

// A wall that leaves nothing inside is refused where it was entered, once.
func TestDecidedWallHasToLeaveSomething(t *testing.T) {
	for name, tt := range map[string]struct {
		change    func(j map[string]any)
		where     string
		low, high float64
	}{
		"decided":       {set("target", map[string]any{"od": "20 mm", "wall": "10 mm"}), "target.wall", 0.3, 10},
		"secondary":     {set("target", map[string]any{"style": "4-2-1", "secondary_od": "20 mm", "secondary_wall": "11 mm"}), "target.secondary_wall", 0.3, 10},
		"own wall":      {item("tubes", 0, map[string]any{"od": "15 mm", "wall": "8 mm"}), "tubes[0].wall", 0.3, 7.5},
		"own OD":        {changes(set("target", map[string]any{"wall": "8 mm"}), item("tubes", 0, map[string]any{"od": "15 mm"})), "tubes[0].od", 16, 200},
		"of slip joint": {item("slips", 0, map[string]any{"inner_od": "20 mm", "inner_wall": "10 mm"}), "slips[0].inner_wall", 0.3, 10},
	} {
		_, err := job.PlanFile(veeWith(t, tt.change))
		if fs := fault.All(err); len(fs) != 1 || fs[0].Where != tt.where || fs[0].Low != tt.low || fs[0].High != tt.high {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What is drawn of a tube rests on what was decided, as long as the tube has none of its
// own.
func TestSignOfATubeIsThatOfTheDecisionToo(t *testing.T) {
	sign := func(change func(j map[string]any)) string {
		t.Helper()
		w, err := job.WorkFile(veeWith(t, change))
		if err != nil {
			t.Fatal(err)
		}
		return w.SignOf(nil, job.About{Kind: "tube", ID: "t1", Fields: []string{"od", "wall"}})
	}
	thin := set("target", map[string]any{"wall": "0.049 in"})
	if sign(nil) == sign(thin) {
		t.Error("another wall was decided, and the sign is the same")
	}
	own := item("tubes", 0, map[string]any{"od": "1 3/4 in", "wall": "0.065 in"})
	if sign(own) != sign(changes(own, thin)) {
		t.Error("the decision changes a tube that has its own")
	}
	if sign(nil) != sign(set("target", map[string]any{"reason": "another"})) || sign(nil) != sign(set("target", map[string]any{"tolerance": 1})) {
		t.Error("the sign changes with what is not drawn")
	}
}

// Each of these is said once it is so, and not of the vee as it is.
func TestFindingsOnSizes(t *testing.T) {
	before := rulesFound(t, nil)
	if want := []string{"note pairing-uneven", "note pairing-uneven"}; !slices.Equal(before, want) {
		t.Fatalf("as it is: %v, want %v", before, want)
	}
	port := func(outline map[string]any) func(j map[string]any) {
		return func(j map[string]any) {
			j["banks"].([]any)[0].(map[string]any)["ports"].([]any)[0].(map[string]any)["outline"] = outline
		}
	}
	round := func(size string) func(j map[string]any) {
		return port(map[string]any{"shape": "round", "diameter": size})
	}
	for name, tt := range map[string]struct {
		change func(j map[string]any)
		want   string
	}{
		"own OD":              {item("tubes", 2, map[string]any{"od": "1.76 in"}), "warn decision-od"},
		"own wall":            {item("tubes", 2, map[string]any{"wall": "0.070 in"}), "warn decision-wall"},
		"own outlet":          {item("collectors", 0, map[string]any{"outlet_od": "2 7/8 in"}), "warn decision-outlet"},
		"opens earlier":       {set("engine", map[string]any{"exhaust_opens_bbdc": 66}), "warn decision-rule"},
		"opens later":         {set("engine", map[string]any{"exhaust_opens_bbdc": 58}), "warn decision-rule"},
		"no valve timing":     {set("engine", map[string]any{"exhaust_opens_bbdc": nil}), "warn decision-rule"},
		"no such rule":        {set("target", map[string]any{"length_by": "granddad's"}), "warn decision-rule"},
		"no stock of it":      {set("target", map[string]any{"od": "1.76 in"}), "note decision-stock"},
		"port larger":         {round("1.63 in"), "stop header-smaller"},
		"port smaller":        {round("1.55 in"), "note header-larger"},
		"flat port":           {port(map[string]any{"shape": "stadium", "width": 60, "height": 21}), "warn area-perimeter"},
		"no tube yet":         {changes(set("", map[string]any{"tubes": []any{}, "sensors": []any{}}), round("1.63 in")), "stop header-smaller"},
		"slip tight":          {item("slips", 0, map[string]any{"outer_wall": "0.061 in"}), "warn slip-tight"},
		"slip loose":          {item("slips", 0, map[string]any{"outer_wall": "0.051 in"}), "warn slip-loose"},
		"does not go":         {item("slips", 0, map[string]any{"outer_wall": "0.065 in"}), "stop slip-does-not-go"},
		"tight when hot":      {item("slips", 0, map[string]any{"outer_wall": "0.060 in", "inner_hot": 600}), "warn slip-tight-hot"},
		"socket loose":        {changes(item("collectors", 0, map[string]any{"socket_id": "1.80 in"}), item("tubes", 0, map[string]any{"collector": "c1"})), "warn slip-loose"},
		"water in the sensor": {item("sensors", 0, map[string]any{"above": 5}), "warn sensor-angle"},
		"sensor too near":     {item("sensors", 0, map[string]any{"from_engine": "11 in"}), "note sensor-engine"},
		"open end too near":   {item("sensors", 0, map[string]any{"to_open_end": "16.1 in"}), "note sensor-open-end"}, // 10 × 1.62 in
		"joint ahead":         {item("sensors", 0, map[string]any{"to_joint": "-1 in"}), "note sensor-joint"},
		"thermocouple near":   {changes(item("sensors", 1, map[string]any{"from_engine": "1.4 in"}), item("sensors", 2, map[string]any{"from_engine": "1.45 in"})), "note egt-head"},
		"not all alike":       {item("sensors", 1, map[string]any{"from_engine": "2.5 in"}), "note egt-same"},
		"unlikely":            {set("engine", map[string]any{"compression": 6.5}), "note unlikely-compression"},
		"rod too short":       {set("engine", map[string]any{"rod": 42, "stroke": 100}), "stop rod-too-short"},
		"exchanged":           {set("engine", map[string]any{"peak_torque_rpm": 5600, "peak_power_rpm": 4200}), "warn torque-above-power"},
		"longer than rules":   {set("target", map[string]any{"length": "50 mm", "from": "valve"}), "note rule-input"},
		"no numbering":        {set("engine", map[string]any{"numbering": nil}), "warn numbering-open"},
		"other numbering":     {set("engine", map[string]any{"numbering": "1-4/5-8"}), "warn numbering-ports"},
		"twice in it":         {set("engine", map[string]any{"numbering": "1-3-5-7/2-4-6-6"}), "warn numbering"},
		"even":                {set("engine", map[string]any{"firing_order": []int{1, 2, 3, 4, 5, 6, 7, 8}}), "even"},
	} {
		got := rulesFound(t, tt.change)
		if tt.want == "even" { // on a flat crank each bank fires by itself
			if slices.Contains(got, before[0]) {
				t.Errorf("%s: %v", name, got)
			}
		} else if !slices.Contains(got, tt.want) {
			t.Errorf("%s: no %q in %v", name, tt.want, got)
		}
	}
	// Nor are these said just on the good side.
	for name, change := range map[string]func(j map[string]any){
		"nearly":               item("tubes", 2, map[string]any{"od": "44.5 mm", "wall": "1.7 mm"}),
		"within 1 %":           set("engine", map[string]any{"exhaust_opens_bbdc": 64}),
		"own judgement":        changes(set("engine", map[string]any{"exhaust_opens_bbdc": 68}), set("target", map[string]any{"length_by": "own"})),
		"what it gave is open": changes(set("engine", map[string]any{"exhaust_opens_bbdc": 68}), set("target", map[string]any{"length_rule_gave": nil})),
		"0.030 in":             round("1.56 in"),
		"same as the port":     round("1.62 in"),
		"ten diameters":        item("sensors", 0, map[string]any{"to_open_end": "16.2 in"}),
		"alike by 0.14 in":     item("sensors", 1, map[string]any{"from_engine": "2.56 in"}),
		"numbered by hand":     set("engine", map[string]any{"numbering": "1-3-5-7/2-4-6-8"}),
	} {
		if got := rulesFound(t, change); !slices.Equal(got, before) {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A primary of a 4-2-1 is held against the first part, from the flange, as soon as that is
// decided; until then, and of other styles, against the length. By hand: 200 mm of tube are
// 181 mm short of 15 in (381 mm), and with a port of 80 mm 583.6 short of 34 in (863.6 mm)
// from the valve.
func TestPrimaryOfA421IsItsFirstPart(t *testing.T) {
	const bench = "../../testdata/job/bench.job.json"
	for name, tt := range map[string]struct {
		style, first any
		from         string
		target, off  float64
		slot         string
	}{
		"first decided": {"4-2-1", "15 in", "flange", 381, -181, "target/self/first_length"},
		"not decided":   {"4-2-1", nil, "valve", 863.6, -583.6, "target/self/length"},
		"4-1":           {"4-1", "15 in", "valve", 863.6, -583.6, "target/self/length"},
	} {
		p, err := job.PlanFile(jobWith(t, bench, func(j map[string]any) {
			set("engine", map[string]any{"valve_to_face": 80})(j)
			set("target", map[string]any{"style": tt.style, "from": "valve", "length": "34 in", "first_length": tt.first})(j)
			j["tubes"] = []any{map[string]any{"id": "t1", "port": "p1", "od": 41.3, "wall": 1.65, "path": []any{map[string]any{"straight": 200}}}}
		}))
		if err != nil {
			t.Fatal(err)
		}
		got := p.Tubes[0]
		if got.From != tt.from || math.Abs(float64(*got.Target)-tt.target) > 1e-6 || math.Abs(float64(*got.Deviation)-tt.off) > 1e-6 {
			t.Errorf("%s: %s, wanted %v, off by %v", name, got.From, *got.Target, *got.Deviation)
		}
		if !slices.ContainsFunc(p.Findings, func(f job.Finding) bool { return f.Rule == "length-tolerance" && slices.Contains(f.Slots, tt.slot) }) {
			t.Errorf("%s: no finding on %s", name, tt.slot)
		}
	}
}

// What stops is said of each tube, so that the sheets of each say it; what does not is
// said once of all that are alike.
func TestOneFindingForTubesThatAreAlike(t *testing.T) {
	for size, want := range map[string]int{"1.63 in": 8, "1.55 in": 1} {
		p, err := job.PlanFile(veeWith(t, func(j map[string]any) {
			for _, k := range j["banks"].([]any) {
				for _, p := range k.(map[string]any)["ports"].([]any) {
					p.(map[string]any)["outline"] = map[string]any{"shape": "round", "diameter": size}
				}
			}
		}))
		if err != nil {
			t.Fatal(err)
		}
		n, where := 0, map[string]bool{}
		for _, f := range p.Findings {
			if strings.HasPrefix(f.Rule, "header-") {
				n++
				for _, id := range f.Where {
					where[id] = true
				}
				if !strings.Contains(f.Help, "builders: equal to the port") || f.Grade != "common practice, no source" {
					t.Errorf("no source: %+v", f)
				}
			}
		}
		if n != want || len(where) != 16 {
			t.Errorf("ports of %s: %d findings on %v", size, n, where)
		}
	}
}

// A rule that a decision rests on is held against what it gave, up and down, counted from
// where the length is. 850·ED/N: 1 % of ED = 242° are 2.42° of opening, and of the bore,
// √N, 2 % of the rpm.
func TestDriftOfTheRuleBothWays(t *testing.T) {
	drift := func(change func(j map[string]any)) (fields []string) {
		p, err := job.PlanFile(veeWith(t, change))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range p.Findings {
			if f.Rule == "decision-rule" {
				fields = append(fields, f.Slots[0])
				if f.Value != nil && !strings.Contains(f.Text, "gave "+fmt.Sprintf("%.2f mm", float64(*f.Limit))) {
					t.Errorf("%s, limit %v", f.Text, *f.Limit)
				}
			}
		}
		return fields
	}
	// P = 850·242/4200 − 3 in: dP/P = 850·Δ/4200/P, 1 % of 45.976 in at Δ = 2.27°.
	for opens, want := range map[float64]bool{62: false, 64.26: false, 64.28: true, 59.74: false, 59.72: true} {
		if got := drift(set("engine", map[string]any{"exhaust_opens_bbdc": opens})); (len(got) == 1 && got[0] == "target/self/length_by") != want || len(got) > 1 {
			t.Errorf("opens %v: %v", opens, got)
		}
	}
	tuned := set("sizing", map[string]any{"tuned_rpm": 4200})                                   // so that the length stays
	for rpm, want := range map[float64]bool{4284: false, 4285: true, 4117: false, 4116: true} { // 4200·1.01² = 4284.4, 4200·0.99² = 4116.4
		if got := drift(changes(tuned, set("engine", map[string]any{"peak_torque_rpm": rpm}))); (len(got) == 1 && got[0] == "target/self/bore_by") != want || len(got) > 1 {
			t.Errorf("%v rpm: %v", rpm, got)
		}
	}
	// From the valve the same rule gives the port's length more, or its own 3 in.
	if got := drift(set("target", map[string]any{"from": "valve", "length_rule_gave": 1167.795238 + 76.2})); got != nil {
		t.Errorf("from the valve: %v", got)
	}
	if got := drift(set("target", map[string]any{"from": "valve"})); len(got) != 1 {
		t.Errorf("from the valve as it was from the flange: %v", got)
	}
}

// That a length is decided is no drift of the rule for the bore that takes it into
// account: it may have been asked before or after.
func TestDecidingIsNoDrift(t *testing.T) {
	by := func(gave float64) func(j map[string]any) {
		return set("target", map[string]any{"bore_by": "bore-850", "bore_rule_gave": gave})
	}
	before := sized(t, set("target", map[string]any{"length": nil}))
	after := sized(t, nil)
	bore := func(p job.SizingPlan) float64 { return float64(ruleOf(t, p, "bore-850").Values[0].Value) }
	if math.Abs(bore(before)-bore(after)) < 1 {
		t.Fatalf("%v before, %v after: nothing to tell apart", bore(before), bore(after))
	}
	for gave, want := range map[float64]bool{bore(before): false, bore(after): false, (bore(before) + bore(after)) / 2: true} {
		if got := slices.Contains(rulesFound(t, by(gave)), "warn decision-rule"); got != want {
			t.Errorf("gave %v: drift %v", gave, got)
		}
	}
}

// It is decided when all that is cut by is there, with a reason or the rule it rests on.
func TestWhatItTakesToBeDecided(t *testing.T) {
	for key, label := range map[string]string{"od": "Primary OD", "wall": "Primary wall", "length": "Primary length", "from": "Length counted from", "tolerance": "Length tolerance ±"} {
		p := sized(t, set("target", map[string]any{key: nil}))
		if p.Decision.Decided || !slices.Equal(p.Decision.Missing, []string{label}) {
			t.Errorf("without %s: %+v", key, p.Decision)
		}
	}
	for _, tt := range []struct {
		without []string
		decided bool
	}{{nil, true}, {[]string{"reason"}, true}, {[]string{"length_by", "bore_by"}, true}, {[]string{"reason", "bore_by"}, true}, {[]string{"reason", "length_by", "bore_by"}, false}} {
		change := map[string]any{}
		for _, key := range tt.without {
			change[key] = nil
		}
		p := sized(t, set("target", change))
		if p.Decision.Decided != tt.decided || tt.decided != (len(p.Decision.Missing) == 0) {
			t.Errorf("without %v: %+v", tt.without, p.Decision)
		}
	}
}

// Records of two tablets come to the decision, with who said the last of it, and the list
// of jobs has it.
func TestDecisionSurvivesTheWayThroughRecords(t *testing.T) {
	recs := enteredFrom(t, veeWith(t, set("target", map[string]any{"od": nil, "reason": nil})))
	if s := job.Summarise("j1", recs); s.Decided != nil {
		t.Errorf("decided without an OD: %+v", s.Decided)
	}
	od := record(t, 2, 900, length("target/self/od", "44.45", 44_450_000, 10_000))
	note := record(t, 1, 901, job.Draft{Slot: "target/self/reason", Note: &ledger.Note{Text: "It is on the rack.", Person: "A. Invented", At: "2026-11-30T12:00:00Z"}})
	for _, order := range [][]ledger.Record{{od, note}, {note, od}} {
		all := append(slices.Clone(recs), order...)
		s := job.Summarise("j1", all)
		if want := (job.DecidedPlan{OD: 44.45, Wall: 1.651, ID: 41.148, Length: 812.8, From: "flange", Style: "4-1"}); s.Decided == nil || math.Abs(float64(s.Decided.ID-want.ID)) > 1e-9 || s.Decided.OD != want.OD || s.Decided.Length != want.Length || s.Decided.From != want.From || s.Decided.Style != want.Style {
			t.Errorf("in the list: %+v", s.Decided)
		}
		p, err := job.SizingOf(all, nil, nil)
		if err != nil || !p.Decision.Decided || p.Decision.By != "A. Invented" || p.Decision.At != "2026-11-30T12:00:00Z" || p.Decision.Reason != "It is on the rack." {
			t.Errorf("%v: %+v", err, p.Decision)
		}
	}
	p, err := job.SizingOf(append(slices.Clone(recs), od), nil, nil)
	if err != nil || p.Decision.By != "B. Invented" || !p.Decision.Decided {
		t.Errorf("%v: %+v", err, p.Decision)
	}
}

// Of two readings that differ one is in use, and the answer says so first, and which; what
// is in dispute elsewhere is none of it.
func TestSizingOfDisputedInputs(t *testing.T) {
	recs := enteredFrom(t, veeWith(t, nil))
	recs = append(recs, record(t, 2, 900, length("engine/self/bore", "103", 103e6, 10_000)), record(t, 2, 901, length("bank/A/thickness", "10", 10e6, 10_000)))
	p, err := job.SizingOf(recs, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(p.Disputed, []string{"engine/self/bore"}) || p.Findings[0].Rule != "disputed" || p.Findings[0].Slots[0] != "engine/self/bore" || p.Findings[1].Rule == "disputed" {
		t.Errorf("disputed %v, findings %+v", p.Disputed, p.Findings)
	}
	v := job.FromRecords(recs)
	used := v.Slots["engine/self/bore"]
	for _, h := range used.Heads {
		if h.ID == used.Value && math.Abs(float64(*inputOf(t, p, "bore").Value)-float64(*h.NM)/1e6) > 1e-9 {
			t.Errorf("bore %v, in use is %v", *inputOf(t, p, "bore").Value, h.Text)
		}
	}
	// What was decided in two ways stops, and every tube that rests on it says so.
	recs = append(enteredFrom(t, veeWith(t, nil)), record(t, 2, 900, length("target/self/wall", "1.245", 1_245_000, 1000)))
	v = job.FromRecords(recs)
	if f := v.Plan.Findings[0]; f.Rule != "disputed" || f.Severity != job.Stop {
		t.Errorf("%+v", f)
	}
	if !slices.Contains(v.Plan.Tubes[3].Disputed, "target/self/wall") {
		t.Errorf("tube 4 rests on %v", v.Plan.Tubes[3].Disputed)
	}
}

// A firing order that was entered and cannot be used is not one that is missing: the answer
// says so first, and quotes it where cylinders would be paired. What is refused of other
// pages is theirs to say.
func TestSizingOfARefusedFiringOrder(t *testing.T) {
	recs := enteredFrom(t, veeWith(t, set("engine", map[string]any{"firing_order": nil})))
	recs = append(recs, record(t, 2, 900, word("engine/self/firing_order", "1-8-4-3-6-5-7-22")), record(t, 2, 901, length("bank/A/thickness", "900", 900e6, 10_000)))
	p, err := job.SizingOf(recs, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	unusable := slices.DeleteFunc(slices.Clone(p.Findings), func(f job.Finding) bool { return f.Rule != "unusable" })
	if len(unusable) != 1 || p.Findings[0].Severity != job.Stop || p.Findings[0].Rule != "unusable" || p.Findings[0].Slots[0] != "engine/self/firing_order" {
		t.Errorf("%+v", p.Findings)
	}
	if !strings.Contains(p.Pairing.Why, "22") || strings.Contains(p.Pairing.Why, "not entered") || len(p.Pairing.Spots) != 0 {
		t.Errorf("%+v", p.Pairing)
	}
}

// A file and records come to the same answer, stock of the shop's own job counts.
func TestSizingOfRecordsIsThatOfTheFile(t *testing.T) {
	p, err := job.SizingOf(enteredFrom(t, veeWith(t, nil)), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(sized(t, nil))
	if err != nil || string(a) != string(b) {
		t.Errorf("%v: differ", err)
	}
	r := &rack{t: t}
	r.say(1, "stock/u9/order", "word", "u9", 0)
	r.say(1, "stock/u9/od", "mm", "47.625", 47_625_000)
	r.say(1, "stock/u9/wall", "mm", "1.651", 1_651_000)
	p, err = job.SizingOf(enteredFrom(t, veeWith(t, nil)), r.recs, nil)
	i := slices.IndexFunc(p.Sizes, func(s job.SizePlan) bool { return s.OD == 47.625 && s.Wall == 1.651 })
	if err != nil || i < 0 || !p.Sizes[i].InStock {
		t.Errorf("%v: %+v", err, p.Sizes)
	}
}

// A job's notes and lists of the new kinds are read from a file, and what is wrong with
// them is named.
func TestFileRefusesWhatRulesCannotUse(t *testing.T) {
	for where, change := range map[string]func(j map[string]any){
		"engine.compression":      set("engine", map[string]any{"compression": 3}),
		"engine.fuel":             set("engine", map[string]any{"fuel": "hay"}),
		"engine.exhaust_valves":   set("engine", map[string]any{"exhaust_valves": 1.5}),
		"engine.firing_intervals": set("engine", map[string]any{"firing_intervals": "90-x"}),
		"sensors[0].what":         item("sensors", 0, map[string]any{"what": "humour"}),
		"sensors[0].on":           item("sensors", 0, map[string]any{"on": "t99"}),
		"slips[0].inner_od":       item("slips", 0, map[string]any{"inner_od": 5}),
		"target.reason":           set("target", map[string]any{"reason": 7}),
		"sizing.air_fuel":         set("sizing", map[string]any{"air_fuel": 1}),
	} {
		_, err := job.PlanFile(veeWith(t, change))
		if fs := fault.All(err); len(fs) != 1 || fs[0].Where != where {
			t.Errorf("%s: %v", where, err)
		}
	}
	for _, intervals := range []any{[]float64{90, 90, 90, 90, 90, 90, 90}, []float64{90, 90, 90, 90, 90, 90, 90, 91}, "720"} {
		_, err := job.PlanFile(veeWith(t, set("engine", map[string]any{"firing_intervals": intervals})))
		if fs := fault.All(err); len(fs) != 1 || fs[0].Where != "engine.firing_intervals" || !strings.Contains(fs[0].Error(), "8 in all") {
			t.Errorf("%v: %v", intervals, err)
		}
	}
}

// Any cylinders are looked at together. The invented V8 fires 1-8-4-3-6-5-7-2 every 90°:
// 1 and 8 follow on each other, and of the odd ones, its first bank, 3 comes 270° behind 1,
// 5 a half turn behind that, then 7 and 1 again.
func TestHowFarApartAnyCylindersFire(t *testing.T) {
	recs := enteredFrom(t, veeWith(t, nil))
	for _, tt := range []struct {
		cylinders []int
		order     []int
		gaps      string
	}{
		{[]int{8, 1}, []int{1, 8}, "[90,630]"},
		{[]int{7, 5, 3, 1}, []int{1, 3, 5, 7}, "[270,180,90,180]"},
		{[]int{1, 6}, []int{1, 6}, "[360,360]"},
	} {
		g, err := job.GroupOf(recs, tt.cylinders)
		gaps, _ := json.Marshal(g.Gaps)
		if err != nil || !slices.Equal(g.Cylinders, tt.order) || string(gaps) != tt.gaps {
			t.Errorf("%v: %v, %s, %v", tt.cylinders, g.Cylinders, gaps, err)
		}
	}
	if _, err := job.GroupOf(recs, []int{1, 9}); err == nil {
		t.Error("a cylinder 9 of a V8")
	}
	if _, err := job.GroupOf(nil, []int{1, 2}); err == nil {
		t.Error("cylinders of no engine")
	}
}
