package sheet

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/stock"
)

// packing is a plan of cuts and the stock that it is for.
type packing struct{ job.Packing }

// cuts is the plan of cuts, a picture for each bend and length that is cut. It is worked
// out when the sheet is made, not when it is listed: that takes its time.
func (m maker) cuts() draft {
	d := draft{Entry: Entry{Key: "cuts", Title: "Cut plan", Forms: []string{PDF, SVG}, Warnings: []string{}, NotToScale: true}}
	var ids, disputed []string
	pieces := 0
	for i, t := range m.w.Job.Tubes {
		ids, pieces = append(ids, t.ID), pieces+len(m.w.Plan.Tubes[i].Pieces)
		for _, p := range m.w.Plan.Tubes[i].Pieces {
			disputed = append(disputed, p.Disputed...)
		}
	}
	if pieces == 0 {
		d.Why = "To enter first: a tube with its OD, wall and path."
		return d
	}
	d.Warnings = m.warnings(ids, []string{"stock", "cuts"}, disputed)
	d.make = func(made *Made) error {
		if m.o.Cuts == nil {
			return &Unmade{d.Key, "The plan of cuts is not worked out here."}
		}
		packed, err := m.o.Cuts()
		if err != nil {
			return &Unmade{d.Key, "There is no plan of cuts: " + sentence(err)}
		}
		plan := packing{packed}
		if len(plan.Plan.Uses) == 0 {
			return &Unmade{d.Key, "There is nothing to cut: no stock fits a piece."}
		}
		made.uncut = "A plan of cuts is worked by its figures."
		var cells []draw.Drawing
		for _, u := range plan.Plan.Uses {
			cells = append(cells, m.use(plan, u))
		}
		made.Sheets = pagedIn(listHigh, m.title(d.Entry, job.Bank{}), d.Title, "each piece of stock about its own middle, not to scale", slices.Concat(d.Warnings, missing(plan.Plan)), cautions(), cells)
		for i := range made.Sheets {
			made.Sheets[i].NotToScale = true
		}
		made.Lists = m.cutLists(plan)
		return nil
	}
	return d
}

// missing are the pieces that are in no plan, as warnings.
func missing(p stock.Plan) []string {
	var list []string
	for _, o := range p.Out {
		list = append(list, fmt.Sprintf("%s is not in this plan: %s", o.Piece, o.Why))
	}
	if more := len(list) - mostWarnings; more > 0 {
		list = append(list[:mostWarnings:mostWarnings], fmt.Sprintf("And %d more.", more))
	}
	return list
}

func (p packing) item(id string) stock.Item {
	for _, it := range p.Items {
		if it.ID == id {
			return it
		}
	}
	return stock.Item{ID: id}
}

// called is how people call one piece of an item, counted where there are several.
func (p packing) called(u stock.Use) string {
	name := u.Item
	if n := p.Names[u.Item]; n != "" {
		name = n
	}
	return fmt.Sprintf("%s no. %d", name, u.Number)
}

// clrOf is the CLR that marks on an item go by.
func clrOf(it stock.Item) float64 {
	if it.TrueCLR > 0 {
		return it.TrueCLR.MM()
	}
	return it.CLR.MM()
}

// pictureWide is how wide the picture of a piece of stock is at most, in mm: two stand
// beside each other. A length of tubing has a row of its own.
const (
	pictureWide = 62.0
	tubingWide  = 150.0
	// figureHigh is how high figures stand on a picture that is worked from, in mm.
	figureHigh = 2.2
	// listHigh is how high a page of pictures without rulers is, in mm.
	listHigh = 205.0
)

// use is the picture of one piece of stock with what is cut from it.
func (m maker) use(plan packing, u stock.Use) draw.Drawing {
	it := plan.item(u.Item)
	var d draw.Drawing
	if it.Kind == stock.Tubing {
		d = m.lengthPicture(it, u)
	} else {
		d = m.bendPicture(it, u)
	}
	b := d.Bounds()
	from := "to buy"
	if u.OnHand {
		from = "on hand"
	}
	figures := "figures: outside, from the tangent line of end A"
	section := "OD " + m.with(it.Section.OD.MM()) + ", wall " + m.with(it.Section.Wall.MM())
	if it.Kind == stock.Tubing {
		from += ", " + m.with(it.Length.MM())
		figures = "figures: from the left end"
	} else {
		from += ", " + degrees(float64(it.Angle)) + ", CLR " + m.with(clrOf(it))
	}
	// Two pictures stand beside each other, whatever a person calls the stock.
	d.Add(lines(draw.Pos{(b.Min[0] + b.Max[0]) / 2, b.Min[1] - 2}, draw.Shortened(plan.called(u), 3, true, (rowWide-between)/2), from, section, figures)...)
	return d
}

