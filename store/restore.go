package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Restore puts a backup in the place of a database and returns where what was
// there before lies now; empty when nothing was. The backup is checked first,
// record by record. Photos that lie beside it are added to those beside the
// database; none is deleted. The pairings that were there stay as they were, so
// that no tablet comes back that was revoked since, and none has to be paired again
// that was paired since.
//
// It refuses while another program has the database open. The new file appears
// whole in one step; before that a copy of the old one is on the disk.
//
// Nobody has to tell the tablets: where their log goes another way than this one
// the chain does not fit, and they offer all that they hold again.
func Restore(ctx context.Context, database, backup string) (aside string, err error) {
	aside, err = restore(ctx, database, backup)
	if err != nil {
		return aside, fmt.Errorf("restore %s from %s: %w", database, backup, err)
	}
	return aside, nil
}

func restore(ctx context.Context, database, backup string) (aside string, err error) {
	if err := refuseNetwork(database); err != nil {
		return "", err
	}
	there, err := os.Stat(database)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	if from, err := os.Stat(backup); err != nil {
		return "", err
	} else if there != nil && os.SameFile(there, from) {
		return "", errors.New("the backup is the database itself")
	}
	report, err := checkRecords(ctx, backup)
	if err != nil {
		return "", err
	}
	if !report.OK() {
		return "", fmt.Errorf("the backup is not sound, take another one; %d faults, the first: %s", len(report.Faults)+report.More, report.Faults[0])
	}
	if there != nil {
		if err := release(ctx, database); err != nil {
			return "", err
		}
	}
	if err := mergeBlobs(ctx, blobFolder(backup), blobFolder(database)); err != nil {
		return "", fmt.Errorf("bring photos: %w", err)
	}
	var paired []keptRow
	if there != nil {
		paired = keptPaired(ctx, database)
		if aside, err = copyOld(database, time.Now()); err != nil {
			return "", fmt.Errorf("copy what is there aside: %w", err)
		}
		for _, log := range []string{"-wal", "-shm"} { // the old log must not be folded into the new file
			if err := os.Remove(database + log); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return aside, err
			}
		}
	}
	step()
	return aside, place(ctx, backup, database, paired)
}

// place puts a backup in the place of a database in one step, with the pairings
// that are to hold from then on.
func place(ctx context.Context, backup, database string, paired []keptRow) error {
	if len(paired) == 0 {
		_, err := copyWhole(backup, database, "")
		return err
	}
	half := database + ".restoring"
	// Of a restore that did not end its journal may be left, and it is not the new file's.
	if err := os.Remove(half + "-journal"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if _, err := copyWhole(backup, half, ""); err != nil {
		return err
	}
	if err := putPaired(ctx, half, paired); err != nil {
		return fmt.Errorf("keep the pairings: %w", err)
	}
	step()
	if err := syncFile(half); err != nil {
		return err
	}
	if err := os.Rename(half, database); err != nil {
		return err
	}
	step()
	return syncDir(filepath.Dir(database))
}

// release makes sure that nobody has a database open and folds its log file back.
// Leaving the write-ahead log needs the file for itself alone and so fails while
// another program has it open, if only to look. A database that is too damaged to
// be opened is no obstacle: it is why one restores.
func release(ctx context.Context, database string) error {
	db, err := connect(database, []setting{{"busy_timeout", "1000", "1000"}}, 1)
	if err != nil {
		return err
	}
	var mode string
	err = errors.Join(db.GetContext(ctx, &mode, `PRAGMA journal_mode = DELETE`), db.Close())
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil && isBusy(err), err == nil && mode != "delete":
		return errors.New("another program has the database open: stop the server first")
	}
	return nil
}

// isBusy tells SQLite's "database is locked" from damage.
func isBusy(err error) bool {
	var coded interface{ Code() int }
	const busy, locked = 5, 6
	return errors.As(err, &coded) && (coded.Code()&0xff == busy || coded.Code()&0xff == locked)
}

// copyOld copies a database and what may belong to it under a name of its own.
func copyOld(database string, now time.Time) (string, error) {
	aside := database + ".before-restore-" + now.UTC().Format(backupTime)
	for _, suffix := range []string{"-wal", "-journal", ""} {
		_, err := copyWhole(database+suffix, aside+suffix, "")
		if err != nil && !(suffix != "" && errors.Is(err, fs.ErrNotExist)) {
			return "", err
		}
	}
	return aside, nil
}

// mergeBlobs copies the photos that one folder has and the other has not. A file
// that is not what its name says stays behind: the restored records know what is
// missing, and Check names it.
func mergeBlobs(ctx context.Context, from, to string) error {
	if same, err := sameFolder(from, to); same || err != nil {
		return err
	}
	return eachBlob(from, func(sha, path string, info fs.FileInfo) error {
		if sha == "" || ctx.Err() != nil {
			return ctx.Err()
		}
		err := mergeBlob(path, to, blobRow{SHA: sha, Size: info.Size()})
		var other *wrongSum
		if errors.As(err, &other) {
			return nil
		}
		return err
	})
}

func sameFolder(a, b string) (bool, error) {
	a, err := filepath.Abs(a)
	if err != nil {
		return false, err
	}
	if b, err = filepath.Abs(b); err != nil {
		return false, err
	}
	return strings.TrimSuffix(a, "/") == strings.TrimSuffix(b, "/"), nil
}
