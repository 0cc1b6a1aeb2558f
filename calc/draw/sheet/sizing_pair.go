package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
)

// Radii on the crank's circle, in mm: its first turn outside, its second inside.
const (
	firstTurn  = 30.0
	secondTurn = 18.0
	spotRadius = 4.0
)

// pairing is which cylinders fire how far apart, on the crank's circle and round the
// collectors.
func (s sized) pairing(f *prose) {
	f.section("Which cylinders go together")
	p := s.Pairing
	if p.Why != "" {
		f.saysBold(capital(p.Why) + ".")
	}
	if len(p.Spots) == 0 {
		f.say("With firing order and numbering the crank's circle stands here, with the groups, their gaps, the order round each collector, and a crossover set where two banks have one.")
		return
	}
	var banks []string
	for _, b := range p.Banks {
		banks = append(banks, "bank "+b.Name+" front to rear "+dashed(b.Cylinders))
	}
	f.leads("Firing order " + dashed(p.Order) + ", numbered " + p.Numbering + ": " + strings.Join(banks, "; ") + ". The same order under another numbering is another answer.")
	circle := s.circle()
	b := circle.Bounds()
	list := s.firing()
	f.add(sideBySide(circle.Moved(-b.Min[0], -b.Max[1]).Entities, b.Height(), list.strips(), 94))
	f.gap(2)
	// What the target asks for comes first; a style stands once for each bank.
	if len(p.Styles) > 0 {
		s.together(f, p.Styles[0].Style)
	}
	f.under("Groups by style")
	f.add(s.styles().strips()...)
	for _, src := range s.pairSources() {
		f.say("Source: " + src.Text + " (" + src.Grade + ").")
	}
	s.crossover(f)
}

// together draws the best groups for a style: those that share a tube first, where two do
// before all come together, else the order round the collector.
func (s sized) together(f *prose, style string) {
	var cells []draw.Drawing
	inPairs := false
	for _, st := range s.Pairing.Styles {
		if st.Style != style || len(st.Best) == 0 {
			continue
		}
		groups := st.Best[0].Groups
		if len(st.Inner) > 0 {
			inPairs, groups = true, nil
			for _, inner := range st.Inner {
				if len(inner) > 0 {
					groups = append(groups, inner[0].Groups...)
				}
			}
		}
		for _, g := range groups {
			cells = append(cells, s.round(st, g))
		}
	}
	if inPairs {
		f.under("Which cylinders share a secondary of a " + style)
		f.leads("Cylinders that share a tube first; between two stands by how many degrees of the crank they fire apart.")
	} else {
		f.under("Order round the collector of a " + style)
		f.leads("Sockets in the order in which their cylinders fire, one way round or the other; between two sockets stands by how many degrees of the crank they fire apart.")
	}
	f.beside(cells)
}

// sideBySide puts strips beside a picture, from x on.
func sideBySide(picture []draw.Entity, high float64, list []strip, x float64) strip {
	s := strip{list: slices.Clone(picture), high: high}
	y := 0.0
	for _, row := range list {
		s.list = append(s.list, draw.Drawing{Entities: row.list}.Moved(x, -y).Entities...)
		y += row.high
	}
	s.high = max(high, y) + 2
	return s
}

func dashed(list []int) string {
	text := make([]string, len(list))
	for i, v := range list {
		text[i] = fmt.Sprint(v)
	}
	return strings.Join(text, "-")
}

// circle is the crank's circle with all cylinders, clockwise from the first that fires.
func (s sized) circle() draw.Drawing {
	var d draw.Drawing
	on := map[float64][]float64{firstTurn: nil, secondTurn: nil} // angles of the spots on each ring
	marked := map[float64]bool{}
	for _, sp := range s.Pairing.Spots {
		r := firstTurn
		if sp.Turn == 2 {
			r = secondTurn
		}
		crank := float64(sp.Crank) * math.Pi / 180
		on[r] = append(on[r], crank)
		d.Add(s.spot(dialOff(r, crank), sp.Cylinder, sp.Bank)...)
		if marked[crank] {
			continue
		}
		marked[crank] = true
		d.Add(draw.Line{Layer: draw.Note, From: dialOff(firstTurn+spotRadius+0.5, crank), To: dialOff(firstTurn+spotRadius+2, crank)})
		d.Add(note(dialOff(firstTurn+spotRadius+6, crank), draw.MidMiddle, 2, false, decimals(float64(sp.Crank), 0)+"°"))
	}
	d.Add(ring(draw.Mark, firstTurn, on[firstTurn])...)
	d.Add(ring(draw.Reference, secondTurn, on[secondTurn])...)
	d.Add(draw.Circle{Layer: draw.Mark, Radius: 0.8})
	// As the crank turns, between the rings.
	d.Add(draw.Arc{Layer: draw.Dimension, Radius: 7, Start: math.Pi * 0.45, Sweep: -math.Pi * 0.6})
	head := draw.Arrow(draw.Dimension, dialOff(7, 0.45*math.Pi), dialOff(7, 0.65*math.Pi))
	d.Add(head[len(head)-1])
	words := []string{"outer ring: first turn of the crank; inner ring: second"}
	if len(s.Pairing.Banks) > 1 {
		words = append(words, "round: bank "+s.Pairing.Banks[0].Name+"; square: bank "+s.Pairing.Banks[1].Name)
	}
	for i, line := range words {
		d.Add(note(draw.Pos{0, -firstTurn - spotRadius - 12 - 3.8*float64(i)}, draw.BaseMiddle, 1.9, false, line))
	}
	return d
}

