package main

import (
	"fmt"
	"io"
	"runtime"

	"tubewright/pwa"
	"tubewright/store"
)

// version is stamped in when a release is built (cmd/build, release.go).
var version = "dev"

// versionCommand says what this program is: what a person who reports a fault, or
// asks whether to upgrade, is asked for.
func versionCommand(args []string, stdout, stderr io.Writer) error {
	fs := flags("version", "", "Says what this program is and what it was built with.", stderr)
	if err := parse(fs, args, 0); err != nil {
		return err
	}
	build := buildOf(pwa.Dist())
	if build == "" {
		build = "none in this program; go run ./cmd/build puts it in"
	}
	_, err := fmt.Fprintf(stdout, "tubewright  %s\ntablet app  %s\ndatabase    version %d\nbuilt with  %s for %s/%s\n",
		version, build, store.SchemaVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return err
}
