// Package photo reads of a picture's file what the shop must know before it
// keeps it: what it is, how large, which way round, and whether it tells where it
// was taken. It reads headers only and never decodes a picture, so that no file
// can make it need more memory than it has bytes.
package photo

import (
	"bytes"
	"fmt"
)

const (
	// MaxBytes is the largest file that is taken, 40 MiB.
	MaxBytes = 40 << 20
	// MaxPixels is the most pixels that a picture may unpack to. It is 64 times
	// 2^20 rather than 64 million, so that cameras sold as 64 megapixels pass,
	// which make 9248 × 6936.
	MaxPixels = 64 << 20
)

// The types that are taken.
const (
	JPEG = "image/jpeg"
	PNG  = "image/png"
	WebP = "image/webp"
)

// Head is what the file of a picture says of it.
type Head struct {
	Type string `json:"type"` // JPEG, PNG or WebP, by the contents
	W    int    `json:"w"`    // pixels as they lie in the file, before Turn
	H    int    `json:"h"`
	// Turn is the Exif orientation, 1 to 8, still to be applied; 1 is upright and
	// stands where the file says nothing or something that is not one.
	Turn int `json:"turn"`
	// Place says that the file tells where it was taken, or carries free text or
	// data that may.
	Place bool `json:"place"`
	// Taken is the camera's own stamp as RFC 3339 writes it; without the offset
	// where the camera gave none, and empty where there is none.
	Taken string `json:"taken"`
}

// Upright returns the size of the picture as it is shown.
func (h Head) Upright() (w, hgt int) {
	if h.Turn >= 5 {
		return h.H, h.W
	}
	return h.W, h.H
}

// Refusal is why a file is not taken.
type Refusal struct {
	Why  string // type: not a picture that is taken, or a damaged one; size; place
	Text string // one sentence for the person
}

func (r *Refusal) Error() string { return r.Text }

func refuse(why, format string, a ...any) error {
	return &Refusal{Why: why, Text: fmt.Sprintf(format, a...)}
}

func damaged(what string) error {
	return refuse("type", "the picture's file is damaged (%s); take the picture again", what)
}

var errShort = refuse("type", "the picture's file ends too early; take the picture again")

// Read returns what the whole file b says of itself. What it is goes by its
// contents, never by a name. Sizes are those of the header, which a file may
// state as it likes; Check has the limits.
//
// It walks the file from the first byte to the last, so that nothing hides
// between or behind the parts: a file that goes on after the end of its picture
// (which a second picture, a film or a page of a website may be) is refused, and
// so are moving pictures. Zero bytes at the end pass.
//
// The error is a *Refusal. Sources, from memory: ITU-T T.81 annex B (JPEG); CIPA
// DC-008 / JEITA CP-3451 (Exif); W3C Portable Network Graphics; RFC 9649 (WebP);
// ISO/IEC 14496-12 (the ftyp box of HEIC).
func Read(b []byte) (Head, error) {
	switch {
	case bytes.HasPrefix(b, []byte{0xff, 0xd8, 0xff}):
		return readJPEG(b)
	case bytes.HasPrefix(b, []byte(pngSign)):
		return readPNG(b)
	case len(b) >= 12 && string(b[:4]) == "RIFF" && string(b[8:12]) == "WEBP":
		return readWebP(b)
	}
	return Head{}, refuseOther(b)
}

// Check reads a picture as Read does and refuses what the shop does not keep:
// files above MaxBytes, pictures without pixels or with more than MaxPixels, and
// pictures that carry a place. The error is a *Refusal.
func Check(b []byte) (Head, error) {
	if len(b) > MaxBytes {
		return Head{}, refuse("size", "the picture's file has %d bytes; allowed 1 to %d", len(b), MaxBytes)
	}
	h, err := Read(b)
	if err != nil {
		return h, err
	}
	if h.W < 1 || h.H < 1 {
		return h, refuse("size", "the picture is %d by %d pixels; allowed 1 and more", h.W, h.H)
	}
	if n := int64(h.W) * int64(h.H); n > MaxPixels {
		return h, refuse("size", "the picture has %d pixels (%d by %d); allowed 1 to %d", n, h.W, h.H, MaxPixels)
	}
	if h.Place {
		return h, refuse("place", "the picture tells, or may tell, where it was taken; the shop keeps pictures only without that")
	}
	return h, nil
}

// end tells whether nothing but zero bytes follows the end of a picture.
func end(rest []byte) error {
	if len(bytes.TrimLeft(rest, "\x00")) > 0 {
		return refuse("type", "something follows the end of the picture in its file; only the picture itself is taken")
	}
	return nil
}
