package store

import (
	"context"
	"fmt"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// rack holds back what a record pack says of the own job of the shop that it came from,
// its stock and its saw, until it is known whether that is this shop.
type rack struct {
	store *Store
	holds bool     // back; an archive that is no record pack is all of a shop, and goes in
	isOwn bool     // the log knows one of them
	texts []string // held back
}

// rackFor prepares for an archive. A shop that has nothing of its own yet takes what comes.
func (s *Store) rackFor(ctx context.Context, a *archive) (*rack, error) {
	r := &rack{store: s}
	if a.head.Pack == "" {
		return r, nil
	}
	err := s.read.GetContext(ctx, &r.holds, `SELECT EXISTS (SELECT 1 FROM records WHERE job = ?)`, job.ShopJob)
	if err != nil {
		return nil, fmt.Errorf("look for the shop's stock: %w", err)
	}
	return r, nil
}

// keep holds a record back if it is one of those.
func (r *rack) keep(ctx context.Context, raw string) (kept bool, err error) {
	if !r.holds {
		return false, nil
	}
	rec, err := ledger.Decode(raw)
	if err != nil || rec.Job != job.ShopJob {
		return false, nil // what is no record is said where it is appended
	}
	r.texts = append(r.texts, raw)
	if !r.isOwn {
		err = r.store.read.GetContext(ctx, &r.isOwn, `SELECT EXISTS (SELECT 1 FROM records WHERE id = ?)`, rec.ID)
	}
	return true, err
}
