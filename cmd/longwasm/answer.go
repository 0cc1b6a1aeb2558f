package main

import (
	"fmt"

	"tubewright/calc/ask"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// question is what the tablet asks.
type question struct {
	Op      string   `json:"op"`      // one of ops
	Job     string   `json:"job"`     // which job
	Records []string `json:"records"` // of that job and of the shop, as their devices wrote them
}

// op works something out from the records of a job and those of the shop. step is told
// the share that is done; where it returns false, nobody waits for the rest.
type op func(own, shop []ledger.Record, step func(done float64) bool) (any, error)

// ops are the calculations that take long, by the names under which they are asked for.
var ops = map[string]op{
	"cuts":        of(job.CutsOf),
	"corrections": of(job.CorrectionsOf),
}

// of makes an op of a calculation, whatever its answer is.
func of[T any](work func(own, shop []ledger.Record, step func(done float64) bool) (T, error)) op {
	return func(own, shop []ledger.Record, step func(done float64) bool) (any, error) {
		return work(own, shop, step)
	}
}

// answer answers one question, JSON in and JSON out.
func answer(text string, step func(done float64) bool) string {
	var q question
	return ask.Answer(text, &q, func() (any, error) {
		work, known := ops[q.Op]
		if !known {
			return nil, fmt.Errorf("no operation %q", q.Op)
		}
		recs, err := ask.Records(q.Records)
		if err != nil {
			return nil, err
		}
		return work(ask.Of(recs, q.Job), ask.Of(recs, job.ShopJob), step)
	})
}
