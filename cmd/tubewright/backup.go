package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"tubewright/store"
)

// backupCommand makes a backup now.
func backupCommand(ctx context.Context, args []string, stdout, stderr io.Writer) (err error) {
	fs := flags("backup", "", `Makes a backup of records and photos now, also while the server runs.
Exit code 0: made and checked. 1: not made, or a photo could not be copied.`, stderr)
	data := dataFlag(fs)
	to := fs.String("to", "", "folder for it, best on another disk; the folder backups in the data folder unless given")
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	st, err := openShop(ctx, *data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	b, err := st.Backup(ctx, backupsIn(*data, *to))
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "%s: records up to position %d, %d photos and previews\n", b.Path, b.Pos, b.Photos)
	for _, w := range b.Wrong {
		fmt.Fprintln(stdout, w)
	}
	if len(b.Wrong) > 0 {
		return fmt.Errorf("the records are backed up; of the photos %d could not be", len(b.Wrong))
	}
	return nil
}

// backupsCommand lists the backups.
func backupsCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("backups", "", "Lists the backups of a folder, oldest first.", stderr)
	data := dataFlag(fs)
	in := fs.String("backups", "", "folder of the backups; the folder backups in the data folder unless given")
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	dir := backupsIn(*data, *in)
	list, err := store.Backups(ctx, dir)
	if err != nil {
		return err
	}
	if len(list) == 0 {
		fmt.Fprintf(stdout, "There are no backups in %s.\n", dir)
		return nil
	}
	for _, b := range list {
		fmt.Fprintf(stdout, "%s  %s  ", b.At.Local().Format("2006-01-02 15:04:05"), b.Path)
		if len(b.Wrong) > 0 {
			fmt.Fprintln(stdout, strings.Join(b.Wrong, " "))
			continue
		}
		fmt.Fprintf(stdout, "position %d, %d photos, %.1f MB\n", b.Pos, b.Photos, float64(b.Size)/1e6)
	}
	return nil
}

// restoreCommand puts a backup in the place of the database.
func restoreCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	fs := flags("restore", " BACKUP", `Puts a backup in the place of the database: a backup's file, or a folder of
backups for the newest in it. Stop the server first. What was there before is
kept beside it. The tablets bring back what came after the backup by themselves.
Exit code 0: restored and sound. 1: nothing was changed, or the report says what.`, stderr)
	data := dataFlag(fs)
	if err := parse(fs, args, 1); err != nil {
		return err
	}
	from, err := newestIn(ctx, fs.Arg(0))
	if err != nil {
		return err
	}
	if err := os.MkdirAll(*data, 0o700); err != nil {
		return fmt.Errorf("make data folder: %w", err)
	}
	database := databaseIn(*data)
	aside, err := store.Restore(ctx, database, from)
	if aside != "" {
		fmt.Fprintf(stdout, "What was there before is now %s\n", aside)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "Restored from %s\n", from)
	if err := checkFile(ctx, database, stdout); err != nil {
		return err
	}
	fmt.Fprint(stdout, "Start the server: tablets that hold more than this notice it and send all they have again.\n")
	return nil
}

// newestIn returns the newest backup of a folder, and a file as it is.
func newestIn(ctx context.Context, path string) (string, error) {
	info, err := os.Stat(path)
	if err != nil || !info.IsDir() {
		return path, err
	}
	b, ok, err := store.Newest(ctx, path)
	if err != nil || ok {
		return b.Path, err
	}
	return "", fmt.Errorf("there is no backup in %s", path)
}

// when writes a time for people.
func when(at time.Time) string { return at.Local().Format("2006-01-02 15:04") }
