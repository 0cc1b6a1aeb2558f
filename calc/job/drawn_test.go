package job_test

import (
	"strings"
	"testing"

	"tubewright/calc/geom"
	"tubewright/calc/job"
)

func TestDrawnPathIsReadAndWritten(t *testing.T) {
	for _, tt := range []struct{ text, again string }{
		{"0 0;40 0 0.414214;50 10", "0 0;40 0 0.414214;50 10"},
		{" 0   0 ; 40.50 -0.0 1.000000", "0 0;40.5 0 1"},
		{"-1.25 +2 -0.5;3 4 0.0000001", "-1.25 2 -0.5;3 4"},
	} {
		path, err := job.ParsePath(tt.text)
		if err != nil {
			t.Fatalf("%q: %v", tt.text, err)
		}
		if got := job.FormatPath(path); got != tt.again {
			t.Errorf("%q: written as %q, want %q", tt.text, got, tt.again)
		}
	}
	path, err := job.ParsePath("0 0;40 0 0.414214")
	if err != nil || path[1] != (geom.Vertex{X: 40, Y: 0, Bulge: 0.414214}) {
		t.Errorf("%v, %v", path, err)
	}
}

func TestDrawnPathThatCannotBeUsedSaysWhy(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"", "2 to 2000 corners"},
		{"1 2", "here are 1"},
		{"0 0;", "corner 2"},
		{"0 0;1", "corner 2"},
		{"0 0;1 2 3 4", "corner 2"},
		{"0 0;one 2", `"one"`},
		{"0 0;NaN 2", `"NaN"`},
		{"0 0;Inf 2", `"Inf"`},
		{"0 0;1e3 2", `"1e3"`},
		{"0 0;0x10 2", `"0x10"`},
		{"0 0;3000.1 2", "from -3000 to 3000"},
		{"0 0;1 2 1000.1", "from -1000 to 1000"},
		{"0,5 0;1 2", `"0,5"`},
		{strings.Repeat("0 0;", 2000) + "0 0", "here are 2001"},
	} {
		if _, err := job.ParsePath(tt.text); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%.40q: %v, want %q", tt.text, err, tt.want)
		}
	}
}

// What is read is written so that it is read again the same, to the last sign.
func FuzzDrawnPath(f *testing.F) {
	f.Add("0 0;40 0 0.414214;50 10")
	f.Add("-0 .5;5. 00012.3456789 -1000")
	f.Fuzz(func(t *testing.T, text string) {
		path, err := job.ParsePath(text)
		if err != nil {
			return
		}
		written := job.FormatPath(path)
		again, err := job.ParsePath(written)
		if err != nil {
			t.Fatalf("%q is written as %q, which cannot be read: %v", text, written, err)
		}
		if second := job.FormatPath(again); second != written {
			t.Errorf("%q is written as %q, then as %q", text, written, second)
		}
	})
}
