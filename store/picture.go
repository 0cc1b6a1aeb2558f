package store

import (
	"errors"

	"tubewright/calc/photo"
)

// picture is what the bytes of a photo say about it.
type picture struct {
	kind string
	w, h int // pixels, as stored
}

// look reads the head of a photo and refuses what the shop does not keep: other
// kinds of file, too many pixels, a place where it was taken. Nothing is
// decoded, so a small file that unpacks to a huge one costs nothing.
func look(b []byte) (picture, error) {
	head, err := photo.Check(b)
	var r *photo.Refusal
	if errors.As(err, &r) {
		return picture{}, &Refusal{Why: r.Why, Text: r.Text}
	}
	return picture{head.Type, head.W, head.H}, err
}
