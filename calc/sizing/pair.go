package sizing

import (
	"strconv"
	"strings"

	"tubewright/calc/fault"
)

// What the choice of pairs rests on, for findings.
var (
	// PairingSource is why cylinders that fire far apart share a tube.
	PairingSource = Source{"builders: a 4-2-1 pairs the cylinders that fire farthest apart; the gaps are arithmetic", Practice}
	// RotationSource is why tubes lie in firing order round a collector.
	RotationSource = Source{"builders: firing order in rotation round the collector, on a 4-1 and a 3-1", Practice}
)

// Pairing is how the cylinders of a bank, or of the whole engine, share collectors.
type Pairing struct {
	Style string
	Bank  string // empty where the cylinders are of all banks
	// Sets are the cylinders of each collector; of the best, each group is one header.
	Sets Search
	// Inner are, for a style with secondaries and each group of Sets.Best[0], how it is
	// divided first: the pairs of a 4-2-1.
	Inner []Search
}

// Pair returns the best groups for a style of header, bank by bank where the cylinders
// of a bank fill whole collectors, else with those of all banks together. A style is
// numbers of tubes with hyphens that end in 1: "4-1", "3-1", "4-2-1", "6-2-1"; a 4-2-1
// has four primaries in two pairs. 180-degree headers are Crossover's. The error is a
// *fault.Field naming the style, the numbering or the order.
func Pair(f Firing, l Layout, style string) ([]Pairing, error) {
	if len(f.at) == 0 {
		return nil, errNoEngine
	}
	if err := l.Check(len(f.at)); err != nil {
		return nil, err
	}
	tubes, err := tubesOf(style)
	if err != nil {
		return nil, err
	}
	inlets := tubes[0]
	groups := l.Banks
	for _, b := range l.Banks {
		if len(b.Cylinders)%inlets != 0 {
			groups = []Bank{{"", f.Order()}}
		}
	}
	if n := len(f.at); n%inlets != 0 {
		return nil, fault.Refuse("Header style", style+" takes "+strconv.Itoa(inlets)+" cylinders, which "+strconv.Itoa(n)+" are not a multiple of")
	}
	var list []Pairing
	for _, b := range groups {
		if len(b.Cylinders) == 0 {
			continue
		}
		p := Pairing{Style: style, Bank: b.Name}
		if len(l.Banks) == 1 {
			p.Bank = l.Banks[0].Name
		}
		if p.Sets, err = f.Best(b.Cylinders, repeated(inlets, len(b.Cylinders)/inlets)); err != nil {
			return nil, err
		}
		if len(tubes) > 2 {
			for _, g := range p.Sets.Best[0].Groups {
				inner, err := f.Best(g.Cylinders, repeated(inlets/tubes[1], tubes[1]))
				if err != nil {
					return nil, err
				}
				p.Inner = append(p.Inner, inner)
			}
		}
		list = append(list, p)
	}
	return list, nil
}

func repeated(k, times int) []int {
	list := make([]int, times)
	for i := range list {
		list[i] = k
	}
	return list
}

// tubesOf reads a style: how many tubes there are from the ports on, 1 at the end.
func tubesOf(style string) ([]int, error) {
	refused := fault.Refuse("Header style", "pairs are for styles such as 4-1, 3-1 or 4-2-1: numbers of tubes that divide each other and end in 1")
	var tubes []int
	for _, part := range strings.Split(style, "-") {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > mostCylinders {
			return nil, refused
		}
		if k := len(tubes); k > 0 && (tubes[k-1]%n != 0 || tubes[k-1] == n) {
			return nil, refused
		}
		tubes = append(tubes, n)
	}
	if k := len(tubes); k < 2 || k > 3 || tubes[k-1] != 1 {
		return nil, refused
	}
	return tubes, nil
}
