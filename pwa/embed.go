// Package pwa holds what the tablet runs, built into dist by cmd/build and
// embedded in the program.
package pwa

import (
	"embed"
	"io/fs"
)

// The folder is kept in the repository by dist/.gitkeep, so that a fresh clone
// compiles before anything is built.
//
//go:embed all:dist
var dist embed.FS

// Dist returns the built files, names relative to the folder: "index.html".
// A large file may be there only as NAME.gz. Before the first build the folder
// holds nothing but .gitkeep.
func Dist() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("pwa: bug: the embedded folder is called dist: " + err.Error())
	}
	return sub
}

// Built reports whether the app was built into this program.
func Built() bool {
	_, err := fs.Stat(dist, "dist/index.html")
	return err == nil
}
