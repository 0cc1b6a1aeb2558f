package main

import (
	"crypto/rand"
	"encoding/json"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// recordMaker makes records of drafts: for invented jobs and for job files.
type recordMaker struct {
	job, dev, person string
	at               time.Time
	step             time.Duration // between two records
	raws             []string
}

func (w *recordMaker) add(d job.Draft) {
	w.at = w.at.Add(w.step)
	r := ledger.Record{ID: newID(), Dev: w.dev, N: int64(len(w.raws) + 1), HLC: ledger.Stamp(w.at.UnixMilli(), uint16(len(w.raws)), w.dev),
		Kind: ledger.ReadingKind, Job: w.job, Slot: d.Slot, SV: 1}
	at := w.at.Format(time.RFC3339)
	var body any
	switch kind, said := d.Record(); said := said.(type) {
	case *ledger.Note:
		r.Kind, body = kind, ledger.Note{Text: said.Text, Person: w.person, At: at}
	case *ledger.Reading:
		reading := *said
		reading.Person, reading.At = w.person, at
		body = reading
	}
	b, err := json.Marshal(body)
	if err != nil {
		panic("tubewright: bug: write " + d.Slot + ": " + err.Error())
	}
	r.Body = b
	w.raws = append(w.raws, ledger.Encode(r))
}

// newID makes a record id: 128 random bits.
func newID() string {
	var b [16]byte
	rand.Read(b[:]) // never fails
	return ledger.ID(b)
}
