package main

import (
	"os"
	"path/filepath"
	"testing"
)

func TestSumsAreListedAsSha256sumReadsThem(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"b": "abc", "docs/service/a": "", sumsFile: "older"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := sums(dir)
	if err != nil {
		t.Fatal(err)
	}
	// NIST, examples of SHA-256 for FIPS 180-4: "abc"; the empty message from memory.
	want := "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  b\n" +
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  docs/service/a\n"
	if string(got) != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}
