package photo

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"image"
	"image/jpeg"
	_ "image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// -update writes testdata/photo anew. The tablets' reader is held to the same
// files: read the difference before committing it.
var update = flag.Bool("update", false, "write golden pictures")

const photoDir = "../../testdata/photo"

// golden is what is expected of one file.
type golden struct {
	File string `json:"file"`
	Head *Head  `json:"head"` // null where there is no size to be read
	Why  string `json:"why"`  // why Check refuses it; empty when it does not
	Text string `json:"text"`
}

func goldenOf(name string, b []byte) golden {
	g := golden{File: name}
	h, err := Check(b)
	if h.W > 0 {
		g.Head = &h
	}
	var no *Refusal
	if errors.As(err, &no) {
		g.Why, g.Text = no.Why, no.Text
	}
	return g
}

func TestGoldenPicturesReadAsBefore(t *testing.T) {
	var lines []string
	for _, m := range table(t) {
		path := filepath.Join(photoDir, m.name)
		if *update {
			if err := os.MkdirAll(photoDir, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, m.b, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		b, err := os.ReadFile(path) // and not m.b: another Go may compress otherwise
		if err != nil {
			t.Fatalf("%v; -update writes it anew", err)
		}
		line, err := json.Marshal(goldenOf(m.name, b))
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, string(line))
	}
	path := filepath.Join(photoDir, "heads.json")
	want := "[\n" + strings.Join(lines, ",\n") + "\n]\n"
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if b, err := os.ReadFile(path); err != nil || string(b) != want {
		t.Errorf("heads.json is not what is read now (%v); -update writes it anew", err)
	}
}

// What is expected of the files, by hand and not from the reader.
func TestPicturesAreReadAsTheyWereMade(t *testing.T) {
	files := map[string][]byte{}
	for _, m := range table(t) {
		files[m.name] = m.b
	}
	ok := func(name string, want Head) {
		t.Helper()
		if got, err := Check(files[name]); err != nil || got != want {
			t.Errorf("%s: %+v, %v; want %+v", name, got, err, want)
		}
	}
	no := func(name, why, word string) {
		t.Helper()
		_, err := Check(files[name])
		var r *Refusal
		if !errors.As(err, &r) || r.Why != why || !strings.Contains(r.Text, word) {
			t.Errorf("%s: %v; want why %q and a sentence with %q", name, err, why, word)
		}
	}
	ok("plain.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1})
	for turn := 1; turn <= 8; turn++ {
		want := Head{Type: JPEG, W: wide, H: high, Turn: turn}
		if turn >= 5 {
			want.W, want.H = high, wide
		}
		name := "turn-" + string(rune('0'+turn))
		ok(name+".jpg", want)
		ok(name+"-little.jpg", want)
		if w, h := want.Upright(); w != wide || h != high {
			t.Errorf("%s is %d by %d upright", name, w, h)
		}
	}
	ok("turn-9.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1})
	ok("taken.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1, Taken: takenRFC + takenOffset})
	ok("taken-little.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1, Taken: takenRFC + takenOffset})
	ok("taken-no-offset.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1, Taken: takenRFC})
	ok("taken-never.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1})
	ok("zeros-behind.jpg", Head{Type: JPEG, W: wide, H: high, Turn: 1})
	ok("progressive-head.jpg", Head{Type: JPEG, W: 1200, H: 1600, Turn: 1})
	ok("plain.png", Head{Type: PNG, W: wide, H: high, Turn: 1})
	for _, name := range []string{"lossy.webp", "lossless.webp", "alpha.webp"} {
		ok(name, Head{Type: WebP, W: 1, H: 1, Turn: 1})
	}
	for _, name := range []string{"gps.jpg", "gps-little.jpg", "gps-second.jpg", "xmp.jpg", "iptc.jpg", "comment.jpg", "exif-broken.jpg", "exif-loop.jpg",
		"text.png", "exif.png", "exif.webp", "xmp.webp"} {
		no(name, "place", "where it was taken")
	}
	if h, _ := Read(files["gps.jpg"]); h.Turn != 6 || h.Taken != takenRFC || !h.Place {
		t.Errorf("gps.jpg: %+v; want the turn and the stamp told all the same", h)
	}
	if h, _ := Read(files["gps-second.jpg"]); h.Turn != 1 {
		t.Errorf("gps-second.jpg: %+v; the first Exif data say how to turn", h)
	}
	for _, name := range []string{"huge.jpg", "huge.png", "largest.png"} {
		no(name, "size", "allowed 1 to 67108864")
	}
	no("huge.webp", "type", "contradict")
	for _, name := range []string{"page-behind.jpg", "second-behind.jpg", "page-behind.png"} {
		no(name, "type", "follows the end")
	}
	for _, name := range []string{"truncated.jpg", "no-end.jpg", "cut-in-exif.jpg"} {
		no(name, "type", "ends too early")
	}
	no("page.jpg", "type", "page")
	no("drawing.jpg", "type", "drawing")
	no("heic.jpg", "type", "HEIC")
	no("heic.jpg", "type", "set the tablet's camera to JPEG")
	no("avif.jpg", "type", "AVIF")
	no("film.jpg", "type", "film")
	no("gif.jpg", "type", "GIF")
	no("empty.jpg", "type", "empty")
	no("moving.png", "type", "moving")
}

// Every kind of frame of table B.1 states its size in the same place.
func TestEveryKindOfFrameStatesItsSize(t *testing.T) {
	for sof := byte(0xc0); sof <= 0xcf; sof++ {
		h, err := Check(jpegHeader(sof, 640, 480))
		isFrame := sof != mDHT && sof != mJPG && sof != mDAC
		if isFrame != (err == nil && h.W == 640 && h.H == 480) {
			t.Errorf("marker %#x: %+v, %v", sof, h, err)
		}
	}
}

func TestOddPicturesAreRefused(t *testing.T) {
	plain := jpegOf(t, 1)
	for name, b := range map[string][]byte{
		"two sizes":            with(plain, frame(0xc0, 8, 8)),
		"no lines":             jpegHeader(0xc0, 640, 0),
		"no columns":           jpegHeader(0xc0, 0, 480),
		"scan before size":     append([]byte{0xff, mSOI}, seg(mSOS, "\x01\x01\x00\x00\x3f\x00")...),
		"no scan":              append(append([]byte{0xff, mSOI}, frame(0xc0, 8, 8)...), 0xff, mEOI),
		"start only":           {0xff, mSOI, 0xff},
		"start twice":          {0xff, mSOI, 0xff, mSOI, 0xff, mEOI},
		"bytes between":        with(plain, []byte("<script>")),
		"length of one":        with(plain, []byte{0xff, 0xe5, 0, 1}),
		"size cut off":         append([]byte{0xff, mSOI}, seg(0xc0, "\x08\x00\x10")...),
		"png without pixels":   append(append([]byte(pngSign), pngHeader(8, 8)[8:33]...), chunk("IEND", "")...),
		"png size later":       append([]byte(pngSign), chunk("gAMA", "\x00\x00\x00\x01")...),
		"png size twice":       chunked(pngOf(t), "IHDR", "\x00\x00\x00\x01\x00\x00\x00\x01\x08\x02\x00\x00\x00"),
		"png of no size":       pngHeader(0, 8),
		"png above 2^31":       pngHeader(1<<31, 8),
		"png part above 2^31":  append([]byte(pngSign), "\xff\xff\xff\xffIHDR\x00\x00\x00\x00"...),
		"webp without picture": riff(vp8x(8, 8)),
		"webp two pictures":    riff(vp8(8, 8), vp8(8, 8)),
		"webp two canvases":    riff(vp8x(8, 8), vp8x(8, 8), vp8(8, 8)),
		"webp moving":          riff(vp8x(8, 8), webpChunk("ANIM", "\x00\x00\x00\x00\x00\x00")),
		"webp other size":      riff(vp8x(8, 8), vp8(16, 16)),
		"webp too long":        append(riff(vp8(8, 8)), 'x'),
		"webp too short":       riff(vp8(8, 8))[:20],
		"webp length inside":   []byte("RIFF\x00\x00\x00\x00WEBP"),
		"webp no key frame":    riff(webpChunk("VP8 ", "\x31\x01\x00\x9d\x01\x2a\x08\x00\x08\x00")),
		"webp later version":   riff(webpChunk("VP8L", "\x2f\x00\x00\x00\x20")),
	} {
		if h, err := Check(b); err == nil {
			t.Errorf("%s: %+v", name, h)
		}
	}
}

func TestFilesAboveTheLimitAreRefusedUnread(t *testing.T) {
	b := make([]byte, MaxBytes+1)
	copy(b, jpegOf(t, 1))
	var r *Refusal
	if _, err := Check(b); !errors.As(err, &r) || r.Why != "size" {
		t.Errorf("%d bytes: %v", len(b), err)
	}
	if _, err := Check(b[:MaxBytes]); err != nil { // zeros behind the picture
		t.Errorf("%d bytes: %v", MaxBytes, err)
	}
	if _, err := Check(jpegHeader(0xc0, 9248, 6936)); err != nil {
		t.Errorf("a camera of 64 megapixels: %v", err)
	}
}

// Every opening of every file is read without panic and never as whole.
func TestNoOpeningOfAPictureIsAWholeOne(t *testing.T) {
	for _, m := range table(t) {
		whole, err := Check(m.b)
		if err != nil || m.name == "zeros-behind.jpg" {
			continue
		}
		for n := range m.b {
			if h, err := Check(m.b[:n]); err == nil {
				t.Fatalf("%s: the first %d of %d bytes pass as %+v, the whole is %+v", m.name, n, len(m.b), h, whole)
			}
		}
	}
}

// Go's own decoders are an outside reader for sizes, and for whether the files
// are pictures at all.
func TestSizesAreThoseThatDecodersRead(t *testing.T) {
	n := 0
	for _, m := range table(t) {
		h, err := Check(m.b)
		if err != nil || h.Type == WebP || m.name == "progressive-head.jpg" {
			continue
		}
		cfg, _, err := image.DecodeConfig(bytes.NewReader(m.b))
		if err != nil || cfg.Width != h.W || cfg.Height != h.H {
			t.Errorf("%s: %d by %d, %v; Check says %d by %d", m.name, cfg.Width, cfg.Height, err, h.W, h.H)
		}
		n++
	}
	if n < 20 {
		t.Errorf("only %d files were compared", n)
	}
}

// The red square lies where it belongs in every one of the eight orientations:
// the files are what they claim, whoever turns them.
func TestRedSquareIsWhereTheOrientationSays(t *testing.T) {
	for turn := 1; turn <= 8; turn++ {
		m, err := jpeg.Decode(bytes.NewReader(jpegOf(t, turn)))
		if err != nil {
			t.Fatal(err)
		}
		// Where the middle of the square lies in the file, from the picture of
		// each orientation drawn on paper.
		fx, fy := float64(redX)/wide, float64(redY)/high
		at := map[int][2]float64{1: {fx, fy}, 2: {1 - fx, fy}, 3: {1 - fx, 1 - fy}, 4: {fx, 1 - fy}, 5: {fy, fx}, 6: {fy, 1 - fx}, 7: {1 - fy, 1 - fx}, 8: {1 - fy, fx}}[turn]
		x, y := int(at[0]*float64(m.Bounds().Dx())), int(at[1]*float64(m.Bounds().Dy()))
		if r, g, _, _ := m.At(x, y).RGBA(); r>>8 < 180 || g>>8 > 90 {
			t.Errorf("orientation %d: at %d, %d the file is %v, want red", turn, x, y, m.At(x, y))
		}
	}
}

// An outside program reads orientation, stamp and place of the files, where one
// is installed.
func TestOutsideReaderAgreesOnOrientation(t *testing.T) {
	const script = `
import sys
from PIL import Image, ImageOps
for name in sys.argv[1:]:
    m = Image.open(name)
    e = m.getexif()
    u = ImageOps.exif_transpose(m).convert("RGB")
    r, g, b = u.getpixel((u.width // 4, u.height // 10))
    print(name.split("/")[-1], m.width, m.height, e.get(274, 1), bool(e.get_ifd(34853)), e.get_ifd(34665).get(36867, ""), r > 180 and g < 90, u.width, u.height)
`
	python := ""
	for _, name := range []string{"python3", "/usr/bin/python3"} { // the system's own has what the system installed
		if exec.Command(name, "-c", "import PIL").Run() == nil {
			python = name
			break
		}
	}
	if python == "" {
		t.Skip("SKIPPED: no python3 with PIL here, so no outside reader of Exif was asked")
	}
	args := []string{"-c", script}
	want := map[string]string{}
	for turn := range 8 {
		for _, end := range []string{".jpg", "-little.jpg"} {
			name := "turn-" + string(rune('1'+turn)) + end
			size := "320 240"
			if turn+1 >= 5 {
				size = "240 320"
			}
			want[name] = name + " " + size + " " + string(rune('1'+turn)) + " False  True 320 240"
			args = append(args, filepath.Join(photoDir, name))
		}
	}
	for name, line := range map[string]string{
		"gps.jpg": "240 320 6 True " + takenStamp + " True 320 240", "gps-little.jpg": "320 240 1 True  True 320 240",
		"taken.jpg": "320 240 1 False " + takenStamp + " True 320 240",
		"plain.png": "320 240 1 False  True 320 240",
	} {
		want[name] = name + " " + line
		args = append(args, filepath.Join(photoDir, name))
	}
	out, err := exec.Command(python, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for line := range strings.Lines(string(out)) {
		name, _, _ := strings.Cut(line, " ")
		if got := strings.TrimSpace(line); got != want[name] {
			t.Errorf("the outside reader says %q, want %q", got, want[name])
		}
		delete(want, name)
	}
	if len(want) > 0 {
		t.Errorf("nothing was said of %v", want)
	}
}

// A picture with a byte changed anywhere is read without panic; and the place of
// one with a place is not lost by damage to bytes outside its metadata.
func TestDamagedPicturesDoNotPanic(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	files := table(t)
	for i := range 20_000 {
		b := slices.Clone(files[rnd.IntN(len(files))].b)
		for range 1 + rnd.IntN(3) {
			if len(b) > 0 {
				b[rnd.IntN(min(len(b), 600))] = byte(rnd.Uint32())
			}
		}
		if h, err := Check(b); err == nil && (h.Place || h.W < 1 || h.H < 1 || h.Turn < 1 || h.Turn > 8) {
			t.Fatalf("seed %d case %d: %+v passed", seed, i, h)
		}
	}
}

// Headers claim; memory is not taken by claims.
func TestTL10ClaimsTakeNoMemory(t *testing.T) {
	for _, m := range table(t) {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		Check(m.b)
		runtime.ReadMemStats(&after)
		if n := after.TotalAlloc - before.TotalAlloc; n > 16<<10 {
			t.Errorf("%s: %d bytes taken for a file of %d", m.name, n, len(m.b))
		}
	}
}

func FuzzPhotoHead(f *testing.F) {
	for _, m := range table(f) {
		f.Add(m.b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		h, err := Check(b)
		var no *Refusal
		switch {
		case err != nil:
			if !errors.As(err, &no) || no.Why == "" || no.Text == "" {
				t.Errorf("an error that is no refusal: %v", err)
			}
		case h.W < 1 || h.H < 1 || int64(h.W)*int64(h.H) > MaxPixels || h.Place || h.Turn < 1 || h.Turn > 8:
			t.Errorf("%+v passed", h)
		case h.Taken != "" && len(h.Taken) != len(takenRFC) && len(h.Taken) != len(takenRFC+takenOffset):
			t.Errorf("a stamp %q", h.Taken)
		}
		// What Go's decoder reads of a JPEG is what we read of it.
		if cfg, kind, e := image.DecodeConfig(bytes.NewReader(b)); err == nil && e == nil && kind != "gif" && h.Type != WebP && (cfg.Width != h.W || cfg.Height != h.H) {
			t.Errorf("a decoder reads %d by %d, Check %d by %d", cfg.Width, cfg.Height, h.W, h.H)
		}
	})
}
