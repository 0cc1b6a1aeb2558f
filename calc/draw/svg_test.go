package draw_test

import (
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares text with a file of testdata/golden.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs; go test ./calc/draw -update writes it anew, then read the difference. Got:\n%s", file, got)
	}
}

func sheet() draw.Sheet {
	d := everything()
	d.Name, d.Origin = `flange "A" & <B>`, "centre of b1"
	return draw.Sheet{Drawing: d, Cautions: []string{"Break the edges & wear gloves."},
		Title: draw.Title{Job: "Four in line", Part: "Flange A", Side: draw.SeenFromHead, Sheet: "flange-A", Revision: "B", Unit: "mm", Date: "2027-01-02", Inputs: "1f00ab39"}}
}

func TestSVGGolden(t *testing.T) {
	inline, err := draw.SVG(sheet().Drawing)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "drawing.svg", inline)
	file, err := draw.SVGFile(sheet())
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "sheet.svg", file)
}

// read is what a reader of SVG that knows nothing of our model finds.
type read struct {
	width, height float64 // mm
	view          [4]float64
	box           map[string]draw.Box // of the lines of each class, y up
	length        map[string]float64
	texts         []string
}

func readSVG(t *testing.T, text string) read {
	t.Helper()
	r := read{box: map[string]draw.Box{}, length: map[string]float64{}}
	dec := xml.NewDecoder(strings.NewReader(text))
	class := ""
	add := func(b draw.Box, long float64) {
		if _, known := r.box[class]; !known {
			r.box[class] = draw.Empty()
		}
		r.box[class] = r.box[class].And(b)
		r.length[class] += long
	}
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			return r
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := tok.(type) {
		case xml.CharData:
			if s := strings.TrimSpace(string(e)); s != "" {
				r.texts = append(r.texts, s)
			}
		case xml.StartElement:
			attr := map[string]string{}
			for _, a := range e.Attr {
				attr[a.Name.Local] = a.Value
			}
			switch e.Name.Local {
			case "svg":
				r.width, r.height = mm(t, attr["width"]), mm(t, attr["height"])
				if _, err := fmt.Sscan(attr["viewBox"], &r.view[0], &r.view[1], &r.view[2], &r.view[3]); err != nil {
					t.Fatal(err)
				}
			case "g":
				class = strings.TrimPrefix(attr["class"], "on-")
			case "circle":
				x, y, rad := number(t, attr["cx"]), -number(t, attr["cy"]), number(t, attr["r"])
				add(box(x-rad, y-rad, x+rad, y+rad), 2*math.Pi*rad)
			case "path":
				b, long := readPath(t, attr["d"])
				add(b, long)
			}
		}
	}
}

