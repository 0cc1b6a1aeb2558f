package server

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // what tablets may send
	"io"

	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp"

	"tubewright/calc/job"
)

const (
	// reportPixels is the longer side of a photo in a report: 400 dots an inch where two
	// stand beside each other.
	reportPixels = 1400
	// mostPixels is how many a photo may have before it is not read: a small file can say
	// that it has so many that they do not fit in memory.
	mostPixels = 100e6
	// mostPhoto is how many bytes of a photo are read.
	mostPhoto = 64 << 20
)

// reportPhoto makes of a photo in the shop what lies in a report: an upright JPEG, no
// larger than it is printed.
func (s *Server) reportPhoto(ctx context.Context) func(job.CheckPhoto) ([]byte, error) {
	if s.cfg.Blobs == nil {
		return nil
	}
	return ReportPhoto(ctx, s.cfg.Blobs)
}

// ReportPhoto is the same of photos that lie in blobs, for whoever makes a report elsewhere.
func ReportPhoto(ctx context.Context, blobs Blobs) func(job.CheckPhoto) ([]byte, error) {
	return func(p job.CheckPhoto) ([]byte, error) {
		from, _, err := blobs.ReadBlob(ctx, p.SHA)
		if err != nil {
			return nil, fmt.Errorf("read photo %s: %w", p.SHA, err)
		}
		defer from.Close()
		b, err := io.ReadAll(io.LimitReader(from, mostPhoto))
		if err != nil {
			return nil, fmt.Errorf("read photo %s: %w", p.SHA, err)
		}
		small, err := printable(b, p.Turn)
		if err != nil {
			return nil, fmt.Errorf("photo %s: %w", p.SHA, err)
		}
		return small, nil
	}
}

// printable reads a picture and writes it again, upright and small. turn is what is still to
// be done to it, 1 to 8 as Exif counts (CIPA DC-008, tag 274): which side of what is stored
// is the top.
func printable(b []byte, turn int) ([]byte, error) {
	c, kind, err := image.DecodeConfig(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("read its head: %w", err)
	}
	if c.Width < 1 || c.Height < 1 || float64(c.Width)*float64(c.Height) > mostPixels {
		return nil, fmt.Errorf("a %s of %d × %d pixels: want at most %.0f in all", kind, c.Width, c.Height, mostPixels)
	}
	whole, _, err := image.Decode(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("read it: %w", err)
	}
	scale := min(1, reportPixels/float64(max(c.Width, c.Height)))
	w, h := max(1, int(scale*float64(c.Width)+0.5)), max(1, int(scale*float64(c.Height)+0.5))
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(small, small.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src) // below what is see-through
	draw.CatmullRom.Scale(small, small.Bounds(), whole, whole.Bounds(), draw.Over, nil)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, upright(small, turn), &jpeg.Options{Quality: 85}); err != nil {
		return nil, fmt.Errorf("write it: %w", err)
	}
	return out.Bytes(), nil
}

// upright turns a picture so that its top is up.
func upright(m *image.RGBA, turn int) *image.RGBA {
	if turn < 2 || turn > 8 {
		return m
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if turn >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			to := [...][2]int{2: {w - 1 - x, y}, 3: {w - 1 - x, h - 1 - y}, 4: {x, h - 1 - y}, 5: {y, x}, 6: {h - 1 - y, x}, 7: {h - 1 - y, w - 1 - x}, 8: {y, w - 1 - x}}[turn]
			out.SetRGBA(to[0], to[1], m.RGBAAt(x, y))
		}
	}
	return out
}
