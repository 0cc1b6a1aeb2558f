package main

import (
	"errors"

	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// sheetText is a sheet as the tablet makes it by itself, to look at and to hand on.
type sheetText struct {
	Key      string   `json:"key"`
	Title    string   `json:"title"`
	Sign     string   `json:"sign"` // that stands on it
	Warnings []string `json:"warnings"`
	Name     string   `json:"name"` // of the file
	Text     string   `json:"text"`
}

// listSheets is an op: the sheets of a job.
func listSheets(_ question, own, shop []ledger.Record, _ func(float64) bool) (any, error) {
	return sheet.Of(job.Work(own, shop...)), nil
}

// why is the sentence alone of what cannot be made: the tablet knows which sheet it is.
func why(err error) error {
	var no *sheet.Unmade
	if errors.As(err, &no) {
		return errors.New(no.Why)
	}
	return err
}

// makeSheet is an op: one sheet. That of the cuts takes as long as their plan.
func makeSheet(q question, own, shop []ledger.Record, step func(done float64) bool) (any, error) {
	w := job.Work(own, shop...)
	made, err := sheet.Make(w, q.Sheet, sheet.Options{Unit: units.Unit(q.Unit), Date: q.Date}.Waiting(w, step))
	if err != nil {
		return nil, why(err)
	}
	b, err := made.File(q.Form)
	if err != nil {
		return nil, why(err)
	}
	return sheetText{made.Key, made.Title, made.Sheets[0].Title.Inputs, made.Warnings, made.FileName(q.Form), string(b)}, nil
}
