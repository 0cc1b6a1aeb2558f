package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"tubewright/store"
)

func TestVersionIsSaidHoweverItIsAsked(t *testing.T) {
	for _, arg := range []string{"version", "-version", "--version"} {
		code, out, errs := command(t, arg)
		if code != exitDone || errs != "" {
			t.Errorf("%s: exit %d, %q", arg, code, errs)
		}
		for _, want := range []string{"tubewright  " + version + "\n", "tablet app  ", fmt.Sprintf("version %d\n", store.SchemaVersion()), runtime.Version()} {
			if !strings.Contains(out, want) {
				t.Errorf("%s: lacks %q:\n%s", arg, want, out)
			}
		}
	}
}

// The build keeps a large file only packed, and the list of files grew past that.
func TestBuildIsNamedPackedOrNot(t *testing.T) {
	const list = `{"build":"0123456789ab","files":[]}`
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if _, err := w.Write([]byte(list)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for name, files := range map[string]fstest.MapFS{
		"plain":  {"set.json": {Data: []byte(list)}},
		"packed": {"set.json.gz": {Data: packed.Bytes()}},
	} {
		if got := buildOf(files); got != "0123456789ab" {
			t.Errorf("%s: build %q", name, got)
		}
	}
	for name, files := range map[string]fstest.MapFS{
		"nothing": {}, "no list": {"set.json": {Data: []byte("[]")}}, "cut": {"set.json.gz": {Data: packed.Bytes()[:20]}},
	} {
		if got := buildOf(files); got != "" {
			t.Errorf("%s: build %q", name, got)
		}
	}
}
