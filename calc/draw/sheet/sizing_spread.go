package sheet

import (
	"math"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/geom"
	"tubewright/calc/job"
)

// Where things stand across a scale with bars, in mm.
const (
	barFrom = 76.0 // left end of the scale; what stands left of it are names
	barTo   = 152.0
	barHigh = 2.6
	barGap  = 2.4 // between the rows
)

// bar is one value on a scale, with the band in which it lies.
type bar struct {
	name, says   string // of the rule; how well founded it is, and from where it counts
	v, low, high float64
}

// bars is what several rules say, on one scale.
type bars struct {
	title  string
	bars   []bar
	chosen *float64 // what was decided; nil where nothing is
	unit   string   // of all values
	apart  string   // said below it
}

// askedWords are the questions as they are asked, and what is drawn for them.
var askedWords = map[string]string{"how wide": "How wide?", "how long": "How long?", "what behind": "What behind?", "what else": "What else?"}

// spreads are what rules say to each question, drawn.
func (s sized) spreads(f *prose) {
	f.section("What the rules say, on one scale each")
	f.leads("A diamond is what a rule gives, the box about it the band that its source names; the heavy upright line is what was decided. Rules disagree: nothing here is an average of them.")
	for _, q := range job.Questions {
		f.under(askedWords[q])
		var single []bars
		for _, sp := range s.Spreads {
			if sp.Question != q {
				continue
			}
			b := s.ofSpread(sp)
			if len(b.bars) == 1 && b.chosen == nil {
				single = append(single, b)
				continue
			}
			f.picture(s.draw(b), 0)
		}
		alone := grid{columns: []column{{"stands alone", 50, false}, {"by", 68, false}, {"value", 30, true}, {"band", 40, false}}}
		for _, b := range append(single, s.others(q)...) {
			if len(b.bars) > 1 {
				f.picture(s.draw(b), 0)
				continue
			}
			r := b.bars[0]
			band := "none named"
			if !alike(r.low, r.high) {
				band = s.span(r.low, r.high, b.unit)
			}
			alone.rows = append(alone.rows, []string{b.title, r.name + " (" + r.says + ")", s.figure(r.v, b.unit), band})
		}
		if len(alone.rows) > 0 {
			f.gap(1)
			f.add(alone.strips()...)
		}
		if g := s.silent(q); len(g.rows) > 0 {
			f.gap(1)
			f.add(g.strips()...)
		}
	}
}

// isDecided has what a person decides on, of all that rules give.
var isDecided = map[string]bool{"primary bore": true, "primary length": true, "first primary of a 4-2-1": true, "secondary bore": true, "collector length": true}

func (s sized) ofSpread(sp job.SpreadPlan) bars {
	b := bars{title: capital(sp.What), chosen: number(sp.Chosen), unit: sp.Unit}
	if sp.Start != "" {
		b.title += ", " + startWords(sp.Start)
	}
	for _, m := range sp.Marks {
		says := m.Grade
		rule := s.rule(m.Rule)
		switch {
		case m.Moved:
			says += "; its rule counts " + fromWhere(rule.Start) + ", moved here by the port"
		case sp.Start == "" && rule.Start != "":
			says += "; lengths in it count " + fromWhere(rule.Start)
		case sp.Start != "":
			says += "; " + fromWhere(sp.Start)
		}
		if m.Outside {
			says += "; not meant for this engine"
		}
		name := s.names[m.Rule]
		if m.Name != "" {
			name += ", " + m.Name
		}
		b.bars = append(b.bars, bar{name, says, float64(m.Value), float64(m.Low), float64(m.High)})
	}
	switch {
	case sp.Open != "":
		b.apart = sp.Open + "."
	case b.chosen == nil && isDecided[sp.What]:
		b.apart = "It is not decided yet."
	}
	return b
}

func (s sized) rule(id string) job.RulePlan {
	for _, r := range s.Rules {
		if r.ID == id {
			return r
		}
	}
	return job.RulePlan{}
}

