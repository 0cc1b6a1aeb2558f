package main

import (
	"fmt"

	"tubewright/calc/ask"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// question is what the tablet asks.
type question struct {
	Op      string   `json:"op"`      // view, with, jobs or points
	Job     string   `json:"job"`     // all but jobs: which job
	Slot    string   `json:"slot"`    // with: the slot whose readings are compared
	Records []string `json:"records"` // as their devices wrote them, those of the shop's own job too
	File    string   `json:"file"`    // points: the list, as comma-separated text
	Tube    string   `json:"tube"`    // points: the tube that they are meant for
	CLR     string   `json:"clr"`     // points: a CLR as typed, where the list has none
	Unit    string   `json:"unit"`    // points: of figures without one, "mm" or "in"
}

// answer answers one question, JSON in and JSON out.
func answer(text string) string {
	var q question
	return ask.Answer(text, &q, func() (any, error) { return work(q) })
}

func work(q question) (any, error) {
	switch q.Op {
	case "view", "with", "jobs", "points":
		recs, err := ask.Records(q.Records)
		if err != nil {
			return nil, err
		}
		if q.Op == "jobs" {
			return job.Summaries(recs), nil
		}
		own := ask.Of(recs, q.Job)
		var shop []ledger.Record // beside the job's; to itself it is a job like others
		if q.Job != job.ShopJob {
			shop = ask.Of(recs, job.ShopJob)
		}
		switch q.Op {
		case "with":
			return job.With(own, q.Slot, shop...), nil
		case "points":
			return job.FromList(own, q.Tube, q.File, q.CLR, q.Unit)
		}
		return job.FromRecords(own, shop...), nil
	}
	return nil, fmt.Errorf("no operation %q", q.Op)
}
