package pdf_test

import (
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"tubewright/calc/draw"
)

// The widths by which text is placed are those of the fonts that are built in.
func TestWidthsAreThoseOfTheFonts(t *testing.T) {
	f := fpdf.New("P", "mm", "A4", "")
	f.AddUTF8FontFromBytes("go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	seen := 0
	for _, bold := range []bool{false, true} {
		style := map[bool]string{true: "B"}[bold]
		f.SetFont("go", style, 100)
		for r := ' '; r < 0x3000; r++ {
			if !draw.HasSign(r) {
				continue
			}
			seen++
			// fpdf keeps thousandths of an em.
			want := f.GetStringWidth(string(r))
			got := draw.TextWidth(string(r), draw.CapPerEm*100*25.4/72, bold)
			if d := got - want; d > 0.04 || d < -0.04 {
				t.Errorf("%q bold %v: got %.3f mm, want %.3f", r, bold, got, want)
			}
		}
	}
	if seen < 400 {
		t.Errorf("%d signs, want all of the table", seen)
	}
}
