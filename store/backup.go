package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/jmoiron/sqlx"
)

// Backup is one backup: a database file with the records, and the photos in the
// folder blobs beside it, which all backups of a folder share.
type Backup struct {
	Path   string
	At     time.Time // UTC; backups of a folder sort by it, whatever the clock did between
	Size   int64     // bytes of the records' file
	Pos    int64     // newest record in it
	Photos int       // photos and previews that lie beside it for it
	// Wrong are sentences: of a new backup about photos that could not be copied,
	// of a listed one why it cannot be read.
	Wrong []string
}

// Backup writes a backup into a folder, which it makes, while appends go on. The
// records are copied by SQLite itself (a copy of the file misses what is in the
// log file), checked record by record and against the chain of the log; then the
// photos that the folder does not have are copied, each compared with its sha256;
// only then does the backup get its name. Photos that were taken out for good are
// deleted from the folder. In the end it is noted how far the backup goes.
//
// With an error there is no new backup. A photo that cannot be copied is no error
// for the records: it is named in Wrong and tried again with the next backup.
func (s *Store) Backup(ctx context.Context, dir string) (Backup, error) {
	b, err := s.backup(ctx, dir)
	if err != nil {
		return Backup{}, fmt.Errorf("back up to %s: %w", dir, err)
	}
	return b, nil
}

func (s *Store) backup(ctx context.Context, dir string) (b Backup, err error) {
	if err := makeDir(dir); err != nil {
		return b, err
	}
	sweepHalves(dir, s.Now())
	if b.Path, b.At, err = nextName(dir, s.Now()); err != nil {
		return b, err
	}
	half := b.Path + halfBackup
	defer func() {
		if err != nil {
			removeHalf(half)
		}
	}()
	step()
	if err := s.vacuumInto(ctx, half); err != nil {
		return b, fmt.Errorf("copy records: %w", err)
	}
	step()
	if b.Pos, err = s.verifyCopy(ctx, half); err != nil {
		return b, err
	}
	if err := syncFile(half); err != nil {
		return b, err
	}
	step()
	holds, err := s.copyBlobs(ctx, half, dir, &b)
	if err != nil {
		return b, fmt.Errorf("copy photos: %w", err)
	}
	step()
	if err := os.Rename(half, b.Path); err != nil {
		return b, err
	}
	step()
	if err := syncDir(dir); err != nil {
		return b, err
	}
	info, err := os.Stat(b.Path)
	if err != nil {
		return b, err
	}
	b.Size = info.Size()
	step()
	return b, s.noteBacked(ctx, holds)
}

// vacuumInto copies the records on a connection of its own, so that appends do
// not wait for it.
func (s *Store) vacuumInto(ctx context.Context, path string) error {
	db, err := connect(s.path, writeSettings, 1)
	if err != nil {
		return err
	}
	return errors.Join(vacuumInto(ctx, db, path), db.Close())
}

// vacuumInto writes a copy of a database to a path where nothing is yet, for its
// owner only: a folder of backups may be open to others. SQLite writes into a file
// that is there if it is empty.
func vacuumInto(ctx context.Context, db *sqlx.DB, path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, `VACUUM INTO ?`, path)
	return err
}

// verifyCopy checks every record of a copy and that the log goes the same way up
// to its end. It returns where that is.
func (s *Store) verifyCopy(ctx context.Context, path string) (int64, error) {
	r, err := checkRecords(ctx, path)
	if err != nil {
		return 0, err
	}
	if !r.OK() {
		return 0, fmt.Errorf("the copy is not sound, %d faults, the first: %s", len(r.Faults)+r.More, r.Faults[0])
	}
	chain, ok, err := s.ChainAt(ctx, r.High)
	if err != nil {
		return 0, err
	}
	if !ok || chain != r.Chain {
		return 0, fmt.Errorf("the copy is not what the log is at position %d", r.High)
	}
	return r.High, nil
}

// copyBlobs copies to a folder the photos that a copy of the records speaks of
// and the folder does not have, and deletes those taken out. It returns what the
// backup then holds.
func (s *Store) copyBlobs(ctx context.Context, copied, dir string, b *Backup) (h holding, err error) {
	db, err := connectReadOnly(copied)
	if err != nil {
		return h, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if h, err = holdingOf(ctx, db); err != nil {
		return h, err
	}
	var rows []blobRow
	if err := db.SelectContext(ctx, &rows, `SELECT `+blobColumns+` FROM blobs ORDER BY sha`); err != nil {
		return h, err
	}
	var denied []string
	if err := db.SelectContext(ctx, &denied, `SELECT sha FROM denied`); err != nil {
		return h, err
	}
	to := filepath.Join(dir, "blobs")
	for _, row := range rows {
		if err := ctx.Err(); err != nil {
			return h, err
		}
		err := mergeBlob(s.file(row.SHA), to, row)
		switch {
		case err == nil:
			h.photos = append(h.photos, row.SHA)
			step()
		case errors.Is(err, fs.ErrNotExist) && s.denied(ctx, row.SHA):
			// taken out while this went on
		default:
			b.Wrong = append(b.Wrong, fmt.Sprintf("Photo %s could not be backed up: %v.", row.SHA, err))
		}
	}
	for _, sha := range denied {
		if err := os.Remove(filepath.Join(to, sha[:2], sha)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			b.Wrong = append(b.Wrong, fmt.Sprintf("A photo that was taken out could not be deleted: %v.", err))
		}
	}
	b.Photos = len(h.photos)
	return h, nil
}

func (s *Store) denied(ctx context.Context, sha string) bool {
	st, _, err := s.state(ctx, sha)
	return err == nil && st.Denied
}

// mergeBlob copies one photo into a folder of photos unless it is there.
func mergeBlob(from, folder string, row blobRow) error {
	to := filepath.Join(folder, row.SHA[:2], row.SHA)
	if info, err := os.Stat(to); err == nil && info.Size() == row.Size {
		return nil
	}
	if err := makeDir(filepath.Dir(to)); err != nil {
		return err
	}
	_, err := copyWhole(from, to, row.SHA)
	return err
}

// halfBackup ends the names of backups that are being written.
const halfBackup = ".part"

// sweepHalves removes what a backup left that was killed long ago.
func sweepHalves(dir string, now time.Time) {
	halves, _ := filepath.Glob(filepath.Join(dir, backupName+"*"+halfBackup+"*"))
	for _, h := range halves {
		if info, err := os.Stat(h); err == nil && now.Sub(info.ModTime()) > halfAge {
			os.Remove(h)
		}
	}
}

func removeHalf(half string) {
	for _, suffix := range []string{"", "-journal", "-wal", "-shm"} {
		os.Remove(half + suffix)
	}
}
