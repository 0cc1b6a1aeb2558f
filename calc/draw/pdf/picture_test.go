package pdf_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
)

// quarters is a JPEG of 80 × 60 pixels of which the upper left quarter is black.
func quarters(t *testing.T) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 80, 60))
	for y := range 60 {
		for x := range 80 {
			c := color.Gray{255}
			if x < 40 && y < 30 {
				c.Y = 0
			}
			m.SetGray(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pictured(jpeg []byte) draw.Sheet {
	d := draw.Drawing{Name: "report"}
	d.Add(draw.Picture{Layer: draw.Note, Box: draw.Box{Min: [2]float64{10, -70}, Max: [2]float64{90, -10}}, JPEG: jpeg},
		draw.Line{Layer: draw.Note, To: [2]float64{1, 0}})
	return draw.Sheet{Drawing: d, NotToScale: true, Title: draw.Title{Job: "Four in line", Part: "Report", Sheet: "report", Unit: "mm"}}
}

// A photo lies where it was put, upright and as large as it says: of 80 by 60 mm the upper
// left quarter is black. It is in the file as it came, once, however often it is shown.
func TestPhotoLiesWhereItWasPut(t *testing.T) {
	photo := quarters(t)
	s := pictured(photo)
	tiling, err := pdf.Tile(s, pdf.A4)
	if err != nil || tiling.Pages() != 1 {
		t.Fatal(err, tiling.Pages())
	}
	page := printOut(t, pdf.A4, s).page(t, 1)
	shown, w := tiling.Shown(0), tiling.Window
	x0, y0 := w.Min[0]-tiling.Scale*shown.Min[0], w.Min[1]-tiling.Scale*shown.Min[1]
	black := page.box(draw.Box{Min: [2]float64{x0 + 5, y0 - 75}, Max: [2]float64{x0 + 95, y0 - 5}})
	near(t, "left", black.Min[0], x0+10, 0.1)
	near(t, "top", black.Max[1], y0-10, 0.1)
	near(t, "right", black.Max[0], x0+50, 1) // JPEG makes blocks of 8 pixels
	near(t, "foot", black.Min[1], y0-40, 1)

	var once, twice, again bytes.Buffer
	two := pictured(photo)
	two.Drawing.Add(two.Drawing.Moved(0, -80).Entities...)
	for b, s := range map[*bytes.Buffer]draw.Sheet{&once: s, &twice: two, &again: pictured(quarters(t))} {
		if err := pdf.Write(b, pdf.A4, s); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(once.Bytes(), again.Bytes()) {
		t.Error("the same sheet gives other bytes")
	}
	if n := bytes.Count(twice.Bytes(), photo); n != 1 {
		t.Errorf("the photo is in the file %d times", n)
	}
}

// What is no JPEG is an error, and no file with a hole in it.
func TestWhatIsNoPhotoIsRefused(t *testing.T) {
	photo := quarters(t)
	for name, b := range map[string][]byte{"PNG": []byte("\x89PNG\r\n\x1a\n"), "text": []byte("a photo"), "cut off": photo[:20]} {
		if err := pdf.Write(io.Discard, pdf.A4, pictured(b)); err == nil {
			t.Errorf("%s: written", name)
		}
	}
	if err := pdf.Write(io.Discard, pdf.A4, pictured(nil)); err != nil {
		t.Errorf("only a frame: %v", err)
	}
}
