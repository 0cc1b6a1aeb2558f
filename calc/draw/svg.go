package draw

import (
	"encoding/base64"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// svgMargin is the white about a drawing in SVG, in mm, so that lines on its edge
// are whole.
const svgMargin = 2

// SVG returns the drawing as one svg element in mm, y turned, for a page of the app.
// Every layer is a group of class on-cut, on-mark and so on, without colours: lines
// take the colour of the text about them unless a style sheet says otherwise. Coordinates are
// rounded to 0.1 µm.
func SVG(d Drawing) (string, error) {
	if err := d.Check(); err != nil {
		return "", err
	}
	return svg(d, ""), nil
}

// SVGFile returns the sheet as a file of its own, black on white, its title block and
// cautions below the drawing. It is to look at and to cut from by figures: programs
// that print SVG scale as they like, so it bears no rulers and says so.
func SVGFile(s Sheet) (string, error) {
	if err := s.Check(); err != nil {
		return "", err
	}
	d := s.Drawing
	b := d.Bounds()
	if b.IsEmpty() {
		b = Box{}
	}
	width := max(b.Width(), 120)
	at := [2]float64{b.Min[0], b.Min[1] - 8}
	warned, high := s.Warned(at, width)
	at[1] -= high
	block, high := s.Block(at, width)
	d.Entities = append(append(append([]Entity(nil), d.Entities...), warned...), block...)
	at[1] -= high + 4
	for _, c := range append(s.Cautions[:len(s.Cautions):len(s.Cautions)], "Not for cutting from paper: a program that prints this file may scale it. Print the PDF.") {
		text, high := Paragraph(c, at, width, 2.5)
		d.Entities = append(d.Entities, text...)
		at[1] -= high + 1
	}
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" + svg(d, ownStyle), nil
}

const ownStyle = `<style>svg{background:#fff;color:#000}text{font-family:Go,"Liberation Sans",Arial,Helvetica,sans-serif}</style>` + "\n"

func svg(d Drawing, style string) string {
	b := d.Bounds()
	if b.IsEmpty() {
		b = Box{}
	}
	b = b.Grown(svgMargin)
	w := svgWriter{}
	w.printf(`<svg xmlns="http://www.w3.org/2000/svg" class="true-size" width="%smm" height="%smm" viewBox="%s %s %s %s" fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round" role="img">`+"\n",
		figure(b.Width()), figure(b.Height()), figure(b.Min[0]), figure(-b.Max[1]), figure(b.Width()), figure(b.Height()))
	w.printf("<title>%s</title>\n", escape(d.Name))
	if d.Origin != "" {
		w.printf("<desc>0, 0: %s</desc>\n", escape(d.Origin))
	}
	w.WriteString(style)
	for _, l := range Layers {
		if list := d.Only(l).Entities; len(list) > 0 {
			w.layer(l, list)
		}
	}
	w.WriteString("</svg>\n")
	return w.String()
}

type svgWriter struct{ strings.Builder }

func (w *svgWriter) printf(format string, args ...any) { fmt.Fprintf(&w.Builder, format, args...) }

func (w *svgWriter) layer(l Layer, list []Entity) {
	w.printf(`<g class="on-%v" stroke-width="%s"`, l, figure(l.Weight()))
	if dash := l.Dash(); dash != nil {
		var lengths []string
		for _, v := range dash {
			lengths = append(lengths, figure(v))
		}
		w.printf(` stroke-dasharray="%s"`, strings.Join(lengths, " "))
	}
	w.WriteString(">\n")
	for _, e := range list {
		w.entity(e)
	}
	w.WriteString("</g>\n")
}

func (w *svgWriter) entity(e Entity) {
	switch e := e.(type) {
	case Line:
		w.printf(`<path d="M%sL%s"/>`+"\n", place(e.From), place(e.To))
	case Circle:
		w.printf(`<circle cx="%s" cy="%s" r="%s"/>`+"\n", figure(e.Centre[0]), figure(-e.Centre[1]), figure(e.Radius))
	case Arc:
		w.printf(`<path d="M%s%s"/>`+"\n", place(e.At(0)), arcPath(e))
	case Loop:
		w.printf(`<path d="M%s`, place([2]float64{e.Vertices[0].X, e.Vertices[0].Y}))
		for _, p := range e.Pieces() {
			switch p := p.(type) {
			case Line:
				w.printf("L%s", place(p.To))
			case Arc:
				w.WriteString(arcPath(p))
			}
		}
		w.WriteString(`Z"`)
		if e.Filled {
			w.WriteString(` class="filled" fill="currentColor"`)
		}
		w.WriteString("/>\n")
	case Text:
		w.text(e)
	case Picture:
		if len(e.JPEG) > 0 {
			w.printf(`<image x="%s" y="%s" width="%s" height="%s" href="data:image/jpeg;base64,%s"/>`+"\n",
				figure(e.Min[0]), figure(-e.Max[1]), figure(e.Max[0]-e.Min[0]), figure(e.Max[1]-e.Min[1]), base64.StdEncoding.EncodeToString(e.JPEG))
			return
		}
		w.printf(`<path d="M%sH%sV%sH%sZ"/>`+"\n", place(e.Min), figure(e.Max[0]), figure(-e.Max[1]), figure(e.Min[0]))
	}
}

func (w *svgWriter) text(t Text) {
	at := t.at(0, -t.Anchor.Below()*t.Height)
	w.printf(`<text x="%s" y="%s" font-size="%s" fill="currentColor" stroke="none"`,
		figure(at[0]), figure(-at[1]), figure(t.Height/CapPerEm))
	if a := [3]string{"", "middle", "end"}[t.Anchor%3]; a != "" {
		w.printf(` text-anchor="%s"`, a)
	}
	if t.Bold {
		w.WriteString(` font-weight="bold"`)
	}
	if width := t.Width(); width > 0 {
		// Whatever font is there, the text is as long as it was laid out for.
		w.printf(` textLength="%s" lengthAdjust="spacingAndGlyphs"`, figure(width))
	}
	if t.Turn != 0 {
		w.printf(` transform="rotate(%s %s)"`, figure(-t.Turn*180/math.Pi), place(at))
	}
	w.printf(">%s</text>\n", escape(t.Text))
}

// arcPath returns the commands from the arc's start to its end. No step is longer
// than a quarter: near a half circle the centre, which SVG finds from the ends, would
// move by much more than the ends are rounded.
func arcPath(a Arc) string {
	n := max(1, int(math.Ceil(math.Abs(a.Sweep)/(math.Pi/2)-1e-9)))
	sweep := "0"
	if a.Sweep < 0 {
		sweep = "1" // y is turned
	}
	var b strings.Builder
	r := figure(a.Radius)
	for i := range n {
		b.WriteString("A" + r + " " + r + " 0 0 " + sweep + " " + place(a.At(float64(i+1)/float64(n))))
	}
	return b.String()
}

func place(p [2]float64) string { return figure(p[0]) + " " + figure(-p[1]) }

// figure writes v with up to four decimals, no more than it needs, never −0.
func figure(v float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(v, 'f', 4, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escape makes text of anything: signs that XML 1.0 does not allow become the
// replacement sign.
func escape(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	return escaper.Replace(strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == '\ufffe' || r == '\uffff' {
			return '\ufffd'
		}
		return r
	}, s))
}
