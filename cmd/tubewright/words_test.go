package main

import (
	"strings"
	"testing"
)

func TestAlarmKeepsTheWordsAndTheLine(t *testing.T) {
	text := movedWarning("https://tubewright.local:8411", "https://tubewright.local:9000")
	got := alarm(text)
	for line := range strings.Lines(got) {
		line = strings.TrimSuffix(line, "\n")
		if !strings.HasPrefix(line, "!! ") || len(line) > lineLength {
			t.Errorf("%q", line)
		}
	}
	if words := strings.Join(strings.Fields(strings.ReplaceAll(got, "!!", "")), " "); words != text {
		t.Errorf("the words changed: %s", words)
	}
}
