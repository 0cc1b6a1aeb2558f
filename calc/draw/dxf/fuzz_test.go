package dxf_test

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
	"tubewright/calc/geom"
)

// Whatever the bytes are, reading ends with a result that can be used or with an
// error.
func FuzzRead(f *testing.F) {
	names, err := filepath.Glob("../../../testdata/dxf/*.dxf")
	if err != nil || len(names) == 0 {
		f.Fatal("no files to begin with")
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, "")
	}
	f.Add(write(f, flange()), "mm")
	f.Add(entities(box+"0 SPLINE 8 A 70 8 71 3 40 0 40 0 40 0 40 0 40 1 40 1 40 1 40 1 41 1 41 2 41 1 41 1 10 20 20 20 10 20 20 40 10 40 20 40 10 40 20 20"), "in")
	f.Add(entities("0 ELLIPSE 10 5 20 3 11 4 21 1 40 0.3 41 0.5 42 3 0 SPLINE 70 1 11 0 21 0 11 5 21 0 11 5 21 5 11 0 21 5"), "cm")
	f.Add(file(mm+"0 SECTION 2 BLOCKS 0 BLOCK 2 A 10 1 20 1 0 CIRCLE 10 1 20 1 40 2 0 ENDBLK 0 BLOCK 2 B 0 INSERT 2 A 41 -2 42 3 50 30 70 2 71 2 44 9 45 9 0 ENDBLK 0 ENDSEC "+
		"0 SECTION 2 ENTITIES 0 INSERT 2 B 10 5 20 5 230 -1 0 INSERT 66 1 2 A 0 ATTRIB 1 x 0 SEQEND 0 ENDSEC"), "")
	f.Fuzz(func(t *testing.T, data []byte, unit string) {
		res, err := dxf.Read(data, dxf.Options{Unit: unit})
		if err != nil || res.Ask != nil {
			return
		}
		loops := append(append([]dxf.Loop{}, res.Openings...), res.Beside...)
		if res.Outer != nil {
			loops = append(loops, *res.Outer)
		}
		for _, l := range loops {
			if area := l.Outline.Area(); !(area > 0 && area < 1e13) || len(l.Vertices) < 2 {
				t.Errorf("an outline of %v mm² and %d vertices", area, len(l.Vertices))
			}
			if _, err := geom.FromLoop(l.Vertices); err != nil {
				t.Errorf("an outline that is none: %v", err)
			}
		}
		for _, h := range res.Holes {
			if !(h.Diameter > 0 && math.Abs(h.X) <= 1e6 && math.Abs(h.Y) <= 1e6) {
				t.Errorf("a hole %+v", h)
			}
		}
		for _, v := range []float64{res.Low[0], res.Low[1], res.High[0], res.High[1], res.Gap, res.Worst} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("not a figure: %+v", res)
			}
		}
	})
}

// drawingOf makes a drawing of bytes: 8 a figure in 1/64 mm, now and then one that
// is none.
func drawingOf(data []byte) draw.Drawing {
	next := func() float64 {
		var b [4]byte
		data = data[copy(b[:], data):]
		v := int32(binary.LittleEndian.Uint32(b[:]))
		switch v {
		case math.MinInt32:
			return math.NaN()
		case math.MaxInt32:
			return math.Inf(1)
		}
		if v%2 == 0 {
			return float64(int16(v>>1)) / 64
		}
		return float64(v) / 1e4 // up to 200 m, and to a ten-thousandth of a millimetre
	}
	var d draw.Drawing
	for len(data) > 0 && len(d.Entities) < 50 {
		kind := data[0]
		data = data[1:]
		layer := draw.Layer(kind >> 4 % 8)
		switch kind % 5 {
		case 0:
			d.Add(draw.Line{Layer: layer, From: [2]float64{next(), next()}, To: [2]float64{next(), next()}})
		case 1:
			d.Add(draw.Circle{Layer: layer, Centre: [2]float64{next(), next()}, Radius: next()})
		case 2:
			d.Add(draw.Arc{Layer: layer, Centre: [2]float64{next(), next()}, Radius: next(), Start: next() / 100, Sweep: next() / 100})
		case 3:
			l := draw.Loop{Layer: layer}
			for range 2 + kind>>4%4 {
				l.Vertices = append(l.Vertices, geom.Vertex{X: next(), Y: next(), Bulge: next() / 100})
			}
			d.Add(l)
		case 4:
			d.Add(draw.Text{Layer: layer, At: [2]float64{next(), next()}, Height: next(), Text: "Ø"})
		}
	}
	return d
}

// What is written is read back, in mm, as large as it was drawn, with nothing that
// has no length.
func FuzzWrite(f *testing.F) {
	f.Add([]byte("\x00aaaabbbbccccdddd\x01aaaabbbbcccc\x02aaaabbbbccccddddeeee\x13aaaabbbbccccddddeeeeffffgggghhhhiiii"))
	f.Add([]byte{3, 0, 0, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0, 0, 16, 0, 0, 0, 0, 0, 0, 2, 0, 0, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		d := drawingOf(data)
		out, err := dxf.Write(d, millimetres)
		if err != nil {
			return
		}
		// What is too short to be a piece may be in the box or not, and marks beside the
		// part are not.
		least, most := draw.Empty(), draw.Empty()
		for _, e := range d.Only(draw.Cut, draw.Mark).Entities {
			if _, isText := e.(draw.Text); isText {
				continue
			}
			b := e.Bounds()
			most = most.And(b)
			if e.On() == draw.Cut && max(b.Width(), b.Height()) > 0.01 {
				least = least.And(b)
			}
		}
		if max(-most.Min[0], -most.Min[1], most.Max[0], most.Max[1]) > 9e5 {
			return // the reader reads to 1 km
		}
		res, err := dxf.Read(out, dxf.Options{Join: 1e-4})
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if res.Ask != nil || res.Unit != "mm" || res.Short != 0 {
			t.Fatalf("got %+v\n%s", res, out)
		}
		least, most = least.Grown(-2e-3), most.Grown(2e-3)
		for k := range 2 {
			if res.Low[k] > least.Min[k] || res.High[k] < least.Max[k] || res.Low[k] < most.Min[k] || res.High[k] > most.Max[k] {
				t.Fatalf("box %v %v, drawn %+v to %+v\n%s", res.Low, res.High, least, most, out)
			}
		}
	})
}
