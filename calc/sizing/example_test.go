package sizing_test

import (
	"fmt"

	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// Three rules for the length of one engine's primaries, counted from different places.
func ExampleWork() {
	var in sizing.Inputs
	in.SetAngle(sizing.Opens, 62*units.Degree)
	in.Set(sizing.TorqueRPM, 5500)
	results, err := sizing.Work(in)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range results {
		if v, ok := r.Value(sizing.PrimaryLength); ok {
			fmt.Printf("%-16s %s = %.1f %s from the %s, %s\n", r.Rule.ID, r.Rule.Formula, v.Book, v.BookUnit, v.Start, r.Rule.Grade)
		}
	}
	// Output:
	// length-850-valve L = 850·ED/N = 37.4 in from the valve, common practice, no source
	// length-850       P = 850·ED/N − 3 = 34.4 in from the flange, from memory
	// length-13000     L = 13,000·D/(6·N) = 95.3 cm from the valve, common practice, no source
	// length-wave      L = c·θ/(12·N) = 1.1 m from the valve, own arithmetic
}

// The same firing order under two ways to number a V8.
func ExamplePair() {
	f, err := sizing.NewFiring([]int{1, 8, 4, 3, 6, 5, 7, 2}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, numbering := range []string{"odd-even", "1-4/5-8"} {
		l, err := sizing.LayoutOf(numbering, 8)
		if err != nil {
			fmt.Println(err)
			return
		}
		pairs, err := sizing.Pair(f, l, "4-2-1")
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, p := range pairs {
			best := p.Inner[0].Best[0]
			fmt.Printf("%s, bank %s:", numbering, p.Bank)
			for _, g := range best.Groups {
				fmt.Print(" ", g.Cylinders)
			}
			fmt.Printf(", at least %.0f° apart\n", best.Least.Deg())
		}
	}
	// Output:
	// odd-even, bank A: [1 5] [3 7], at least 270° apart
	// odd-even, bank B: [2 4] [6 8], at least 270° apart
	// 1-4/5-8, bank A: [1 3] [2 4], at least 270° apart
	// 1-4/5-8, bank B: [5 8] [6 7], at least 180° apart
}
