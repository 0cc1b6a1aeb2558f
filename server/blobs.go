package server

import (
	"context"
	"io"
)

// Blobs is what the server needs of whatever keeps the bytes of pictures, each
// under its sha256 as 64 lower-case hexadecimal digits. An error that is a
// *BlobRefusal is meant for whoever sent the bytes; any other is a fault here.
type Blobs interface {
	// Blob tells what is there of a picture; one never heard of is no error.
	Blob(ctx context.Context, sha string) (BlobState, error)
	// BeginBlob takes note of what a picture will be made of. Again with the same
	// manifest it changes nothing; another manifest for a known sha is refused.
	BeginBlob(ctx context.Context, m Manifest) (BlobState, error)
	// PutChunk keeps chunk i, counted from 0, and returns when it is on disk. With
	// the last missing one the whole picture is checked and becomes done.
	PutChunk(ctx context.Context, sha string, i int, b []byte) (BlobState, error)
	// ReadBlob opens a picture that is done.
	ReadBlob(ctx context.Context, sha string) (io.ReadSeekCloser, Manifest, error)
	// ReadChunk returns the bytes of one chunk of a picture that is done.
	ReadChunk(ctx context.Context, sha string, i int) ([]byte, error)
}

// Manifest says what a picture is made of.
type Manifest struct {
	SHA    string   `json:"sha"`
	Size   int64    `json:"size"`   // bytes
	Type   string   `json:"type"`   // image/jpeg, image/png or image/webp
	Chunk  int      `json:"chunk"`  // bytes of every chunk but the last
	Chunks []string `json:"chunks"` // sha256 of each
	W      int      `json:"w"`      // pixels
	H      int      `json:"h"`
}

// BlobState tells how far a picture has come.
type BlobState struct {
	Known  bool   // a manifest was taken
	Done   bool   // all of it is here and was checked
	Backed bool   // a backup has it
	Denied bool   // taken out for good: nobody is to send it again
	Have   []bool // by chunk, while it is known and not done
}

// BlobRefusal is why bytes or a manifest were not taken. Why is for the program:
// type, place, size, hash, denied, full, unknown, manifest or fault. Text is one
// sentence for the person.
type BlobRefusal struct{ Why, Text string }

func (r *BlobRefusal) Error() string { return r.Why + ": " + r.Text }
