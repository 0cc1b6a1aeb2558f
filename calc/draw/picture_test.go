package draw_test

import (
	"encoding/base64"
	"math"
	"strings"
	"testing"

	"tubewright/calc/draw"
)

// A photo is in a picture as it is, where it lies; without its bytes there is a frame. Seen
// from the other side it lies where what it shows does, and is not turned over.
func TestPictureInADrawing(t *testing.T) {
	p := draw.Picture{Layer: draw.Note, Box: draw.Box{Min: [2]float64{10, 20}, Max: [2]float64{50, 50}}, JPEG: []byte{0xff, 0xd8, 0xff, 1}}
	svg := func(p draw.Picture) string {
		text, err := draw.SVG(draw.Drawing{Name: "photo", Entities: []draw.Entity{p}})
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	if got, want := svg(p), `<image x="10" y="-50" width="40" height="30" href="data:image/jpeg;base64,`+base64.StdEncoding.EncodeToString(p.JPEG)+`"/>`; !strings.Contains(got, want) {
		t.Errorf("want %s in %s", want, got)
	}
	d := draw.Drawing{Entities: []draw.Entity{p}}
	if b := d.Moved(1, 2).Bounds(); b != (draw.Box{Min: [2]float64{11, 22}, Max: [2]float64{51, 52}}) {
		t.Errorf("moved %v", b)
	}
	if b := d.Mirrored().Bounds(); b != (draw.Box{Min: [2]float64{-50, 20}, Max: [2]float64{-10, 50}}) {
		t.Errorf("mirrored %v", b)
	}
	p.JPEG = nil
	if got := svg(p); !strings.Contains(got, `<path d="M10 -20H50V-50H10Z"/>`) {
		t.Errorf("no frame: %s", got)
	}
	for name, wrong := range map[string]draw.Picture{
		"cut": {Layer: draw.Cut, Box: p.Box}, "no size": {Layer: draw.Note, Box: draw.Box{}}, "nowhere": {Layer: draw.Note, Box: draw.Box{Min: [2]float64{math.NaN(), 0}, Max: [2]float64{1, 1}}},
		"no JPEG": {Layer: draw.Note, Box: p.Box, JPEG: []byte("text")},
	} {
		if _, err := draw.SVG(draw.Drawing{Entities: []draw.Entity{wrong}}); err == nil {
			t.Errorf("%s: drawn", name)
		}
	}
}
