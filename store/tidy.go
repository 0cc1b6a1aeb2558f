package store

import (
	"context"
	"errors"
	"fmt"
)

// tidyWait is how long Tidy waits for readers and writers, ms: appends that come
// meanwhile wait no longer than that.
const tidyWait = "100"

// Tidy folds the log file back into the database, so that it takes no room, and
// sweeps what photos left half done. It is for quiet moments; while somebody reads
// or writes the log file stays for the next time, which is no error.
func (s *Store) Tidy(ctx context.Context) error {
	if err := s.fold(ctx); err != nil {
		return fmt.Errorf("fold the log back: %w", err)
	}
	if err := s.sweep(ctx); err != nil {
		return fmt.Errorf("sweep photos: %w", err)
	}
	return nil
}

func (s *Store) fold(ctx context.Context) error {
	settings := append([]setting{{"busy_timeout", tidyWait, tidyWait}}, writeSettings[1:]...)
	db, err := connect(s.path, settings, 1)
	if err != nil {
		return err
	}
	var busy, pages, folded int // pages of the log file
	err = db.QueryRowxContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`).Scan(&busy, &pages, &folded)
	return errors.Join(err, db.Close())
}

// Aside returns how many texts were set aside.
func (s *Store) Aside(ctx context.Context) (n int64, err error) {
	if err := s.read.GetContext(ctx, &n, `SELECT count(*) FROM quarantine`); err != nil {
		return 0, fmt.Errorf("count what was set aside: %w", err)
	}
	return n, nil
}
