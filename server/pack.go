package server

import (
	"bytes"
	"compress/flate"
	"errors"
	"io"
	"sync"
)

// packName is how hello and welcome name what pack writes: raw DEFLATE, RFC 1951,
// which browsers call by this name. The websocket's own compression stays off, see
// upgrader: a packed frame is an ordinary binary message to every socket.
const packName = "deflate-raw"

var packers = sync.Pool{New: func() any {
	w, err := flate.NewWriter(nil, packLevel)
	if err != nil {
		panic("server: bug: " + err.Error())
	}
	return w
}}

var unpackers = sync.Pool{New: func() any { return flate.NewReader(nil) }}

// pack returns the frame's text packed, nil when that is no shorter.
func pack(frame []byte) []byte {
	var b bytes.Buffer
	w := packers.Get().(*flate.Writer)
	defer packers.Put(w)
	w.Reset(&b)
	_, err := w.Write(frame)
	if err = errors.Join(err, w.Close()); err != nil {
		panic("server: bug: " + err.Error()) // a buffer takes everything
	}
	if b.Len() >= len(frame) {
		return nil
	}
	return b.Bytes()
}

// unpack returns the text of a packed frame. It stops at limit bytes of text,
// whatever was promised by so few bytes. The error is a *refusal.
func unpack(packed []byte, limit int) ([]byte, error) {
	in := bytes.NewReader(packed)
	r := unpackers.Get().(io.ReadCloser)
	defer unpackers.Put(r)
	if err := r.(flate.Resetter).Reset(in, nil); err != nil {
		return nil, refuse("frame", "a packed frame cannot be read: %v", err)
	}
	var text bytes.Buffer
	text.Grow(min(8*len(packed), limit) + bytes.MinRead) // what most frames need, and what a bomb may have
	n, err := text.ReadFrom(io.LimitReader(r, int64(limit)+1))
	switch {
	case err != nil:
		return nil, refuse("frame", "a packed frame cannot be read: %v", err)
	case n > int64(limit):
		return nil, refuse("frame", "a packed frame unpacks to more than %d bytes", limit)
	case in.Len() > 0:
		return nil, refuse("frame", "a packed frame goes on for %d bytes after its end", in.Len())
	}
	return text.Bytes(), nil
}
