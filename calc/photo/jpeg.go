package photo

import (
	"bytes"
	"encoding/binary"
)

// Markers of ITU-T T.81, table B.1, without the leading ff.
const (
	mTEM  = 0x01
	mSOF0 = 0xc0 // SOF0 to SOF15 are c0 to cf but for the three below
	mDHT  = 0xc4
	mJPG  = 0xc8
	mDAC  = 0xcc
	mRST0 = 0xd0
	mSOI  = 0xd8
	mEOI  = 0xd9
	mSOS  = 0xda
	mAPP1 = 0xe1 // Exif, XMP
	mIPTC = 0xed // APP13: headlines, captions, places
	mCOM  = 0xfe
)

// readJPEG walks the segments and scans up to the end of the image. Every Exif
// segment counts for the place, the first for turn and stamp. APP1 of another
// kind is XMP; it, APP13 and comments are free text, which may name a place.
func readJPEG(b []byte) (Head, error) {
	h := Head{Type: JPEG, Turn: 1}
	told, scanned := false, false
	for i := 2; ; {
		m, next, err := marker(b, i)
		if err != nil {
			return h, err
		}
		i = next
		switch {
		case m == mEOI:
			if !scanned {
				return h, damaged("there is no picture in it")
			}
			return h, end(b[i:])
		case m == mTEM:
			continue
		case m == 0 || m >= mRST0 && m <= mSOI:
			return h, damaged("a marker out of place")
		}
		seg, err := segment(b, i)
		if err != nil {
			return h, err
		}
		i += 2 + len(seg)
		switch {
		case m == mSOS:
			if h.W == 0 {
				return h, damaged("the size is missing")
			}
			scanned = true
			i = scanEnd(b, i)
		case m == mAPP1 && bytes.HasPrefix(seg, []byte("Exif\x00")) && len(seg) >= 6:
			e := readExif(seg[6:])
			h.Place = h.Place || e.place
			if !told {
				h.Turn, h.Taken, told = e.turn, e.taken, true
			}
		case m == mAPP1 || m == mIPTC || m == mCOM:
			h.Place = true
		case m >= mSOF0 && m <= 0xcf && m != mDHT && m != mJPG && m != mDAC:
			if h.W != 0 {
				return h, damaged("a second size")
			}
			if err := h.frame(seg); err != nil {
				return h, err
			}
		}
	}
}

// marker returns the marker at i, before which any number of ff may stand, and
// where what follows it begins.
func marker(b []byte, i int) (m byte, next int, err error) {
	if i < len(b) && b[i] != 0xff {
		return 0, 0, damaged("bytes between its parts")
	}
	for i < len(b) && b[i] == 0xff {
		i++
	}
	if i >= len(b) {
		return 0, 0, errShort
	}
	return b[i], i + 1, nil
}

// segment returns what the segment at i holds, its two bytes of length left out.
func segment(b []byte, i int) ([]byte, error) {
	if len(b)-i < 2 {
		return nil, errShort
	}
	n := int(binary.BigEndian.Uint16(b[i:]))
	if n < 2 {
		return nil, damaged("a part without a length")
	}
	if len(b)-i < n {
		return nil, errShort
	}
	return b[i+2 : i+n], nil
}

// frame takes the size from a frame header: precision, lines, samples a line,
// components. Zero lines mean that the count follows later, which no camera does.
func (h *Head) frame(seg []byte) error {
	if len(seg) < 6 {
		return damaged("its size is cut off")
	}
	h.H, h.W = int(binary.BigEndian.Uint16(seg[1:])), int(binary.BigEndian.Uint16(seg[3:]))
	if h.W == 0 || h.H == 0 {
		return damaged("its size is zero")
	}
	return nil
}

// scanEnd returns where the compressed data that begins at i ends: at the first
// ff that is neither stuffed with a zero nor a restart.
func scanEnd(b []byte, i int) int {
	for {
		k := bytes.IndexByte(b[i:], 0xff)
		if k < 0 || i+k+1 >= len(b) {
			return len(b)
		}
		switch n := b[i+k+1]; {
		case n == 0 || n >= mRST0 && n < mSOI:
			i += k + 2
		case n == 0xff:
			i += k + 1
		default:
			return i + k
		}
	}
}
