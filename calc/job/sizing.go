package job

import (
	"math"
	"slices"
	"strings"

	"tubewright/calc/flange"
	"tubewright/calc/gas"
	"tubewright/calc/ledger"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

// usualTubeHot is how hot, in °C, tubes are taken to get: bright steel shows a dull red
// from some 600 °C on. Own choice.
const usualTubeHot = 650

// Sizing works out what published rules say to a job.
func Sizing(j Job) SizingPlan {
	s := newSizer(j, measuredPorts(j))
	results, _ := sizing.Work(s.in) // what cannot be used is said by the findings
	p := SizingPlan{Cautions: slices.Clone(sizing.Cautions), Fuel: or(s.in.Fuel, gas.Petrol.Name), Inputs: s.inputs(results), Rules: s.rules(results), Spreads: s.spreads(results),
		Sizes: s.sizes(results), Pairing: s.pairing(), Ports: []PortTubePlan{}, Slips: []SlipPlan{}, Growth: s.growth(), Sensors: []SensorPlan{}, Decision: s.decision(results),
		Disputed: []string{}, Findings: append([]Finding{}, j.atSource(s.findings())...)}
	for _, f := range s.portFits() {
		p.Ports = append(p.Ports, f.plan())
	}
	for _, f := range s.slipFits() {
		p.Slips = append(p.Slips, f.plan())
	}
	for _, f := range s.sensorRules() {
		p.Sensors = append(p.Sensors, f.plan())
	}
	return p
}

// SizingOf is Sizing of a job's records and those of the shop's own job. A job in which
// readings are in dispute says so first. It takes no time worth telling, so that step is
// there for what calls several such.
func SizingOf(own, shop []ledger.Record, _ func(done float64) bool) (SizingPlan, error) {
	folded := ledger.Fold(own)
	facts, unread := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	j, faults := facts.built()
	p := Sizing(j)
	p.refuse(faultFindings(slices.Concat(unread, faults)))
	disputed := slices.DeleteFunc(disputedSlots(folded, facts), func(slot string) bool { return !isSizing(slot) })
	p.Disputed = append(p.Disputed, disputed...)
	p.Findings = append(disputeFindings(folded, facts, disputed), p.Findings...)
	return p, nil
}

// refuse says which entries of these pages cannot be used. A firing order that was
// entered and refused is not one that is missing.
func (p *SizingPlan) refuse(unusable []Finding) {
	var fs []Finding
	for _, f := range unusable {
		kind, _, name, _ := SplitSlot(f.Slots[0])
		if !slices.Contains([]string{"engine", "target", "sizing", "slip", "sensor"}, kind) {
			continue
		}
		fs = append(fs, f)
		if slices.Contains([]string{"firing_order", "firing_intervals", "numbering"}, name) {
			p.Pairing.Why = trimStop(f.Text)
		}
	}
	p.Findings = append(fs, p.Findings...)
}

// isSizing tells whether something of the answer may rest on a slot.
func isSizing(slot string) bool {
	kind, _, _ := strings.Cut(slot, "/")
	return slices.Contains([]string{"engine", "target", "sizing", "port", "rim", "tube", "element", "collector", "slip", "sensor", "stock"}, kind)
}

// portFigures are what a round tube is held against, by port.
type portFigures map[string]sizing.Port

// measuredPorts are those of all ports whose outline is known.
func measuredPorts(j Job) portFigures {
	ports := portFigures{}
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			if p.Outline != nil {
				f := flange.Measures(*p.Outline)
				ports[p.ID] = sizing.Port{Perimeter: units.Length(f.Perimeter), Area: f.Area}
			}
		}
	}
	return ports
}

// portFigures are the same as a plan has them already.
func (p Plan) portFigures() portFigures {
	ports := portFigures{}
	for _, f := range p.Flanges {
		for _, port := range f.Ports {
			ports[port.ID] = sizing.Port{Perimeter: units.Length(port.Perimeter), Area: float64(port.Area)}
		}
	}
	return ports
}

// sizer is a job with what the rules want of it.
type sizer struct {
	j     Job
	ports portFigures
	in    sizing.Inputs
	open  sizing.Inputs // the same before anything was decided
}

