package flange_test

import (
	"slices"
	"testing"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// A head of five bolts and two ports, drawn elsewhere, turned over and with one hole
// more: sizes say nothing, since the ports are as large as the bolts' holes are drawn.
func TestWhatLiesOnPortsAndBolts(t *testing.T) {
	round := func(x, y float64) geom.Outline { return must(geom.Round(18)).Moved(x, y) }
	own := flange.Face{
		Holes: []flange.Hole{{ID: "b1"}, {ID: "b2", At: [2]float64{90, 0}}, {ID: "b3", At: [2]float64{170, 5}}, {ID: "b4", At: [2]float64{30, 60}}, {ID: "b5", At: [2]float64{140, 62}}},
		Ports: []flange.Port{{ID: "p1", Outline: round(45, 30)}, {ID: "p2", Outline: round(120, 32)}},
	}
	turned := func(x, y float64) [2]float64 { return [2]float64{400 - x, y + 70} } // seen from the head
	var other flange.Face
	for i, at := range [][2]float64{{140, 62.3}, {45, 30.5}, {0, 0}, {90, 0}, {170, 5}, {30, 60}, {88, 33}} {
		other.Holes = append(other.Holes, flange.Hole{ID: string(rune('a' + i)), At: turned(at[0], at[1])})
	}
	at := turned(121, 31)
	other.Ports = []flange.Port{{ID: "o", Outline: round(at[0], at[1])}, {ID: "far", Outline: round(700, 9)}}
	holes, openings := flange.Lies(own, other)
	if want := []flange.On{{Bolt: "b5"}, {Port: "p1"}, {Bolt: "b1"}, {Bolt: "b2"}, {Bolt: "b3"}, {Bolt: "b4"}, {}}; !slices.Equal(holes, want) {
		t.Errorf("holes lie on %v, want %v", holes, want)
	}
	if want := []flange.On{{Port: "p2"}, {}}; !slices.Equal(openings, want) {
		t.Errorf("openings lie on %v, want %v", openings, want)
	}
	other.Holes = other.Holes[:1]
	if holes, openings = flange.Lies(own, other); holes[0] != (flange.On{}) || openings[0] != (flange.On{}) {
		t.Errorf("one hole says nothing of how it lies, yet %v and %v", holes, openings)
	}
}
