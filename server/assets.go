package server

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"regexp"
	"strings"
)

// assets are the files of the built app by their path, "css/app-K3F9Q2AB.css".
type assets map[string]*asset

// asset is one file, as itself, compressed, or both: the build keeps large
// files only compressed, the calculation by Brotli as well, which makes a sixth less
// of it. Browsers take that on safe pages only.
type asset struct {
	plain, gz, br []byte
	tag           string // hash of the contents
	kind          string // Content-Type
	forever       bool   // the name changes with the contents
}

// kinds are ours and not the operating system's: with the wrong type a browser
// runs neither wasm nor the service worker.
var kinds = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".json": "application/json", ".map": "application/json", ".webmanifest": "application/manifest+json",
	".wasm": "application/wasm", ".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon",
	".jpg": "image/jpeg", ".webp": "image/webp", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8",
}

// hashed matches names that end in a hash of the contents: app-K3F9Q2AB.js,
// calc-9f86d081884c7d65.wasm. A hash of letters only is taken for a word, which
// costs a question to the server and nothing else.
var hashed = regexp.MustCompile(`-([0-9A-Z]{8}|[0-9a-f]{8,64})\.(js|css|wasm|map)$`)

// loadAssets reads all files of the app. They are in the program already, or
// are few, so they stay in memory.
func loadAssets(files fs.FS) (assets, error) {
	out := assets{}
	if files == nil {
		return out, nil
	}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") {
			return err
		}
		b, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		plainName, packed := strings.CutSuffix(name, ".gz")
		plainName, better := strings.CutSuffix(plainName, ".br")
		a := out[plainName]
		if a == nil {
			a = &asset{kind: kinds[path.Ext(plainName)]}
			if a.kind == "" {
				a.kind = "application/octet-stream"
			}
			m := hashed.FindStringSubmatch(plainName)
			a.forever = m != nil && strings.ContainsAny(m[1], "0123456789")
			out[plainName] = a
		}
		switch {
		case better:
			a.br = b
		case packed:
			if _, err := gzip.NewReader(bytes.NewReader(b)); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			a.gz = b
		default:
			a.plain = b
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read the app's files: %w", err)
	}
	for _, a := range out {
		contents := a.plain
		if contents == nil {
			contents = a.gz
		}
		sum := sha256.Sum256(contents)
		a.tag = hex.EncodeToString(sum[:16])
	}
	return out, nil
}

// contents returns the file uncompressed.
func (a *asset) contents() ([]byte, error) {
	if a.plain != nil {
		return a.plain, nil
	}
	z, err := gzip.NewReader(bytes.NewReader(a.gz))
	if err != nil {
		return nil, fmt.Errorf("unpack: %w", err)
	}
	b, err := io.ReadAll(z)
	if err := errors.Join(err, z.Close()); err != nil {
		return nil, fmt.Errorf("unpack: %w", err)
	}
	return b, nil
}
