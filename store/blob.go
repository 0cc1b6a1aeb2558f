package store

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"tubewright/calc/ledger"
	"tubewright/calc/photo"
)

// ChunkSize is how many bytes every chunk of a photo has but the last.
const ChunkSize = 256 << 10

const (
	blobLimit = 20 << 30 // bytes of all photos
	maxParts  = 2000     // unfinished photos
)

// Manifest says what the bytes of a photo or preview are made of.
type Manifest struct {
	SHA    string   `json:"sha"`    // sha256 of all bytes, 64 lower-case hex digits: the photo's name
	Size   int64    `json:"size"`   // bytes, 1 to 40 MiB
	Type   string   `json:"type"`   // image/jpeg, image/png or image/webp
	Chunk  int      `json:"chunk"`  // ChunkSize
	Chunks []string `json:"chunks"` // sha256 of each chunk
	W      int      `json:"w"`      // pixels, as shown upright
	H      int      `json:"h"`
}

// BlobState tells how far the bytes of a photo have come.
type BlobState struct {
	Known  bool   // a manifest was taken in
	Done   bool   // all bytes are here and were checked
	Backed bool   // a good backup holds them
	Denied bool   // the photo was taken out for good: nobody is to send it
	Have   []bool // by chunk; nil unless known and not done
}

// Refusal is why bytes were not taken in or cannot be read.
type Refusal struct {
	Why  string // type, place, size, hash, denied, full, unknown or manifest
	Text string // one sentence for people
}

func (r *Refusal) Error() string { return r.Why + ": " + r.Text }

func refuse(why, format string, args ...any) *Refusal {
	return &Refusal{Why: why, Text: fmt.Sprintf(format, args...)}
}

func refuseDenied() *Refusal {
	return refuse("denied", "this photo was taken out for good")
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

// check refuses a manifest that cannot be one.
func (m Manifest) check() error {
	switch {
	case !ledger.IsSHA(m.SHA):
		return refuse("manifest", "the name of the photo is not a sha256 in 64 digits of 0-9 and a-f")
	case m.Size > photo.MaxBytes:
		return refuse("size", "the photo has %d bytes; the most is %d", m.Size, photo.MaxBytes)
	case m.Size < 1:
		return refuse("manifest", "the size is %d bytes", m.Size)
	case m.Type != "image/jpeg" && m.Type != "image/png" && m.Type != "image/webp":
		return refuse("type", "the photo is said to be %.40q; JPEG, PNG and WebP are taken", m.Type)
	case m.Chunk != ChunkSize:
		return refuse("manifest", "chunks of %d bytes; they have %d", m.Chunk, ChunkSize)
	case int64(len(m.Chunks)) != (m.Size+ChunkSize-1)/ChunkSize:
		return refuse("manifest", "%d chunks for %d bytes", len(m.Chunks), m.Size)
	case m.W < 1 || m.H < 1:
		return refuse("manifest", "a picture of %d by %d pixels", m.W, m.H)
	}
	for i, c := range m.Chunks {
		if !ledger.IsSHA(c) {
			return refuse("manifest", "the hash of chunk %d is not a sha256 in 64 digits of 0-9 and a-f", i)
		}
	}
	return nil
}

// same tells whether two manifests mean the same. Upright or as stored is one
// picture, so width and height may change places.
func (m Manifest) same(o Manifest) bool {
	return m.SHA == o.SHA && m.Size == o.Size && m.Type == o.Type && m.Chunk == o.Chunk && slices.Equal(m.Chunks, o.Chunks) &&
		sameSides(m.W, m.H, o.W, o.H)
}

func sameSides(w, h, w2, h2 int) bool { return w == w2 && h == h2 || w == h2 && h == w2 }

// length is how many bytes chunk i has.
func (m Manifest) length(i int) int {
	return int(min(ChunkSize, m.Size-int64(i)*ChunkSize))
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

type blobRow struct {
	SHA, Type string
	Size      int64
	W, H      int
	Chunk     int
	Chunks    []byte
	Backed    bool
}

func (r blobRow) manifest() Manifest {
	m := Manifest{SHA: r.SHA, Size: r.Size, Type: r.Type, Chunk: r.Chunk, W: r.W, H: r.H}
	for c := range slices.Chunk(r.Chunks, 32) {
		m.Chunks = append(m.Chunks, hex.EncodeToString(c))
	}
	return m
}

const blobColumns = `sha, type, size, w, h, chunk, chunks, backed`

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
