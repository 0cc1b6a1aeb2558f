package main

import (
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"

	"tubewright/pwa"
	"tubewright/store"
)

// version is stamped in when a release is built (cmd/build, release.go).
var version = "dev"

// versionCommand says what this program is: what a person who reports a fault, or
// asks whether to upgrade, is asked for.
func versionCommand(args []string, stdout, stderr io.Writer) error {
	flagSet := flags("version", "", "Says what this program is and what it was built with.", stderr)
	if err := parse(flagSet, args, 0); err != nil {
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

// buildOf names the build of the app that files hold; empty when nothing is built. A
// list of files that is large is there only packed.
func buildOf(files fs.FS) string {
	var set struct {
		Build string `json:"build"`
	}
	b, err := fs.ReadFile(files, "set.json")
	if errors.Is(err, fs.ErrNotExist) {
		b, err = unpacked(files, "set.json.gz")
	}
	if err != nil || json.Unmarshal(b, &set) != nil {
		return ""
	}
	return set.Build
}

func unpacked(files fs.FS, name string) ([]byte, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}
