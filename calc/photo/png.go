package photo

import "encoding/binary"

const pngSign = "\x89PNG\r\n\x1a\n"

// readPNG walks the chunks: length, type, data, checksum. Checksums are not
// compared; the bytes have a sha256. Texts and Exif data count as a place.
func readPNG(b []byte) (Head, error) {
	h := Head{Type: PNG, Turn: 1}
	pixels := false
	for i := len(pngSign); ; {
		if len(b)-i < 12 {
			return h, errShort
		}
		n := binary.BigEndian.Uint32(b[i:])
		if n > 1<<31-1 {
			return h, damaged("a part too long")
		}
		if int64(len(b)-i-12) < int64(n) {
			return h, errShort
		}
		kind, data := string(b[i+4:i+8]), b[i+8:i+8+int(n)]
		i += 12 + int(n)
		if (h.W == 0) != (kind == "IHDR") {
			return h, damaged("its size is not in front")
		}
		switch kind {
		case "IHDR":
			if err := h.header(data); err != nil {
				return h, err
			}
		case "IDAT":
			pixels = true
		case "acTL":
			return h, errMoving
		case "eXIf":
			e := readExif(data)
			h.Turn, h.Taken, h.Place = e.turn, e.taken, true
		case "tEXt", "zTXt", "iTXt":
			h.Place = true
		case "IEND":
			if !pixels {
				return h, damaged("there is no picture in it")
			}
			return h, end(b[i:])
		}
	}
}

var errMoving = refuse("type", "this is a moving picture; only still ones are taken")

func (h *Head) header(data []byte) error {
	if len(data) != 13 {
		return damaged("its size is cut off")
	}
	w, hgt := binary.BigEndian.Uint32(data), binary.BigEndian.Uint32(data[4:])
	if w < 1 || w > 1<<31-1 || hgt < 1 || hgt > 1<<31-1 {
		return damaged("its size is out of range")
	}
	h.W, h.H = int(w), int(hgt)
	return nil
}
