package pdf

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"tubewright/calc/draw"
)

const (
	halfPi     = math.Pi / 2
	pointPerMM = 72 / 25.4 // exact: the point of PDF is 1/72 in (ISO 32000-1, 8.3.2.3)
	family     = "go"
)

// Write writes the sheets one after the other, each on as many pages as it needs.
func Write(w io.Writer, p Paper, sheets ...draw.Sheet) error {
	if len(sheets) == 0 {
		return fmt.Errorf("write pdf: no sheets")
	}
	tilings := make([]Tiling, len(sheets))
	pages := 0
	for i, s := range sheets {
		t, err := Tile(s, p)
		if err != nil {
			return fmt.Errorf("write pdf: sheet %d: %w", i+1, err)
		}
		tilings[i], pages = t, pages+t.Pages()
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: p.Width, Ht: p.Height}})
	f.SetCatalogSort(true)
	// The day stands on the sheet; here it would make two files of one.
	f.SetCreationDate(time.Unix(0, 0).UTC())
	f.SetModificationDate(time.Unix(0, 0).UTC())
	f.SetProducer("Tubewright", true)
	f.SetTitle(strings.TrimSpace(sheets[0].Title.Job+" "+sheets[0].Title.Part), true)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(family, "", goregular.TTF)
	f.AddUTF8FontFromBytes(family, "B", gobold.TTF)
	page := 0
	for i, s := range sheets {
		t := tilings[i]
		width, height := p.size(t.Landscape)
		drawing := t.settled(s.Drawing)
		for n := range t.Pages() {
			page++
			// fpdf turns a size itself when told L.
			orientation := "P"
			if t.Landscape {
				orientation = "L"
			}
			f.AddPageFormat(orientation, fpdf.SizeType{Wd: p.Width, Ht: p.Height})
			c := canvas{f: f, height: height, scale: 1}
			c.drawing(frame{s, width, height}.page(t, n, fmt.Sprintf("Page %d of %d.", page, pages)))
			c.tile(drawing, t, n)
		}
	}
	var b bytes.Buffer
	if err := f.Output(&b); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	unscaled, err := asksNotToScale(b.Bytes())
	if err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	if _, err := w.Write(unscaled); err != nil {
		return fmt.Errorf("write pdf: %w", err)
	}
	return nil
}

// tile draws what page n shows of the drawing, cut off at the window, and the marks by
// which the pages are laid together. It is the last on its page: what it sets is
// forgotten behind it, and fpdf would not know.
func (c canvas) tile(d draw.Drawing, t Tiling, n int) {
	shown := t.Shown(n)
	c.raw("q")
	c.raw("%s %s %s %s re W n", points(t.Window.Min[0]), points(t.Window.Min[1]), points(t.Window.Width()), points(t.Window.Height()))
	c.scale = t.Scale
	c.move = [2]float64{t.Window.Min[0] - t.Scale*shown.Min[0], t.Window.Min[1] - t.Scale*shown.Min[1]}
	c.drawing(t.legible(d, n))
	var marks draw.Drawing
	for _, j := range t.Joins {
		marks.Add(j.mark()...)
	}
	c.drawing(marks)
	c.raw("Q")
}
