package sheet

import (
	"cmp"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/sorted"
)

// bigColumn is a column of figures that are read at arm's length.
type bigColumn struct {
	head, unit string
	wide       float64
	right      bool
}

func (f fixed) columns() []bigColumn {
	u := string(f.o.Unit)
	return []bigColumn{
		{"station", "", 24, false},
		{"along", u, 27, true},
		{"post", u, 25, true},
		{"leans", "°", 22, true},
		{"turned", "°", 27, true},
		{"spacer", u, 20, true},
		{"how it holds", "", 28, false},
		{"clamped", "", 15, false}, // two boxes to tick
	}
}

// rows are the stations, one row each, with two boxes to tick: the mark was measured, and
// it is clamped there.
func (f fixed) rows(p *prose) {
	columns := f.columns()
	var head strip
	x := 0.0
	for _, c := range columns {
		text := c.head
		if c.unit != "" {
			text += ", " + c.unit
		}
		t := draw.Text{Layer: draw.Note, At: draw.Pos{x, 0}, Height: 2.4, Anchor: draw.TopLeft, Bold: true, Text: text}
		if c.right {
			t.At[0], t.Anchor = x+c.wide-cellGap, draw.TopRight
		}
		head.list = append(head.list, t)
		x += c.wide
	}
	head.list = append(head.list, draw.Line{Layer: draw.Mark, From: draw.Pos{0, -4.2}, To: draw.Pos{x, -4.2}})
	head.high, head.keep = 6.4, true
	p.leads(how)
	p.add(head)
	for _, st := range f.inOrder() {
		s := f.row(columns, st)
		s.head = []strip{head}
		p.add(s)
	}
}

// inOrder are the stations tube by tube from the port, those of collectors last.
func (f fixed) inOrder() []job.StationPlan {
	list := append([]job.StationPlan(nil), f.Stations...)
	rank := map[string]int{}
	for i, t := range f.w.Job.Tubes {
		rank[t.ID] = i - len(f.w.Job.Tubes) // below that of collectors
	}
	sorted.By(list, func(a, b job.StationPlan) int {
		return cmp.Or(cmp.Compare(rank[a.Tube], rank[b.Tube]), cmp.Compare(a.Collector, b.Collector), cmp.Compare(a.Along, b.Along))
	})
	return list
}

func (f fixed) row(columns []bigColumn, st job.StationPlan) strip {
	s := strip{high: f.pitch}
	spacer := "–"
	if st.Spacer != nil {
		spacer = f.short(float64(*st.Spacer))
	}
	texts := []string{st.Name, f.short(float64(st.Along)), f.short(float64(st.Post)), decimals(float64(st.CradleAngle), 1), decimals(float64(st.CradleTurn), 1), spacer}
	x := 0.0
	for i, c := range columns {
		switch {
		case i < len(texts):
			t := draw.Text{Layer: draw.Note, At: draw.Pos{x, 0}, Height: figuresHigh, Anchor: draw.TopLeft, Bold: i < 2, Text: texts[i]}
			if i == 0 {
				t.At[0], t.Text = frameOff, draw.Shortened(t.Text, figuresHigh, true, c.wide-cellGap-frameOff)
			}
			if c.right {
				t.At[0], t.Anchor = x+c.wide-cellGap, draw.TopRight
			}
			s.list = append(s.list, t)
		case i == len(texts):
			words := "fixed"
			if st.Removable {
				words = "REMOVABLE"
			}
			s.list = append(s.list, draw.Text{Layer: draw.Note, At: draw.Pos{x, -figuresHigh / 2}, Height: holdHigh, Anchor: draw.MidLeft, Bold: st.Removable, Text: words})
		default:
			tick := min(6.4, f.pitch-2.4)
			for _, off := range []float64{0, 8.4} {
				s.list = append(s.list, box(draw.Mark, x+off, -tick+0.5, x+off+tick, 0.5))
			}
		}
		x += c.wide
	}
	if st.Arm > 0 {
		text := "arm " + f.short(float64(st.Arm))
		if st.ArmTurn != nil {
			text += ", towards " + decimals(float64(*st.ArmTurn), 1) + "°"
		}
		s.list = append(s.list, draw.Text{Layer: draw.Note, At: draw.Pos{columns[0].wide, -figuresHigh - 1.7}, Height: figuresHigh, Anchor: draw.TopLeft, Text: text})
		s.high += figuresHigh + 1.6
	}
	s.list = append(s.list, draw.Line{Layer: draw.Note, From: draw.Pos{0, -s.high + 1.6}, To: draw.Pos{x, -s.high + 1.6}})
	if st.Removable { // framed, as on the pictures
		t := s.list[0].(draw.Text).Bounds().Grown(frameOff)
		s.list = append(s.list, box(draw.Mark, t.Min[0], t.Min[1], t.Max[0], t.Max[1]))
	}
	return s
}

const (
	frameOff = 0.9 // of a name's frame
	holdHigh = 3.0
)

// how says what stands in the columns and how it is checked.
const how = "Along: centreline from the port face to the middle of the clamp, measured on the tube before it is clamped. Post: from the plate to the wall of the tube. Leans: the tube against the plate; turned: the way of the gas on the plate, from its x. Tick the first box when the mark is measured and the second when the clamp sits on it. A framed station comes off before the header does."
