package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"

	"github.com/jmoiron/sqlx"

	"tubewright/calc/chain"
	"tubewright/calc/ledger"
)

// Appended says what became of the records of one push.
type Appended struct {
	Stored      []string  // ids that are new and now in the log
	Known       []string  // ids that were there already with the same text
	Quarantined []string  // ids that are there with other text; what was pushed was set aside
	NoRoom      []string  // ids for which PutAside had no room
	Refused     []Refused // texts that are no records
	Pos         int64     // newest position of the log after the append
}

// Refused is a text that is no record: nothing of it was kept.
type Refused struct {
	Index  int // in what was pushed
	Reason string
}

// Append stores what is new of raws in their order, in one transaction, and
// returns when it is on disk. A record is never refused for its time, version or
// kind; only what ledger.Decode cannot read is, without harm to the others.
// Appending again what is there changes nothing, and what was set aside with the
// same bytes is set aside no more. dev is the device that pushed.
// A record that takes out a photo deletes its bytes and those of its preview.
//
// An error means that nothing was kept, except when ctx ends during the commit:
// then it is not known, and pushing again settles it.
func (s *Store) Append(ctx context.Context, dev string, raws []string) (Appended, error) {
	var a Appended
	recs := make([]ledger.Record, 0, len(raws))
	for i, raw := range raws {
		r, err := ledger.Decode(raw)
		if err != nil {
			a.Refused = append(a.Refused, Refused{i, err.Error()})
			continue
		}
		recs = append(recs, r)
	}
	tx, err := s.write.BeginTxx(ctx, nil)
	if err != nil {
		return Appended{}, fmt.Errorf("append %d records: %w", len(recs), err)
	}
	defer tx.Rollback()
	w := writer{tx: tx, dev: dev, recvMS: s.Now().UnixMilli()}
	if err := w.start(ctx); err != nil {
		return Appended{}, fmt.Errorf("append %d records: %w", len(recs), err)
	}
	for _, r := range recs {
		fate, err := w.put(ctx, r)
		if err != nil {
			return Appended{}, fmt.Errorf("append record %s: %w", r.ID, err)
		}
		switch fate {
		case stored:
			a.Stored = append(a.Stored, r.ID)
		case known:
			a.Known = append(a.Known, r.ID)
		case quarantined:
			a.Quarantined = append(a.Quarantined, r.ID)
		}
	}
	if err := tx.Commit(); err != nil {
		return Appended{}, fmt.Errorf("append %d records: %w", len(recs), err)
	}
	_ = s.drop(w.gone) // the records are on disk, whatever the disk says to this; sweep does it again
	a.Pos = w.pos
	return a, nil
}

type fate int

const (
	stored fate = iota
	known
	quarantined
)

// writer adds to the end of the log within one transaction.
type writer struct {
	tx     *sqlx.Tx
	dev    string // that pushed
	recvMS int64

	pos   int64    // of the newest record
	chain [32]byte // at pos
	gone  []string // photos that were taken out
	find  *sqlx.Stmt
	add   *sqlx.Stmt
	clear *sqlx.Stmt // of what was set aside with these very bytes
}

func (w *writer) start(ctx context.Context) (err error) {
	if w.pos, w.chain, err = end(ctx, w.tx); err != nil {
		return err
	}
	if w.find, err = w.tx.PreparexContext(ctx, `SELECT h FROM records WHERE id = ?`); err != nil {
		return err
	}
	if w.add, err = w.tx.PreparexContext(ctx, `
		INSERT INTO records (pos, id, h, dev, kind, job, slot, raw, recv_ms, chain)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`); err != nil {
		return err
	}
	w.clear, err = w.tx.PreparexContext(ctx, `DELETE FROM quarantine WHERE id = ? AND h = ?`)
	return err
}

func (w *writer) put(ctx context.Context, r ledger.Record) (fate, error) {
	h := chain.Of(r.Raw())
	var have []byte
	err := w.find.GetContext(ctx, &have, r.ID)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		pos, next := w.pos+1, chain.Next(w.chain, r.ID, h)
		_, err := w.add.ExecContext(ctx, pos, r.ID, h[:], r.Dev, r.Kind, r.Job, r.Slot, []byte(r.Raw()), w.recvMS, next[:])
		if err != nil {
			return 0, err
		}
		if _, err := w.clear.ExecContext(ctx, r.ID, h[:]); err != nil {
			return 0, err
		}
		w.pos, w.chain = pos, next
		return stored, w.look(ctx, r)
	case err != nil:
		return 0, err
	case bytes.Equal(have, h[:]):
		return known, nil
	}
	return quarantined, w.putAside(ctx, r, h)
}

// putAside keeps a record beside the log.
func (w *writer) putAside(ctx context.Context, r ledger.Record, h [32]byte) error {
	_, err := w.tx.ExecContext(ctx, `
		INSERT INTO quarantine (id, h, dev, raw, recv_ms) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (id, h) DO NOTHING`, r.ID, h[:], w.dev, []byte(r.Raw()), w.recvMS)
	return err
}

// end returns the newest position and the chain there.
func end(ctx context.Context, db getter) (int64, [32]byte, error) {
	var row struct {
		Pos   int64
		Chain []byte
	}
	err := db.GetContext(ctx, &row, `SELECT pos, chain FROM records ORDER BY pos DESC LIMIT 1`)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, [32]byte{}, nil
	}
	if err != nil {
		return 0, [32]byte{}, fmt.Errorf("read end of the log: %w", err)
	}
	return row.Pos, [32]byte(row.Chain), nil
}
