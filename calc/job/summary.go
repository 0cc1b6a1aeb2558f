package job

import (
	"cmp"
	"slices"

	"tubewright/calc/ledger"
	"tubewright/calc/sorted"
)

// Summary is a job in one line, for lists and for the wall. It holds nothing
// about the customer.
type Summary struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Stage    string `json:"stage"`
	Blocked  string `json:"blocked"`
	Due      string `json:"due"`
	Disputed int    `json:"disputed"`
	Missing  int    `json:"missing"`
	Stops    int    `json:"stops"` // what else stands against cutting, beside disputes and what is missing
	Warnings int    `json:"warnings"`
	Changed  string `json:"changed"` // hybrid clock of the newest record

	Pieces  PieceCounts  `json:"pieces"`
	Decided *DecidedPlan `json:"decided"` // what is built; null until it is decided
}

// PieceCounts is how many pieces of a job stand in each stage; what is in none is a
// drawing so far. A piece counts in the stage that was said last, and nowhere else.
type PieceCounts struct {
	All       int `json:"all"`
	Cut       int `json:"cut"`
	Deburred  int `json:"deburred"`
	Tacked    int `json:"tacked"`
	Welded    int `json:"welded"`
	Inspected int `json:"inspected"`

	Each []PieceStage `json:"each"` // every piece, tube by tube, in order from the port
}

// PieceStage is how far one piece is.
type PieceStage struct {
	Name  string `json:"name"`  // chalked on it: the numbers of its tube and its own
	Stage string `json:"stage"` // of PieceStages, "" while it is a drawing
}

// count counts the pieces of a plan.
func (c *PieceCounts) count(p Plan) {
	of := map[string]*int{"cut": &c.Cut, "deburred": &c.Deburred, "tacked": &c.Tacked, "welded": &c.Welded, "inspected": &c.Inspected}
	c.Each = []PieceStage{}
	for _, t := range p.Tubes {
		c.All += len(t.Pieces)
		for _, piece := range t.Pieces {
			c.Each = append(c.Each, PieceStage{piece.Name, piece.Stage})
			if n := of[piece.Stage]; n != nil {
				*n++
			}
		}
	}
}

// Summaries makes one line for every job found in the records, newest change first; none
// for the shop's own.
func Summaries(recs []ledger.Record) []Summary {
	byJob := map[string][]ledger.Record{}
	for _, r := range recs {
		byJob[r.Job] = append(byJob[r.Job], r)
	}
	delete(byJob, ShopJob)
	out := make([]Summary, 0, len(byJob))
	for id, recs := range byJob {
		out = append(out, Summarise(id, recs))
	}
	sorted.By(out, func(a, b Summary) int {
		return cmp.Or(-cmp.Compare(a.Changed, b.Changed), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// Summarise makes the line of one job from its records.
func Summarise(id string, recs []ledger.Record) Summary {
	v := FromRecords(recs)
	note := func(field string) string { return v.Notes[Slot("job", Self, field)].Text }
	s := Summary{ID: id, Name: note("name"), Stage: note("stage"), Blocked: note("blocked"), Due: note("due"), Missing: len(v.Todo)}
	if !slices.Contains(Stages, s.Stage) {
		s.Stage = Stages[0]
	}
	for _, f := range v.Plan.Findings {
		switch {
		case f.Rule == disputedRule:
			s.Disputed++
		case f.Severity == Stop:
			s.Stops++
		case f.Severity == Warn:
			s.Warnings++
		}
	}
	s.Pieces.count(v.Plan)
	s.Decided = v.Plan.Decided
	for _, r := range recs {
		s.Changed = max(s.Changed, r.HLC)
	}
	return s
}