func newSizer(j Job, ports portFigures) sizer {
	s := sizer{j: j, ports: ports, in: j.Besides}
	e := j.Engine
	for _, n := range []struct {
		key sizing.Key
		v   Opt[float64]
	}{
		{sizing.Cylinders, e.Cylinders}, {sizing.Compression, e.Compression}, {sizing.TorqueRPM, e.TorqueRPM}, {sizing.PowerRPM, e.PowerRPM}, {sizing.ThroatArea, e.ThroatArea()},
	} {
		if n.v.Known {
			s.in.Set(n.key, n.v.V)
		}
	}
	for _, l := range []struct {
		key sizing.Key
		v   Opt[units.Length]
	}{
		{sizing.Bore, e.Bore}, {sizing.Stroke, e.Stroke}, {sizing.Rod, e.Rod}, {sizing.ValveToFace, e.ValveToFace},
	} {
		if l.v.Known {
			s.in.SetLength(l.key, l.v.V)
		}
	}
	for _, a := range []struct {
		key sizing.Key
		v   Opt[units.Angle]
	}{{sizing.Opens, e.OpensBBDC}, {sizing.Closes, e.ClosesATDC}} {
		if a.v.Known {
			s.in.SetAngle(a.key, a.v.V)
		}
	}
	if area := s.meanArea(); area.Known && !s.hasOwnArea() {
		s.in.Set(sizing.PortArea, area.V)
	}
	s.open = s.in
	if l := j.fromStart(j.Target.Length, sizing.Valve); l.Known {
		s.in.SetLength(sizing.ChosenLength, l.V)
	}
	if section, ok := j.Target.Decided.section(); ok {
		s.in.SetLength(sizing.ChosenBore, section.ID())
	}
	return s
}

func (s sizer) hasOwnArea() bool {
	_, entered := s.j.Besides.Get(sizing.PortArea)
	return entered
}

// meanArea is the mean area of the ports that were measured.
func (s sizer) meanArea() (mean Opt[float64]) {
	sum, n := 0.0, 0
	for _, k := range s.j.Banks {
		for _, p := range k.Ports {
			if f, measured := s.ports[p.ID]; measured {
				sum, n = sum+f.Area, n+1
			}
		}
	}
	if n == 0 {
		return mean
	}
	return Opt[float64]{sum / float64(n), true}
}

// slotOf is where an input is edited.
func slotOf(k sizing.Key) string {
	switch k {
	case sizing.ThroatArea:
		return Slot("engine", Self, "throat")
	case sizing.ChosenLength:
		return Slot("target", Self, "length")
	case sizing.ChosenBore:
		return Slot("target", Self, "od")
	}
	for _, kind := range []string{"engine", "sizing"} {
		if fieldOf(kind, string(k)).Name != "" {
			return Slot(kind, Self, string(k))
		}
	}
	return ""
}

// isDerived tells of an input that is no value of its slot but follows from it.
func (s sizer) isDerived(k sizing.Key) bool {
	switch k {
	case sizing.ThroatArea, sizing.ChosenBore:
		return true
	case sizing.ChosenLength:
		return s.j.Target.From != string(sizing.Valve)
	case sizing.PortArea:
		return !s.hasOwnArea()
	}
	return false
}

func (s sizer) inputs(results []sizing.Result) []InputPlan {
	list := []InputPlan{}
	for _, f := range sizing.Fields {
		out := func(v float64) *out {
			if f.Unit == "K" {
				v = celsius(v)
			}
			return numOr(v)
		}
		p := InputPlan{Key: string(f.Key), Label: f.Label, Unit: f.Unit, Usual: out(f.Usual), Grade: string(f.Grade), Source: f.Source, Low: *out(f.Low), High: *out(f.High), Slot: slotOf(f.Key)}
		if f.Unit == "K" {
			p.Unit = "°C"
		}
		if f.Likely != [2]float64{} {
			p.Likely = likely(*out(f.Likely[0]), *out(f.Likely[1]))
		}
		if v, entered := s.in.Get(f.Key); entered {
			p.Value, p.From = out(v), sizing.Entered
			if s.isDerived(f.Key) {
				p.From = sizing.Derived
			}
		} else if sym, found := symbolOf(results, f.Key); found {
			p.Value, p.From = out(sym.V*inOurs(sym.Unit, f.Unit)), sym.From
		} else if p.Usual != nil {
			p.Value, p.From = p.Usual, sizing.Usual
		}
		list = append(list, p)
	}
	return list
}

func likely(low, high out) *[2]out { return &[2]out{low, high} }

// symbolOf is the first known symbol that stands for an input.
func symbolOf(results []sizing.Result, k sizing.Key) (sizing.Symbol, bool) {
	for _, r := range results {
		for _, sym := range r.Symbols {
			if sym.Key == k && !math.IsNaN(sym.V) {
				return sym, true
			}
		}
	}
	return sizing.Symbol{}, false
}

// inOurs is how many of the unit of an input one of a formula's unit is.
func inOurs(formula, input string) float64 {
	if formula == input {
		return 1
	}
	return map[string]float64{"in": 25.4, "in²": 25.4 * 25.4, "ft/s": 0.3048, "m": 1000}[formula]
}

// numOr is a figure, null where there is none.
func numOr(v float64) *out {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return num(v)
}