// others are the values of the rules for a question that no spread has, those of a kind on
// one scale.
func (s sized) others(question string) (list []bars) {
	spread := map[string]bool{}
	for _, sp := range s.Spreads {
		spread[sp.What] = true
	}
	at := map[string]int{}
	for _, r := range s.Rules {
		if r.Question != question {
			continue
		}
		for _, v := range r.Values {
			if spread[v.What] {
				continue
			}
			i, known := at[v.What]
			if !known {
				i = len(list)
				at[v.What] = i
				list = append(list, bars{title: capital(v.What), unit: v.Unit})
			}
			name, says := r.Name, r.Grade
			if v.Name != "" {
				name += ", " + v.Name
			}
			if v.Start != "" {
				says += "; " + fromWhere(v.Start)
			}
			if len(r.Outside) > 0 {
				says += "; not meant for this engine"
			}
			list[i].bars = append(list[i].bars, bar{name, says, float64(v.Value), float64(v.Low), float64(v.High)})
		}
	}
	return list
}

// silent are the rules of a question that give nothing, and what they want.
func (s sized) silent(question string) grid {
	g := grid{columns: []column{{"gives nothing yet", 74, false}, {"to enter first", proseWide - 74, false}}}
	for _, r := range s.Rules {
		if r.Question == question && len(r.Values) == 0 {
			g.rows = append(g.rows, []string{r.Name, wanted(r)})
		}
	}
	return g
}

// wanted is what a rule that gives nothing wants.
func wanted(r job.RulePlan) string {
	if len(r.Open) == 0 {
		return "nothing is open, but its symbols do not go together"
	}
	return strings.Join(lowered(r.Open), "; ")
}

// shown is a value as its scale shows it, and what that is in.
func (s sized) shown(v float64, unit string) (float64, string) {
	if s.o.Unit == "in" {
		switch unit {
		case "mm":
			return v / 25.4, "in"
		case "mm²":
			return v / (25.4 * 25.4), "in²"
		}
	}
	return v, unit
}

