package main

import (
	"encoding/json"
	"errors"
	"fmt"

	"tubewright/calc/draw/sheet"
	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// question is what the tablet asks.
type question struct {
	Op      string   `json:"op"`      // view, with, jobs, points, sheets, sheet, drawing or plan
	Job     string   `json:"job"`     // view, with, points, sheets and sheet: which job
	Slot    string   `json:"slot"`    // with: the slot whose readings are compared
	Records []string `json:"records"` // all but drawing and plan: records as their devices wrote them
	File    string   `json:"file"`    // plan: a job file; points: the list, as comma-separated text; drawing: the DXF
	Tube    string   `json:"tube"`    // points: the tube that they are meant for
	CLR     string   `json:"clr"`     // points: a CLR as typed, where the list has none
	Unit    string   `json:"unit"`    // points: of figures without one, "mm" or "in"; drawing: likewise, "" asks; sheet: of its figures
	Sheet   string   `json:"sheet"`   // sheet: its key
	Form    string   `json:"form"`    // sheet: "svg" or "dxf"
	Date    string   `json:"date"`    // sheet: that stands on it
}

// refusal is the answer when there is none. Faults name fields, where the
// question held values that cannot be used.
type refusal struct {
	Error  string         `json:"error"`
	Faults []*fault.Field `json:"faults,omitempty"`
}

// answer answers one question, JSON in and JSON out. A fault of our own becomes a
// refusal too: the worker has to live on for the next question.
func answer(text string) (out string) {
	defer func() {
		if p := recover(); p != nil {
			out = write(refusal{Error: fmt.Sprintf("calculation stopped: %v", p)})
		}
	}()
	var q question
	if err := json.Unmarshal([]byte(text), &q); err != nil {
		return write(refusal{Error: fmt.Sprintf("read question: %v", err)})
	}
	result, err := ask(q)
	if err != nil {
		return write(refusal{Error: err.Error(), Faults: fault.All(err)})
	}
	return write(result)
}

func ask(q question) (any, error) {
	switch q.Op {
	case "view", "with", "jobs", "points", "sheets", "sheet":
		recs, err := decode(q.Records)
		if err != nil {
			return nil, err
		}
		if q.Op == "jobs" {
			return job.Summaries(recs), nil
		}
		var own []ledger.Record
		for _, r := range recs {
			if r.Job == q.Job {
				own = append(own, r)
			}
		}
		switch q.Op {
		case "with":
			return job.With(own, q.Slot), nil
		case "points":
			return job.FromList(own, q.Tube, q.File, q.CLR, q.Unit)
		case "sheets":
			return sheet.Of(job.Work(own)), nil
		case "sheet":
			return makeSheet(job.Work(own), q)
		}
		return job.FromRecords(own), nil
	case "drawing":
		return readDrawing(q.File, q.Unit)
	case "plan":
		return job.PlanFile([]byte(q.File))
	}
	return nil, fmt.Errorf("no operation %q", q.Op)
}

func decode(raws []string) ([]ledger.Record, error) {
	recs := make([]ledger.Record, 0, len(raws))
	var errs []error
	for _, raw := range raws {
		r, err := ledger.Decode(raw)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		recs = append(recs, r)
	}
	return recs, errors.Join(errs...)
}

func write(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		b, _ = json.Marshal(refusal{Error: fmt.Sprintf("write answer: %v", err)})
	}
	return string(b)
}
