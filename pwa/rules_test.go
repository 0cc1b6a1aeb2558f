package pwa

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What is written in the sources of the app, held to rules that no single test of
// a screen can hold: new code has to keep them too.

// sources returns the text of the app's own sources by path, without their tests.
func sources(t *testing.T) map[string]string {
	t.Helper()
	texts := map[string]string{}
	for _, dir := range []string{"lib", "part", "screen"} {
		err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasPrefix(filepath.Ext(path), ".ts") || strings.Contains(path, "test/") {
				return err
			}
			b, err := os.ReadFile(path)
			texts[filepath.ToSlash(path)] = string(b)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(texts) < 50 {
		t.Fatalf("only %d sources are found", len(texts))
	}
	return texts
}

// ST6, ST7: one module opens transactions, and what it writes names how strict.
func TestST6ST7OneModuleWrites(t *testing.T) {
	for path, text := range sources(t) {
		if path == "lib/connection.ts" {
			writes := regexp.MustCompile(`(?m)^.*"readwrite".*$`).FindAllString(text, -1)
			if len(writes) != 2 {
				t.Errorf("%s writes in %d places, want one strict and one for what can be fetched again", path, len(writes))
			}
			for _, w := range writes {
				if !strings.Contains(w, "durability:") {
					t.Errorf("%s: %s", path, strings.TrimSpace(w))
				}
			}
			continue
		}
		for _, no := range []string{`"readwrite"`, "objectStore(", ".transaction("} {
			if strings.Contains(text, no) {
				t.Errorf("%s has %s: only lib/connection.ts may", path, no)
			}
		}
		if regexp.MustCompile(`s\("[a-z]+"\)\.(put|add)\(`).MatchString(text) && path != "lib/db.ts" {
			t.Errorf("%s puts into the database: only lib/db.ts may", path)
		}
	}
}

// A number field throws away what it does not understand, "1 5/8" first of all.
func TestNoFieldIsANumberField(t *testing.T) {
	for path, text := range sources(t) {
		if regexp.MustCompile(`type=\{?["'\x60]number`).MatchString(text) {
			t.Errorf("%s has a number field", path)
		}
	}
}

// "Saved" is said behind the await of what keeps, and nowhere else.
func TestST1SavedIsSaidBehindTheWait(t *testing.T) {
	said := 0
	for path, text := range sources(t) {
		if path == "part/savednote.tsx" {
			continue
		}
		if strings.Contains(text, "text.measure.saved") {
			t.Errorf("%s says by itself that something is saved; tellSaved does", path)
		}
		lines := strings.Split(text, "\n")
		for i, line := range lines {
			if !strings.Contains(line, "tellSaved(") {
				continue
			}
			said++
			before := strings.Join(lines[max(0, i-8):i], "\n")
			if !regexp.MustCompile(`await (keep|choose)[A-Za-z]*\(`).MatchString(before) {
				t.Errorf("%s:%d says saved without having waited for what keeps", path, i+1)
			}
		}
	}
	if said == 0 {
		t.Error("nothing says saved: the rule looks for the wrong word")
	}
}
