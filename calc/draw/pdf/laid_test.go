package pdf_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
)

// figure is one that was measured on paper.
type figure struct {
	what      string
	got, want float64
	tol       float64
}

// laid is a made sheet on paper.
type laid struct {
	t       *testing.T
	sheets  []draw.Sheet
	tilings []pdf.Tiling
	first   []int // page of each sheet
	file    printed
	pages   map[int]page
	zoom    float64 // of the picture: 1, or what a printer that scales makes of it
}

func workedText(t *testing.T, text string) job.Worked {
	t.Helper()
	w, err := job.WorkFile([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// jobText is an invented job, with texts of it replaced by turns.
func jobText(t *testing.T, name string, edit ...string) string {
	t.Helper()
	b, err := os.ReadFile("../../../testdata/job/" + name)
	if err != nil {
		t.Fatal(err)
	}
	text := string(b)
	for i := 0; i+1 < len(edit); i += 2 {
		if !strings.Contains(text, edit[i]) {
			t.Fatalf("%q is not in the job", edit[i])
		}
		text = strings.ReplaceAll(text, edit[i], edit[i+1])
	}
	return text
}

// layOut makes a sheet and writes it on paper.
func layOut(t *testing.T, text, key string, p pdf.Paper, o sheet.Options) *laid {
	t.Helper()
	m, err := sheet.Make(workedText(t, text), key, o)
	if err != nil {
		t.Fatal(err)
	}
	l := &laid{t: t, pages: map[int]page{}, zoom: 1}
	if l.sheets, err = pdf.WithLists(m.Sheets, m.Lists, p); err != nil {
		t.Fatal(err)
	}
	n := 1
	for _, s := range l.sheets {
		tiling, err := pdf.Tile(s, p)
		if err != nil {
			t.Fatal(err)
		}
		l.tilings, l.first, n = append(l.tilings, tiling), append(l.first, n), n+tiling.Pages()
	}
	l.file = printOut(t, p, l.sheets...)
	return l
}

// on returns the page that shows a place of drawing i, and how far the drawing is moved
// on it.
func (l *laid) on(i int, x, y float64) (page, [2]float64) {
	l.t.Helper()
	tiling := l.tilings[i]
	for k := range tiling.Pages() {
		shown := tiling.Shown(k)
		if x < shown.Min[0] || x > shown.Max[0] || y < shown.Min[1] || y > shown.Max[1] {
			continue
		}
		n := l.first[i] + k
		if _, drawn := l.pages[n]; !drawn {
			l.pages[n] = l.file.at(l.t, n, dpi*l.zoom)
		}
		return l.pages[n], [2]float64{tiling.Window.Min[0] - shown.Min[0], tiling.Window.Min[1] - shown.Min[1]}
	}
	l.t.Fatalf("no page of drawing %d shows %v, %v", i, x, y)
	return page{}, [2]float64{}
}

// lines are the lines across a way through drawing i, from low to high along y or x, in
// the drawing's mm as far as the scale is true.
func (l *laid) lines(i int, alongY bool, at, low, high float64) []float64 {
	l.t.Helper()
	axis, x, y := 0, (low+high)/2, at
	if alongY {
		axis, x, y = 1, at, (low+high)/2
	}
	p, move := l.on(i, x, y)
	z := l.zoom
	got := p.lines(alongY, (at+move[1-axis])*z, (low+move[axis])*z, (high+move[axis])*z)
	for k := range got {
		got[k] -= move[axis] * z
	}
	return got
}

// around are the angles at which lines cross a ring about a place of drawing i; both are
// as the picture has them.
func (l *laid) around(i int, centre [2]float64, radius, from, to float64) (angles []float64) {
	l.t.Helper()
	p, move := l.on(i, centre[0], centre[1])
	step := pixel / 4 / radius
	var sum, moment float64
	for a := from; a <= to; a += step {
		sin, cos := math.Sincos(a)
		ink := p.between((centre[0]+radius*cos+move[0]*l.zoom)/pixel, (centre[1]+radius*sin+move[1]*l.zoom)/pixel)
		switch {
		case ink > 0.05:
			sum, moment = sum+ink, moment+ink*a
		case sum > 0:
			angles, sum, moment = append(angles, moment/sum), 0, 0
		}
	}
	return angles
}

// between is the ink at a place between pixels.
func (p page) between(x, y float64) float64 {
	x, y = x-0.5, y-0.5
	i, j := int(math.Floor(x)), int(math.Floor(y))
	u, v := x-float64(i), y-float64(j)
	return (1-v)*((1-u)*p.ink(i, j)+u*p.ink(i+1, j)) + v*((1-u)*p.ink(i, j+1)+u*p.ink(i+1, j+1))
}

// rulers measures both rulers of every page that was looked at.
func (l *laid) rulers() (list []figure) {
	for n, p := range l.pages {
		i := len(l.first) - 1
		for l.first[i] > n {
			i--
		}
		corner := l.tilings[i].Window.Min
		for _, up := range []bool{false, true} {
			at, low := corner[1]-2.5, corner[0]
			if up {
				at, low = corner[0]-2.5, corner[1]
			}
			ticks := p.lines(up, at*l.zoom, (low-0.5)*l.zoom, (low+101)*l.zoom)
			if len(ticks) != 11 {
				l.t.Fatalf("page %d: %d long ticks on a ruler, want 11", n, len(ticks))
			}
			list = append(list, figure{fmt.Sprintf("page %d, ruler, upright %v", n, up), ticks[10] - ticks[0], 100, inInk})
		}
	}
	return list
}

// check compares what was measured.
func check(t *testing.T, list []figure) {
	t.Helper()
	for _, f := range list {
		near(t, f.what, f.got, f.want, f.tol)
		t.Logf("%s: %.3f, want %.3f", f.what, f.got, f.want)
	}
}
