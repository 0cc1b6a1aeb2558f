package server

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"tubewright/calc/ledger"
)

func TestJobsAreListedNewestChangeFirst(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	if w := get(t, s, "GET", "/api/jobs"); w.Code != 200 || w.Body.String() != "[]\n" {
		t.Errorf("no jobs: %d %q", w.Code, w.Body)
	}
	p := s.join("one")
	p.push(note("one", 1, "j1", "job/self/name", "Blue coupe"), note("one", 2, "j2", "job/self/name", "Van"),
		note("one", 3, "j1", "job/self/customer", "Invented Customer"))
	p.want("ack")
	w := get(t, s, "GET", "/api/jobs")
	var jobs []map[string]any
	if err := json.Unmarshal(w.Body.Bytes(), &jobs); err != nil || len(jobs) != 2 || jobs[0]["name"] != "Blue coupe" || jobs[1]["name"] != "Van" {
		t.Errorf("jobs: %v %s", err, w.Body)
	}
	if strings.Contains(w.Body.String(), "Invented Customer") {
		t.Error("the list names the customer")
	}
	p.push(note("one", 4, "j2", "job/self/name", "Red van"))
	p.want("ack")
	if w := get(t, s, "GET", "/api/jobs"); !strings.HasPrefix(w.Body.String(), `[{"id":"j2","name":"Red van"`) {
		t.Errorf("after a change: %s", w.Body)
	}
}

func TestPlanOfAJobIsJSON(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	p := s.join("one")
	p.push(note("one", 1, "j1", "job/self/name", "Blue coupe"))
	p.want("ack")
	w := get(t, s, "GET", "/api/jobs/j1/plan")
	var plan struct {
		Findings []any `json:"findings"`
	}
	if err := json.Unmarshal(w.Body.Bytes(), &plan); err != nil || w.Code != 200 || w.Header().Get("Content-Type") != "application/json" {
		t.Errorf("plan: %v %d %v %s", err, w.Code, w.Header(), w.Body)
	}
	tag := w.Header().Get("ETag")
	if again := get(t, s, "GET", "/api/jobs/j1/plan", "If-None-Match", tag); tag == "" || again.Code != 304 {
		t.Errorf("the same plan again: %d", again.Code)
	}
	for _, path := range []string{"/api/jobs/j%2F..%2F9/plan", "/api/none", "/api/", "/api/jobs/j1/none"} {
		w := get(t, s, "GET", path)
		var e struct {
			Error string `json:"error"`
		}
		if err := json.Unmarshal(w.Body.Bytes(), &e); err != nil || w.Code != 404 || e.Error == "" {
			t.Errorf("%s: %d %q", path, w.Code, w.Body)
		}
	}
	if w := get(t, s, "POST", "/api/jobs"); w.Code != 404 {
		t.Errorf("POST: %d", w.Code)
	}
}

func TestHealthCountsRecords(t *testing.T) {
	s := openShop(t, openLog(t), quick(), nil)
	if w := get(t, s, "GET", "/api/health"); w.Body.String() != `{"build":"test-1","ok":true,"records":0}`+"\n" {
		t.Errorf("health: %q", w.Body)
	}
}

// brokenLog cannot be read any more; panicking stands for a fault in a calculation.
type brokenLog struct {
	storeLog
	panics bool
}

func (l brokenLog) Job(context.Context, string) ([]ledger.Record, error) {
	if l.panics {
		panic("out of range")
	}
	return nil, errors.New("disk /some/where is gone")
}

func TestFaultsAreOneSentence(t *testing.T) {
	for _, panics := range []bool{false, true} {
		s := openShop(t, brokenLog{openLog(t), panics}, quick(), nil)
		w := get(t, s, "GET", "/api/jobs/j1/plan")
		if w.Code != 500 || !strings.HasPrefix(w.Body.String(), `{"error":"`) || strings.Contains(w.Body.String(), "/some/where") {
			t.Errorf("%d %q", w.Code, w.Body)
		}
	}
}
