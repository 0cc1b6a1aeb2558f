package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// Page is a run of the log: the records after From up to To, and the chain at To.
type Page struct {
	From, To int64
	Rows     []Row
	Chain    [32]byte
}

// Row is one record of the log, with its text as it was pushed.
type Row struct {
	Pos int64
	ID  string
	Raw string
}

// After returns the records that follow pos, oldest first, as many as have
// together at most maxBytes of text, but at least one when there is one. At the
// end of the log the page is empty and ends where it begins. A pos that the log
// does not have is an error.
func (s *Store) After(ctx context.Context, pos int64, maxBytes int) (Page, error) {
	p, err := s.after(ctx, pos, maxBytes)
	if err != nil {
		return Page{}, fmt.Errorf("read log after %d: %w", pos, err)
	}
	return p, nil
}

func (s *Store) after(ctx context.Context, pos int64, maxBytes int) (p Page, err error) {
	p = Page{From: pos, To: pos}
	rows, err := s.read.QueryxContext(ctx, `SELECT pos, id, raw, chain FROM records WHERE pos > ? ORDER BY pos`, pos)
	if err != nil {
		return p, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	size := 0
	for rows.Next() {
		var r struct {
			Pos   int64
			ID    string
			Raw   []byte
			Chain []byte
		}
		if err := rows.StructScan(&r); err != nil {
			return p, err
		}
		size += len(r.Raw)
		if size > maxBytes && len(p.Rows) > 0 {
			break
		}
		p.Rows = append(p.Rows, Row{r.Pos, r.ID, string(r.Raw)})
		p.To, p.Chain = r.Pos, [32]byte(r.Chain)
	}
	if err := rows.Err(); err != nil {
		return p, err
	}
	if len(p.Rows) > 0 {
		if first := p.Rows[0].Pos; first != pos+1 {
			return p, fmt.Errorf("the log goes on at %d", first)
		}
		return p, nil
	}
	chain, ok, err := s.ChainAt(ctx, pos)
	if err == nil && !ok {
		err = errors.New("the log does not reach that far")
	}
	p.Chain = chain
	return p, err
}

// ChainAt returns the hash over the log up to and with pos; ok is false when the
// log has no such position. At 0 it is 32 zero bytes.
func (s *Store) ChainAt(ctx context.Context, pos int64) (chain [32]byte, ok bool, err error) {
	if pos == 0 {
		return chain, true, nil
	}
	var b []byte
	err = s.read.GetContext(ctx, &b, `SELECT chain FROM records WHERE pos = ?`, pos)
	if errors.Is(err, sql.ErrNoRows) {
		return chain, false, nil
	}
	if err != nil {
		return chain, false, fmt.Errorf("read chain at %d: %w", pos, err)
	}
	return [32]byte(b), true, nil
}

// High returns the newest position, 0 for an empty log.
func (s *Store) High(ctx context.Context) (int64, error) {
	pos, _, err := end(ctx, s.read)
	return pos, err
}
