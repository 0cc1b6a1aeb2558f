package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tubewright/calc/job"
)

// sizes are the tubes that can be bought, near what the rules give.
func (s sized) sizes(f *prose) {
	f.section("Sizes of tube near the answer")
	if len(s.Sizes) == 0 {
		f.say("No rule gives a bore yet, so no size is near it. What the rules for it want stands under how wide.")
		return
	}
	f.leads("Sizes in stock and those that are mostly sold, ODs in steps of 1/8 in and walls of 0.049 and 0.065 in (common practice, no source). Within: the ID lies in the bands of all rules together. The speed of peak torque is by the mean gas speed, from the slowest to the fastest that its sources span. By how much an ID is larger (+) or smaller than each rule's stands last.")
	u := string(s.o.Unit)
	g := grid{columns: []column{{"OD × wall, " + u, 34, false}, {"ID, " + u, 17, true}, {"area, " + s.squared(), 17, true}, {"gas at torque, m/s", 19, true}, {"at power, m/s", 17, true}, {"peak torque at, rpm", 32, true}, {"within", 13, false}}}
	// Every size is held against the same rules.
	rest := (proseWide - g.wide()) / float64(len(s.Sizes[0].Against))
	for _, a := range s.Sizes[0].Against {
		g.columns = append(g.columns, column{a.Rule + ", %", rest, true})
	}
	bold := map[int]bool{}
	for i, z := range s.Sizes {
		name := s.length(float64(z.OD)) + " × " + s.length(float64(z.Wall))
		if z.InStock {
			name += ", in stock"
		}
		if z.Chosen {
			bold[i] = true
			name += ", decided"
		}
		within := "no"
		if z.Within {
			within = "yes"
		}
		peak := "open"
		if v, known := value(z.Peak); known {
			peak = decimals(v, 0)
			if low, known := value(z.PeakLow); known {
				peak += fmt.Sprintf(" (%s to %s)", decimals(low, 0), decimals(num(z.PeakHigh), 0))
			}
		}
		row := []string{name, s.length(float64(z.ID)), s.square(float64(z.Area)), orOpen(z.SpeedAtTorque, 1), orOpen(z.SpeedAtPower, 1), peak, within}
		for _, a := range z.Against {
			row = append(row, plus(decimals(float64(a.Percent), 1)))
		}
		g.rows = append(g.rows, row)
	}
	g.bold = func(row int) bool { return bold[row] }
	f.add(g.strips()...)
}

// plus puts its sign before a figure above 0.
func plus(text string) string {
	if strings.HasPrefix(text, "-") || strings.Trim(text, "0.") == "" {
		return text
	}
	return "+" + text
}

func orOpen[T ~float64](v *T, places int) string {
	n, known := value(v)
	if !known {
		return "open"
	}
	return decimals(n, places)
}

// ports are the ports against their tubes.
func (s sized) ports(f *prose) {
	f.section("Ports and the tubes behind them")
	if len(s.Ports) == 0 {
		f.say("Nothing to hold against each other yet: it wants the outline of a port, and the OD and wall of its tube or of what was decided.")
		return
	}
	f.leads("By how much a tube is larger (+) or smaller on each side, by perimeter and by area; stretch is by how much its end is opened up to reach round the port, in the middle of the wall. Asked for is equal or larger by at most 0.030 in on each side, never smaller; others see no harm in a step at the floor (builders; common practice, no source).")
	u := string(s.o.Unit)
	g := grid{columns: []column{{"port, tube", 40, false}, {"port, round, " + u, 21, true}, {"tube, round, " + u, 21, true}, {"port's area, " + s.squared(), 21, true}, {"tube's area, " + s.squared(), 21, true}, {"by perimeter, " + u, 22, true}, {"by area, " + u, 20, true}, {"stretch, %", 22, true}}}
	var texts []string
	for _, p := range s.Ports {
		name := s.portName(p.Port) + ", " + s.tubeName(p.Tube)
		g.rows = append(g.rows, []string{name, s.length(float64(p.Perimeter)), s.length(float64(p.TubePerimeter)), s.square(float64(p.Area)), s.square(float64(p.TubeArea)), s.maker.signed(float64(p.ByPerimeter)), s.maker.signed(float64(p.ByArea)), decimals(float64(p.Stretch), 1)})
		if p.Disagree {
			var ways []string
			for _, c := range p.Choices {
				ways = append(ways, c.Text)
			}
			texts = append(texts, name+": perimeter and area do not agree, and neither is the right one. To choose from: "+strings.Join(ways, "; ")+".")
		}
	}
	f.add(g.strips()...)
	for _, text := range texts {
		f.saysBold(text)
	}
}

func (s sized) portName(id string) string {
	for _, k := range s.w.Job.Banks {
		for _, p := range k.Ports {
			if p.ID == id {
				if len(s.w.Job.Banks) > 1 {
					return p.Title + " of bank " + k.ID
				}
				return p.Title
			}
		}
	}
	return id
}

func (s sized) tubeName(id string) string {
	for _, t := range s.w.Job.Tubes {
		if t.ID == id {
			return within(t.Title)
		}
	}
	return "as decided"
}

