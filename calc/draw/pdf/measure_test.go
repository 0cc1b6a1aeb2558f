package pdf_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
)

// dpi is what pages are looked at with: a pixel is 0.0423 mm.
const (
	dpi   = 600
	pixel = 25.4 / dpi
)

// printed is what another program made of our file.
type printed struct{ file string }

// printOut writes the sheets into a file.
func printOut(t *testing.T, p pdf.Paper, sheets ...draw.Sheet) printed {
	t.Helper()
	var b bytes.Buffer
	if err := pdf.Write(&b, p, sheets...); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), p.Name+".pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return printed{file}
}

// run runs one of the programs of poppler, which is nobody's own reader of our own
// writing.
func run(t *testing.T, program string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if errors.Is(err, exec.ErrNotFound) {
		t.Skipf("%s is not here (Debian: poppler-utils): the file is not read back", program)
	}
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, out)
	}
	return string(out)
}

// page is a picture of a page in mm from its lower left corner.
type page struct{ *image.Gray }

func (p printed) page(t *testing.T, n int) page { return p.at(t, n, dpi) }

// at draws a page at so many dots an inch.
func (p printed) at(t *testing.T, n int, dots float64) page {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "page")
	run(t, "pdftoppm", "-r", strconv.FormatFloat(dots, 'f', -1, 64), "-f", strconv.Itoa(n), "-l", strconv.Itoa(n), "-singlefile", "-gray", p.file, stem)
	b, err := os.ReadFile(stem + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	// A portable grey map: magic, width, height, white, then a byte a pixel.
	var wide, high, white int
	if _, err := fmt.Sscanf(string(b[:min(len(b), 64)]), "P5\n%d %d\n%d\n", &wide, &high, &white); err != nil || white != 255 || len(b) < wide*high {
		t.Fatalf("page %d: no grey map of 8 bits: %v", n, err)
	}
	gray := &image.Gray{Pix: b[len(b)-wide*high:], Stride: wide, Rect: image.Rect(0, 0, wide, high)}
	return page{gray}
}

// ink returns how black the pixel is, 0 to 1, counted from the lower left.
func (p page) ink(x, y int) float64 {
	b := p.Bounds()
	if x < 0 || y < 0 || x >= b.Dx() || y >= b.Dy() {
		return 0
	}
	return 1 - float64(p.GrayAt(x, b.Dy()-1-y).Y)/255
}

// lines returns the middles in mm of the lines that cross the straight way from low to
// high mm, along x at the height at or along y at the place at. A middle is the
// centre of gravity of the ink, better than a pixel.
func (p page) lines(alongY bool, at, low, high float64) (middles []float64) {
	var sum, moment float64
	for i := int(low / pixel); i <= int(high/pixel); i++ {
		var ink float64
		if alongY {
			ink = p.ink(int(at/pixel), i)
		} else {
			ink = p.ink(i, int(at/pixel))
		}
		if ink > 0.05 {
			sum, moment = sum+ink, moment+ink*(float64(i)+0.5)
		} else if sum > 0 {
			middles = append(middles, moment/sum*pixel)
			sum, moment = 0, 0
		}
	}
	return middles
}

// box returns the box of the ink within b in mm.
func (p page) box(b draw.Box) draw.Box {
	found := draw.Empty()
	for y := int(b.Min[1] / pixel); float64(y)*pixel < b.Max[1]; y++ {
		for x := int(b.Min[0] / pixel); float64(x)*pixel < b.Max[0]; x++ {
			if p.ink(x, y) > 0.5 {
				found = found.And(draw.Box{Min: [2]float64{float64(x) * pixel, float64(y) * pixel}, Max: [2]float64{float64(x+1) * pixel, float64(y+1) * pixel}})
			}
		}
	}
	return found
}

// paper returns the sizes of the pages in points, as poppler reads them.
func (p printed) paper(t *testing.T, pages int) (sizes [][2]float64) {
	t.Helper()
	for line := range strings.Lines(run(t, "pdfinfo", "-f", "1", "-l", strconv.Itoa(pages), "-box", p.file)) {
		var n int
		var v [4]float64
		if _, err := fmt.Sscanf(line, "Page %d MediaBox: %f %f %f %f", &n, &v[0], &v[1], &v[2], &v[3]); err == nil {
			sizes = append(sizes, [2]float64{v[2] - v[0], v[3] - v[1]})
		}
	}
	return sizes
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.4f, want %.4f ± %g", what, got, want, tol)
	}
}