// bendPicture draws a bend with end A at the right and the bend going on counter-clockwise.
func (m maker) bendPicture(it stock.Item, u stock.Use) draw.Drawing {
	var d draw.Drawing
	clr, r := clrOf(it), it.Section.OD.MM()/2
	k := pictureWide / (2 * (clr + r))
	long := 0.0
	for _, leg := range []float64{it.LegA.MM(), it.LegB.MM()} {
		long = math.Max(long, leg)
	}
	if long*k > pictureWide {
		long = pictureWide / k
	}
	at := func(radius, angle float64) draw.Pos {
		sin, cos := math.Sincos(angle)
		return draw.Pos{k * radius * cos, k * radius * sin}
	}
	face := func(l draw.Layer, angle float64, over float64) {
		d.Add(draw.Line{Layer: l, From: at(clr-r-over, angle), To: at(clr+r+over, angle)})
	}
	for _, radius := range []float64{clr - r, clr + r} {
		d.Add(draw.Arc{Layer: draw.Mark, Radius: k * radius, Sweep: float64(it.Angle)})
	}
	m.leg(&d, at, clr, r, 0, math.Min(it.LegA.MM(), long), -1, "A")
	m.leg(&d, at, clr, r, float64(it.Angle), math.Min(it.LegB.MM(), long), 1, "B")
	face(draw.Reference, 0, 0)
	face(draw.Reference, float64(it.Angle), 0)
	for _, c := range u.Cuts {
		m.keptLeg(&d, at, clr, r, 0, long, -1, c.LegA, c.LengthA.MM())
		m.keptLeg(&d, at, clr, r, float64(it.Angle), long, 1, c.LegB, c.LengthB.MM())
		from, to := float64(c.From), float64(c.To)
		for _, a := range []float64{from, to} {
			face(draw.Mark, a, 2/k)
		}
		mid := (from + to) / 2
		name := c.Piece
		if c.Set > 1 {
			name += fmt.Sprintf(" (set %d)", c.Set)
		}
		d.Add(draw.Text{Layer: draw.Note, At: at(clr+0.25*r, mid), Height: 2.4, Anchor: draw.MidMiddle, Bold: true, Text: name})
		for i, says := range []string{decimals((c.To-c.From).Deg(), 1) + "°", "flipped"} {
			if i == 0 || c.Flipped {
				d.Add(draw.Text{Layer: draw.Note, At: shifted(at(clr+0.25*r, mid), 0, -4-3.4*float64(i)), Height: figureHigh, Anchor: draw.MidMiddle, Text: says})
			}
		}
		// Both faces of a kerf lie close together: each figure stands on its piece's side.
		for i, a := range []float64{from, to} {
			way := 1 - 2*float64(i)
			if a < 0.001 {
				continue
			}
			text := draw.Text{Layer: draw.Dimension, Height: figureHigh, Anchor: draw.MidMiddle, Text: m.length((clr + r) * a)}
			sin, cos := math.Sincos(a)
			off := way * (text.Width()*math.Abs(sin) + text.Height*math.Abs(cos) + 1) / 2
			out := (text.Width()*math.Abs(cos)+text.Height*math.Abs(sin))/2 + 3
			text.At = shifted(at(clr+r+out/k, a), -off*sin, off*cos)
			d.Add(text)
		}
	}
	for _, l := range u.Left {
		from, to := float64(l.From), float64(l.To)
		d.Add(leftLines(at, clr, r, from, to)...)
		says := "scrap"
		if l.Kept {
			says = "keep " + decimals(l.Angle().Deg(), 1) + "°"
		}
		if text := (draw.Text{Layer: draw.Note, Height: figureHigh, Anchor: draw.MidMiddle, Text: says}); to-from > 0.05 {
			text.At = at(clr-r-(text.Width()/2+1.5)/k, (from+to)/2)
			d.Add(text)
		}
	}
	return d
}

func shifted(p draw.Pos, dx, dy float64) draw.Pos { return draw.Pos{p[0] + dx, p[1] + dy} }