// draw draws bars from the top left at 0, 0.
func (s sized) draw(b bars) draw.Drawing {
	var d draw.Drawing
	text := func(x, y, high float64, a draw.Anchor, bold bool, says string) {
		d.Add(draw.Text{Layer: draw.Note, At: draw.Pos{x, y}, Height: high, Anchor: a, Bold: bold, Text: says})
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range b.bars {
		low, high = math.Min(low, math.Min(r.low, r.v)), math.Max(high, math.Max(r.high, r.v))
	}
	if b.chosen != nil {
		low, high = math.Min(low, *b.chosen), math.Max(high, *b.chosen)
	}
	var unit string
	low, unit = s.shown(low, b.unit)
	high, _ = s.shown(high, b.unit)
	ticks := scaled(low, high)
	at := func(v float64) float64 {
		v, _ = s.shown(v, b.unit)
		return barFrom + (barTo-barFrom)*(v-ticks.from)/(ticks.to-ticks.from)
	}
	y := 0.0
	title := b.title
	if unit != "" {
		title += ", " + unit
	}
	for _, line := range fitted(title, 2.3, true, proseWide) {
		text(0, y, 2.3, draw.TopLeft, true, line)
		y -= 4.4
	}
	top := y
	if b.chosen != nil {
		says := "decided " + s.figure(*b.chosen, b.unit)
		x := at(*b.chosen)
		half := draw.TextWidth(says, textHigh, true)/2 + 0.5
		text(min(max(x, barFrom-8+half), proseWide-half), y, textHigh, draw.TopMiddle, true, says)
		y -= 4
		top = y + 0.8
		y -= 1
	}
	d.Add(draw.Line{Layer: draw.Note, From: draw.Pos{0, y + 0.6}, To: draw.Pos{proseWide, y + 0.6}})
	for _, r := range b.bars {
		y -= barGap / 2
		begin := y
		for i, part := range []string{r.name, r.says} {
			size := []float64{textHigh, 1.8}[i]
			for _, line := range fitted(part, size, i == 0, barFrom-6) {
				text(0, y, size, draw.TopLeft, i == 0, line)
				y -= 1.75 * size
			}
		}
		mid := begin - (begin-y)/2 + 0.5
		says := []string{s.figure(r.v, b.unit)}
		if !alike(r.low, r.high) {
			says = append(says, s.span(r.low, r.high, b.unit))
			d.Add(box(draw.Mark, at(r.low), mid-barHigh/2, at(r.high), mid+barHigh/2))
		}
		d.Add(diamond(draw.Pos{at(r.v), mid}, 1.7))
		for i, line := range says {
			text(proseWide, mid+float64(len(says)-1)*1.9-3.8*float64(i), textHigh, draw.MidRight, i == 0, line)
		}
		y -= barGap / 2
		d.Add(draw.Line{Layer: draw.Note, From: draw.Pos{0, y + 0.6}, To: draw.Pos{proseWide, y + 0.6}})
	}
	// The axis, with a thin line up from each tick.
	foot := y - 1
	d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{barFrom, foot}, To: draw.Pos{barTo, foot}})
	for i := range ticks.n + 1 {
		v := ticks.from + float64(i)*ticks.step
		x := barFrom + (barTo-barFrom)*float64(i)/float64(ticks.n)
		d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{x, foot}, To: draw.Pos{x, foot - 1.4}})
		d.Add(draw.Line{Layer: draw.Reference, From: draw.Pos{x, foot}, To: draw.Pos{x, top - 0.2}})
		text(x, foot-2, 1.8, draw.TopMiddle, false, decimals(v, ticks.places))
	}
	if b.chosen != nil {
		x := at(*b.chosen)
		// As heavy as a filled box: on paper a line of Mark is as thin as a box's edge.
		d.Add(filled(x-0.35, foot, x+0.35, top))
	}
	y = foot - 5.2
	if b.apart != "" {
		for _, line := range fitted(b.apart, textHigh, false, proseWide) {
			text(0, y, textHigh, draw.TopLeft, false, line)
			y -= textLine * textHigh
		}
	}
	return d
}

// ticks are the marks of a scale.
type ticks struct {
	from, to, step float64
	n, places      int
}

// scaled are ticks about values from low to high: four to ten, at round figures.
func scaled(low, high float64) ticks {
	if !(high-low > 0.02*math.Abs(high)) { // a single value stands in the middle of something
		by := math.Max(0.05*math.Abs(high), 0.5)
		low, high = low-by, high+by
	}
	by := 0.04 * (high - low) // so that nothing stands on an end of the scale
	low, high = low-by, high+by
	const most = 7
	step := math.Pow10(int(math.Floor(math.Log10((high - low) / most))))
	for _, times := range []float64{1, 2, 5, 10, 20} {
		if t := (ticks{from: step * times * math.Floor(low/(step*times)), to: step * times * math.Ceil(high/(step*times)), step: step * times}); math.Round((t.to-t.from)/t.step) <= most {
			t.n = int(math.Round((t.to - t.from) / t.step))
			t.places = max(0, -int(math.Floor(math.Log10(t.step)+1e-9)))
			return t
		}
	}
	return ticks{from: low, to: high, step: high - low, n: 1}
}

func diamond(at draw.Pos, r float64) draw.Loop {
	return draw.Loop{Layer: draw.Mark, Filled: true, Vertices: []geom.Vertex{{X: at[0] - r*0.7, Y: at[1]}, {X: at[0], Y: at[1] - r}, {X: at[0] + r*0.7, Y: at[1]}, {X: at[0], Y: at[1] + r}}}
}

func filled(x0, y0, x1, y1 float64) draw.Loop {
	return draw.Loop{Layer: draw.Mark, Filled: true, Vertices: []geom.Vertex{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
}

// fromWhere is startWords in short, for where it stands often.
func fromWhere(start string) string {
	return map[string]string{"valve": "from the valve head", "flange": "from the flange", "joint": "from its joint"}[start]
}

func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
