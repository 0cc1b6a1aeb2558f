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
	File    string   `json:"file"`    // drawing: the DXF
	Bank    string   `json:"bank"`    // drawing: on whose bolts and ports it is laid; empty for none
	Unit    string   `json:"unit"`    // drawing: of figures without one, "mm" or "in", "" asks; sheet: of its figures
	Sheet   string   `json:"sheet"`   // sheet: its key
	Form    string   `json:"form"`    // sheet: "svg" or "dxf"
	Date    string   `json:"date"`    // sheet: that stands on it
	OD      float64  `json:"od"`      // misses: of the tube, mm
	CLR     float64  `json:"clr"`     // misses: of the bend, mm
	Span    job.Span `json:"span"`    // filling: the part of a tube that is to be filled

	Cylinders []int `json:"cylinders"` // group: those that are to share a tube
}

// op works something out from the records of a job and those of the shop. step is told
// the share that is done; where it returns false, nobody waits for the rest.
type op func(q question, own, shop []ledger.Record, step func(done float64) bool) (any, error)

// ops are what comes after the first load, by the names under which it is asked for: the
// calculations that take long, all that draws, and what few pages ask for.
var ops = map[string]op{
	"cuts":        of(job.CutsOf),
	"corrections": of(job.CorrectionsOf),
	"inspection":  of(job.InspectionOf),
	"filling":     fillSpan,
	"weld":        of(job.WeldOf), // quick too
	"fixture":     of(job.FixtureOf),
	"group":       groupCylinders,
	"sizing":      of(job.SizingOf), // quick, but too much for the first load
	"sheets":      listSheets,
	"sheet":       makeSheet,
	"drawing":     readDrawing,
	"misses":      misses,
}

// of makes an op of a calculation, whatever its answer is.
func of[T any](work func(own, shop []ledger.Record, step func(done float64) bool) (T, error)) op {
	return func(_ question, own, shop []ledger.Record, step func(done float64) bool) (any, error) {
		return work(own, shop, step)
	}
}

// groupCylinders is an op: how far apart some cylinders fire.
func groupCylinders(q question, own, _ []ledger.Record, _ func(done float64) bool) (any, error) {
	return job.GroupOf(own, q.Cylinders)
}

// fillSpan is an op: what fills a part of a tube from stock.
func fillSpan(q question, own, shop []ledger.Record, step func(done float64) bool) (any, error) {
	return job.FillingOf(own, shop, q.Span, step)
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
		var shop []ledger.Record // beside the job's; to itself it is a job like others
		if q.Job != job.ShopJob {
			shop = ask.Of(recs, job.ShopJob)
		}
		return work(q, ask.Of(recs, q.Job), shop, step)
	})
}
