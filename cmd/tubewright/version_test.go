package main

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

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
