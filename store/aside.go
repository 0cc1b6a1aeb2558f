package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// PutAside keeps what a device pushes that may not write it: beside the log, for
// a person to look at. What the log holds already is known as ever.
func (s *Store) PutAside(ctx context.Context, dev string, raws []string) (Appended, error) {
	var a Appended
	tx, err := s.write.BeginTxx(ctx, nil)
	if err != nil {
		return a, fmt.Errorf("put %d records aside: %w", len(raws), err)
	}
	defer tx.Rollback()
	w := writer{tx: tx, dev: dev, recvMS: s.Now().UnixMilli()}
	if err := w.start(ctx); err != nil {
		return a, fmt.Errorf("put %d records aside: %w", len(raws), err)
	}
	a.Pos = w.pos
	for i, raw := range raws {
		r, err := ledger.Decode(raw)
		if err != nil {
			a.Refused = append(a.Refused, Refused{i, err.Error()})
			continue
		}
		h := chain.Of(raw)
		var have []byte
		err = w.find.GetContext(ctx, &have, r.ID)
		switch {
		case err == nil && bytes.Equal(have, h[:]):
			a.Known = append(a.Known, r.ID)
			continue
		case err != nil && !errors.Is(err, sql.ErrNoRows):
			return Appended{}, fmt.Errorf("put record %s aside: %w", r.ID, err)
		}
		if err := w.putAside(ctx, r, h); err != nil {
			return Appended{}, fmt.Errorf("put record %s aside: %w", r.ID, err)
		}
		a.Quarantined = append(a.Quarantined, r.ID)
	}
	if err := tx.Commit(); err != nil {
		return Appended{}, fmt.Errorf("put %d records aside: %w", len(raws), err)
	}
	return a, nil
}

// unlogged picks what was set aside for another reason than that the log holds its
// id: a person may take it in.
const unlogged = `NOT EXISTS (SELECT 1 FROM records WHERE records.id = quarantine.id)`

// TakeIn appends what was set aside from a device under ids that the log does not
// hold, in the order in which it came, and returns how many records that were.
// Taking in again finds nothing to do.
func (s *Store) TakeIn(ctx context.Context, dev string) (int, error) {
	var raws []string
	err := s.read.SelectContext(ctx, &raws, `SELECT CAST(raw AS TEXT) FROM quarantine WHERE dev = ? AND `+unlogged+` ORDER BY n`, dev)
	if err != nil {
		return 0, fmt.Errorf("read what was set aside of %s: %w", dev, err)
	}
	a, err := s.Append(ctx, dev, raws)
	if err != nil {
		return 0, fmt.Errorf("take in what was set aside of %s: %w", dev, err)
	}
	return len(a.Stored), nil
}

// Aside is a record that TakeIn would append.
type Aside struct {
	Raw string    // as received
	At  time.Time // of arrival
}

// AsideTexts returns the first records that TakeIn would append from a device, at
// most limit; of two texts under one id the first that came.
func (s *Store) AsideTexts(ctx context.Context, dev string, limit int) ([]Aside, error) {
	var rows []struct {
		Raw    string
		RecvMS int64 `db:"recv_ms"`
	}
	err := s.read.SelectContext(ctx, &rows, `
		SELECT CAST(raw AS TEXT) AS raw, recv_ms FROM quarantine
		WHERE n IN (SELECT min(n) FROM quarantine WHERE dev = ? AND `+unlogged+` GROUP BY id)
		ORDER BY n LIMIT ?`, dev, limit)
	if err != nil {
		return nil, fmt.Errorf("read what was set aside of %s: %w", dev, err)
	}
	texts := make([]Aside, len(rows))
	for i, r := range rows {
		texts[i] = Aside{r.Raw, time.UnixMilli(r.RecvMS)}
	}
	return texts, nil
}

// AsideOf returns how many records of each device TakeIn would append.
func (s *Store) AsideOf(ctx context.Context) (map[string]int, error) {
	var rows []struct {
		Dev string
		N   int
	}
	err := s.read.SelectContext(ctx, &rows, `SELECT dev, count(DISTINCT id) AS n FROM quarantine WHERE `+unlogged+` GROUP BY dev`)
	if err != nil {
		return nil, fmt.Errorf("count what was set aside: %w", err)
	}
	n := make(map[string]int, len(rows))
	for _, r := range rows {
		n[r.Dev] = r.N
	}
	return n, nil
}
