package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

func TestNoticeSaysWhatShips(t *testing.T) {
	root := filepath.Join("..", "..")
	if _, err := os.Stat(filepath.Join(root, "pwa", "node_modules")); err != nil {
		t.Skip("SKIPPED: pwa/node_modules is missing; go run ./cmd/build fetches it")
	}
	got, err := os.ReadFile(filepath.Join(root, "NOTICE"))
	if err != nil {
		t.Fatal(err)
	}
	want, err := notice(t.Context(), root)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("NOTICE is not what ships now; run: go run ./cmd/build notice, and read the change")
	}
}

func TestLicencesAreToldByTheirSentences(t *testing.T) {
	tests := []struct{ text, want string }{
		{"Permission is hereby granted, free of\ncharge, to any person", "MIT"},
		{"Permission to use, copy, modify, and/or distribute this software", "ISC"},
		{"Redistributions in binary form must ... Neither the name of", "BSD-3-Clause"},
		{"Redistributions in binary form must reproduce", "BSD-2-Clause"},
		{"Apache License\nVersion 2.0, January 2004", "Apache-2.0"},
	}
	for _, tt := range tests {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "LICENSE"), []byte(tt.text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, got, err := licenceIn(dir); err != nil || got != tt.want {
			t.Errorf("%q: %s, %v; want %s", tt.text, got, err, tt.want)
		}
	}
	dir := t.TempDir()
	for name, text := range map[string]string{
		"LICENSE": "Permission is hereby granted, free of charge", "LICENSE-MUSL": "musl's own", "NOTICE.txt": "as asked",
		"LICENSES.md": "an index, not a licence",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text, got, err := licenceIn(dir)
	if want := "Permission is hereby granted, free of charge\n\n--- LICENSE-MUSL\n\nmusl's own\n\n--- NOTICE.txt\n\nas asked"; text != want || got != "MIT" || err != nil {
		t.Errorf("with licences of what it contains: %q, %s, %v", text, got, err)
	}
	dir = t.TempDir()
	if _, _, err := licenceIn(dir); err == nil {
		t.Error("a folder without a licence was accepted")
	}
	if err := os.WriteFile(filepath.Join(dir, "LICENSE"), []byte("All rights reserved."), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, _, err := licenceIn(dir); err == nil {
		t.Error("an unknown licence was accepted")
	}
}
