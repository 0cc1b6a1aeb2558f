package store

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tubewright/calc/ledger"
	"tubewright/calc/photo"
)

const (
	partAge = 7 * 24 * time.Hour // an unfinished photo that nobody went on with for so long is dropped
	halfAge = time.Hour          // what is still called new after so long was left by a program that ended
)

// sweep brings the files of photos in line with the records: deletes the bytes of
// photos that were taken out (again, for a program that ended before it could),
// takes in whole photos that have no row (put in place right before a program
// ended, or newer than the backup that was restored; the tablets may have dropped
// theirs), and drops what was left half done.
func (s *Store) sweep(ctx context.Context) error {
	var denied []string
	if err := s.read.SelectContext(ctx, &denied, `SELECT sha FROM denied`); err != nil {
		return fmt.Errorf("read which photos were taken out: %w", err)
	}
	err := s.drop(denied)
	return errors.Join(err, s.adopt(ctx), s.sweepParts(ctx))
}

// adopt takes in photos that lie in place without a row.
func (s *Store) adopt(ctx context.Context) error {
	var list []string
	if err := s.read.SelectContext(ctx, &list, `SELECT sha FROM blobs`); err != nil {
		return fmt.Errorf("read photos: %w", err)
	}
	listed := make(map[string]bool, len(list))
	for _, sha := range list {
		listed[sha] = true
	}
	return eachBlob(s.folder, func(sha, path string, info fs.FileInfo) error {
		if sha == "" {
			if strings.HasPrefix(info.Name(), halfName) && s.Now().Sub(info.ModTime()) > halfAge {
				return os.Remove(path)
			}
			return nil
		}
		if listed[sha] || info.Size() > photo.MaxBytes {
			return nil
		}
		b, err := os.ReadFile(path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil // another program on this folder was quicker
		}
		if err != nil {
			return err
		}
		p, err := s.look(b)
		if err != nil || hashOf(b) != sha {
			return nil // no photo of ours: Check names it
		}
		err = s.enter(ctx, manifestOf(b, p))
		var r *Refusal
		if errors.As(err, &r) {
			return nil
		}
		return err
	})
}

// manifestOf makes the manifest of bytes that are here.
func manifestOf(b []byte, p picture) Manifest {
	m := Manifest{SHA: hashOf(b), Size: int64(len(b)), Type: p.kind, Chunk: ChunkSize, W: p.w, H: p.h}
	for at := 0; at < len(b); at += ChunkSize {
		m.Chunks = append(m.Chunks, hashOf(b[at:min(at+ChunkSize, len(b))]))
	}
	return m
}

// eachBlob calls do for every file that lies where photos do; sha is empty for
// one whose name is not that of a photo in this place.
func eachBlob(folder string, do func(sha, path string, info fs.FileInfo) error) error {
	dirs, err := os.ReadDir(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, d := range dirs {
		if b, err := hex.DecodeString(d.Name()); !d.IsDir() || err != nil || len(b) != 1 {
			continue
		}
		files, err := os.ReadDir(filepath.Join(folder, d.Name()))
		if err != nil {
			return err
		}
		for _, f := range files {
			info, err := f.Info()
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			if err != nil {
				return err
			}
			sha := f.Name()
			if !ledger.IsSHA(sha) || !strings.HasPrefix(sha, d.Name()) || !info.Mode().IsRegular() {
				sha = ""
			}
			if err := do(sha, filepath.Join(folder, d.Name(), f.Name()), info); err != nil {
				return err
			}
		}
	}
	return nil
}

// sweepParts drops unfinished photos that nobody went on with, and what is left
// of those that are whole.
func (s *Store) sweepParts(ctx context.Context) error {
	s.blobs.Lock()
	defer s.blobs.Unlock()
	dir := filepath.Join(s.folder, "part")
	parts, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, p := range parts {
		info, err := p.Info()
		if err == nil && (s.Now().Sub(info.ModTime()) > partAge || s.done(ctx, p.Name())) {
			err = os.RemoveAll(filepath.Join(dir, p.Name()))
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("drop unfinished photo: %w", err)
		}
	}
	return nil
}

func (s *Store) done(ctx context.Context, sha string) bool {
	st, _, err := s.state(ctx, sha)
	return err == nil && st.Done
}
