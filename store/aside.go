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

// Room is how much one device may have beside the log.
type Room struct {
	Records int
	Bytes   int64 // of their text
}

// PutAside keeps what a device pushes that may not write it: beside the log, for
// a person to look at. What the log holds already is known as ever. What would go
// beyond the room is not kept, and named in NoRoom; what lies there stays.
func (s *Store) PutAside(ctx context.Context, dev string, raws []string, room Room) (Appended, error) {
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
	var used Room
	err = tx.GetContext(ctx, &used, `SELECT count(*) AS records, coalesce(sum(length(raw)), 0) AS bytes FROM quarantine WHERE dev = ?`, dev)
	if err != nil {
		return a, fmt.Errorf("put %d records aside: %w", len(raws), err)
	}
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
		more := Room{used.Records + 1, used.Bytes + int64(len(raw))}
		fits := more.Records <= room.Records && more.Bytes <= room.Bytes
		lies, isNew, err := w.putAsideIf(ctx, fits, r, h)
		switch {
		case err != nil:
			return Appended{}, fmt.Errorf("put record %s aside: %w", r.ID, err)
		case !lies:
			a.NoRoom = append(a.NoRoom, r.ID)
			continue
		case isNew:
			used = more
		}
		a.Quarantined = append(a.Quarantined, r.ID)
	}
	if err := tx.Commit(); err != nil {
		return Appended{}, fmt.Errorf("put %d records aside: %w", len(raws), err)
	}
	return a, nil
}

// putAsideIf keeps a record beside the log if it may; lies tells whether it is
// there afterwards.
func (w *writer) putAsideIf(ctx context.Context, may bool, r ledger.Record, h [32]byte) (lies, isNew bool, err error) {
	err = w.tx.GetContext(ctx, &lies, `SELECT EXISTS (SELECT 1 FROM quarantine WHERE id = ? AND h = ?)`, r.ID, h[:])
	if err != nil || lies || !may {
		return lies, false, err
	}
	return true, true, w.putAside(ctx, r, h)
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

// AsideCount is what was set aside of one device.
type AsideCount struct {
	Open int  // records that TakeIn would append
	Used Room // of it and all else
}

// AsideOf counts what was set aside of each device.
func (s *Store) AsideOf(ctx context.Context) (map[string]AsideCount, error) {
	var rows []struct {
		Dev  string
		Open int
		Room
	}
	err := s.read.SelectContext(ctx, &rows, `
		SELECT dev, count(DISTINCT CASE WHEN `+unlogged+` THEN id END) AS open, count(*) AS records, sum(length(raw)) AS bytes
		FROM quarantine GROUP BY dev`)
	if err != nil {
		return nil, fmt.Errorf("count what was set aside: %w", err)
	}
	n := make(map[string]AsideCount, len(rows))
	for _, r := range rows {
		n[r.Dev] = AsideCount{r.Open, r.Room}
	}
	return n, nil
}
