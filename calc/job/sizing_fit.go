package job

import (
	"fmt"
	"math"

	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// portFit is a port held against the tube behind it.
type portFit struct {
	port        Port
	tube, title string // empty where it is the decided one
	fit         sizing.PortFit
}

// portFits holds every measured port against its tube, or against what was decided. What
// cannot be held against each other is left out: the outline of such a port says why
// where its end is formed.
func (s sizer) portFits() (list []portFit) {
	decided, isDecided := s.j.Target.Decided.section()
	for _, k := range s.j.Banks {
		for _, p := range k.Ports {
			figures, measured := s.ports[p.ID]
			if !measured {
				continue
			}
			has := false
			for _, t := range s.j.Tubes {
				if t.Port != p.ID {
					continue
				}
				has = true
				if section, known := t.Section(); known {
					list = appendFit(list, portFit{port: p, tube: t.ID, title: t.Title}, figures, section)
				}
			}
			if !has && isDecided {
				list = appendFit(list, portFit{port: p}, figures, decided)
			}
		}
	}
	return list
}

func appendFit(list []portFit, f portFit, figures sizing.Port, section tube.Section) []portFit {
	fit, err := sizing.Fit(figures, section)
	if err != nil {
		return list
	}
	f.fit = fit
	return append(list, f)
}

func (f portFit) plan() PortTubePlan {
	p := PortTubePlan{Port: f.port.ID, Tube: f.tube, Perimeter: out(f.fit.Port.Perimeter), Area: out(f.fit.Port.Area), TubePerimeter: out(f.fit.Perimeter), TubeArea: out(f.fit.Area),
		ByPerimeter: out(f.fit.ByPerimeter), ByArea: out(f.fit.ByArea), PerimeterPercent: out(f.fit.PerimeterPercent), AreaPercent: out(f.fit.AreaPercent),
		Stretch: out(100 * f.fit.Stretch), Disagree: f.fit.Disagree, Choices: []ChoicePlan{}, Source: sourcePlan(sizing.StepSource)}
	for _, c := range f.fit.Choices {
		p.Choices = append(p.Choices, ChoicePlan{c.Text, out(c.ID), out(100 * c.Stretch), out(c.AreaPercent)})
	}
	return p
}

// slipFit is one tube in another.
type slipFit struct {
	id, what string
	socket   bool // the outer one is a socket, of which only the inside is known
	slip     Slip
	fit      sizing.SlipFit
	slots    []string
}

// slipFits are the slip joints, then every tube in its socket.
func (s sizer) slipFits() (list []slipFit) {
	add := func(f slipFit, outer, inner tube.Section) {
		fit, err := sizing.Slip(outer, inner)
		if err == nil { // else one of them is no tube, which was refused where it was entered
			f.fit = fit
			list = append(list, f)
		}
	}
	for _, p := range s.j.Slips {
		outer, known := p.Outer.section()
		inner, knownToo := p.Inner.section()
		if known && knownToo {
			add(slipFit{id: p.ID, what: p.Title, slip: p, slots: []string{Slot("slip", p.ID, "outer_od"), Slot("slip", p.ID, "outer_wall"), Slot("slip", p.ID, "inner_od")}}, outer, inner)
		}
	}
	for _, t := range s.j.Tubes {
		section, known := t.Section()
		for _, c := range s.j.Collectors {
			if c.ID == t.Collector && known && c.SocketID.Known {
				socket := tube.Section{OD: c.SocketID.V + 2*section.Wall, Wall: section.Wall} // of some wall: only its inside counts
				add(slipFit{id: t.ID, what: t.Title + " in " + lower(c.Title), socket: true, slots: []string{Slot("collector", c.ID, "socket_id"), Slot("tube", t.ID, "od")}}, socket, section)
			}
		}
	}
	return list
}

func (f slipFit) plan() SlipPlan {
	p := SlipPlan{ID: f.id, What: f.what, OuterID: out(f.fit.Outer.ID()), InnerOD: out(f.fit.Inner.OD), InnerWall: out(f.fit.Inner.Wall), Gap: out(f.fit.Gap), Goes: f.fit.Goes, In: slipBands(f.fit.In), NotIn: slipBands(f.fit.NotIn)}
	if !f.socket {
		p.OuterOD, p.OuterWall = num(f.fit.Outer.OD.MM()), num(f.fit.Outer.Wall.MM())
	}
	if least, most, known := f.hot(); known {
		p.HotLeast, p.HotMost = num(least.MM()), num(most.MM())
	}
	return p
}

func slipBands(bands []sizing.SlipBand) []SlipBand {
	list := make([]SlipBand, len(bands))
	for i, b := range bands {
		list[i] = SlipBand{b.Name, out(b.Low), out(b.High), sourcePlan(b.Source)}
	}
	return list
}

// hot is the gap when both tubes are hot.
func (f slipFit) hot() (least, most units.Length, known bool) {
	outer, inner := f.slip.Outer, f.slip.Inner
	if outer.Material == "" || inner.Material == "" || !outer.Hot.Known || !inner.Hot.Known {
		return 0, 0, false
	}
	least, most, err := f.fit.Hot(outer.Material, outer.Hot.V, inner.Material, inner.Hot.V)
	return least, most, err == nil // nobody knows how much some other material grows
}

func (s sizer) growth() []GrowthPlan {
	list := []GrowthPlan{}
	hot := s.j.TubeHot.Or(usualTubeHot)
	for _, t := range s.j.Tubes {
		if len(t.Path) == 0 || len(t.Open) > 0 {
			continue
		}
		length := lengthOf(t.Path)
		p := GrowthPlan{What: t.Title, Tube: t.ID, Material: t.Material, Length: out(length), Hot: out(hot), By: []GrownPlan{}}
		by, _ := sizing.Growth(t.Material, length, hot) // none of a material that nobody knows
		for _, g := range by {
			p.By = append(p.By, GrownPlan{sourcePlan(g.Source), out(1e6 * g.Alpha), out(g.By), g.Beyond})
		}
		list = append(list, p)
	}
	return list
}

// judged is the place of a sensor held against the rules for it.
type judged struct {
	sensor Sensor
	rules  []sizing.Judged
}

// sensorRules holds every sensor against its rules; that all thermocouples sit alike is
// said at each of them.
func (s sizer) sensorRules() (list []judged) {
	var all []units.Length
	for _, n := range s.j.Sensors {
		if n.What == thermocouple && n.FromEngine.Known {
			all = append(all, n.FromEngine.V)
		}
	}
	for _, n := range s.j.Sensors {
		g := judged{sensor: n}
		switch n.What {
		case oxygen:
			g.rules = s.place(n).Judge()
		case thermocouple:
			alone := sizing.JudgeThermocouples([]units.Length{orNaN(n.FromEngine)})
			g.rules = alone[:1]
			if together := sizing.JudgeThermocouples(all); len(all) > 1 && n.FromEngine.Known {
				g.rules = append(alone[:1:1], together[1])
			}
		default:
			continue // what it measures is not entered yet
		}
		list = append(list, g)
	}
	return list
}

func (s sizer) place(n Sensor) sizing.SensorPlace {
	p := sizing.SensorPlace{FromEngine: orNaN(n.FromEngine), ToOpenEnd: orNaN(n.ToOpenEnd), ToJoint: orNaN(n.ToJoint), PipeID: orNaN(n.PipeID), Above: units.Angle(math.NaN())}
	if n.Above.Known {
		p.Above = n.Above.V
	}
	for _, t := range s.j.Tubes {
		if section, known := t.Section(); known && t.ID == n.On && !n.PipeID.Known {
			p.PipeID = section.ID()
		}
	}
	return p
}

func orNaN(l Opt[units.Length]) units.Length {
	if !l.Known {
		return units.Length(math.NaN())
	}
	return l.V
}

func (g judged) plan() SensorPlan {
	p := SensorPlan{ID: g.sensor.ID, What: g.sensor.Title, Rules: []SensorRulePlan{}}
	for _, r := range g.rules {
		p.Rules = append(p.Rules, SensorRulePlan{r.Rule, r.Text, numOr(r.Value), out(r.Low), numOr(r.High), r.Unit, sourcePlan(r.Source), r.OK, r.Open})
	}
	return p
}

// limitOf says what a rule for a sensor asks for.
func limitOf(r sizing.Judged) string {
	say := func(v float64) string {
		if r.Unit == "mm" {
			return say(units.Length(v))
		}
		return fmt.Sprintf("%.1f", v)
	}
	if math.IsInf(r.High, 1) {
		return "at least " + say(r.Low)
	}
	return say(r.Low) + " to " + say(r.High)
}
