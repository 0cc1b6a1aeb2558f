package photo

import (
	"bytes"
	"encoding/binary"
)

// readWebP walks the chunks of the RIFF file: four letters, a length, data, and a
// byte more after an odd length. An extended file (VP8X) states a canvas and then
// brings the picture, which must fill it.
func readWebP(b []byte) (Head, error) {
	h := Head{Type: WebP, Turn: 1}
	size := int64(binary.LittleEndian.Uint32(b[4:])) + 8
	if size > int64(len(b)) {
		return h, errShort
	}
	if err := end(b[size:]); err != nil {
		return h, err
	}
	b = b[:size]
	canvas := false
	pictures := 0
	for i := 12; i < len(b); {
		if len(b)-i < 8 {
			return h, errShort
		}
		n := int64(binary.LittleEndian.Uint32(b[i+4:]))
		if int64(len(b)-i-8) < n {
			return h, errShort
		}
		kind, data := string(b[i:i+4]), b[i+8:i+8+int(n)]
		i += 8 + int(n+n&1)
		if i > len(b)+1 {
			return h, errShort
		}
		var w, hgt int
		switch kind {
		case "VP8X":
			if len(data) < 10 || canvas || pictures > 0 {
				return h, damaged("its size is cut off or not in front")
			}
			canvas = true
			h.W, h.H = 1+int(uint24(data[4:])), 1+int(uint24(data[7:]))
			continue
		case "ANIM", "ANMF":
			return h, errMoving
		case "EXIF":
			// Some writers keep the six bytes that Exif has in front in a JPEG.
			e := readExif(bytes.TrimPrefix(data, []byte("Exif\x00\x00")))
			h.Turn, h.Taken, h.Place = e.turn, e.taken, true
			continue
		case "XMP ":
			h.Place = true
			continue
		case "VP8 ":
			w, hgt = vp8Size(data)
		case "VP8L":
			w, hgt = vp8lSize(data)
		default:
			continue
		}
		pictures++
		if w == 0 || hgt == 0 || pictures > 1 || canvas && (w != h.W || hgt != h.H) {
			return h, damaged("its sizes are missing or contradict each other")
		}
		h.W, h.H = w, hgt
	}
	if pictures == 0 {
		return h, damaged("there is no picture in it")
	}
	return h, nil
}

// vp8Size reads the header of a key frame: three bytes, a start code, then width
// and height in 14 bits each with two bits for scaling; 0 when it is none.
func vp8Size(d []byte) (w, h int) {
	if len(d) < 10 || d[0]&1 != 0 || string(d[3:6]) != "\x9d\x01\x2a" {
		return 0, 0
	}
	return int(binary.LittleEndian.Uint16(d[6:]) & 0x3fff), int(binary.LittleEndian.Uint16(d[8:]) & 0x3fff)
}

// vp8lSize reads the header of a lossless picture: a sign, then width and height
// less one in 14 bits each; 0 when it is none.
func vp8lSize(d []byte) (w, h int) {
	if len(d) < 5 || d[0] != 0x2f {
		return 0, 0
	}
	v := binary.LittleEndian.Uint32(d[1:])
	if v>>29 != 0 { // the version
		return 0, 0
	}
	return 1 + int(v&0x3fff), 1 + int(v>>14&0x3fff)
}

func uint24(d []byte) uint32 { return uint32(d[0]) | uint32(d[1])<<8 | uint32(d[2])<<16 }
