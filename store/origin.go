package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Origin returns the address under which the devices of this shop know it, with
// scheme and port; empty when none was noted. It goes with the records into
// backups: on another machine, too, it is what the devices know.
func (s *Store) Origin(ctx context.Context) (string, error) {
	var origin string
	err := s.read.GetContext(ctx, &origin, `SELECT value FROM meta WHERE key = 'origin'`)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return "", fmt.Errorf("read the address that devices know: %w", err)
	}
	return origin, nil
}

// SetOrigin notes the address under which the devices of this shop know it.
func (s *Store) SetOrigin(ctx context.Context, origin string) error {
	_, err := s.write.ExecContext(ctx, `
		INSERT INTO meta (key, value) VALUES ('origin', ?)
		ON CONFLICT (key) DO UPDATE SET value = excluded.value`, origin)
	if err != nil {
		return fmt.Errorf("note the address that devices know: %w", err)
	}
	return nil
}

// Latest returns the latest time at which a record came in, by this machine's clock
// then; zero for an empty log. A clock that is before it went backwards.
func (s *Store) Latest(ctx context.Context) (time.Time, error) {
	var ms sql.NullInt64
	if err := s.read.GetContext(ctx, &ms, `SELECT max(recv_ms) FROM records`); err != nil {
		return time.Time{}, fmt.Errorf("read when the latest record came: %w", err)
	}
	if !ms.Valid {
		return time.Time{}, nil
	}
	return time.UnixMilli(ms.Int64), nil
}
