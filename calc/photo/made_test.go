package photo

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// The upright picture of every test: grey, with a red square whose middle lies
// at a quarter of the width and a tenth of the height.
const (
	wide, high     = 320, 240
	redX, redY     = wide / 4, high / 10
	redHalf        = 16
	takenStamp     = "2025:11:24 23:04:01"
	takenRFC       = "2025-11-24T23:04:01"
	takenOffset    = "+01:00"
	someWebPLossy  = "UklGRiQAAABXRUJQVlA4IBgAAAAwAQCdASoBAAEAAwA0JaQAA3AA/vuUAAA="       // 1 × 1; from memory
	someWebPNoLoss = "UklGRhoAAABXRUJQVlA4TA0AAAAvAAAAEAcQERGIiP4HAA=="                   // 1 × 1; from memory
	someWebPAlpha  = "UklGRkoAAABXRUJQVlA4WAoAAAAQAAAAAAAAAAAAQUxQSAwAAAARBxAR/Q9ERP8D" + // 1 × 1; from memory
		"AABWUDggGAAAABQBAJ0BKgEAAQAAAP4AAA3AAP7mtQAAAA=="
)

// stored draws the picture as a file with the given orientation holds it. Which
// side of the picture the first row and the first column are is the table of CIPA
// DC-008, tag 274 (from memory): 1 top left, 2 top right, 3 bottom right, 4 bottom
// left, 5 left top, 6 right top, 7 right bottom, 8 left bottom.
func stored(turn int) image.Image {
	w, h := wide, high
	if turn >= 5 {
		w, h = high, wide
	}
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for r := range h {
		for c := range w {
			x, y := c, r
			if turn >= 5 {
				x, y = r, c
			}
			if turn == 2 || turn == 3 || turn == 6 || turn == 7 {
				x = wide - 1 - x
			}
			if turn == 3 || turn == 4 || turn == 7 || turn == 8 {
				y = high - 1 - y
			}
			grey := color.RGBA{uint8(40 + x*160/wide), uint8(40 + x*160/wide), uint8(40 + x*160/wide), 255}
			if max(x-redX, redX-1-x) < redHalf && max(y-redY, redY-1-y) < redHalf {
				grey = color.RGBA{220, 20, 20, 255}
			}
			m.SetRGBA(c, r, grey)
		}
	}
	return m
}

