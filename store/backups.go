package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

const (
	backupName = "tubewright-"
	backupTime = "20060102T150405.000Z" // sorts as text
	backupEnd  = ".db"
)

// nextName names a backup after the time, or right after the newest one of the
// folder where the clock went backwards: the newest by name is the newest.
func nextName(dir string, now time.Time) (string, time.Time, error) {
	at := now.UTC().Truncate(time.Millisecond)
	names, err := backupNames(dir)
	if err != nil {
		return "", at, err
	}
	if len(names) > 0 {
		if newest := names[len(names)-1].At; !at.After(newest) {
			at = newest.Add(time.Millisecond)
		}
	}
	return filepath.Join(dir, backupName+at.Format(backupTime)+backupEnd), at, nil
}

// backupNames lists the backups of a folder by their names, oldest first.
func backupNames(dir string) ([]Backup, error) {
	files, err := os.ReadDir(dir) // sorted by name
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var list []Backup
	for _, f := range files {
		text, ours := strings.CutPrefix(f.Name(), backupName)
		text, ended := strings.CutSuffix(text, backupEnd)
		at, err := time.Parse(backupTime, text)
		if !ours || !ended || err != nil || !f.Type().IsRegular() {
			continue
		}
		b := Backup{Path: filepath.Join(dir, f.Name()), At: at}
		if info, err := f.Info(); err == nil {
			b.Size = info.Size()
		}
		list = append(list, b)
	}
	return list, nil
}

// Backups lists the backups of a folder, oldest first, with how far each goes. A
// folder that is not there has none.
func Backups(ctx context.Context, dir string) ([]Backup, error) {
	list, err := backupNames(dir)
	if err != nil {
		return nil, fmt.Errorf("list backups: %w", err)
	}
	for i := range list {
		if err := list[i].read(ctx); err != nil {
			list[i].Wrong = []string{fmt.Sprintf("It cannot be read: %v.", err)}
		}
	}
	return list, nil
}

func (b *Backup) read(ctx context.Context) (err error) {
	db, err := connectReadOnly(b.Path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	have, err := readVersion(ctx, db)
	if err != nil {
		return err
	}
	if b.Pos, _, err = end(ctx, db); err != nil || have < 2 { // schema 1 had no photos
		return err
	}
	return db.GetContext(ctx, &b.Photos, `SELECT count(*) FROM blobs`)
}

// Prune deletes backups of a folder but the newest of each of the last hourly
// hours and of each of the last daily days (UTC) that have one, and returns what
// it deleted. The newest backup always stays, and so do the photos: the newest
// backup needs all that an older one does.
func Prune(dir string, hourly, daily int) ([]string, error) {
	list, err := backupNames(dir)
	if err != nil {
		return nil, fmt.Errorf("prune backups: %w", err)
	}
	hours, days := map[time.Time]bool{}, map[time.Time]bool{}
	var deleted []string
	for i, b := range slices.Backward(list) {
		hour, day := b.At.Truncate(time.Hour), b.At.Truncate(24*time.Hour)
		keep := i == len(list)-1
		if !hours[hour] && len(hours) < hourly {
			hours[hour], keep = true, true
		}
		if !days[day] && len(days) < daily {
			days[day], keep = true, true
		}
		if keep {
			continue
		}
		if err := os.Remove(b.Path); err != nil {
			return deleted, fmt.Errorf("prune backups: %w", err)
		}
		deleted = append(deleted, b.Path)
	}
	return deleted, nil
}