func mm(t *testing.T, s string) float64 {
	t.Helper()
	n, ok := strings.CutSuffix(s, "mm")
	if !ok {
		t.Fatalf("size %q is not in mm", s)
	}
	return number(t, n)
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

var command = regexp.MustCompile(`([MLAZ])([^MLAZ]*)`)

// readPath walks a path; its arcs by the conversion from ends to centre of SVG 1.1,
// F.6.5, for circles that are not turned. y is turned up.
func readPath(t *testing.T, d string) (b draw.Box, long float64) {
	t.Helper()
	b = draw.Empty()
	var at, first [2]float64
	step := func(to [2]float64) {
		long += math.Hypot(to[0]-at[0], to[1]-at[1])
		at = to
		b = b.With(at)
	}
	for _, m := range command.FindAllStringSubmatch(d, -1) {
		var v []float64
		for _, f := range strings.Fields(m[2]) {
			v = append(v, number(t, f))
		}
		switch m[1] {
		case "M":
			at, first = [2]float64{v[0], -v[1]}, [2]float64{v[0], -v[1]}
			b = b.With(at)
		case "L":
			step([2]float64{v[0], -v[1]})
		case "Z":
			step(first)
		case "A":
			r, to := v[0], [2]float64{v[5], -v[6]}
			dx, dy := to[0]-at[0], to[1]-at[1]
			c := math.Hypot(dx, dy)
			h := math.Sqrt(max(0, r*r-c*c/4)) / c
			side := 1.0 // the centre lies left of the chord when the small arc runs counter-clockwise
			if v[4] == 1 {
				side = -1
			}
			centre := [2]float64{(at[0]+to[0])/2 - side*h*dy, (at[1]+to[1])/2 + side*h*dx}
			start := math.Atan2(at[1]-centre[1], at[0]-centre[0])
			sweep := side * 2 * math.Asin(min(1, c/(2*r)))
			b = b.And(draw.Arc{Centre: centre, Radius: r, Start: start, Sweep: sweep}.Bounds())
			long += r * math.Abs(sweep)
			at = to
		}
	}
	return b, long
}

// lengthOf is what the model says, closed form.
func lengthOf(e draw.Entity) float64 {
	switch e := e.(type) {
	case draw.Line:
		return math.Hypot(e.To[0]-e.From[0], e.To[1]-e.From[1])
	case draw.Arc:
		return e.Radius * math.Abs(e.Sweep)
	case draw.Circle:
		return 2 * math.Pi * e.Radius
	case draw.Loop:
		sum := 0.0
		for _, p := range e.Pieces() {
			sum += lengthOf(p)
		}
		return sum
	}
	return 0
}

// What is read back is as large and as long as the model, layer by layer.
func TestSVGReadBackIsTheModel(t *testing.T) {
	d := everything()
	d.Add(draw.Loop{Layer: draw.Reference, Vertices: []geom.Vertex{{X: -80, Y: 3, Bulge: 2.4}, {X: -60, Y: -9, Bulge: -0.3}, {X: -41, Y: 17, Bulge: 1e-4}}},
		draw.Arc{Layer: draw.Reference, Centre: [2]float64{-70, 60}, Radius: 33, Start: 3, Sweep: -6.2})
	text, err := draw.SVG(d)
	if err != nil {
		t.Fatal(err)
	}
	got := readSVG(t, text)
	b := d.Bounds()
	near(t, "width", got.width, b.Width()+4, 1e-4)
	near(t, "height", got.height, b.Height()+4, 1e-4)
	near(t, "view left", got.view[0], b.Min[0]-2, 1e-4)
	near(t, "view top", got.view[1], -b.Max[1]-2, 1e-4)
	near(t, "view width is the width in mm", got.view[2], got.width, 0)
	near(t, "view height is the height in mm", got.view[3], got.height, 0)
	for _, l := range draw.Layers {
		want, long := draw.Empty(), 0.0
		for _, e := range d.Only(l).Entities {
			if _, isText := e.(draw.Text); !isText {
				want, long = want.And(e.Bounds()), long+lengthOf(e)
			}
		}
		if want.IsEmpty() {
			continue
		}
		name := l.String()
		near(t, name+" length", got.length[name], long, 0.002)
		for i := range 2 {
			near(t, name+" low", got.box[name].Min[i], want.Min[i], 0.001)
			near(t, name+" high", got.box[name].Max[i], want.Max[i], 0.001)
		}
	}
}

func TestSVGEscapesWhatPeopleTyped(t *testing.T) {
	d := draw.Drawing{Name: "</title><script>", Origin: `"&'`}
	d.Add(draw.Text{Height: 2, Text: `</text><script>alert("x")</script> & Ø½`})
	text, err := draw.SVG(d)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(text, "<script") {
		t.Errorf("a script gets in: %s", text)
	}
	got := strings.Join(readSVG(t, text).texts, "|")
	if want := "</title><script>|0, 0: \"&'|</text><script>alert(\"x\")</script> & Ø½"; got != want {
		t.Errorf("read back %q, want %q", got, want)
	}
}

func TestSVGOfNothing(t *testing.T) {
	text, err := draw.SVG(draw.Drawing{Name: "nothing"})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "width", readSVG(t, text).width, 4, 0)
	if _, err := draw.SVGFile(draw.Sheet{}); err == nil {
		t.Error("a sheet to scale with nothing on it was written")
	}
}

// Whatever people type, the file is XML and says nothing that is not text of ours.
func FuzzSVG(f *testing.F) {
	f.Add("p1", "Flange A", 3.0, 0.5)
	f.Add("\x00\xff\ufffe", "]]>&amp;<!--", -1e6, 1000.0)
	f.Fuzz(func(t *testing.T, text, name string, x, bulge float64) {
		s := draw.Sheet{Title: draw.Title{Job: text, Part: name}, Cautions: []string{text, name}}
		s.Drawing.Name, s.Drawing.Origin = name, text
		s.Drawing.Add(draw.Text{At: [2]float64{x, 1}, Height: 2, Text: text, Turn: bulge},
			draw.Loop{Vertices: []geom.Vertex{{X: x, Bulge: bulge}, {Y: 1, Bulge: -bulge}, {X: 3}}})
		for _, write := range []func() (string, error){func() (string, error) { return draw.SVG(s.Drawing) }, func() (string, error) { return draw.SVGFile(s) }} {
			svg, err := write()
			if err != nil {
				continue
			}
			if strings.Contains(svg, "NaN") && !strings.Contains(text+name, "NaN") || strings.Contains(svg, "Inf") && !strings.Contains(text+name, "Inf") {
				t.Fatalf("a figure is none: %s", svg)
			}
			dec := xml.NewDecoder(strings.NewReader(svg))
			for {
				tok, err := dec.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatalf("%v: %s", err, svg)
				}
				if e, ok := tok.(xml.StartElement); ok && !strings.Contains(" svg title desc style g path circle text ", " "+e.Name.Local+" ") {
					t.Fatalf("an element %s gets in: %s", e.Name.Local, svg)
				}
			}
		}
	})
}