// leg draws a leg off an end of a bend; way is −1 at end A and 1 at end B.
func (m maker) leg(d *draw.Drawing, at func(radius, angle float64) draw.Pos, clr, r, angle, long, way float64, name string) {
	along, k := alongLeg(at, clr, angle, way)
	inner, outer := at(clr-r, angle), at(clr+r, angle)
	if long > 0 {
		d.Add(draw.Line{Layer: draw.Mark, From: inner, To: along(inner, long)}, draw.Line{Layer: draw.Mark, From: outer, To: along(outer, long)}, draw.Line{Layer: draw.Mark, From: along(inner, long), To: along(outer, long)})
	}
	d.Add(draw.Text{Layer: draw.Note, At: along(at(clr+0.4*r, angle), math.Max(long-4/k, 4/k)), Height: 3, Anchor: draw.MidMiddle, Bold: true, Text: name})
}

// alongLeg returns places along a leg, and the scale.
func alongLeg(at func(radius, angle float64) draw.Pos, clr, angle, way float64) (along func(p draw.Pos, by float64) draw.Pos, k float64) {
	sin, cos := math.Sincos(angle)
	k = at(clr, 0)[0] / clr
	return func(p draw.Pos, by float64) draw.Pos {
		return draw.Pos{p[0] - way*k*by*sin, p[1] + way*k*by*cos}
	}, k
}

// keptLeg marks where a leg is cut that stays on a bend as the straight next to it.
func (m maker) keptLeg(d *draw.Drawing, at func(radius, angle float64) draw.Pos, clr, r, angle, room, way float64, piece string, length float64) {
	if piece == "" {
		return
	}
	long := math.Min(length, room) // as it is drawn
	along, k := alongLeg(at, clr, angle, way)
	d.Add(draw.Line{Layer: draw.Mark, From: along(at(clr-r-2/k, angle), long), To: along(at(clr+r+2/k, angle), long)})
	name := draw.Text{Layer: draw.Note, At: along(at(clr-0.4*r, angle), long/2), Height: 2.2, Anchor: draw.MidMiddle, Turn: math.Pi / 2, Bold: true, Text: piece}
	says := draw.Text{Layer: draw.Dimension, At: along(at(clr+0.3*r, angle), long/2), Height: figureHigh, Anchor: draw.MidMiddle, Turn: math.Pi / 2, Text: m.length(length)}
	d.Add(name, says)
}

// leftLines are lines along a bend from an angle to another: what is left over.
func leftLines(at func(radius, angle float64) draw.Pos, clr, r, from, to float64) []draw.Entity {
	var list []draw.Entity
	if !(to > from) {
		return nil
	}
	for i := 1; i < 6; i++ {
		radius := at(clr-r+2*r*float64(i)/6, 0)[0]
		list = append(list, draw.Arc{Layer: draw.Reference, Radius: radius, Start: from, Sweep: to - from})
	}
	return list
}

// lengthPicture draws a length of tube from its end A at the left.
func (m maker) lengthPicture(it stock.Item, u stock.Use) draw.Drawing {
	var d draw.Drawing
	const high = 10.0
	k := tubingWide / math.Max(it.Length.MM(), 1)
	d.Add(box(draw.Mark, 0, 0, k*it.Length.MM(), high))
	for i, c := range u.Cuts {
		from, to := k*c.Start.MM(), k*c.End.MM()
		for _, x := range []float64{from, to} {
			d.Add(draw.Line{Layer: draw.Mark, From: draw.Pos{x, -1.5}, To: draw.Pos{x, high + 1.5}})
		}
		// Names of short pieces stand above and below by turns.
		y := high/2 - 1.2
		if draw.TextWidth(c.Piece, 2.2, true) > to-from-1 {
			y = high + 2.5 + 3.4*float64(i%2)
		}
		d.Add(note(draw.Pos{(from + to) / 2, y}, draw.BaseMiddle, 2.2, true, c.Piece))
		d.Add(note(draw.Pos{to, -5 - 3*float64(i%2)}, draw.BaseMiddle, figureHigh, false, m.length(c.End.MM())))
	}
	for _, l := range u.Left {
		var hatch []draw.Entity
		for i := 1; i < 4; i++ {
			y := high * float64(i) / 4
			hatch = append(hatch, draw.Line{Layer: draw.Reference, From: draw.Pos{k * l.Start.MM(), y}, To: draw.Pos{k * l.End.MM(), y}})
		}
		d.Add(hatch...)
		if l.Kept {
			d.Add(note(draw.Pos{k * (l.Start + l.End).MM() / 2, high + 2.5}, draw.BaseMiddle, figureHigh, false, "keep "+m.with(l.Length().MM())))
		}
	}
	return d
}

