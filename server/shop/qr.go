package shop

import (
	"fmt"
	"html/template"
	"strings"

	"rsc.io/qr"
)

const quiet = 4 // modules of white around a code (from memory of ISO/IEC 18004)

// svgCode draws a text as a QR code. label says in words what it leads to. A text
// that is too long for one is a fault of the caller: links here have a few dozen
// characters of the 2331 that fit.
func svgCode(text, label string, large bool) template.HTML {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		panic("shop: bug: " + err.Error())
	}
	var path strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; {
			run := 0
			for x+run < code.Size && code.Black(x+run, y) {
				run++
			}
			if run > 0 {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, run, run)
			}
			x += max(run, 1)
		}
	}
	class := "qr"
	if large {
		class = "qr large"
	}
	side := code.Size + 2*quiet
	return template.HTML(fmt.Sprintf(`<svg class="%s" viewBox="0 0 %d %d" shape-rendering="crispEdges" role="img" aria-label="%s"><path fill="#ffffff" d="M0 0h%dv%dh-%dz"/><path fill="#000000" d="%s"/></svg>`,
		class, side, side, template.HTMLEscapeString(label), side, side, side, path.String()))
}
