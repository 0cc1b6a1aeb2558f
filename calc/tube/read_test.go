package tube_test

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/geom"
)

// table reads a CSV file of testdata as rows by column name.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(filepath.Join("../../testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines, %v", name, len(lines), err)
	}
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for i, key := range lines[0] {
			row[key] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func numbers(t *testing.T, list string) (xs []float64) {
	t.Helper()
	for _, text := range strings.Split(list, ";") {
		xs = append(xs, number(t, text))
	}
	return xs
}

var figure = regexp.MustCompile(`[-0-9.]+`)

// inputs reads "R=76.2 mm theta=90".
func inputs(t *testing.T, text string) (r, theta float64) {
	t.Helper()
	found := figure.FindAllString(text, -1)
	if len(found) != 2 {
		t.Fatalf("inputs %q", text)
	}
	return number(t, found[0]), number(t, found[1])
}

// points reads "(0.0,0.0,0.0); (100.0,0.0,0.0)".
func points(t *testing.T, text string) (pts []geom.Vec) {
	t.Helper()
	for _, p := range strings.Split(text, ";") {
		xyz := figure.FindAllString(p, -1)
		pts = append(pts, geom.Vec{X: number(t, xyz[0]), Y: number(t, xyz[1]), Z: number(t, xyz[2])})
	}
	return pts
}
