package bundle

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/andybalholm/brotli"
)

// Files of these kinds and at least this size are kept only packed: the program is
// smaller, a first load by a fifth, and nothing that a tablet can load lacks gzip. Pages
// are small, and stay as they are: by theirs the program knows whether it has an app.
const packFrom = 512

// brotlied is what a tablet loads most of: a sixth to a quarter less than gzip makes of
// it. A page that is not safe is not offered it by browsers, so gzip stays beside it.
var brotlied = map[string]bool{".wasm": true, ".js": true, ".css": true}

var packed = map[string]bool{".wasm": true, ".js": true, ".css": true, ".json": true, ".svg": true}

// write makes the folder hold exactly files, the larger ones as NAME.gz. What is
// there already with the same content is left alone, so that the go command need
// not link again.
func write(out string, files map[string][]byte, quality int) error {
	if err := os.MkdirAll(out, 0o755); err != nil {
		return fmt.Errorf("make the folder for the app: %w", err)
	}
	keep := map[string]bool{".gitkeep": true}
	for name, b := range files {
		path := filepath.Join(out, name)
		pack, unpack := packed[filepath.Ext(name)] && len(b) >= packFrom, asIs
		if pack {
			path, unpack = path+".gz", unGzip
		}
		keep[filepath.Base(path)] = true
		more := ""
		if pack && brotlied[filepath.Ext(name)] {
			more = filepath.Join(out, name+".br")
			keep[filepath.Base(more)] = true
		}
		if holds(path, b, unpack) && (more == "" || holds(more, b, unBrotli)) {
			continue
		}
		if more != "" {
			if err := writeBrotli(more, b, quality); err != nil {
				return fmt.Errorf("pack %s: %w", name, err)
			}
		}
		if pack {
			var err error
			if b, err = squeeze(b); err != nil {
				return fmt.Errorf("pack %s: %w", name, err)
			}
		}
		if err := os.WriteFile(path, b, 0o644); err != nil {
			return fmt.Errorf("write a built file: %w", err)
		}
	}
	there, err := os.ReadDir(out)
	if err != nil {
		return fmt.Errorf("list the built files: %w", err)
	}
	for _, d := range there {
		if !keep[d.Name()] {
			if err := os.RemoveAll(filepath.Join(out, d.Name())); err != nil {
				return fmt.Errorf("delete an older built file: %w", err)
			}
		}
	}
	return nil
}

// holds reports whether the file is there with this content, once it is unpacked;
// anything unreadable is not.
func holds(path string, want []byte, unpack func(io.Reader) (io.Reader, error)) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	r, err := unpack(f)
	if err != nil {
		return false
	}
	got, err := io.ReadAll(r)
	return err == nil && bytes.Equal(got, want)
}

func asIs(r io.Reader) (io.Reader, error)     { return r, nil }
func unGzip(r io.Reader) (io.Reader, error)   { return gzip.NewReader(r) }
func unBrotli(r io.Reader) (io.Reader, error) { return brotli.NewReader(r), nil }

// How hard Brotli tries: at its best 15 s for the calculation where 9 takes 1, and an
// eighth less on every tablet.
const (
	best  = brotli.BestCompression
	quick = 4
)

func writeBrotli(path string, b []byte, quality int) error {
	var to bytes.Buffer
	w := brotli.NewWriterOptions(&to, brotli.WriterOptions{Quality: quality, LGWin: 22})
	if _, err := w.Write(b); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	return os.WriteFile(path, to.Bytes(), 0o644)
}

func squeeze(b []byte) ([]byte, error) {
	var to bytes.Buffer
	w, err := gzip.NewWriterLevel(&to, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(b); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return to.Bytes(), nil
}
