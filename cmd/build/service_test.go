package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

const unitFile = "../../docs/service/tubewright.service"

// systemd itself reads the unit. The program need not be installed for that: another
// one stands in its place.
func TestUnitIsWhatSystemdUnderstands(t *testing.T) {
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("SKIPPED: systemd-analyze is missing (Debian: apt-get install systemd)")
	}
	unit := analyzable(t)
	if said, err := exec.Command("systemd-analyze", "verify", "--man=no", unit).CombinedOutput(); err != nil || len(said) > 0 {
		t.Errorf("systemd-analyze verify: %v\n%s", err, said)
	}
}

// The score is systemd's own, 0 (closed) to 100 (all open); the limit is our choice.
func TestUnitIsClosed(t *testing.T) {
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("SKIPPED: systemd-analyze is missing (Debian: apt-get install systemd)")
	}
	said, err := exec.Command("systemd-analyze", "security", "--no-pager", "--offline=yes", "--threshold=20", analyzable(t)).CombinedOutput()
	if strings.Contains(string(said), "unrecognized option") {
		t.Skip("SKIPPED: this systemd-analyze is too old to judge a file")
	}
	if err != nil {
		t.Errorf("systemd-analyze security: %v\n%s", err, said)
	}
}

// analyzable is a copy of the unit that starts a program that is there.
func analyzable(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile(unitFile)
	if err != nil {
		t.Fatal(err)
	}
	there, err := exec.LookPath("true")
	if err != nil {
		t.Skip("SKIPPED: no program to put into the unit")
	}
	unit := filepath.Join(t.TempDir(), "tubewright.service")
	if err := os.WriteFile(unit, []byte(strings.ReplaceAll(string(b), "/usr/local/bin/tubewright", there)), 0o644); err != nil {
		t.Fatal(err)
	}
	return unit
}

// What the pages for whoever sets the shop machine up tell to type exists.
func TestServicePagesUseFlagsThatExist(t *testing.T) {
	var source strings.Builder
	files, err := filepath.Glob("../tubewright/*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no sources of the program: %v", err)
	}
	for _, path := range files {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		source.Write(b)
	}
	command := regexp.MustCompile(`(?m)tubewright(?:\.exe"?)? +(serve|backup|restore|[a-z]+)((?: +-[a-z-]+(?: +[^\s#]+)?)+)`)
	flag := regexp.MustCompile(` -([a-z-]+)`)
	var found int
	for _, page := range []string{unitFile, "../../docs/service/README.md", "../../docs/service/windows.md"} {
		b, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range command.FindAllStringSubmatch(string(b), -1) {
			if !strings.Contains(source.String(), `case "`+c[1]+`"`) {
				continue // prose, or another program
			}
			for _, f := range flag.FindAllStringSubmatch(c[2], -1) {
				found++
				if !strings.Contains(source.String(), `"`+f[1]+`", `) {
					t.Errorf("%s: %q has no flag -%s", filepath.Base(page), c[0], f[1])
				}
			}
		}
	}
	if found < 5 {
		t.Errorf("only %d flags were found on the pages", found)
	}
}
