package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/jmoiron/sqlx"
)

// The meta keys that say how far the newest good backup goes.
const (
	backedPos   = "backed_pos"   // position of its newest record
	backedAside = "backed_aside" // number of its newest record that was set aside
)

// holding is how far a backup goes.
type holding struct {
	pos, aside int64
	photos     []string
}

// holdingOf reads how far the records of a database go.
func holdingOf(ctx context.Context, db *sqlx.DB) (h holding, err error) {
	if h.pos, _, err = end(ctx, db); err != nil {
		return h, err
	}
	err = db.GetContext(ctx, &h.aside, `SELECT coalesce(max(n), 0) FROM quarantine`)
	return h, err
}

// noteBacked notes how far the newest backup goes. What a backup holds beyond the
// listed photos stays as it was noted.
func (s *Store) noteBacked(ctx context.Context, h holding) error {
	tx, err := s.write.BeginTxx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := h.note(ctx, tx); err != nil {
		return fmt.Errorf("note how far the backup goes: %w", err)
	}
	return tx.Commit()
}

func (h holding) note(ctx context.Context, tx *sqlx.Tx) error {
	for key, value := range map[string]int64{backedPos: h.pos, backedAside: h.aside} {
		_, err := tx.ExecContext(ctx, `INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value`, key, strconv.FormatInt(value, 10))
		if err != nil {
			return err
		}
	}
	mark, err := tx.PreparexContext(ctx, `UPDATE blobs SET backed = 1 WHERE sha = ? AND backed = 0`)
	if err != nil {
		return err
	}
	for _, sha := range h.photos {
		if _, err := mark.ExecContext(ctx, sha); err != nil {
			return err
		}
	}
	return nil
}

// BackedPos returns the position up to which the newest good backup goes, 0 when
// there is none.
func (s *Store) BackedPos(ctx context.Context) (int64, error) {
	h, err := s.backed(ctx)
	if err != nil {
		return 0, fmt.Errorf("read how far the backup goes: %w", err)
	}
	return h.pos, nil
}

func (s *Store) backed(ctx context.Context) (h holding, err error) {
	for key, into := range map[string]*int64{backedPos: &h.pos, backedAside: &h.aside} {
		err := s.read.GetContext(ctx, into, `SELECT CAST(value AS INTEGER) FROM meta WHERE key = ?`, key)
		if err != nil && !errors.Is(err, sql.ErrNoRows) {
			return h, err
		}
	}
	return h, nil
}

// Changed tells whether there is anything that the newest backup does not hold.
func (s *Store) Changed(ctx context.Context) (bool, error) {
	was, err := s.backed(ctx)
	if err != nil {
		return false, fmt.Errorf("compare with the backup: %w", err)
	}
	is, err := holdingOf(ctx, s.read)
	if err != nil {
		return false, fmt.Errorf("compare with the backup: %w", err)
	}
	var photos bool
	if err := s.read.GetContext(ctx, &photos, `SELECT EXISTS (SELECT 1 FROM blobs WHERE backed = 0)`); err != nil {
		return false, fmt.Errorf("compare with the backup: %w", err)
	}
	return is.pos != was.pos || is.aside != was.aside || photos, nil
}

// Review looks at the backups that are in a folder now and notes how far they
// really go, so that nobody is told that something is backed up by a backup that
// was deleted or that lies on another disk. The newest one that can be read and
// whose log goes the same way as this one counts.
func (s *Store) Review(ctx context.Context, dir string) error {
	h, err := s.review(ctx, dir)
	if err != nil {
		return fmt.Errorf("review backups in %s: %w", dir, err)
	}
	tx, err := s.write.BeginTxx(ctx, nil)
	if err != nil {
		return fmt.Errorf("review backups in %s: %w", dir, err)
	}
	defer tx.Rollback()
	_, err = tx.ExecContext(ctx, `UPDATE blobs SET backed = 0 WHERE backed = 1`)
	if err == nil {
		err = h.note(ctx, tx)
	}
	if err == nil {
		err = tx.Commit()
	}
	if err != nil {
		return fmt.Errorf("note how far backups in %s go: %w", dir, err)
	}
	return nil
}

func (s *Store) review(ctx context.Context, dir string) (holding, error) {
	list, err := backupNames(dir)
	if err != nil {
		return holding{}, err
	}
	for _, b := range slices.Backward(list) {
		h, ok, err := s.sameLog(ctx, b.Path)
		if ctx.Err() != nil {
			return holding{}, ctx.Err()
		}
		if err != nil || !ok {
			continue // an older one may do
		}
		rows, err := s.blobRows(ctx)
		if err != nil {
			return holding{}, err
		}
		for _, row := range rows {
			info, err := os.Stat(filepath.Join(dir, "blobs", row.SHA[:2], row.SHA))
			if err == nil && info.Size() == row.Size {
				h.photos = append(h.photos, row.SHA)
			}
		}
		return h, nil
	}
	return holding{}, nil
}

func (s *Store) blobRows(ctx context.Context) (rows []blobRow, err error) {
	err = s.read.SelectContext(ctx, &rows, `SELECT `+blobColumns+` FROM blobs ORDER BY sha`)
	return rows, err
}

// sameLog tells how far a backup goes and whether its log is the beginning of
// this one.
func (s *Store) sameLog(ctx context.Context, path string) (h holding, same bool, err error) {
	db, err := connectReadOnly(path)
	if err != nil {
		return h, false, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if h, err = holdingOf(ctx, db); err != nil {
		return h, false, err
	}
	_, theirs, err := end(ctx, db)
	if err != nil {
		return h, false, err
	}
	ours, ok, err := s.ChainAt(ctx, h.pos)
	return h, ok && ours == theirs, err
}
