package ask_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"tubewright/calc/ask"
	"tubewright/calc/fault"
	"tubewright/calc/ledger"
)

func TestWhatCannotBeAnsweredIsARefusal(t *testing.T) {
	tests := []struct {
		name, text string
		work       func() (any, error)
		want       string
	}{
		{"no JSON", "{", nil, "read question"},
		{"an error", "{}", func() (any, error) { return nil, errors.New("no such tube") }, "no such tube"},
		{"a panic", "{}", func() (any, error) { panic("out of range") }, "calculation stopped: out of range"},
		{"no JSON to be", "{}", func() (any, error) { return math.NaN(), nil }, "write answer"},
	}
	for _, tt := range tests {
		var q struct{}
		var r ask.Refusal
		if err := json.Unmarshal([]byte(ask.Answer(tt.text, &q, tt.work)), &r); err != nil || !strings.Contains(r.Error, tt.want) {
			t.Errorf("%s: %q, %v; want %q", tt.name, r.Error, err, tt.want)
		}
	}
}

func TestAnswerIsWhatTheWorkReturns(t *testing.T) {
	var q struct{ Tube string }
	got := ask.Answer(`{"tube":"t2"}`, &q, func() (any, error) { return map[string]string{"of": q.Tube}, nil })
	if got != `{"of":"t2"}` {
		t.Errorf("got %s", got)
	}
}

func TestRefusalNamesTheField(t *testing.T) {
	var r struct{ Faults []struct{ Name string } }
	err := json.Unmarshal([]byte(ask.Refuse(fault.Within("kerf", 50, 0, 10, "mm"))), &r)
	if err != nil || len(r.Faults) != 1 || r.Faults[0].Name != "kerf" {
		t.Errorf("%v, %v", r, err)
	}
}

func TestOneRecordThatCannotBeReadRefusesAll(t *testing.T) {
	raw := func(job string) string {
		return ledger.Encode(ledger.Record{ID: ledger.ID([16]byte{1}), Dev: "t1", N: 1, HLC: ledger.Stamp(1764025441123, 0, "t1"),
			Kind: ledger.NoteKind, Job: job, Slot: "job/self/name", SV: 1, Body: []byte(`{"text":"x"}`)})
	}
	recs, err := ask.Records([]string{raw("j1"), raw("shop")})
	if err != nil || len(recs) != 2 || len(ask.Of(recs, "shop")) != 1 || ask.Of(recs, "shop")[0].Job != "shop" {
		t.Errorf("%v, %v", recs, err)
	}
	if _, err := ask.Records([]string{raw("j1"), "no record"}); err == nil {
		t.Error("a text that is no record was taken")
	}
}

func TestEachLineIsAnswered(t *testing.T) {
	var out strings.Builder
	if err := ask.Lines(strings.NewReader("a\nb\n"), &out, strings.ToUpper); err != nil || out.String() != "A\nB\n" {
		t.Errorf("%q, %v", out.String(), err)
	}
}
