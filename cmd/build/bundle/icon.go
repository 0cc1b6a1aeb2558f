package bundle

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
)

// The icon is a tube with one bend on a layout-blue ground, and a bright line
// scribed across it where it is to be cut. It is described once, on a field of
// 100 × 100 with y down, and drawn twice: as SVG and as pixels.
var (
	ground = color.RGBA{0x0b, 0x3d, 0x91, 0xff}
	metal  = color.RGBA{0xf7, 0xf8, 0xf6, 0xff}
	scribe = color.RGBA{0xff, 0xb4, 0x54, 0xff}
)

// The tube: down from (32, 22) to where the bend begins, a quarter turn of radius 30
// about (62, 48) to (62, 78), and on to (80, 78).
const (
	tubeWidth   = 22.0
	scribeWidth = 4.0
)

type point struct{ x, y float64 }

var (
	tubeStart, bendStart = point{32, 22}, point{32, 48}
	bendCentre           = point{62, 48}
	bendEnd, tubeEnd     = point{62, 78}, point{80, 78}
	scribeA, scribeB     = point{16, 36}, point{48, 36}
)

// iconPNGs: name to size in pixels and to the share of the field that the drawing
// takes. A maskable icon may be cut to a circle of 80 %, so it is drawn smaller.
var iconPNGs = map[string]struct {
	size  int
	share float64
}{
	"icon-180.png":          {180, 1},
	"icon-192.png":          {192, 1},
	"icon-512.png":          {512, 1},
	"icon-maskable-512.png": {512, 0.8},
}

func addIcons(files map[string][]byte) error {
	files["icon.svg"] = []byte(iconSVG())
	for name, o := range iconPNGs {
		var b bytes.Buffer
		small := png.Encoder{CompressionLevel: png.BestCompression}
		if err := small.Encode(&b, iconImage(o.size, o.share)); err != nil {
			return fmt.Errorf("draw %s: %w", name, err)
		}
		files[name] = b.Bytes()
	}
	return nil
}

func iconSVG() string {
	hex := func(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
	r := bendCentre.x - bendStart.x
	var b strings.Builder
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\">\n")
	fmt.Fprintf(&b, "<rect width=\"100\" height=\"100\" fill=\"%s\"/>\n", hex(ground))
	fmt.Fprintf(&b, "<path d=\"M%g %gL%g %gA%g %g 0 0 0 %g %gL%g %g\" fill=\"none\" stroke=\"%s\" stroke-width=\"%g\"/>\n",
		tubeStart.x, tubeStart.y, bendStart.x, bendStart.y, r, r, bendEnd.x, bendEnd.y, tubeEnd.x, tubeEnd.y, hex(metal), tubeWidth)
	fmt.Fprintf(&b, "<path d=\"M%g %gL%g %g\" stroke=\"%s\" stroke-width=\"%g\"/>\n</svg>\n",
		scribeA.x, scribeA.y, scribeB.x, scribeB.y, hex(scribe), scribeWidth)
	return b.String()
}

// iconImage paints by distance: a pixel takes the colour of a line as far as it lies
// within half its width, and the edge is blended over one pixel. The few colours go
// into a palette, since every tablet fetches the picture.
func iconImage(size int, share float64) image.Image {
	img := image.NewPaletted(image.Rect(0, 0, size, size), nil)
	index := map[color.RGBA]uint8{}
	unit := 100 / (float64(size) * share) // field units a pixel
	for py := range size {
		for px := range size {
			p := point{50 + (float64(px)+0.5-float64(size)/2)*unit, 50 + (float64(py)+0.5-float64(size)/2)*unit}
			tube := min(toSegment(p, tubeStart, bendStart), toBend(p), toSegment(p, bendEnd, tubeEnd))
			c := blend(ground, metal, cover(tube-tubeWidth/2, unit))
			c = blend(c, scribe, cover(toSegment(p, scribeA, scribeB)-scribeWidth/2, unit))
			i, known := index[c]
			if !known {
				i = uint8(len(img.Palette))
				index[c] = i
				img.Palette = append(img.Palette, c)
			}
			img.SetColorIndex(px, py, i)
		}
	}
	return img
}

// toSegment returns the distance to the middle line of a stroke with square ends: a
// point beyond an end is not on it.
func toSegment(p, a, b point) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	length := math.Hypot(dx, dy)
	along := ((p.x-a.x)*dx + (p.y-a.y)*dy) / length
	if along < 0 || along > length {
		return math.Inf(1)
	}
	return math.Abs((p.x-a.x)*dy-(p.y-a.y)*dx) / length
}

// toBend returns the distance to the middle line of the bend, whose quarter lies
// left of and below its centre.
func toBend(p point) float64 {
	if p.x > bendCentre.x || p.y < bendCentre.y {
		return math.Inf(1)
	}
	return math.Abs(math.Hypot(p.x-bendCentre.x, p.y-bendCentre.y) - (bendCentre.x - bendStart.x))
}

// cover returns in eighths how much of a pixel a stroke covers, which leaves at
// most 81 colours in a picture.
func cover(outside, unit float64) float64 {
	return math.Round(8*min(1, max(0, 0.5-outside/unit))) / 8
}

func blend(under, over color.RGBA, share float64) color.RGBA {
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + (float64(b)-float64(a))*share)) }
	return color.RGBA{mix(under.R, over.R), mix(under.G, over.G), mix(under.B, over.B), 0xff}
}