// slips are tubes that go into each other.
func (s sized) slips(f *prose) {
	f.section("Slip fits, by the real walls")
	if len(s.Slips) == 0 {
		f.say("None is known: no slip joint is entered, and no tube ends in a collector with a socket.")
		return
	}
	u := string(s.o.Unit)
	g := grid{columns: []column{{"what", 44, false}, {"outer ID, " + u, 22, true}, {"inner OD, " + u, 22, true}, {"gap, " + u, 18, true}, {"which band it lies in", 50, false}, {"hot, " + u, 32, false}}}
	for _, p := range s.Slips {
		in := "in none of those below"
		if !p.Goes {
			in = "in none: it does not go in"
		}
		var names []string
		for _, b := range p.In {
			names = append(names, s.band(b))
		}
		if len(names) > 0 {
			in = strings.Join(names, "; ")
		}
		hot := "open"
		if p.HotLeast != nil && p.HotMost != nil {
			hot = s.maker.signed(num(p.HotLeast)) + " to " + s.maker.signed(num(p.HotMost))
		}
		g.rows = append(g.rows, []string{p.What, s.length(float64(p.OuterID)), s.length(float64(p.InnerOD)), s.length(float64(p.Gap)), in, hot})
	}
	f.add(g.strips()...)
	f.say("The gap is on diameter. Hot it is by the coefficients that leave the least and the most; open until material and heat of both are entered.")
	for _, b := range slices.Concat(s.Slips[0].In, s.Slips[0].NotIn) { // all there are, whichever joint lies in them
		f.say("Band " + s.band(b) + " " + u + ": " + b.Source.Text + " (" + b.Source.Grade + ").")
	}
}

func (s sized) band(b job.SlipBand) string {
	return fmt.Sprintf("%s, %s to %s", b.Name, s.length(float64(b.Low)), s.length(float64(b.High)))
}

// growthTubes is how many tubes stand beside each other.
const growthTubes = 6

// growth is how much longer the tubes get, by every source.
func (s sized) growth(f *prose) {
	f.section("How much the tubes grow when hot")
	if len(s.Growth) == 0 {
		f.say("No tube has a whole path yet.")
		return
	}
	how := "as was entered"
	if !s.w.Job.TubeHot.Known {
		how = "own choice, since nobody entered it"
	}
	f.leads(fmt.Sprintf("From 20 °C to %s °C (%s), along the centreline; mean coefficients. Sources disagree; all stand here.", decimals(float64(s.Growth[0].Hot), 0), how))
	var unknown []string
	for _, material := range s.materials() {
		var tubes []job.GrowthPlan
		for _, g := range s.Growth {
			if g.Material != material {
				continue
			}
			if len(g.By) == 0 {
				unknown = append(unknown, within(g.What))
				continue
			}
			tubes = append(tubes, g)
		}
		for part := range slices.Chunk(tubes, growthTubes) {
			f.gap(1)
			f.add(whole(s.grown(material, part).strips())...)
		}
	}
	if len(unknown) > 0 {
		f.say("Not known, since the material is not entered or nobody says how much it grows: " + strings.Join(unknown, ", ") + ".")
	}
}

// materials are those of the tubes, each once, in their order.
func (s sized) materials() (list []string) {
	for _, g := range s.Growth {
		if !slices.Contains(list, g.Material) {
			list = append(list, g.Material)
		}
	}
	return list
}

func (s sized) grown(material string, tubes []job.GrowthPlan) grid {
	u := string(s.o.Unit)
	g := grid{columns: []column{{material + ", source (grade)", proseWide - 26 - 17*float64(growthTubes), false}, {"millionths per K", 26, true}}}
	length := []string{"length cold, " + u, ""}
	for _, t := range tubes {
		g.columns = append(g.columns, column{within(t.What) + ", " + u, 17, true})
		length = append(length, s.length(float64(t.Length)))
	}
	g.rows = append(g.rows, length)
	for i, by := range tubes[0].By {
		text := by.Source.Text + " (" + by.Source.Grade + ")"
		if by.Beyond {
			text += "; hotter than this source goes"
		}
		row := []string{text, decimals(float64(by.Alpha), 2)}
		for _, t := range tubes {
			row = append(row, s.maker.signed(float64(t.By[i].By)))
		}
		g.rows = append(g.rows, row)
	}
	return g
}

// sensors are the places of sensors against the rules for them.
func (s sized) sensors(f *prose) {
	f.section("Sensors")
	if len(s.Sensors) == 0 {
		f.say("No sensor is entered.")
		return
	}
	g := grid{columns: []column{{"sensor", 40, false}, {"rule", 60, false}, {"is", 28, true}, {"asked for", 40, false}, {"kept", 20, false}}}
	var sources []string
	for _, n := range s.Sensors {
		for i, r := range n.Rules {
			name := ""
			if i == 0 {
				name = n.What
			}
			is := "open"
			if v, known := value(r.Value); known {
				is = s.figure(v, r.Unit)
			}
			asked := "at least " + shorter(s.figure(float64(r.Low), r.Unit))
			if high, known := value(r.High); known {
				asked = s.span(float64(r.Low), high, r.Unit)
			}
			kept := map[bool]string{true: "yes", false: "no"}[r.OK]
			if r.Open {
				kept = "open"
			}
			g.rows = append(g.rows, []string{name, r.Text, is, asked, kept})
			if text := r.Source.Text + " (" + r.Source.Grade + ")"; !slices.Contains(sources, text) {
				sources = append(sources, text)
			}
		}
	}
	f.add(g.strips()...)
	for _, text := range sources {
		f.say("Source: " + text + ".")
	}
}
