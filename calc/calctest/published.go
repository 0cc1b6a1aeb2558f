// Package calctest is for the tests of calc only: it reads the published values that
// numbers are held against.
package calctest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Published reads a table of testdata/reference, such as "pipe.csv", as one map a row, by
// the heads of its columns. The sources stand in the table or in testdata/README.md.
func Published(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(root(t), "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines, %v", name, len(lines), err)
	}
	rows := make([]map[string]string, 0, len(lines)-1)
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, head := range lines[0] {
			row[head] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// Number reads a figure of a table.
func Number(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// root is the module's folder, above the one that the test runs in.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		above := filepath.Dir(dir)
		if above == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = above
	}
}
