package server

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"sync"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// jobLines keeps one summary a job, made again only for jobs with new records.
type jobLines struct {
	log     Log
	changed chan struct{} // holds one token while a board may be out of date

	mu    sync.Mutex
	pos   int64           // the log was looked through up to here
	stale map[string]bool // jobs with records since their summary
	lines map[string]job.Summary
}

func newJobLines(log Log) *jobLines {
	return &jobLines{log: log, changed: make(chan struct{}, 1), stale: map[string]bool{}, lines: map[string]job.Summary{}}
}

func (j *jobLines) touch() { poke(j.changed) }

// all returns the summaries of every job, newest change first.
func (j *jobLines) all(ctx context.Context) ([]job.Summary, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	for {
		page, err := j.log.After(ctx, j.pos, pageBytes)
		if err != nil {
			return nil, fmt.Errorf("read records after %d: %w", j.pos, err)
		}
		if len(page.Rows) == 0 {
			break
		}
		for _, row := range page.Rows {
			if r, err := ledger.Decode(row.Raw); err == nil {
				j.stale[r.Job] = true
			}
		}
		j.pos = page.To
	}
	for id := range j.stale {
		recs, err := j.log.Job(ctx, id)
		if err != nil {
			return nil, fmt.Errorf("read job %s: %w", id, err)
		}
		for _, l := range job.Summaries(recs) {
			j.lines[l.ID] = l
		}
		delete(j.stale, id)
	}
	out := make([]job.Summary, 0, len(j.lines))
	for _, l := range j.lines {
		out = append(out, l)
	}
	slices.SortFunc(out, func(a, b job.Summary) int {
		return cmp.Or(cmp.Compare(b.Changed, a.Changed), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}
