package drive

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Nothing that was started stays: processes are told by the profile's folder.
func TestCloseLeavesNoProcessAndNoFolder(t *testing.T) {
	for _, e := range Engines {
		t.Run(e.Name, func(t *testing.T) {
			if testing.Short() {
				t.Skip("SKIPPED: browsers, because of -short")
			}
			b, skip, err := e.Start(context.Background(), Options{})
			must(t, err)
			if skip != "" {
				t.Skip(skip)
			}
			var home string
			var tmp []string
			switch b := b.(type) {
			case *chromium:
				home, tmp = b.home, []string{b.proc.tmp}
			case *firefox:
				home, tmp = b.home, []string{b.proc.tmp}
			case *webkit:
				home, tmp = b.home, []string{b.proc.tmp, b.display.tmp}
			}
			if b.Name() != "WebKitGTK" && len(running(home)) == 0 { // the check itself can see them
				t.Error("no process names the profile while it runs")
			}
			b.Close()
			for _, folder := range append(tmp, home) {
				if _, err := os.Stat(folder); err == nil {
					t.Errorf("%s is still there", folder)
				}
			}
			if left := running(home); len(left) > 0 {
				t.Errorf("still running: %q", left)
			}
		})
	}
}

// running lists the command lines that name a folder.
func running(folder string) []string {
	files, err := filepath.Glob("/proc/[0-9]*/cmdline")
	if err != nil {
		return nil
	}
	var found []string
	for _, f := range files {
		if b, err := os.ReadFile(f); err == nil && strings.Contains(string(b), folder) {
			found = append(found, strings.ReplaceAll(string(b), "\x00", " "))
		}
	}
	return found
}
