package dxf_test

import (
	"strings"
	"testing"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
)

// Angles of an ARC are written from 0 to 360, wherever the drawing begins to count: some
// readers take others for none.
func TestAnglesOfArcsAreWithinATurn(t *testing.T) {
	const quarter = 1.5707963267948966
	d := draw.Drawing{Entities: []draw.Entity{
		draw.Arc{Layer: draw.Cut, Centre: [2]float64{0, 0}, Radius: 20, Start: -quarter, Sweep: quarter / 3},
		draw.Line{Layer: draw.Cut, From: [2]float64{0, -20}, To: [2]float64{40, 9}},
	}}
	b, err := dxf.Write(d, dxf.Info{Unit: "mm"})
	if err != nil {
		t.Fatal(err)
	}
	if text := string(b); !strings.Contains(text, " 50\r\n270.0\r\n 51\r\n300.0\r\n") {
		t.Errorf("%s", text[strings.Index(text, "ARC"):])
	}
}