func jpegOf(t testing.TB, turn int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, stored(turn), &jpeg.Options{Quality: 80}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, stored(1)); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func webpOf(t testing.TB, text string) []byte {
	t.Helper()
	b, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// with puts segments behind the first two bytes of a JPEG, where cameras have them.
func with(b []byte, segments ...[]byte) []byte {
	out := append([]byte{}, b[:2]...)
	for _, s := range segments {
		out = append(out, s...)
	}
	return append(out, b[2:]...)
}

func seg(marker byte, data string) []byte {
	b := []byte{0xff, marker, 0, 0}
	binary.BigEndian.PutUint16(b[2:], uint16(2+len(data)))
	return append(b, data...)
}

// camera is what a camera writes into Exif data.
type camera struct {
	order         binary.ByteOrder // nil: big endian
	turn          int
	taken, offset string
	gps           bool
	loop          bool // the first directory names itself as the next
}

// tiff builds Exif data: the first directory at 8, the Exif directory at 100, the
// GPS directory at 200, texts behind.
func (c camera) tiff() []byte {
	o := c.order
	if o == nil {
		o = binary.BigEndian
	}
	b := make([]byte, 320)
	copy(b, "MM\x00*")
	if o == binary.LittleEndian {
		copy(b, "II*\x00")
	}
	o.PutUint32(b[4:], 8)
	texts := 280
	dir := func(at int, next uint32, fields ...[4]uint32) {
		o.PutUint16(b[at:], uint16(len(fields)))
		at += 2
		for _, f := range fields {
			o.PutUint16(b[at:], uint16(f[0]))
			o.PutUint16(b[at+2:], uint16(f[1]))
			o.PutUint32(b[at+4:], f[2])
			switch {
			case f[1] == kindShort:
				o.PutUint16(b[at+8:], uint16(f[3]))
			case f[1] == kindLong || f[2] > 4:
				o.PutUint32(b[at+8:], f[3])
			default: // bytes and letters have no order
				binary.BigEndian.PutUint32(b[at+8:], f[3])
			}
			at += 12
		}
		o.PutUint32(b[at:], next)
	}
	text := func(tag uint32, s string) [4]uint32 {
		f := [4]uint32{tag, kindASCII, uint32(len(s) + 1), uint32(texts)}
		texts += copy(b[texts:], s) + 1
		return f
	}
	first := [][4]uint32{{tagTurn, kindShort, 1, uint32(c.turn)}}
	if c.taken != "" {
		first = append(first, [4]uint32{tagExif, kindLong, 1, 100})
		inside := [][4]uint32{text(tagTaken, c.taken)}
		if c.offset != "" {
			inside = append(inside, text(tagTakenOff, c.offset))
		}
		dir(100, 0, inside...)
	}
	if c.gps {
		first = append(first, [4]uint32{tagGPS, kindLong, 1, 200})
		dir(200, 0, [4]uint32{1, kindASCII, 2, 'N' << 24}, [4]uint32{0, 1, 4, 0x02030000}) // latitude north; version
	}
	next := uint32(0)
	if c.loop {
		next = 8
	}
	dir(8, next, first...)
	return b
}

func (c camera) segment() []byte { return seg(mAPP1, "Exif\x00\x00"+string(c.tiff())) }

func chunk(kind, data string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, kind...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// chunked puts a chunk behind the header of a PNG.
func chunked(b []byte, kind, data string) []byte {
	const header = 8 + 12 + 13
	return append(append(append([]byte{}, b[:header]...), chunk(kind, data)...), b[header:]...)
}

func pngHeader(w, h uint32) []byte {
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	b := append([]byte(pngSign), chunk("IHDR", string(size)+"\x08\x02\x00\x00\x00")...)
	b = append(b, chunk("IDAT", "\x78\x9c\x03\x00\x00\x00\x00\x01")...)
	return append(b, chunk("IEND", "")...)
}

// frame is a frame header of one component.
func frame(sof byte, w, h uint16) []byte {
	return seg(sof, string([]byte{8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), 1, 1, 0x11, 0}))
}

// jpegHeader is a JPEG of the given kind with an empty scan.
func jpegHeader(sof byte, w, h uint16) []byte {
	b := append([]byte{0xff, mSOI}, frame(sof, w, h)...)
	b = append(b, seg(mSOS, "\x01\x01\x00\x00\x3f\x00")...)
	return append(b, 1, 2, 3, 0xff, 0, 4, 0xff, mRST0, 5, 0xff, mEOI)
}

func riff(chunks ...string) []byte {
	body := "WEBP"
	for _, c := range chunks {
		body += c
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func webpChunk(kind, data string) string {
	s := kind + string(binary.LittleEndian.AppendUint32(nil, uint32(len(data)))) + data
	if len(data)%2 == 1 {
		s += "\x00"
	}
	return s
}

func vp8x(w, h uint32) string {
	w, h = w-1, h-1
	return webpChunk("VP8X", string([]byte{0, 0, 0, 0, byte(w), byte(w >> 8), byte(w >> 16), byte(h), byte(h >> 8), byte(h >> 16)}))
}

func vp8(w, h uint16) string {
	return webpChunk("VP8 ", string([]byte{0x30, 1, 0, 0x9d, 1, 0x2a, byte(w), byte(w >> 8), byte(h), byte(h >> 8), 0, 0}))
}

// made is a file of the table.
type made struct {
	name string
	b    []byte
}

const (
	somePage = "<!doctype html><script>alert(1)</script>"
	someXMP  = "http://ns.adobe.com/xap/1.0/\x00<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"/>"
	someIPTC = "Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x00"
)

// table are the files that the shop and the tablets must read alike.
func table(t testing.TB) []made {
	plain := jpegOf(t, 1)
	var out []made
	add := func(name string, b []byte) { out = append(out, made{name, b}) }
	add("plain.jpg", plain)
	for turn := 1; turn <= 8; turn++ {
		c := camera{turn: turn}
		name := "turn-" + string(rune('0'+turn))
		add(name+".jpg", with(jpegOf(t, turn), c.segment()))
		c.order = binary.LittleEndian
		add(name+"-little.jpg", with(jpegOf(t, turn), c.segment()))
	}
	add("turn-9.jpg", with(plain, camera{turn: 9}.segment()))
	add("taken.jpg", with(plain, camera{turn: 1, taken: takenStamp, offset: takenOffset}.segment()))
	add("taken-little.jpg", with(plain, camera{order: binary.LittleEndian, turn: 1, taken: takenStamp, offset: takenOffset}.segment()))
	add("taken-no-offset.jpg", with(plain, camera{turn: 1, taken: takenStamp}.segment()))
	add("taken-never.jpg", with(plain, camera{turn: 1, taken: "0000:00:00 00:00:00"}.segment()))
	add("gps.jpg", with(jpegOf(t, 6), camera{turn: 6, taken: takenStamp, gps: true}.segment()))
	add("gps-little.jpg", with(plain, camera{order: binary.LittleEndian, turn: 1, gps: true}.segment()))
	add("gps-second.jpg", with(plain, camera{turn: 1}.segment(), camera{turn: 3, gps: true}.segment()))
	add("xmp.jpg", with(plain, seg(mAPP1, someXMP)))
	add("iptc.jpg", with(plain, seg(mIPTC, someIPTC)))
	add("comment.jpg", with(plain, seg(mCOM, "in the yard behind the hall")))
	add("exif-broken.jpg", with(plain, seg(mAPP1, "Exif\x00\x00MM\x00*\x7f\xff\xff\xff")))
	add("exif-loop.jpg", with(plain, camera{turn: 1, loop: true}.segment()))
	add("progressive-head.jpg", jpegHeader(0xc2, 1200, 1600))
	add("zeros-behind.jpg", append(append([]byte{}, plain...), make([]byte, 100)...))
	add("page-behind.jpg", append(append([]byte{}, plain...), somePage...))
	add("second-behind.jpg", append(append([]byte{}, plain...), with(plain, camera{turn: 1, gps: true}.segment())...))
	add("truncated.jpg", plain[:len(plain)/2])
	add("no-end.jpg", plain[:len(plain)-2])
	add("cut-in-exif.jpg", with(plain, camera{turn: 6}.segment())[:100])
	add("huge.jpg", jpegHeader(0xc0, 64250, 64250))
	add("empty.jpg", nil)
	add("page.jpg", []byte(somePage))
	add("drawing.jpg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`))
	add("heic.jpg", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic\x00\x00\x00\x08meta"))
	add("avif.jpg", []byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00avifmif1miaf\x00\x00\x00\x08meta"))
	add("film.jpg", []byte("\x00\x00\x00\x14ftypisom\x00\x00\x02\x00isom\x00\x00\x00\x08free"))
	add("gif.jpg", []byte("GIF89a\x01\x00\x01\x00\x00\x00\x00;"))
	add("plain.png", pngOf(t))
	add("text.png", chunked(pngOf(t), "tEXt", "Comment\x00in the yard"))
	add("exif.png", chunked(pngOf(t), "eXIf", string(camera{turn: 6}.tiff())))
	add("moving.png", chunked(pngOf(t), "acTL", "\x00\x00\x00\x01\x00\x00\x00\x00"))
	add("huge.png", pngHeader(65535, 65535))
	add("largest.png", pngHeader(1<<31-1, 1<<31-1))
	add("page-behind.png", append(pngOf(t), somePage...))
	add("lossy.webp", webpOf(t, someWebPLossy))
	add("lossless.webp", webpOf(t, someWebPNoLoss))
	add("alpha.webp", webpOf(t, someWebPAlpha))
	add("exif.webp", riff(vp8x(320, 240), vp8(320, 240), webpChunk("EXIF", string(camera{turn: 6}.tiff()))))
	add("xmp.webp", riff(vp8x(320, 240), vp8(320, 240), webpChunk("XMP ", "<x:xmpmeta/>")))
	add("huge.webp", riff(vp8x(1<<24, 1<<24), vp8(320, 240)))
	return out
}
