package pdf

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"math"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"tubewright/calc/draw"
)

// canvas draws entities on the page that fpdf is at. Paths are written past fpdf,
// whose way rounds to 0.01 pt and knows no y up.
type canvas struct {
	f      *fpdf.Fpdf
	height float64 // of the page in mm
	scale  float64
	move   [2]float64 // in mm, after the scale
}

func (c canvas) raw(format string, args ...any) { c.f.RawWriteStr(fmt.Sprintf(format, args...)) }

// points writes mm as points, to 0.0001 pt or 35 nm.
func points(mm float64) string {
	s := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(mm*pointPerMM, 'f', 4, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func (c canvas) place(p [2]float64) [2]float64 {
	return [2]float64{c.scale*p[0] + c.move[0], c.scale*p[1] + c.move[1]}
}

func (c canvas) at(p [2]float64) string {
	p = c.place(p)
	return points(p[0]) + " " + points(p[1])
}

func (c canvas) drawing(d draw.Drawing) {
	for _, l := range draw.Layers {
		list := d.Only(l).Entities
		if len(list) == 0 {
			continue
		}
		var dash []string
		for _, mm := range l.Dash() {
			dash = append(dash, points(mm))
		}
		c.raw("0 J 1 j %s w [%s] 0 d", points(l.Weight()), strings.Join(dash, " "))
		for _, e := range list {
			c.entity(e)
		}
	}
}

func (c canvas) entity(e draw.Entity) {
	switch e := e.(type) {
	case draw.Line:
		c.raw("%s m %s l S", c.at(e.From), c.at(e.To))
	case draw.Arc:
		c.raw("%s m%s S", c.at(e.At(0)), c.arc(e))
	case draw.Circle:
		a := draw.Arc{Centre: e.Centre, Radius: e.Radius, Sweep: 2 * math.Pi}
		c.raw("%s m%s h S", c.at(a.At(0)), c.arc(a))
	case draw.Loop:
		var b strings.Builder
		b.WriteString(c.at([2]float64{e.Vertices[0].X, e.Vertices[0].Y}) + " m")
		for _, p := range e.Pieces() {
			switch p := p.(type) {
			case draw.Line:
				b.WriteString(" " + c.at(p.To) + " l")
			case draw.Arc:
				b.WriteString(c.arc(p))
			}
		}
		paint := "S"
		if e.Filled {
			paint = "f"
		}
		c.raw("%s h %s", b.String(), paint)
	case draw.Text:
		c.text(e)
	case draw.Picture:
		c.picture(e)
	}
}

// picture puts the bytes of a JPEG into the file as they are. Without bytes there is its
// frame.
func (c canvas) picture(p draw.Picture) {
	low, high := c.place(p.Min), c.place(p.Max)
	wide, tall := high[0]-low[0], high[1]-low[1]
	if len(p.JPEG) == 0 {
		c.raw("%s %s %s %s re S", points(low[0]), points(low[1]), points(wide), points(tall))
		return
	}
	jpeg := fpdf.ImageOptions{ImageType: "JPG"}
	name := fmt.Sprintf("%x", sha256.Sum256(p.JPEG)) // a picture that is shown twice is in the file once
	c.f.RegisterImageOptionsReader(name, jpeg, bytes.NewReader(p.JPEG))
	c.f.ImageOptions(name, low[0], c.height-high[1], wide, tall, false, jpeg, 0, "")
}

// arc returns curves along the arc. PDF has none but cubics; with control points at
// 4/3·tan(φ/4) of the radius a piece of φ = 1/16 turn is off by 6.7·10⁻⁸ of the radius
// at most: it goes with φ⁶, and a quarter's is 2.7·10⁻⁴ (common knowledge, no source;
// measured by a test).
func (c canvas) arc(a draw.Arc) string {
	n := max(1, int(math.Ceil(math.Abs(a.Sweep)/(math.Pi/8)-1e-9)))
	step := a.Sweep / float64(n)
	k := a.Radius * 4 / 3 * math.Tan(step/4)
	var b strings.Builder
	for i := range n {
		from, to := a.At(float64(i)/float64(n)), a.At(float64(i+1)/float64(n))
		sin, cos := math.Sincos(a.Start + step*float64(i))
		from[0], from[1] = from[0]-k*sin, from[1]+k*cos
		sin, cos = math.Sincos(a.Start + step*float64(i+1))
		b.WriteString(" " + c.at(from) + " " + c.at([2]float64{to[0] + k*sin, to[1] - k*cos}) + " " + c.at(to) + " c")
	}
	return b.String()
}

func (c canvas) text(t draw.Text) {
	// A sign that the fonts do not have is a box in PDF, and beyond the first 65536 fpdf
	// breaks.
	t.Text = strings.Map(func(r rune) rune {
		if draw.HasSign(r) {
			return r
		}
		return '?'
	}, t.Text)
	style := ""
	if t.Bold {
		style = "B"
	}
	c.f.SetFont(family, style, c.scale*t.Height/draw.CapPerEm*pointPerMM)
	base := c.place(t.Base())
	if t.Turn == 0 {
		c.f.Text(base[0], c.height-base[1], t.Text)
		return
	}
	c.f.TransformBegin()
	c.f.TransformRotate(t.Turn*180/math.Pi, base[0], c.height-base[1])
	c.f.Text(base[0], c.height-base[1], t.Text)
	c.f.TransformEnd()
}
