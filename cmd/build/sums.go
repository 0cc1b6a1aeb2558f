package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// sumsFile is the list of a release's files with their sums, as "sha256sum -c" reads it.
const sumsFile = "SHA256SUMS"

// sums returns a line for every file below dir but the list itself, by name.
func sums(dir string) ([]byte, error) {
	var list bytes.Buffer
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil || rel == sumsFile {
			return err
		}
		sum, err := sumOf(path)
		if err != nil {
			return err
		}
		fmt.Fprintf(&list, "%s  %s\n", sum, filepath.ToSlash(rel))
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("sum the files of the release: %w", err)
	}
	return list.Bytes(), nil
}

// sumOf returns the SHA-256 of a file in hexadecimal digits.
func sumOf(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", fmt.Errorf("read %s: %w", path, err)
	}
	return hex.EncodeToString(sum.Sum(nil)), nil
}
