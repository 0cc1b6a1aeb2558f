package store

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"time"

	"github.com/jmoiron/sqlx"
	_ "modernc.org/sqlite"
)

// readers is how many reads can go on at once. More would wait for each other on
// the two or four cores of a shop machine anyway.
const readers = 4

// Store is an open database. Its methods may be called from any goroutine.
type Store struct {
	// Now is the clock that stamps when a record arrived; time.Now unless set
	// before the first Append. The stamp is for people and decides nothing.
	Now func() time.Time

	// BlobLimit is how many bytes of photos are kept, unfinished ones included;
	// beyond it photos are refused while records go on. 20 GiB unless set before
	// the first BeginBlob.
	BlobLimit int64

	path  string
	write *sqlx.DB // one connection: writers queue in Go and never meet in SQLite
	read  *sqlx.DB

	blobs  sync.Mutex // held while files of photos change
	folder string     // of the photos
	look   func([]byte) (picture, error)
}

// Open opens the database file at path, makes it when there is none, and brings
// an older one up to date after putting a copy aside (see schema.go). It refuses
// files on network file systems, files that a newer program wrote, and files of
// something else, each with a sentence. Settings are read back on every
// connection before Open returns. The bytes of photos lie in the folder blobs
// beside the file; what is wrong there does not keep the records from opening.
func Open(ctx context.Context, path string) (*Store, error) {
	return open(ctx, path, newest())
}

func open(ctx context.Context, path string, sc schema) (s *Store, err error) {
	if err := refuseNetwork(path); err != nil {
		return nil, err
	}
	s = &Store{Now: time.Now, BlobLimit: blobLimit, path: path, folder: blobFolder(path), look: look}
	defer func() {
		if err != nil {
			err = fmt.Errorf("open %s: %w", path, errors.Join(err, s.Close()))
			s = nil
		}
	}()
	if s.write, err = connect(path, writeSettings, 1); err != nil {
		return s, err
	}
	if err := sc.apply(ctx, s.write, path); err != nil {
		return s, err
	}
	if s.read, err = connect(path, readSettings, readers); err != nil {
		return s, err
	}
	if err := verify(ctx, s.write, writeSettings, 1); err != nil {
		return s, err
	}
	if err := verify(ctx, s.read, readSettings, readers); err != nil {
		return s, err
	}
	_ = s.sweep(ctx) // Tidy does it again and reports
	return s, nil
}

// blobFolder is where the photos of a database lie.
func blobFolder(database string) string { return filepath.Join(filepath.Dir(database), "blobs") }

// Close folds the log file back into the database and closes it.
func (s *Store) Close() error {
	var errs []error
	for _, db := range []*sqlx.DB{s.read, s.write} { // the last to close folds the log back
		if db != nil {
			errs = append(errs, db.Close())
		}
	}
	return errors.Join(errs...)
}
