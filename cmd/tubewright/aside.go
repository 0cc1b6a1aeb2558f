package main

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
	pages "tubewright/server/shop"
	"tubewright/store"
)

const (
	asideShown = 20  // records of one device
	valueShown = 120 // characters of one value
)

// Aside returns what was set aside from a device in words, the first asideShown.
func (d *shopDesk) Aside(ctx context.Context, dev string) ([]pages.SetAside, error) {
	texts, err := d.store.AsideTexts(ctx, dev, asideShown)
	if err != nil {
		return nil, err
	}
	var aside []ledger.Record
	for _, t := range texts {
		if r, err := ledger.Decode(t.Raw); err == nil { // it was, to be set aside
			aside = append(aside, r)
		}
	}
	jobs := map[string][]ledger.Record{}
	for _, r := range aside {
		if jobs[r.Job] == nil {
			if jobs[r.Job], err = d.store.Job(ctx, r.Job); err != nil {
				return nil, err
			}
		}
		jobs[r.Job] = append(jobs[r.Job], r) // what is set aside may name the job, or the reading chosen
	}
	lines := make([]pages.SetAside, len(aside))
	for i, r := range aside {
		lines[i] = asideWords(r, jobs[r.Job], texts[i])
	}
	return lines, nil
}

// asideWords says one record; recs are those of its job, itself among them.
func asideWords(r ledger.Record, recs []ledger.Record, text store.Aside) pages.SetAside {
	s := pages.SetAside{Job: jobName(r.Job, recs), Slot: slotWords(r.Slot), At: text.At}
	var body struct{ Text, Unit, Person, At string }
	if json.Unmarshal(r.Body, &body) == nil {
		s.Who = body.Person
		if at, err := time.Parse(time.RFC3339, body.At); err == nil {
			s.At = at
		}
	}
	s.Value = r.Kind // such as a photo
	switch r.Kind {
	case ledger.ReadingKind, ledger.NoteKind, ledger.PieceKind:
		s.Value = valueWords(r)
	case ledger.ChoiceKind:
		s.Value = about("chosen", r.Chosen, recs)
	case ledger.RetractKind:
		s.Value = about("taken back", r.Target, recs)
	}
	if v := []rune(s.Value); len(v) > valueShown {
		s.Value = string(v[:valueShown-1]) + "…"
	}
	return s
}

func jobName(id string, recs []ledger.Record) string {
	if name := ledger.Fold(recs).Notes[job.Slot("job", job.Self, "name")].Text; name != "" {
		return name
	}
	return id
}

// slotWords says a slot with the labels of the screens: "Port p3 · Port width".
func slotWords(slot string) string {
	kind, id, name, _ := job.SplitSlot(slot)
	k, known := job.KindOf(kind)
	f, labelled := k.Field(name)
	if !known || !labelled {
		return slot
	}
	if k.Single {
		return k.Label + " · " + f.Label
	}
	return k.Label + " " + id + " · " + f.Label
}

// valueWords says the value of a reading or a note as it was typed.
func valueWords(r ledger.Record) string {
	var body struct{ Text, Unit string }
	if json.Unmarshal(r.Body, &body) != nil {
		return "cannot be read"
	}
	switch body.Unit {
	case "", "1", "word":
		return body.Text
	case "deg":
		return body.Text + "°"
	}
	return body.Text + " " + body.Unit
}

// about says what was done to another record of the job.
func about(done, id string, recs []ledger.Record) string {
	i := slices.IndexFunc(recs, func(r ledger.Record) bool { return r.ID == id })
	if i < 0 || recs[i].Kind != ledger.ReadingKind && recs[i].Kind != ledger.NoteKind && recs[i].Kind != ledger.PieceKind {
		return done
	}
	return done + ": " + valueWords(recs[i])
}
