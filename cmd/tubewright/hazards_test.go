package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every hazard of testdata/hazards.md of severity A or B has a test named after
// it, or the page says why a person has to look.
func TestEveryHazardIsProved(t *testing.T) {
	root := filepath.Join("..", "..")
	page, err := os.ReadFile(filepath.Join(root, "testdata", "hazards.md"))
	if err != nil {
		t.Fatal(err)
	}
	proved := hazardTests(t, root)
	row := regexp.MustCompile(`(?m)^\| ([A-Z]{2}\d+) \| [^|]+ \| ([ABC]) \|([^|]*)\|$`)
	rows := row.FindAllStringSubmatch(string(page), -1)
	if len(rows) < 40 {
		t.Fatalf("%d hazards read from the page", len(rows))
	}
	for _, r := range rows {
		id, severity, note := r[1], r[2], strings.TrimSpace(r[3])
		if severity != "C" && len(proved[id]) == 0 && !strings.HasPrefix(note, "by hand") {
			t.Errorf("%s has no test named after it, and the page does not say that it is looked at by hand", id)
		}
	}
}

// hazardTests finds the tests and claims that carry the id of a hazard, or of several:
// TestSW4SW5Name, "ST1 ST9: name".
func hazardTests(t *testing.T, root string) map[string][]string {
	t.Helper()
	inGo := regexp.MustCompile(`(?m)^func Test((?:[A-Z]{2}\d+)+)\w*\(`)
	inClaims := regexp.MustCompile("[\"`]((?:[A-Z]{2}\\d+ ?)+): ")
	id := regexp.MustCompile(`[A-Z]{2}\d+`)
	found := map[string][]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git" || d.Name() == "dist"):
			return filepath.SkipDir
		}
		find := inGo
		switch {
		case strings.HasSuffix(path, "_test.go"):
		case strings.HasSuffix(path, ".ts") && filepath.Base(filepath.Dir(path)) == "test":
			find = inClaims
		default:
			return nil
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range find.FindAllStringSubmatch(string(b), -1) {
			for _, id := range id.FindAllString(m[1], -1) {
				found[id] = append(found[id], path)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}
