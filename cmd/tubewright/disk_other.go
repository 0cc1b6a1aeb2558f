//go:build !unix

package main

import (
	"path/filepath"
	"strings"
)

// sameDisk tells whether a database and a folder lie on one drive, by its letter.
func sameDisk(database, folder string) bool {
	one, err := filepath.Abs(database)
	other, err2 := filepath.Abs(folder)
	return err == nil && err2 == nil && strings.EqualFold(filepath.VolumeName(one), filepath.VolumeName(other))
}
