package store

import (
	"context"
	"errors"
	"fmt"

	"tubewright/calc/ledger"
)

// Job returns the records of one job in order of arrival, none for a job that
// nobody wrote about.
func (s *Store) Job(ctx context.Context, job string) ([]ledger.Record, error) {
	recs, err := s.records(ctx, `SELECT raw FROM records WHERE job = ? ORDER BY pos`, job)
	if err != nil {
		return nil, fmt.Errorf("read records of job %s: %w", job, err)
	}
	return recs, nil
}

// All returns every record in order of arrival.
func (s *Store) All(ctx context.Context) ([]ledger.Record, error) {
	recs, err := s.records(ctx, `SELECT raw FROM records ORDER BY pos`)
	if err != nil {
		return nil, fmt.Errorf("read all records: %w", err)
	}
	return recs, nil
}

func (s *Store) records(ctx context.Context, query string, args ...any) (recs []ledger.Record, err error) {
	rows, err := s.read.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var raw []byte
		if err := rows.Scan(&raw); err != nil {
			return nil, err
		}
		r, err := ledger.Decode(string(raw))
		if err != nil {
			return nil, err
		}
		recs = append(recs, r)
	}
	return recs, rows.Err()
}
