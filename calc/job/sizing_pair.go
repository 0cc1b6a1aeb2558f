package job

import (
	"fmt"
	"slices"

	"tubewright/calc/fault"
	"tubewright/calc/ledger"
	"tubewright/calc/sizing"
)

// pairedStyles are the styles that cylinders are grouped for, where an engine has as many.
var pairedStyles = []string{"4-1", "4-2-1", "3-1", "2-1", "5-1", "6-1", "6-2-1"}

// fired is how an engine fires, and how its cylinders are numbered.
type fired struct {
	firing sizing.Firing
	layout sizing.Layout
}

// fires returns how the engine fires, or why that is not known.
func (e Engine) fires() (f fired, why string) {
	switch n := len(e.FiringOrder); {
	case n == 0:
		return f, "the firing order is not entered yet"
	case e.Cylinders.Known && e.Cylinders.V != float64(n):
		return f, fmt.Sprintf("the firing order names %d cylinders, the engine has %g", n, e.Cylinders.V)
	}
	var err error
	if f.firing, err = sizing.NewFiring(e.FiringOrder, e.FiringIntervals); err != nil {
		return f, trimStop(reasons(err))
	}
	if f.layout, err = layout(e.Numbering, len(e.FiringOrder)); err != nil {
		return f, trimStop(reasons(err))
	}
	return f, ""
}

func (s sizer) pairing() PairingPlan {
	e := s.j.Engine
	p := PairingPlan{Order: append([]int{}, e.FiringOrder...), Numbering: or(e.Numbering, "inline"), Banks: []BankPlan{}, Spots: []SpotPlan{}, Styles: []StylePlan{}}
	f, why := e.fires()
	if p.Why = why; why != "" {
		return p
	}
	for _, b := range f.layout.Banks {
		p.Banks = append(p.Banks, BankPlan{b.Name, append([]int{}, b.Cylinders...)})
	}
	for _, sp := range f.firing.Circle() {
		bank, place := f.layout.Place(sp.Cylinder)
		p.Spots = append(p.Spots, SpotPlan{sp.Cylinder, bank, place, out(sp.Cycle.Deg()), out(sp.Crank.Deg()), sp.Turn})
	}
	add := func(style string) error {
		pairs, err := sizing.Pair(f.firing, f.layout, style)
		for _, pair := range pairs {
			p.Styles = append(p.Styles, stylePlan(pair))
		}
		return err
	}
	wanted := s.j.Target.Style
	if wanted != "" && wanted[0] >= '1' && wanted[0] <= '9' && wanted != crossed {
		if err := add(wanted); err != nil {
			p.Why = trimStop(reasons(err))
		}
	}
	for _, style := range pairedStyles {
		if style != wanted {
			_ = add(style) // one that the engine has not enough cylinders for is none
		}
	}
	if c, err := sizing.Crossover(f.firing, f.layout); err == nil {
		p.Crossover = crossoverPlan(c)
	}
	return p
}

// GroupOf returns how far apart some cylinders of a job's engine fire, from its records in
// any order. The error is a *fault.Field: the firing order or the numbering while the
// engine's firing is not known, a cylinder that it has not.
func GroupOf(recs []ledger.Record, cylinders []int) (GroupPlan, error) {
	facts, _ := fromFolded(ledger.Fold(recs))
	f, why := facts.job().Engine.fires()
	if why != "" {
		return GroupPlan{}, fault.Refuse("Firing order", why)
	}
	order := f.firing.Order()
	for _, n := range cylinders {
		if !slices.Contains(order, n) {
			return GroupPlan{}, fault.Within("Cylinder", float64(n), 1, float64(len(order)), "")
		}
	}
	return groupPlan(f.firing.Group(cylinders)), nil
}

// crossed is the style whose tubes cross to the other bank.
const crossed = "180-degree"

func stylePlan(pair sizing.Pairing) StylePlan {
	p := StylePlan{Style: pair.Style, Bank: pair.Bank, Best: groupings(pair.Sets.Best), Ties: pair.Sets.Ties, Next: groupings(pair.Sets.Next), Worst: groupingPlan(pair.Sets.Worst), Inner: [][]GroupingPlan{}, After: [][]GroupingPlan{}, Source: sourcePlan(sizing.RotationSource)}
	for _, inner := range pair.Inner {
		p.Inner, p.After = append(p.Inner, groupings(inner.Best)), append(p.After, groupings(inner.Next))
	}
	if len(pair.Inner) > 0 {
		p.Source = sourcePlan(sizing.PairingSource)
	}
	return p
}

func groupings(gs []sizing.Grouping) []GroupingPlan {
	list := make([]GroupingPlan, len(gs))
	for i, g := range gs {
		list[i] = groupingPlan(g)
	}
	return list
}

func groupingPlan(g sizing.Grouping) GroupingPlan {
	p := GroupingPlan{Groups: make([]GroupPlan, len(g.Groups)), Least: out(g.Least.Deg()), Even: g.Even}
	for i, group := range g.Groups {
		p.Groups[i] = groupPlan(group)
	}
	return p
}

func groupPlan(g sizing.Group) GroupPlan {
	p := GroupPlan{Cylinders: append([]int{}, g.Cylinders...), Gaps: make([]out, len(g.Gaps)), Least: out(g.Least.Deg()), Even: g.Even}
	for i, gap := range g.Gaps {
		p.Gaps[i] = out(gap.Deg())
	}
	return p
}

func crossoverPlan(c sizing.Crossing) *CrossoverPlan {
	p := CrossoverPlan{Sides: []SidePlan{}, Cross: append([]int{}, c.Cross...), Even: c.Even, Ties: c.Ties}
	for _, side := range c.Sides {
		p.Sides = append(p.Sides, SidePlan{side.Bank, groupPlan(side.Group)})
	}
	return &p
}
