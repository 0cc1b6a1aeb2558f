package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"tubewright/calc/ledger"
)

// ChunkSize is how many bytes every chunk of a photo has but the last.
const ChunkSize = 256 << 10

const (
	blobLimit = 20 << 30 // bytes of all photos
	maxParts  = 2000     // unfinished photos
)

// BlobState tells how far the bytes of a photo have come.
type BlobState struct {
	Known  bool   // a manifest was taken in
	Done   bool   // all bytes are here and were checked
	Backed bool   // a good backup holds them
	Denied bool   // the photo was taken out for good: nobody is to send it
	Have   []bool // by chunk; nil unless known and not done
}

func (s *Store) file(sha string) string { return filepath.Join(s.folder, sha[:2], sha) }

// part is the folder of an unfinished photo: its manifest and a file a chunk.
func (s *Store) part(sha string) string { return filepath.Join(s.folder, "part", sha) }

func (s *Store) chunkFile(sha string, i int) string {
	return filepath.Join(s.part(sha), strconv.Itoa(i))
}

const manifestName = "manifest.json"

// Blob tells how far the bytes of a photo have come; one that was never heard of
// is not known, which is no error.
func (s *Store) Blob(ctx context.Context, sha string) (BlobState, error) {
	st, _, err := s.state(ctx, sha)
	return st, err
}

// BeginBlob notes what a photo will be made of. The same manifest again changes
// nothing, except that a photo whose chunks are all there is finished; another
// one for a known photo is refused. The error is a *Refusal where the manifest,
// the photo or the room for it is at fault.
func (s *Store) BeginBlob(ctx context.Context, m Manifest) (BlobState, error) {
	if err := m.check(); err != nil {
		return BlobState{}, err
	}
	s.blobs.Lock()
	defer s.blobs.Unlock()
	st, have, err := s.state(ctx, m.SHA)
	switch {
	case err != nil:
		return st, err
	case st.Denied:
		return st, refuseDenied()
	case st.Known && !have.same(m):
		return st, refuse("manifest", "this photo is known with other size, kind or parts")
	case st.Done:
		return st, nil
	case st.Known: // the last chunk may have come just before a power cut
		return s.finish(ctx, m, st)
	}
	if err := s.room(ctx, m.Size); err != nil {
		return st, err
	}
	b, err := json.Marshal(m)
	if err == nil {
		err = makeDir(s.part(m.SHA))
	}
	if err == nil {
		err = writeFile(filepath.Join(s.part(m.SHA), manifestName), b)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) { // another program on this folder may have finished it
		return st, diskFault("note the parts of photo "+m.SHA, err)
	}
	st, _, err = s.state(ctx, m.SHA)
	return st, err
}

// state says how far a photo has come, and by which manifest.
func (s *Store) state(ctx context.Context, sha string) (st BlobState, m Manifest, err error) {
	if !ledger.IsSHA(sha) {
		return st, m, refuse("manifest", "the name of the photo is not a sha256 in 64 digits of 0-9 and a-f")
	}
	if err := s.read.GetContext(ctx, &st.Denied, `SELECT EXISTS (SELECT 1 FROM denied WHERE sha = ?)`, sha); err != nil {
		return st, m, fmt.Errorf("look up photo %s: %w", sha, err)
	}
	if st.Denied {
		return st, m, nil
	}
	row, ok, err := s.row(ctx, sha)
	if err != nil {
		return st, m, err
	}
	if ok {
		// A file that was lost or cut off is asked for again.
		if info, err := os.Stat(s.file(sha)); err == nil && info.Size() == row.Size {
			return BlobState{Known: true, Done: true, Backed: row.Backed}, row.manifest(), nil
		}
	}
	b, err := os.ReadFile(filepath.Join(s.part(sha), manifestName))
	if errors.Is(err, fs.ErrNotExist) {
		return st, m, nil
	}
	if err != nil {
		return st, m, fmt.Errorf("read parts of photo %s: %w", sha, err)
	}
	if json.Unmarshal(b, &m) != nil || m.check() != nil || m.SHA != sha {
		return st, Manifest{}, nil // damaged on the disk: it is sent again
	}
	st.Known, st.Have = true, make([]bool, len(m.Chunks))
	for i := range st.Have {
		info, err := os.Stat(s.chunkFile(sha, i))
		st.Have[i] = err == nil && info.Size() == int64(m.length(i))
	}
	return st, m, nil
}

func (s *Store) row(ctx context.Context, sha string) (row blobRow, ok bool, err error) {
	err = s.read.GetContext(ctx, &row, `SELECT `+blobColumns+` FROM blobs WHERE sha = ?`, sha)
	if errors.Is(err, sql.ErrNoRows) {
		return row, false, nil
	}
	if err != nil {
		return row, false, fmt.Errorf("look up photo %s: %w", sha, err)
	}
	return row, true, nil
}

// room refuses a photo for which there is none.
func (s *Store) room(ctx context.Context, size int64) error {
	var used int64
	if err := s.read.GetContext(ctx, &used, `SELECT coalesce(sum(size), 0) FROM blobs`); err != nil {
		return fmt.Errorf("add up photos: %w", err)
	}
	parts, err := os.ReadDir(filepath.Join(s.folder, "part"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("add up unfinished photos: %w", err)
	}
	for _, p := range parts {
		var m Manifest
		if b, err := os.ReadFile(filepath.Join(s.folder, "part", p.Name(), manifestName)); err == nil && json.Unmarshal(b, &m) == nil {
			used += m.Size
		}
	}
	if used+size > s.BlobLimit || len(parts) >= maxParts {
		return refuse("full", "the shop machine keeps %d MiB of photos and %d unfinished ones, which is as much as it takes; readings go on", used>>20, len(parts))
	}
	return nil
}

// ReadBlob opens a photo whose bytes are all here. The error is a *Refusal where
// they are not, or where it was taken out.
func (s *Store) ReadBlob(ctx context.Context, sha string) (io.ReadSeekCloser, Manifest, error) {
	f, m, err := s.openBlob(ctx, sha)
	if err != nil {
		return nil, Manifest{}, err
	}
	return f, m, nil
}

// ReadChunk returns the bytes of one chunk as they lie on the disk.
func (s *Store) ReadChunk(ctx context.Context, sha string, i int) ([]byte, error) {
	f, m, err := s.openBlob(ctx, sha)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if i < 0 || i >= len(m.Chunks) {
		return nil, refuse("unknown", "this photo has %d chunks, and no number %d", len(m.Chunks), i)
	}
	b := make([]byte, m.length(i))
	if _, err := f.ReadAt(b, int64(i)*ChunkSize); err != nil {
		return nil, fmt.Errorf("read chunk %d of photo %s: %w", i, sha, err)
	}
	return b, nil
}

func (s *Store) openBlob(ctx context.Context, sha string) (*os.File, Manifest, error) {
	st, m, err := s.state(ctx, sha)
	switch {
	case err != nil:
		return nil, m, err
	case st.Denied:
		return nil, m, refuseDenied()
	case !st.Done:
		return nil, m, refuse("unknown", "the bytes of this photo are not in the shop")
	}
	f, err := os.Open(s.file(sha))
	if err != nil {
		return nil, m, fmt.Errorf("open photo %s: %w", sha, err)
	}
	return f, m, nil
}
