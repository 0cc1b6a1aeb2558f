package job

import "tubewright/calc/flange"

// FormedEnd is the end of a tube formed to its port.
type FormedEnd struct {
	Tube          string        `json:"tube"`
	Port          string        `json:"port"`
	PerimeterPort out           `json:"perimeter_port"` // of the middle of the wall, formed
	PerimeterTube out           `json:"perimeter_tube"` // of the middle of the wall, round
	Stretch       out           `json:"stretch_percent"`
	Strain        out           `json:"strain_percent"`
	Die           *DiePlan      `json:"die"`
	Loft          *LoftPlan     `json:"loft"`
	Template      *TemplatePlan `json:"template"` // null while no length of the formed end is entered
	Why           string        `json:"why"`      // it cannot be worked out
	Disputed      []string      `json:"disputed"`
}

// DiePlan is the bar that forms the end; its loop is about the port's centre.
type DiePlan struct {
	Loop      []corner `json:"loop"`
	Perimeter out      `json:"perimeter"`
	Clearance out      `json:"clearance"` // all round, to the flange's opening
}

// LoftPlan is the transition from the port to the round bore.
type LoftPlan struct {
	Length   out      `json:"length"`
	Areas    [][2]out `json:"areas"` // along the tube, mm and mm²
	Least    out      `json:"least"`
	Greatest out      `json:"greatest"`
	Wall     out      `json:"wall_angle"` // the steepest, from the tube's direction
	WallAt   onFace   `json:"wall_at"`    // where that is on the port, from its centre
	Volume   out      `json:"volume"`     // mm³
}

// TemplatePlan is the transition laid flat, for cutting it out of sheet.
type TemplatePlan struct {
	Exact bool `json:"exact"` // it lies flat without a crease
	Error out  `json:"error"` // by how much it would have to shrink, mm
	Good  bool `json:"good"`  // worth cutting
}

// loftSteps is into how many parts the transition is cut for its areas.
const loftSteps = 10

// formed is the end of a tube that starts at a port, or why it cannot be formed.
type formed struct {
	port Port
	tube Tube
	end  flange.End
	err  error
}

// formed forms the ends of the tubes that start at ports of a bank.
func (k Bank) formed(tubes []Tube) []formed {
	var ends []formed
	for _, p := range k.Ports {
		for _, t := range tubes {
			if t.Port == p.ID && p.Outline != nil && t.OD.Known && t.Wall.Known {
				end, err := flange.Form(*p.Outline, t.OD.V.MM(), t.Wall.V.MM(), k.Making.through(), k.Making.gap())
				ends = append(ends, formed{p, t, end, err})
			}
		}
	}
	return ends
}

func (f formed) plan() FormedEnd {
	p, t, end := f.port, f.tube, f.end
	e := FormedEnd{Tube: t.ID, Port: p.ID, Disputed: []string{}}
	if f.err != nil {
		e.Why = reasons(f.err)
		return e
	}
	e.PerimeterPort, e.PerimeterTube = out(end.PerimeterPort), out(end.PerimeterTube)
	e.Stretch, e.Strain = out(100*end.Stretch), out(100*end.Strain)
	e.Die = &DiePlan{loopOf(end.Die.Outline), out(end.Die.Perimeter), out(end.Die.Clearance)}
	if loft, ok := t.loft(p); ok {
		least, greatest := loft.Extremes()
		lp := LoftPlan{Length: out(loft.Length), Least: out(least), Greatest: out(greatest), Wall: degrees(loft.Wall), WallAt: onFace(loft.WallAt), Volume: out(loft.Volume)}
		for _, a := range loft.Areas(loftSteps) {
			lp.Areas = append(lp.Areas, [2]out{out(a[0]), out(a[1])})
		}
		e.Loft = &lp
		if t.Transition.Known { // nobody cuts one of a length that nobody chose, and it takes as long as all the rest
			e.Template = t.templatePlan(p)
		}
	}
	return e
}

func (t Tube) templatePlan(p Port) *TemplatePlan {
	flat, err := t.Flat(p)
	if err != nil {
		return nil
	}
	return &TemplatePlan{flat.Exact, out(flat.Error), flat.Error <= flange.DevelopableEnough}
}

// loft returns the transition at the start of the tube.
func (t Tube) loft(p Port) (flange.Loft, bool) {
	length := t.Transition.Or(t.OD.V)
	l, err := flange.NewLoft(*p.Outline, (t.OD.V - 2*t.Wall.V).MM(), length.MM(), p.Aim)
	return l, err == nil
}
