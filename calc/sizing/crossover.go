package sizing

import "tubewright/calc/fault"

// Side is one collector of a crossover set, and the bank that it lies beside.
type Side struct {
	Bank  string
	Group Group
}

// Crossing is a crossover set: tubes that go to the other bank's collector so that both
// collectors have even pulses.
type Crossing struct {
	Sides []Side
	Cross []int // cylinders whose tubes cross, by number; none where each bank is even by itself
	Even  bool  // it comes out even
	Ties  int   // how many divisions are as even
}

// Crossover returns the crossover set of an engine with two banks of as many cylinders:
// every division into two halves is tried, and of the most even ones that with the
// fewest tubes across, then that with those nearest to the middle of their banks, as
// builders do with the inner two of a V8. The error is a *fault.Field.
func Crossover(f Firing, l Layout) (Crossing, error) {
	if len(f.at) == 0 {
		return Crossing{}, errNoEngine
	}
	if err := l.Check(len(f.at)); err != nil {
		return Crossing{}, err
	}
	if len(l.Banks) != 2 || len(l.Banks[0].Cylinders) != len(l.Banks[1].Cylinders) {
		return Crossing{}, fault.Refuse("Cylinder numbering", "tubes cross between two banks of as many cylinders")
	}
	s, err := f.Best(f.Order(), repeated(len(f.at)/2, 2))
	if err != nil {
		return Crossing{}, err
	}
	var best Crossing
	least := -1
	for _, g := range s.Best {
		for turn := range 2 { // which of the groups goes to which bank
			c := Crossing{Even: g.Even, Ties: s.Ties}
			cost := 0
			for i := range 2 {
				side := Side{l.Banks[i].Name, g.Groups[(i+turn)%2]}
				c.Sides = append(c.Sides, side)
				for _, cyl := range side.Group.Cylinders {
					if bank, place := l.Place(cyl); bank != side.Bank {
						c.Cross = insert(c.Cross, cyl)
						cost += far(place, len(l.Banks[0].Cylinders))
					}
				}
			}
			if least < 0 || cost < least {
				best, least = c, cost
			}
		}
	}
	return best, nil
}

// far is what it costs that a tube crosses: any is worse than the places of all.
func far(place, n int) int {
	off := 2*place - n - 1
	return 1000 + max(off, -off)
}

// insert puts a number into a list in order.
func insert(list []int, v int) []int {
	k := len(list)
	list = append(list, v)
	for ; k > 0 && list[k-1] > v; k-- {
		list[k] = list[k-1]
	}
	list[k] = v
	return list
}
