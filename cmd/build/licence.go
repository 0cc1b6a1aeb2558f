package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// licenceIn returns the licence in a folder with the licences of what that contains
// in turn, and the short name (SPDX) of the first.
func licenceIn(dir string) (text, licence string, err error) {
	text, licence, err = ownLicence(dir)
	if err != nil {
		return "", "", err
	}
	more, err := filepath.Glob(filepath.Join(dir, "LICENSE-*"))
	if err != nil {
		return "", "", err
	}
	notices, err := filepath.Glob(filepath.Join(dir, "NOTICE*"))
	if err != nil {
		return "", "", err
	}
	for _, path := range append(more, notices...) { // each sorted by Glob
		b, err := os.ReadFile(path)
		if err != nil {
			return "", "", fmt.Errorf("read a further licence: %w", err)
		}
		text += "\n\n--- " + filepath.Base(path) + "\n\n" + plainText(b)
	}
	return text, licence, nil
}

// plainText returns a text without the ends of lines that only some systems write.
func plainText(b []byte) string {
	return strings.TrimSpace(strings.ReplaceAll(string(b), "\r\n", "\n"))
}

// ownLicence returns the one licence that a folder is under, told by sentences that
// only that licence has.
func ownLicence(dir string) (text, licence string, err error) {
	for _, name := range []string{"LICENSE", "LICENSE.txt", "LICENSE.md", "LICENCE", "COPYING"} {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			continue
		}
		text := plainText(b)
		flat := strings.Join(strings.Fields(text), " ")
		has := func(s string) bool { return strings.Contains(flat, s) }
		switch {
		case has("Apache License") && has("Version 2.0"):
			return text, "Apache-2.0", nil
		case has("Permission is hereby granted, free of charge"):
			return text, "MIT", nil
		case has("Permission to use, copy, modify, and/or distribute"):
			return text, "ISC", nil
		case has("Redistributions in binary form") && (has("Neither the name") || has("the names of its contributors")):
			return text, "BSD-3-Clause", nil
		case has("Redistributions in binary form"):
			return text, "BSD-2-Clause", nil
		}
		return "", "", fmt.Errorf("%s in %s is of a kind not known here; read it and add it", name, dir)
	}
	return "", "", errors.New("no licence in " + dir)
}
