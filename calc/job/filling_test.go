package job_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"tubewright/calc/job"
)

// filled asks for a span of the bench job as changed, and reads the answer as the plan's
// readers do.
func filled(t *testing.T, change func(j map[string]any), span job.Span) any {
	t.Helper()
	w, err := job.WorkFile(jobWith(t, benchJob, change))
	if err != nil {
		t.Fatal(err)
	}
	p, err := job.Filling(w.Job, span, nil)
	if err != nil {
		t.Fatal(err)
	}
	var got any
	b, err := json.Marshal(p)
	if err == nil {
		err = json.Unmarshal(b, &got)
	}
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// partsOf are pieces in the words of the plan.
func partsOf(pieces []any) (list []part) {
	for _, p := range pieces {
		m := p.(map[string]any)
		n := part{id: m["id"].(string), length: m["length"].(float64)}
		if m["kind"] == "bend" {
			n.angle, n.clr, n.rotation = m["angle"].(float64), m["clr"].(float64), m["rotation"].(float64)
		}
		list = append(list, n)
	}
	return list
}

// Whatever fills a span of tube 4, of which nothing is cut, leads the whole tube into its
// socket, walked with other arithmetic; the pieces behind it stay as they are but for the
// clock of the next bend.
func TestFillingsEndWhereTheySay(t *testing.T) {
	p := whole(t, string(readFile(t, benchJob)))
	planned := partsOf(at(t, p, "tubes", 3, "pieces").([]any))
	socket := at(t, p, "collectors", 0, "sockets", 3)
	mouth, dir := vec(t, at(t, socket, "at")), vec(t, at(t, socket, "dir"))
	start := walker{o: [3]float64{296, 27.5, 0}, t: [3]float64{0, 0, 1}, n: [3]float64{0, 1, 0}}
	plans, turned := 0, 0
	for _, span := range []job.Span{{Tube: "t4", From: 0, To: job.ToTheEnd}, {Tube: "t4", From: 2, To: 7}, {Tube: "t4", From: 1, To: 4}, {Tube: "t4", From: 2, To: 3}, {Tube: "t4", From: 3, To: 6}, {Tube: "t4", From: 2, To: 5}, {Tube: "t4", From: 0, To: 5}} {
		got := filled(t, nil, span)
		if span.To == job.ToTheEnd {
			span.To = 7
		}
		if held := at(t, got, "held"); (held == "socket") != (span.To == 7) {
			t.Errorf("%+v is held against the %v", span, held)
		}
		if n := len(at(t, got, "replaces").([]any)); n != span.To-span.From {
			t.Errorf("%+v replaces %d pieces", span, n)
		}
		for _, f := range at(t, got, "plans").([]any) {
			plans++
			new := partsOf(at(t, f, "pieces").([]any))
			chain := append(append(append([]part{}, planned[:span.From]...), new...), planned[span.To:]...)
			if next := at(t, f, "next"); next != nil {
				for i := range chain {
					if chain[i].id == at(t, next, "bend") {
						if math.Abs(chain[i].rotation-at(t, next, "clock").(float64)) > 1 {
							turned++
						}
						chain[i].rotation = at(t, next, "clock").(float64)
					}
				}
			}
			end := start.follow(chain)
			from := sum(end.o, -1, mouth)
			off := sum(from, -dot(from, dir), dir)
			miss, angle := math.Sqrt(dot(off, off)), math.Acos(min(1, dot(end.t, dir)))*180/math.Pi
			if said := at(t, f, "miss").(float64); miss > said+1e-3 || said > 1.5 || angle > 0.5 || math.Abs(angle-at(t, f, "aim").(float64)) > 1e-3 {
				t.Errorf("%+v: ends %.3f mm and %.3f° off, said are %v and %v", span, miss, angle, said, at(t, f, "aim"))
			}
			if in := dot(from, dir); in < 0.5*31.75-1.5 || in > 31.75+1.5 {
				t.Errorf("%+v: %.2f mm in the socket", span, in)
			}
			length := 0.0
			for _, c := range chain {
				if c.clr > 0 {
					length += c.clr * c.angle * math.Pi / 180
				} else {
					length += c.length
				}
			}
			if math.Abs(length-at(t, f, "length").(float64)) > 1e-3 || at(t, got, "length_open") == false && math.Abs(length-660.4) > 6.35 {
				t.Errorf("%+v: %.3f mm long, said are %v", span, length, at(t, f, "length"))
			}
			// Every new piece is cut from some stock, stays on as a leg, or is said to be in none.
			cut := map[any]bool{}
			for _, s := range at(t, f, "stock").([]any) {
				for _, c := range at(t, s, "cuts").([]any) {
					cut[at(t, c, "piece")] = true
					for _, leg := range []string{"leg_a", "leg_b"} {
						if l, has := c.(map[string]any)[leg]; has {
							cut[at(t, l, "piece")] = true
						}
					}
				}
			}
			for _, o := range at(t, f, "out").([]any) {
				cut[at(t, o, "piece")] = true
			}
			welds := len(new) + 1
			for _, p := range at(t, f, "pieces").([]any) {
				if at(t, p, "on_leg") == true {
					welds--
				}
			}
			if at(t, f, "welds").(float64) != float64(welds) {
				t.Errorf("%+v: %v welds, want %d", span, at(t, f, "welds"), welds)
			}
			for _, n := range new {
				if !cut[n.id] {
					t.Errorf("%+v: %s is cut from nothing", span, n.id)
				}
				if n.clr == 0 && n.length < 6 || n.clr > 0 && (n.angle < 8 || n.angle > 180) {
					t.Errorf("%+v: %+v cannot be cut", span, n)
				}
			}
			if sure := at(t, f, "sure", "miss").(float64); !(sure > 0) {
				t.Errorf("%+v: a promise without its doubt", span)
			}
		}
	}
	t.Logf("%d plans, of %d the next bend is clocked anew", plans, turned)
	if plans < 8 || turned == 0 {
		t.Errorf("%d plans, want 8; of %d the next bend is clocked anew", plans, turned)
	}
}

// A tube without a path is led from its port to its socket, with room for bolt heads.
func TestFillingFromPortToSocket(t *testing.T) {
	got := filled(t, func(j map[string]any) {
		tube := at(t, j, "tubes", 1).(map[string]any)
		tube["path"] = []any{}
		j["tubes"] = []any{tube}
	}, job.Span{Tube: "t2"})
	if len(at(t, got, "plans").([]any)) == 0 {
		t.Fatalf("no plan: %v", at(t, got, "why"))
	}
	for _, f := range at(t, got, "plans").([]any) {
		if first := at(t, f, "pieces", 0); at(t, first, "kind") != "straight" || at(t, first, "length").(float64) < 25.4 {
			t.Errorf("begins with %v", first)
		}
	}
}

func TestFillingSaysWhyNot(t *testing.T) {
	for _, tt := range []struct {
		why    string
		span   job.Span
		change func(j map[string]any)
	}{
		{"joint 0 is tacked", job.Span{Tube: "t2", From: 0, To: 2}, nil},
		{"joint 1 is tacked", job.Span{Tube: "t2", From: 1, To: 3}, nil},
		{"joint 3 is tacked", job.Span{Tube: "t3", From: 3, To: 5}, nil},
		{"no bends of this OD", job.Span{Tube: "t4", From: 2, To: 5}, func(j map[string]any) { j["stock"] = []any{} }},
		{"no bends of this OD", job.Span{Tube: "t4", From: 2, To: 5}, func(j map[string]any) {
			offcut := at(t, j, "stock", 2).(map[string]any)
			offcut["on_hand"] = 0
			j["stock"] = []any{offcut}
		}},
		{"joint 3 is tacked", job.Span{Tube: "t4", From: 1, To: 3}, func(j map[string]any) {
			at(t, j, "tubes", 3, "path", 3).(map[string]any)["stage"] = "tacked"
		}},
		{"no socket", job.Span{Tube: "t4"}, func(j map[string]any) {
			tube := at(t, j, "tubes", 3).(map[string]any)
			tube["path"] = []any{}
			delete(tube, "collector")
			delete(tube, "socket")
		}},
		{"OD and wall", job.Span{Tube: "t4", From: 2, To: 5}, func(j map[string]any) { delete(at(t, j, "tubes", 3).(map[string]any), "wall") }},
	} {
		got := filled(t, tt.change, tt.span)
		if why := at(t, got, "why").(string); !strings.Contains(why, tt.why) || len(at(t, got, "plans").([]any)) > 0 {
			t.Errorf("%+v: %q, want %q", tt.span, why, tt.why)
		}
	}
	w, err := job.WorkFile(readFile(t, benchJob))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []job.Span{{Tube: "t9"}, {Tube: "t4", From: -1, To: 3}, {Tube: "t4", From: 3, To: -2}, {Tube: "t4", From: 3, To: 3}, {Tube: "t4", From: 3, To: 8}, {Tube: "t4", From: 4, To: 3}} {
		if p, err := job.Filling(w.Job, s, nil); err == nil {
			t.Errorf("%+v: %+v", s, p)
		}
	}
}

// Behind what is tacked a tube is filled from its measured free end.
func TestFillingFromAFreeEnd(t *testing.T) {
	got := filled(t, nil, job.Span{Tube: "t3", From: 4, To: 7})
	if len(at(t, got, "plans").([]any)) == 0 && at(t, got, "best") == nil {
		t.Fatalf("nothing is said: %v", got)
	}
}

func BenchmarkFilling(b *testing.B) {
	w, err := job.WorkFile(readFile(b, benchJob))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := job.Filling(w.Job, job.Span{Tube: "t4", From: 2, To: 7}, nil); err != nil {
			b.Fatal(err)
		}
	}
}
