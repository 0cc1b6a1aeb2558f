package photo

import (
	"encoding/binary"
	"strings"
)

// exif is what we want of the Exif data of a picture.
type exif struct {
	turn  int
	taken string
	place bool // there is a GPS directory, or the data cannot be read through
}

// Tags of CIPA DC-008 and of TIFF 6.0, on which it rests.
const (
	tagTurn     = 0x0112 // Orientation, SHORT, in the first directory
	tagExif     = 0x8769 // where the Exif directory is, LONG
	tagGPS      = 0x8825 // where the GPS directory is
	tagTaken    = 0x9003 // DateTimeOriginal, ASCII "2025:11:24 23:04:01"
	tagTakenOff = 0x9011 // OffsetTimeOriginal, ASCII "+01:00"

	kindASCII, kindShort, kindLong = 2, 3, 4
)

// mostDirs bounds the directories that are followed; a picture has two or three,
// and one that goes round in a circle ends here.
const mostDirs = 8

// readExif reads the TIFF structure that Exif data are. Where it cannot be read
// through, it may hold a place that was not seen.
func readExif(b []byte) exif {
	e := exif{turn: 1}
	t := tiff{b: b}
	if len(b) < 8 {
		e.place = true
		return e
	}
	switch string(b[:4]) {
	case "II*\x00":
		t.order = binary.LittleEndian
	case "MM\x00*":
		t.order = binary.BigEndian
	default:
		e.place = true
		return e
	}
	at, inside := t.order.Uint32(b[4:]), uint32(0)
	offset := ""
	for n := 0; at != 0 || inside != 0; n++ {
		isFirst, isExif := n == 0, at == 0
		if isExif { // the chain is through: its Exif directory, which has no next
			at, inside = inside, 0
		}
		dir, next, ok := t.dir(at)
		if !ok || n == mostDirs {
			e.place = true
			return e
		}
		if at = next; isExif {
			at = 0
		}
		for _, f := range dir {
			switch {
			case f.tag == tagGPS:
				e.place = true
			case f.tag == tagTurn && isFirst && f.kind == kindShort:
				if v := int(t.order.Uint16(f.value)); v >= 1 && v <= 8 {
					e.turn = v
				}
			case f.tag == tagExif && isFirst && f.kind == kindLong:
				inside = t.order.Uint32(f.value)
			case f.tag == tagTaken && isExif:
				e.taken = stamp(t.text(f))
			case f.tag == tagTakenOff && isExif:
				offset = t.text(f)
			}
		}
	}
	if e.taken != "" && isOffset(offset) {
		e.taken += offset
	}
	return e
}

type tiff struct {
	b     []byte
	order binary.ByteOrder
}

// field is an entry of a directory; value are the four bytes that hold the value
// or say where it is.
type field struct {
	tag, kind uint16
	count     uint32
	value     []byte
}

// dir reads the directory at an offset: a count, as many entries of 12 bytes, and
// the offset of the next directory, 0 at the last.
func (t tiff) dir(at uint32) (fields []field, next uint32, ok bool) {
	rest := t.from(at)
	if len(rest) < 2 {
		return nil, 0, false
	}
	n := int(t.order.Uint16(rest))
	rest = rest[2:]
	if len(rest) < 12*n {
		return nil, 0, false
	}
	fields = make([]field, n)
	for i := range fields {
		e := rest[12*i : 12*i+12]
		fields[i] = field{t.order.Uint16(e), t.order.Uint16(e[2:]), t.order.Uint32(e[4:]), e[8:]}
	}
	if rest = rest[12*n:]; len(rest) >= 4 { // some writers leave the last next away
		next = t.order.Uint32(rest)
	}
	return fields, next, true
}

// from returns the data from an offset on; none when the offset lies outside.
func (t tiff) from(at uint32) []byte {
	if uint64(at) >= uint64(len(t.b)) {
		return nil
	}
	return t.b[at:]
}

// text returns a value of kind ASCII without its closing zero; empty when it is
// of another kind or not there.
func (t tiff) text(f field) string {
	if f.kind != kindASCII || f.count < 5 { // a shorter one lies in value and is none of ours
		return ""
	}
	rest := t.from(t.order.Uint32(f.value))
	if uint64(len(rest)) < uint64(f.count) {
		return ""
	}
	s, _, _ := strings.Cut(string(rest[:min(f.count, 64)]), "\x00")
	return s
}

// stamp turns "2025:11:24 23:04:01" into "2025-11-24T23:04:01"; empty where the
// camera's clock was never set.
func stamp(s string) string {
	if !isPattern(s, "dddd:dd:dd dd:dd:dd") || s[:4] == "0000" ||
		!within(s[5:7], 1, 12) || !within(s[8:10], 1, 31) || !within(s[11:13], 0, 23) || !within(s[14:16], 0, 59) || !within(s[17:19], 0, 59) {
		return ""
	}
	return s[:4] + "-" + s[5:7] + "-" + s[8:10] + "T" + s[11:]
}

func isOffset(s string) bool {
	return (isPattern(s, "+dd:dd") || isPattern(s, "-dd:dd")) && within(s[1:3], 0, 23) && within(s[4:6], 0, 59)
}

// isPattern tells whether s has digits where the pattern has d, and is equal to
// it elsewhere.
func isPattern(s, pattern string) bool {
	if len(s) != len(pattern) {
		return false
	}
	for i := range len(s) {
		if c := s[i]; pattern[i] == 'd' && (c < '0' || c > '9') || pattern[i] != 'd' && c != pattern[i] {
			return false
		}
	}
	return true
}

// within reads two digits.
func within(digits string, low, high int) bool {
	n := int(digits[0]-'0')*10 + int(digits[1]-'0')
	return n >= low && n <= high
}