// ring is a circle that leaves room for what stands on it at these angles, clockwise from
// the top.
func ring(l draw.Layer, r float64, angles []float64) []draw.Entity {
	if len(angles) == 0 {
		return []draw.Entity{draw.Circle{Layer: l, Radius: r}}
	}
	slices.Sort(angles)
	room := 2 * math.Asin((spotRadius+0.3)/(2*r))
	var list []draw.Entity
	for i, a := range angles {
		next := angles[0] + 2*math.Pi
		if i+1 < len(angles) {
			next = angles[i+1]
		}
		if sweep := next - a - 2*room; sweep > 0 {
			list = append(list, draw.Arc{Layer: l, Radius: r, Start: math.Pi/2 - a - room, Sweep: -sweep})
		}
	}
	return list
}

// spot is a cylinder's number in a ring, or in a square on the second bank.
func (s sized) spot(at draw.Pos, cylinder int, bank string) []draw.Entity {
	text := draw.Text{Layer: draw.Note, At: at, Height: 3, Anchor: draw.MidMiddle, Bold: true, Text: fmt.Sprint(cylinder)}
	if len(s.Pairing.Banks) > 1 && bank == s.Pairing.Banks[1].Name {
		return []draw.Entity{box(draw.Mark, at[0]-spotRadius+0.4, at[1]-spotRadius+0.4, at[0]+spotRadius-0.4, at[1]+spotRadius-0.4), text}
	}
	return []draw.Entity{draw.Circle{Layer: draw.Mark, Centre: at, Radius: spotRadius}, text}
}

// firing is the circle as a list.
func (s sized) firing() grid {
	g := grid{columns: []column{{"fires", 12, true}, {"cylinder", 17, true}, {"where", 27, false}, {"at, °", 13, true}, {"to the next, °", 25, true}}}
	spots := s.Pairing.Spots
	for i, sp := range spots {
		next := 720 - float64(sp.Cycle) + float64(spots[0].Cycle)
		if i+1 < len(spots) {
			next = float64(spots[i+1].Cycle - sp.Cycle)
		}
		where := fmt.Sprintf("bank %s, no. %d", sp.Bank, sp.Place)
		g.rows = append(g.rows, []string{fmt.Sprint(i + 1), fmt.Sprint(sp.Cylinder), where, angle(float64(sp.Cycle)), angle(next)})
	}
	return g
}

// angle writes degrees without noughts behind the point and without their sign.
func angle(deg float64) string { return trimmed(decimals(deg, 1)) }

// round is a collector seen along its axis, its sockets in firing order.
func (s sized) round(st job.StylePlan, g job.GroupPlan) draw.Drawing {
	var d draw.Drawing
	n := len(g.Cylinders)
	const r = 12.0
	bank := map[int]string{}
	for _, sp := range s.Pairing.Spots {
		bank[sp.Cylinder] = sp.Bank
	}
	for i, c := range g.Cylinders {
		turn := 2 * math.Pi * float64(i) / float64(n)
		d.Add(s.spot(dialOff(r, turn), c, bank[c])...)
		// Outside the ring, clear of both sockets.
		out := r + 5
		switch {
		case n == 2: // beside both
			out = r - 3
		case n > 4:
			out = r + 8
		}
		d.Add(note(dialOff(out, turn+math.Pi/float64(n)), draw.MidMiddle, 2, false, angle(float64(g.Gaps[i]))+"°"))
	}
	d.Add(draw.Arc{Layer: draw.Dimension, Radius: 4, Start: math.Pi / 2, Sweep: -math.Pi})
	head := draw.Arrow(draw.Dimension, dialOff(4, 0.8*math.Pi), dialOff(4, math.Pi))
	d.Add(head[len(head)-1])
	name := st.Style
	if st.Bank != "" && len(s.Pairing.Banks) > 1 {
		name += ", bank " + st.Bank
	}
	even := "fires evenly"
	if !g.Even {
		even = "fires unevenly"
	}
	d.Add(lines(draw.Pos{0, -r - spotRadius - 5}, name, dashed(g.Cylinders), even)...)
	return d
}

