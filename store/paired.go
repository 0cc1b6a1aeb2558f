package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Paired is a device that may connect, or might until it was revoked.
type Paired struct {
	Dev, Name, Role string
	At              time.Time
	Revoked         time.Time // zero while it may connect
}

// ErrNotPaired is about a device that was never paired.
var ErrNotPaired = errors.New("no device was paired under that id")

// Pair notes that a device may connect with the token of which token is the
// sha256. A device that was paired before gets the new token and role, its old
// token is good for nothing from then on.
func (s *Store) Pair(ctx context.Context, p Paired, token [32]byte) error {
	_, err := s.write.ExecContext(ctx, `
		INSERT INTO paired (dev, name, role, token, paired_ms) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (dev) DO UPDATE SET name = excluded.name, role = excluded.role, token = excluded.token,
			paired_ms = excluded.paired_ms, revoked_ms = NULL`,
		p.Dev, p.Name, p.Role, token[:], p.At.UnixMilli())
	if err != nil {
		return fmt.Errorf("pair %s: %w", p.Dev, err)
	}
	return nil
}

type pairedRow struct {
	Dev, Name, Role string
	PairedMS        int64         `db:"paired_ms"`
	RevokedMS       sql.NullInt64 `db:"revoked_ms"`
}

func (r pairedRow) paired() Paired {
	p := Paired{Dev: r.Dev, Name: r.Name, Role: r.Role, At: time.UnixMilli(r.PairedMS)}
	if r.RevokedMS.Valid {
		p.Revoked = time.UnixMilli(r.RevokedMS.Int64)
	}
	return p
}

// PairedBy returns the device whose token has this sha256; known is false when no
// device has it.
func (s *Store) PairedBy(ctx context.Context, token [32]byte) (p Paired, known bool, err error) {
	var row pairedRow
	err = s.read.GetContext(ctx, &row, `SELECT dev, name, role, paired_ms, revoked_ms FROM paired WHERE token = ?`, token[:])
	if errors.Is(err, sql.ErrNoRows) {
		return Paired{}, false, nil
	}
	if err != nil {
		return Paired{}, false, fmt.Errorf("look for a token: %w", err)
	}
	return row.paired(), true, nil
}

// AllPaired returns every device that was paired, the newest pairing first.
func (s *Store) AllPaired(ctx context.Context) ([]Paired, error) {
	var rows []pairedRow
	if err := s.read.SelectContext(ctx, &rows, `SELECT dev, name, role, paired_ms, revoked_ms FROM paired ORDER BY paired_ms DESC, dev`); err != nil {
		return nil, fmt.Errorf("read paired devices: %w", err)
	}
	all := make([]Paired, len(rows))
	for i, r := range rows {
		all[i] = r.paired()
	}
	return all, nil
}

// RenamePaired gives a device another name.
func (s *Store) RenamePaired(ctx context.Context, dev, name string) error {
	return s.changePaired(ctx, dev, `UPDATE paired SET name = ? WHERE dev = ?`, name, dev)
}

// Revoke ends what a device may do; one that was revoked before keeps its time.
func (s *Store) Revoke(ctx context.Context, dev string, at time.Time) error {
	return s.changePaired(ctx, dev, `UPDATE paired SET revoked_ms = coalesce(revoked_ms, ?) WHERE dev = ?`, at.UnixMilli(), dev)
}

func (s *Store) changePaired(ctx context.Context, dev, query string, args ...any) error {
	done, err := s.write.ExecContext(ctx, query, args...)
	if err != nil {
		return fmt.Errorf("change paired device %s: %w", dev, err)
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return errors.Join(ErrNotPaired, err)
	}
	return nil
}

// keptPaired reads the pairings of a database that a backup is about to replace:
// a tablet that was revoked since must not come back with the backup. There are
// none where there is no database, or where it is too old or damaged to tell.
func keptPaired(ctx context.Context, database string) []keptRow {
	db, err := connectReadOnly(database)
	if err != nil {
		return nil
	}
	defer db.Close()
	var rows []keptRow
	if err := db.SelectContext(ctx, &rows, `SELECT dev, name, role, token, paired_ms, revoked_ms FROM paired`); err != nil {
		return nil
	}
	return rows
}

type keptRow struct {
	pairedRow
	Token []byte
}

// putPaired puts pairings into a database that nobody has open yet, over those
// that it holds of the same devices, and brings it to the newest schema.
func putPaired(ctx context.Context, database string, rows []keptRow) (err error) {
	db, err := connect(database, []setting{{"busy_timeout", "5000", "5000"}, {"journal_mode", "DELETE", "delete"}, {"synchronous", "FULL", "2"}, {"foreign_keys", "1", "1"}}, 1)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := newest().migrate(ctx, db); err != nil {
		return err
	}
	tx, err := db.BeginTxx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	for _, r := range rows {
		_, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO paired (dev, name, role, token, paired_ms, revoked_ms) VALUES (?, ?, ?, ?, ?, ?)`,
			r.Dev, r.Name, r.Role, r.Token, r.PairedMS, r.RevokedMS)
		if err != nil {
			return fmt.Errorf("keep the pairing of %s: %w", r.Dev, err)
		}
	}
	return tx.Commit()
}
