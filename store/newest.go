package store

import (
	"context"
	"fmt"
	"slices"
)

// Newest returns the newest backup of a folder that can be read; ok is false when
// there is none. A folder that is not there has none.
func Newest(ctx context.Context, dir string) (b Backup, ok bool, err error) {
	list, err := backupNames(dir)
	if err != nil {
		return Backup{}, false, fmt.Errorf("look for the newest backup: %w", err)
	}
	for _, b := range slices.Backward(list) {
		if err := b.read(ctx); err == nil { // else the one before it counts
			return b, true, nil
		}
	}
	return Backup{}, false, nil
}