// styles are the best groupings for every style that the engine has cylinders for.
func (s sized) styles() grid {
	g := grid{columns: []column{{"style", 17, false}, {"bank", 13, false}, {"best groups, gaps", 66, false}, {"least gap", 16, true}, {"next best, gaps", 44, false}, {"worst, least gap", 32, false}}}
	for _, st := range s.Pairing.Styles {
		bank := st.Bank
		if bank == "" {
			bank = "all"
		}
		for i, best := range st.Best {
			if i > 0 && i == mostTies {
				g.rows = append(g.rows, []string{"", "", fmt.Sprintf("and %d more that are as good", len(st.Best)-i), "", "", ""})
				break
			}
			row := []string{"", "", grouped(best), angle(float64(best.Least)) + "°", "", ""}
			if i == 0 {
				row[0], row[1] = st.Style, bank
				row[4], row[5] = allGrouped(st.Next), inShort(st.Worst)
				for _, inner := range st.Inner {
					for _, in := range inner {
						row[2] += "; first into pairs " + grouped(in)
					}
				}
				for _, after := range st.After {
					row[4] += "; pairs " + allGrouped(after)
				}
			} else {
				row[2] = "or " + row[2]
			}
			g.rows = append(g.rows, row)
		}
	}
	return g
}

// mostTies is how many groupings that are equally good have room.
const mostTies = 3

// grouped writes a grouping with all gaps.
func grouped(g job.GroupingPlan) string {
	var parts []string
	for _, one := range g.Groups {
		gaps := make([]string, len(one.Gaps))
		for i, gap := range one.Gaps {
			gaps[i] = angle(float64(gap))
		}
		even := ""
		if one.Even && len(one.Gaps) > 1 {
			gaps, even = gaps[:1], "every "
		}
		parts = append(parts, dashed(one.Cylinders)+" ("+even+strings.Join(gaps, ", ")+"°)")
	}
	return strings.Join(parts, " and ")
}

// allGrouped writes groupings, or that there are none.
func allGrouped(list []job.GroupingPlan) string {
	if len(list) == 0 {
		return "there is no other"
	}
	parts := make([]string, len(list))
	for i, g := range list {
		parts[i] = grouped(g)
	}
	return strings.Join(parts, ", or ")
}

// inShort writes a grouping with its least gap alone.
func inShort(g job.GroupingPlan) string {
	var parts []string
	for _, one := range g.Groups {
		parts = append(parts, dashed(one.Cylinders))
	}
	return strings.Join(parts, " and ") + ", " + angle(float64(g.Least)) + "°"
}

// pairSources are what the choice of groups rests on, each once.
func (s sized) pairSources() (list []job.SourcePlan) {
	for _, st := range s.Pairing.Styles {
		if !slices.Contains(list, st.Source) {
			list = append(list, st.Source)
		}
	}
	return list
}

func (s sized) crossover(f *prose) {
	f.under("Crossover set")
	c := s.Pairing.Crossover
	if c == nil {
		f.say("None: it wants two banks of as many cylinders.")
		return
	}
	if len(c.Cross) == 0 {
		f.say("None is wanted: each bank fires evenly by itself.")
		return
	}
	even := "Both collectors then fire evenly"
	if !c.Even {
		even = "They do not come out even all the same"
	}
	var cells []draw.Drawing
	for _, side := range c.Sides {
		cells = append(cells, s.round(job.StylePlan{Style: "Collector at bank " + side.Bank}, side.Group))
	}
	f.add(kept(paragraph(fmt.Sprintf("Tubes of cylinders %s cross to the other bank's collector. %s. %s", strings.ReplaceAll(dashed(c.Cross), "-", ", "), even, ties(c.Ties)), textHigh, false, 0, proseWide))...)
	f.beside(cells)
}

func ties(n int) string {
	if n > 1 {
		return fmt.Sprintf("%d divisions are as even; this one has the fewest tubes across and those nearest to the middle of their banks (own choice).", n)
	}
	return "No other division is as even (own arithmetic)."
}
