//go:build unix

package main

import (
	"os"
	"path/filepath"
	"syscall"
)

// sameDisk tells whether a database and a folder lie on one disk: on one file
// system, of which a disk can hold several. A folder that is not there yet counts
// as lying where the one above it does. What cannot be found out is no.
func sameDisk(database, folder string) bool {
	one, ok := device(filepath.Dir(database))
	other, ok2 := device(folder)
	return ok && ok2 && one == other
}

func device(path string) (uint64, bool) {
	path, err := filepath.Abs(path)
	if err != nil {
		return 0, false
	}
	for {
		info, err := os.Stat(path)
		if err == nil {
			stat, ok := info.Sys().(*syscall.Stat_t)
			if !ok {
				return 0, false
			}
			return uint64(stat.Dev), true
		}
		up := filepath.Dir(path)
		if up == path {
			return 0, false
		}
		path = up
	}
}
