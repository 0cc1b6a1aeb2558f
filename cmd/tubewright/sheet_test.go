package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const flangeFile = "../../testdata/job/flange.job.json"

func TestSheetsAreListed(t *testing.T) {
	code, out, errs := command(t, "sheet", flangeFile)
	if code != exitDone || errs != "" {
		t.Fatalf("exit %d, %s", code, errs)
	}
	for _, want := range []string{"flange-A ", "flange-A-head ", "pdf svg dxf", "transition-t2", "over which length", "the OD of the branch. (figures may stand behind its key: saddle-t1,od=…,wall=0,angle=90,offset=0)"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in the list:\n%s", want, out)
		}
	}
}

// The commands of the README, as they stand there.
func TestReadmeSheetCommands(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(flangeFile)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.WriteFile("my.job.json", file, 0o600); err != nil {
		t.Fatal(err)
	}
	ran := 0
	for line := range strings.Lines(string(readme)) {
		args := strings.Fields(line)
		if len(args) < 2 || args[0] != "tubewright" || args[1] != "sheet" {
			continue
		}
		ran++
		if code, out, errs := command(t, args[1:]...); code != exitDone || errs != "" || out == "" {
			t.Errorf("%s: exit %d, %q, %q", strings.TrimSpace(line), code, out, errs)
		}
	}
	for name, begins := range map[string]string{"flange.pdf": "%PDF-", "flange-A-rev-A-359x88mm.dxf": "999\r\n", "ports.svg": "<?xml"} {
		b, err := os.ReadFile(name)
		if err != nil || !strings.HasPrefix(strings.TrimSpace(string(b)), begins) {
			t.Errorf("%s: %v, begins with %.10q", name, err, b)
		}
	}
	if ran != 4 {
		t.Errorf("%d commands were run, want 4", ran)
	}
}

func TestSheetToStandardOutput(t *testing.T) {
	for _, c := range []struct {
		args   []string
		begins string
	}{
		{[]string{flangeFile, "flange"}, "%PDF-"}, {[]string{"--svg", flangeFile, "flange-A-head"}, "<?xml"}, {[]string{flangeFile, "--dxf", "flange"}, "999"},
	} {
		code, out, errs := command(t, append([]string{"sheet"}, c.args...)...)
		if code != exitDone || errs != "" || !strings.HasPrefix(strings.TrimSpace(out), c.begins) {
			t.Errorf("%v: exit %d, %s, %.20q", c.args, code, errs, out)
		}
	}
}

func TestSheetThatCannotBeMade(t *testing.T) {
	bad := filepath.Join(t.TempDir(), "bad.job.json")
	if err := os.WriteFile(bad, []byte(`{"tubewright":1,"engine":{"bore":"8 3/ in"}}`), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{flangeFile, "transition-t2"}, "over which length"}, {[]string{flangeFile, "flange-B"}, "no such sheet"}, {[]string{flangeFile, "pattern-g1", "--dxf"}, "Nothing of it is cut"},
		{[]string{flangeFile, "flange", "--pdf", "--dxf"}, "one of"}, {[]string{flangeFile, "flange", "--paper", "a0"}, "a0"}, {[]string{flangeFile, "flange", "--unit", "furlong"}, "furlong"},
		{[]string{bad, "flange"}, "engine.bore"}, {[]string{"no-such-file", "flange"}, "no-such-file"}, {nil, "sheet"}, {[]string{"a", "b", "c"}, "sheet"},
	} {
		code, out, errs := command(t, append([]string{"sheet"}, c.args...)...)
		if code != exitUnusable || out != "" || !strings.Contains(errs, c.says) {
			t.Errorf("%v: exit %d, printed %.40q, said %q, want %q", c.args, code, out, errs, c.says)
		}
	}
}