// cutLists are the cuts by figures, what to buy, and the pieces in two parts.
func (m maker) cutLists(plan packing) []draw.Table {
	u := ", " + string(m.o.Unit)
	cuts := draw.Table{Name: "Cuts, from the tangent line of end A; of lengths from the end", Left: 3, Heads: []string{"stock", "piece", "lies", "from", "to", "outside from" + u, "to" + u, "inside from" + u, "to" + u, "legs kept on"}}
	left := draw.Table{Name: "Left over", Left: 2, Heads: []string{"stock", "what becomes of it", "how much", "legs" + u}}
	for _, use := range plan.Plan.Uses {
		it := plan.item(use.Item)
		clr, r := clrOf(it), it.Section.OD.MM()/2
		for _, c := range use.Cuts {
			row := []string{plan.called(use), c.Piece, "as drawn", "", "", "", "", "", "", m.keptLegs(c)}
			if c.Set > 1 {
				row[1] += fmt.Sprintf(" (set %d)", c.Set)
			}
			if c.Flipped {
				row[2] = "flipped: its far end at A"
			}
			if it.Kind == stock.Tubing {
				row[5], row[6] = m.both(c.Start.MM()), m.both(c.End.MM())
			} else {
				from, to := float64(c.From), float64(c.To)
				row[3], row[4] = decimals(c.From.Deg(), 2)+"°", decimals(c.To.Deg(), 2)+"°"
				row[5], row[6], row[7], row[8] = m.both((clr+r)*from), m.both((clr+r)*to), m.both((clr-r)*from), m.both((clr-r)*to)
			}
			cuts.Rows = append(cuts.Rows, row)
		}
		for _, l := range use.Left {
			row := []string{plan.called(use), "scrap", degrees(float64(l.Angle())), m.leftLegs(l)}
			if l.Kept {
				row[1] = "back to stock"
			}
			if it.Kind == stock.Tubing {
				row[2], row[3] = m.with(l.Length().MM()), ""
			}
			left.Rows = append(left.Rows, row)
		}
	}
	lists := []draw.Table{cuts}
	if len(left.Rows) > 0 {
		lists = append(lists, left)
	}
	if len(plan.Plan.Buy) > 0 {
		buy := draw.Table{Name: "To buy", Left: 1, Heads: []string{"stock", "how many", "cost"}}
		for _, b := range plan.Plan.Buy {
			name := b.Item
			if n := plan.Names[b.Item]; n != "" {
				name = n
			}
			buy.Rows = append(buy.Rows, []string{name, fmt.Sprint(b.Count), decimals(float64(b.Cost)/100, 2)})
		}
		lists = append(lists, buy)
	}
	return append(lists, m.planFacts(plan))
}

// leftLegs are the legs of what is left over, A first.
func (m maker) leftLegs(l stock.Left) string {
	if l.LegA == 0 && l.LegB == 0 {
		return "none"
	}
	return m.length(l.LegA.MM()) + " and " + m.length(l.LegB.MM())
}

func (m maker) keptLegs(c stock.Cut) string {
	text := ""
	for _, l := range []struct {
		piece string
		long  float64
	}{{c.LegA, c.LengthA.MM()}, {c.LegB, c.LengthB.MM()}} {
		if l.piece == "" {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += l.piece + " " + m.with(l.long)
	}
	return text
}

func (m maker) planFacts(plan packing) draw.Table {
	p := plan.Plan
	t := draw.Table{Name: "The plan", Left: 2, Heads: []string{"what", "value"}}
	add := func(what, value string) { t.Rows = append(t.Rows, []string{what, value}) }
	add("cost", decimals(float64(p.Cost)/100, 2))
	switch {
	case p.Optimal:
		add("can it be cheaper", "no, proven")
	default:
		add("can it be cheaper", "not below "+decimals(float64(p.Bound)/100, 2)+"; this is the best that was found")
	}
	add("welds", fmt.Sprint(p.Welds))
	for _, s := range p.Splits {
		add(s.Piece+" is longer than any stock", fmt.Sprintf("made of %s, %s and %s, %s", s.Parts[0], degrees(float64(s.Turns[0])), s.Parts[1], degrees(float64(s.Turns[1]))))
	}
	add("between two pieces", "the saw's kerf and the facing: the face behind the kerf is radial again")
	return t
}
