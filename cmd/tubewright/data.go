package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"tubewright/store"
)

// dataFlag is the flag that names the folder of a shop's data.
func dataFlag(fs *flag.FlagSet) *string {
	return fs.String("data", "tubewright-data", "folder that holds the database and the photos")
}

func databaseIn(data string) string { return filepath.Join(data, "tubewright.db") }

// backupsIn is the folder of the backups: the one that was asked for or the one
// in the data folder.
func backupsIn(data, asked string) string {
	if asked != "" {
		return asked
	}
	return filepath.Join(data, "backups")
}

// openShop opens a shop's database, which has to be there.
func openShop(ctx context.Context, data string) (*store.Store, error) {
	_, err := os.Stat(databaseIn(data))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no database in %s; -data names its folder", data)
	}
	if err != nil {
		return nil, err
	}
	return store.Open(ctx, databaseIn(data))
}
