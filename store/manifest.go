package store

import (
	"encoding/hex"
	"fmt"
	"slices"

	"tubewright/calc/ledger"
	"tubewright/calc/photo"
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
