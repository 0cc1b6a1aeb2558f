package store

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// PhotoReport is what Check found of photos and previews.
type PhotoReport struct {
	Whole  int   // with all their bytes, checked
	Bytes  int64 // of those
	Denied int   // taken out for good
	Parts  int   // begun and not finished
	// Awaited are named by records and neither here nor taken out: a tablet has
	// yet to send them.
	Awaited int
	// Stray are files without a row: of the folder of backups those that only
	// newer ones speak of; beside the shop's database the next start takes them in.
	Stray int
}

// photos compares the rows with the files that lie beside the database.
func (r *Report) photos(ctx context.Context, path string) (err error) {
	db, err := connectReadOnly(path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	var rows []blobRow
	if err := db.SelectContext(ctx, &rows, `SELECT `+blobColumns+` FROM blobs ORDER BY sha`); err != nil {
		return err
	}
	var denied []string
	if err := db.SelectContext(ctx, &denied, `SELECT sha FROM denied`); err != nil {
		return err
	}
	folder := blobFolder(path)
	listed := map[string]bool{}
	for _, row := range rows {
		if err := ctx.Err(); err != nil {
			return err
		}
		listed[row.SHA] = true
		r.photo(folder, row)
	}
	for _, sha := range denied {
		listed[sha] = true
		if _, err := os.Stat(filepath.Join(folder, sha[:2], sha)); err == nil {
			r.fault("Photo %s was taken out for good and its bytes are still there; the next start deletes them.", sha)
		}
	}
	r.Photos.Denied = len(denied)
	for sha := range r.named {
		if !listed[sha] {
			r.Photos.Awaited++
		}
	}
	parts, err := os.ReadDir(filepath.Join(folder, "part"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	r.Photos.Parts = len(parts)
	return eachBlob(folder, func(sha, _ string, info fs.FileInfo) error {
		if !listed[sha] && !strings.HasPrefix(info.Name(), halfName) {
			r.Photos.Stray++
		}
		return nil
	})
}

func (r *Report) photo(folder string, row blobRow) {
	path := filepath.Join(folder, row.SHA[:2], row.SHA)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		r.fault("Photo %s: its file is missing.", row.SHA)
		return
	}
	if err != nil {
		r.fault("Photo %s: %v.", row.SHA, err)
		return
	}
	sum, err := hashFile(path)
	switch {
	case err != nil:
		r.fault("Photo %s: it cannot be read: %v.", row.SHA, err)
	case info.Size() != row.Size:
		r.fault("Photo %s: %d bytes, not %d.", row.SHA, info.Size(), row.Size)
	case sum != row.SHA:
		r.fault("Photo %s: its bytes are not what was stored.", row.SHA)
	default:
		r.Photos.Whole++
		r.Photos.Bytes += row.Size
	}
}
