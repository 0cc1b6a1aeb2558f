package store

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"time"
)

// Known is something by which the devices of this shop know it. It goes with the
// records into backups: on another machine, too, it is what the devices know.
type Known struct {
	Value string    // empty when none was noted
	Since time.Time // when it took the place of another; zero when it never did
}

// Origin returns the address under which the devices know this shop, with scheme and
// port.
func (s *Store) Origin(ctx context.Context) (Known, error) { return s.known(ctx, "origin") }

// SetOrigin notes that address.
func (s *Store) SetOrigin(ctx context.Context, k Known) error { return s.setKnown(ctx, "origin", k) }

// Authority returns the fingerprint of the authority that the devices trust.
func (s *Store) Authority(ctx context.Context) (Known, error) { return s.known(ctx, "authority") }

// SetAuthority notes that fingerprint.
func (s *Store) SetAuthority(ctx context.Context, k Known) error {
	return s.setKnown(ctx, "authority", k)
}

func (s *Store) known(ctx context.Context, key string) (k Known, err error) {
	var rows []struct{ Key, Value string }
	err = s.read.SelectContext(ctx, &rows, `SELECT key, value FROM meta WHERE key IN (?, ?)`, key, key+"_ms")
	for _, r := range rows {
		if r.Key == key {
			k.Value = r.Value
			continue
		}
		ms, wrong := strconv.ParseInt(r.Value, 10, 64)
		if wrong != nil {
			err = wrong
		} else if ms > 0 {
			k.Since = time.UnixMilli(ms)
		}
	}
	if err != nil {
		return Known{}, fmt.Errorf("read the %s that devices know: %w", key, err)
	}
	return k, nil
}

func (s *Store) setKnown(ctx context.Context, key string, k Known) error {
	var ms int64
	if !k.Since.IsZero() {
		ms = k.Since.UnixMilli()
	}
	_, err := s.write.ExecContext(ctx, `
		INSERT INTO meta (key, value) VALUES (?, ?), (?, ?)
		ON CONFLICT (key) DO UPDATE SET value = excluded.value`, key, k.Value, key+"_ms", strconv.FormatInt(ms, 10))
	if err != nil {
		return fmt.Errorf("note the %s that devices know: %w", key, err)
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
