package flange_test

import (
	"fmt"

	"tubewright/calc/flange"
	"tubewright/calc/geom"
)

// A flange of eight M8 bolts and two ports. It bolts up turned over end for end, and
// the ports are then not where they were.
func ExampleSelfMatch() {
	var f flange.Face
	for i, at := range [8][2]float64{{-90, 40}, {-30, 42}, {30, 42}, {90, 40}, {-90, -30}, {-30, -44}, {30, -44}, {90, -30}} {
		f.Holes = append(f.Holes, flange.Hole{ID: fmt.Sprint("b", i+1), At: at, Diameter: 9, Bolt: 8})
	}
	f.Holes[4].At[0] += 0.8
	round, err := geom.Round(42)
	if err != nil {
		fmt.Println(err)
		return
	}
	f.Ports = []flange.Port{{ID: "p1", Outline: round.Moved(-60, 0)}, {ID: "p2", Outline: round.Moved(60.9, 0)}}
	matches, err := flange.SelfMatch(f)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range matches {
		fmt.Printf("%s: bolts go in %v, with %.2f mm to spare\n", m.How, m.BoltsGoIn, m.Room)
		fmt.Printf("hole %s or its mate %s is off by %.2f mm, certain %v\n", m.Worst, m.Mate, m.WorstOff, m.Certain)
		for _, p := range m.Ports {
			fmt.Printf("port %s on %s is %.1f mm off\n", p.ID, p.Onto, p.Off)
		}
	}
	// Output:
	// turned over about the vertical: bolts go in true, with 0.10 mm to spare
	// hole b5 or its mate b8 is off by 0.80 mm, certain true
	// port p1 on p2 is 0.9 mm off
	// port p2 on p1 is 0.9 mm off
}
