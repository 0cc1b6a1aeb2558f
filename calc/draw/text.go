package draw

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// Anchor is the place of a text that stands at its point: across the line of text
// its left end, middle or right end; in height its base line, the middle of its
// capitals, or their top.
type Anchor uint8

const (
	BaseLeft Anchor = iota
	BaseMiddle
	BaseRight
	MidLeft
	MidMiddle
	MidRight
	TopLeft
	TopMiddle
	TopRight
)

// Across returns how much of the text's width stands before its point, 0 to 1.
func (a Anchor) Across() float64 { return float64(a%3) / 2 }

// Below returns how much of the capitals' height stands below the point, 0 to 1.
func (a Anchor) Below() float64 { return float64(a/3) / 2 }

// CapPerEm is the height of a capital over the size of the type, of the Go fonts
// (golang.org/x/image/font/gofont, OS/2 sCapHeight 1480 of 2048).
const CapPerEm = 1480.0 / 2048

// descent is how far letters go below the base line, over the height of a capital.
const descent = 432.0 / 1480

// On returns the layer.
func (t Text) On() Layer { return t.Layer }

// Width returns the text's length in mm.
func (t Text) Width() float64 { return TextWidth(t.Text, t.Height, t.Bold) }

// Base returns where the base line of the text begins, in mm.
func (t Text) Base() [2]float64 {
	return t.at(-t.Anchor.Across()*t.Width(), -t.Anchor.Below()*t.Height)
}

// at turns a place along and above the line of text about At.
func (t Text) at(along, up float64) [2]float64 {
	sin, cos := math.Sincos(t.Turn)
	return [2]float64{t.At[0] + along*cos - up*sin, t.At[1] + along*sin + up*cos}
}

// Bounds returns the box about the text, letters below the line included.
func (t Text) Bounds() Box {
	w := t.Width()
	x, y := -t.Anchor.Across()*w, -t.Anchor.Below()*t.Height
	low, high := y-descent*t.Height, y+t.Height
	return Empty().With(t.at(x, low)).With(t.at(x+w, low)).With(t.at(x, high)).With(t.at(x+w, high))
}

func (t Text) check() error {
	if !utf8.ValidString(t.Text) || strings.ContainsFunc(t.Text, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		return fmt.Errorf("text %q: want one line without control characters", t.Text)
	}
	if t.Anchor > TopRight {
		return fmt.Errorf("no anchor %d", t.Anchor)
	}
	if err := finite("place or turn", t.At[0], t.At[1], t.Turn); err != nil {
		return err
	}
	return positive("text height", t.Height)
}

func (t Text) moved(dx, dy float64) Entity {
	t.At = shift(t.At, dx, dy)
	return t
}

// mirrored moves the text to the other side of what it stands beside and keeps it
// readable.
func (t Text) mirrored() Entity {
	t.At = flip(t.At)
	across, rise := t.Anchor%3, t.Anchor/3
	if turn := 0 - t.Turn; turn == readable(turn) {
		t.Turn, across = turn, 2-across
	} else { // the other way up, or it would be read from the left
		t.Turn, rise = readable(turn), 2-rise
	}
	t.Anchor = 3*rise + across
	return t
}

// TextWidth returns how long the text is in mm in the Go fonts, capitals being
// height mm high. Signs without an entry in the table count as an em. Other fonts
// of the kind differ by some per cent; leave room.
func TextWidth(text string, height float64, bold bool) float64 {
	weight := 0
	if bold {
		weight = 1
	}
	sum := 0
	for _, r := range text {
		switch w, known := advances.other[r]; {
		case r >= ' ' && r <= '~':
			sum += advances.ascii[r-' '][weight]
		case known:
			sum += w[weight]
		default:
			sum += 2048
		}
	}
	return float64(sum) / 1480 * height
}

// HasSign reports whether the fonts of the sheets have the sign, as far as the table
// of widths knows.
func HasSign(r rune) bool {
	_, other := advances.other[r]
	return r >= ' ' && r <= '~' || other
}
