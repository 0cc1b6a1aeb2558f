package server

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// corner is a PNG of 40 × 20 pixels, white but for a black place in the corner that Exif
// says is the upper left one of the scene.
func corner(t *testing.T, left, top bool) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			c := color.RGBA{255, 255, 255, 255}
			if (x < 8) == left && (x >= 32) == !left && (y < 8) == top && (y >= 12) == !top {
				c = color.RGBA{0, 0, 0, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Whichever way a camera was held, the scene's upper left corner is up and left. Which
// stored corner that is, is what Exif's orientation says (CIPA DC-008, tag 274: the 0th row
// and the 0th column are at these sides of the scene).
func TestPhotosOfAReportAreUpright(t *testing.T) {
	for turn, at := range map[int][2]bool{ // where the scene's upper left corner is stored: left, top
		0: {true, true}, 1: {true, true}, // 0th row at the top, 0th column at the left
		2: {false, true},  // top, right
		3: {false, false}, // bottom, right
		4: {true, false},  // bottom, left
		5: {true, true},   // left, top
		6: {true, false},  // right, top: the 0th column is on top, so what is left lies in the last row
		7: {false, false}, // right, bottom
		8: {false, true},  // left, bottom
	} {
		b, err := printable(corner(t, at[0], at[1]), turn)
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		size := m.Bounds().Size()
		if isTall := size.Y > size.X; isTall != (turn >= 5) {
			t.Errorf("turn %d: %v", turn, size)
		}
		dark := func(x, y int) bool { r, _, _, _ := m.At(x, y).RGBA(); return r < 0x8000 }
		if !dark(2, 2) || dark(size.X-3, 2) || dark(2, size.Y-3) || dark(size.X-3, size.Y-3) {
			t.Errorf("turn %d: the corner is not up and left", turn)
		}
	}
}

// A large photo is made smaller and keeps its shape; what is none, and what says that it is
// larger than any, is refused before it is read.
func TestPhotosOfAReportAreSmall(t *testing.T) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 4000, 3000)), nil); err != nil {
		t.Fatal(err)
	}
	small, err := printable(b.Bytes(), 6)
	if err != nil {
		t.Fatal(err)
	}
	if c, err := jpeg.DecodeConfig(bytes.NewReader(small)); err != nil || c.Width != 1050 || c.Height != 1400 {
		t.Errorf("%v × %v, %v", c.Width, c.Height, err)
	}
	huge := []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x01\x00\x00\x00\x01\x00\x00\x08\x02\x00\x00\x00")
	for name, b := range map[string][]byte{"text": []byte("no photo"), "cut off": b.Bytes()[:2000], "huge": huge, "empty": nil} {
		if _, err := printable(b, 1); err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}
