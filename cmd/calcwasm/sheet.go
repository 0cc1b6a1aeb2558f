package main

import (
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
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

func makeSheet(w job.Worked, q question) (sheetText, error) {
	made, err := sheet.Make(w, q.Sheet, sheet.Options{Unit: units.Unit(q.Unit), Date: q.Date})
	if err != nil {
		return sheetText{}, err
	}
	b, err := made.File(q.Form)
	if err != nil {
		return sheetText{}, err
	}
	return sheetText{made.Key, made.Title, made.Sheets[0].Title.Inputs, made.Warnings, made.FileName(q.Form), string(b)}, nil
}
