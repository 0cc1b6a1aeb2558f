package job

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// Plan is everything that follows from a job at once. Lengths are mm, angles
// degrees; README lists the keys. Slices are never nil, so that scripts always
// find a list.
type Plan struct {
	Engine  EnginePlan   `json:"engine"`
	Flanges []FlangePlan `json:"flanges"`
	Tubes   []TubePlan   `json:"tubes"`
	Spread  *out         `json:"spread"` // longest minus shortest; null below two computed tubes

	// In one frame, the root: the first bank's.
	Collectors []CollectorPlan `json:"collectors"`
	Points     []PointPlan     `json:"points"`
	Frames     []FramePlan     `json:"frames"`
	Neighbours []NeighbourPlan `json:"neighbours"`
	Gaps       []GapPlan       `json:"gaps"`   // those with least to spare first
	Access     []AccessPlan    `json:"access"` // of bolts and plugs
	Stock      []StockPlan     `json:"stock"`

	Decided *DecidedPlan `json:"decided"` // null until it is decided what is built

	Findings []Finding `json:"findings"`

	loose map[string]string // of the scene
	rims  map[string]rim    // of ports that were measured point by point
}

// EnginePlan is what follows from the engine data alone.
type EnginePlan struct {
	SweptCC  *out     `json:"swept_cc"` // one cylinder
	TotalCC  *out     `json:"total_cc"`
	Disputed []string `json:"disputed"` // slots in dispute on which these figures rest; likewise below
}

// TubePlan is one tube as it would be cut. Where something is still to be
// entered the figures are null and a finding names what is missing.
type TubePlan struct {
	ID         string      `json:"id"`
	Port       string      `json:"port"`
	Length     *out        `json:"length"` // counted from From
	From       string      `json:"from"`
	Centreline *out        `json:"centreline"` // from the port face, whatever From says
	Target     *out        `json:"target"`
	Tolerance  *out        `json:"tolerance"`
	Deviation  *out        `json:"deviation"` // Length − Target
	Disputed   []string    `json:"disputed"`
	Low        *out        `json:"low"` // least and greatest length while readings disagree; null when none does
	High       *out        `json:"high"`
	Sigma      *out        `json:"sigma"`
	OD         *out        `json:"od"`
	Wall       *out        `json:"wall"`
	Bore       *out        `json:"bore"` // inside diameter
	End        *EndPlan    `json:"end"`
	LRA        []RowPlan   `json:"lra"`
	Last       *out        `json:"last"` // straight after the last bend
	LastOn     []string    `json:"last_disputed"`
	XYZ        []point     `json:"xyz"`
	Pieces     []PiecePlan `json:"pieces"`
	Bends      int         `json:"bends"`

	Path    []Stretch    `json:"path"` // in the root frame; empty while it has no place
	Levers  []LeverPlan  `json:"levers"`
	Socket  *SocketPlan  `json:"socket"`
	Survey  *SurveyPlan  `json:"survey"`
	Closing *ClosingPlan `json:"closing"`
	Made    *MadePlan    `json:"made"` // null while nothing is cut

	unused []string // tacks that say nothing
}

// EndPlan is where a tube ends and where it points, in its bank's frame.
type EndPlan struct {
	At       point     `json:"at"`
	Dir      direction `json:"dir"`
	Disputed []string  `json:"disputed"` // of the end and of the points on the way
}

// RowPlan is one row of bender data: the straight before a bend, then the bend.
type RowPlan struct {
	Length   out      `json:"length"`
	Rotation out      `json:"rotation"`
	Angle    out      `json:"angle"`
	CLR      out      `json:"clr"`
	Disputed []string `json:"disputed"`
}

// PiecePlan is one line of the cut list.
type PiecePlan struct {
	ID       string   `json:"id"`
	Kind     string   `json:"kind"`
	Length   out      `json:"length"` // centreline
	Angle    *out     `json:"angle,omitempty"`
	CLR      *out     `json:"clr,omitempty"`
	Outside  *out     `json:"outside,omitempty"`
	Inside   *out     `json:"inside,omitempty"`
	Rotation *out     `json:"rotation,omitempty"`
	ClockArc *out     `json:"clock_arc,omitempty"` // along the OD from the bend before, right-hand positive
	WallLeft *out     `json:"wall_left,omitempty"` // outside of the bend, rule of thumb
	Disputed []string `json:"disputed"`

	Name        string `json:"name"` // chalked on it, "2-3": the numbers of its tube and its own
	Number      int    `json:"number"`
	Element     string `json:"element"`      // with which it begins, and which bears what was made of it
	JointBefore int    `json:"joint_before"` // 0 is at the flange
	JointAfter  *int   `json:"joint_after"`  // null behind the last

	Stage       string     `json:"stage"`              // of PieceStages, "" while it is a drawing
	StageBy     string     `json:"stage_by,omitempty"` // who said so
	StageAt     string     `json:"stage_at,omitempty"` // and when, by the clock of the tablet
	AsCut       *AsCutPlan `json:"as_cut"`
	AsClocked   *out       `json:"as_clocked"`
	ClockOff    *out       `json:"clock_off"`     // as clocked less planned, degrees
	ClockArcOff *out       `json:"clock_arc_off"` // the same along the OD, mm
}

// NewPlan works out everything that is known about a job.
func NewPlan(j Job) Plan {
	p := Plan{Engine: EnginePlan{Disputed: []string{}}, Flanges: []FlangePlan{}, Tubes: []TubePlan{}, Collectors: []CollectorPlan{}, Points: []PointPlan{},
		Frames: []FramePlan{}, Neighbours: []NeighbourPlan{}, Gaps: []GapPlan{}, Access: []AccessPlan{}, Stock: stockPlans(j), Decided: j.Target.decided(), Findings: []Finding{}, rims: map[string]rim{}}
	s := newScene(j)
	if cc := j.Engine.SweptCC(); cc.Known {
		p.Engine.SweptCC = num(cc.V)
		if n := j.Engine.Cylinders; n.Known {
			p.Engine.TotalCC = num(cc.V * n.V)
		}
	}
	for _, k := range j.Banks {
		p.Flanges = append(p.Flanges, flangePlan(k, j.Tubes))
		for _, port := range k.Ports {
			if port.Outline != nil && len(port.Rim) > 0 {
				p.rims[port.ID] = rim{port.Rim, port.Turn}
			}
		}
	}
	for _, t := range j.Tubes {
		tp := tubePlan(j, t)
		tp.inScene(&s, t)
		tp.Survey, tp.Closing = s.survey(t), s.closing(t)
		tp.made(&s, t)
		p.Tubes = append(p.Tubes, tp)
	}
	p.around(&s)
	tubes, things := s.laid(p.Tubes), s.things()
	p.Gaps, p.Access = s.gaps(tubes, things), s.access(tubes, things)
	p.Spread = spread(p.Tubes)
	p.Findings = append(p.Findings, j.atSource(findings(j, p))...)
	return p
}

func tubePlan(j Job, t Tube) TubePlan {
	wanted, from, _ := j.Target.primary()
	tp := TubePlan{ID: t.ID, Port: t.Port, From: from, Disputed: []string{}, LastOn: []string{}, LRA: []RowPlan{}, XYZ: []point{}, Pieces: []PiecePlan{}, Path: []Stretch{}, Levers: []LeverPlan{}}
	tp.OD, tp.Wall = mmOf(t.OD), mmOf(t.Wall)
	tp.Target, tp.Tolerance = mmOf(wanted), mmOf(j.Target.Tolerance)
	if s, known := t.Section(); known {
		tp.Bore = num(s.ID().MM())
	}
	if len(t.Path) == 0 || len(t.Open) > 0 {
		return tp
	}
	tp.lengths(j, t)
	tp.bender(t)
	if start, ok := j.start(t); ok {
		tp.place(start, t)
	}
	if s, known := t.Section(); known {
		if pieces, err := stock.Pieces(t.ID, s, t.Path); err == nil {
			tp.cut(t.Number, s, pieces)
		}
	}
	return tp
}

// lengths fills in the centreline, counted from where the target is counted.
func (tp *TubePlan) lengths(j Job, t Tube) {
	var total units.Length
	for _, el := range t.Path {
		total += el.Length()
	}
	tp.Centreline = num(total.MM())
	if tp.From == "valve" {
		if !j.Engine.ValveToFace.Known {
			return
		}
		total += j.Engine.ValveToFace.V
	}
	if tp.From != "" {
		tp.Length = num(total.MM())
	}
	if tp.Length != nil && tp.Target != nil {
		tp.Deviation = num(total.MM() - float64(*tp.Target))
	}
}

func (tp *TubePlan) bender(t Tube) {
	lra := tube.ToLRA(t.Path)
	for _, r := range lra.Rows {
		tp.LRA = append(tp.LRA, RowPlan{Length: out(r.Length.MM()), Rotation: out(r.Rotation.Deg()), Angle: out(r.Turn.Deg()), CLR: out(r.Radius.MM()), Disputed: []string{}})
	}
	tp.Bends = len(lra.Rows)
	tp.Last = num(lra.Last.MM())
}

// place fills in what depends on where the port is.
func (tp *TubePlan) place(start geom.Frame, t Tube) {
	walked, err := tube.Walk(start, t.Path)
	if err != nil {
		return // the path was checked when the job was built; nothing is placed then
	}
	end := walked.End
	tp.End = &EndPlan{At: point(end.O), Dir: direction(end.T), Disputed: []string{}}
	for _, p := range tube.XYZ(start, tube.ToLRA(t.Path)) {
		tp.XYZ = append(tp.XYZ, point(p))
	}
}

// chalk is what is chalked on a piece: the numbers of its tube and its own.
func chalk(tube, piece int) string { return fmt.Sprintf("%d-%d", tube, piece) }

// cut fills in the pieces of tube n.
func (tp *TubePlan) cut(n int, s tube.Section, pieces []stock.Piece) {
	for i, p := range pieces {
		pp := PiecePlan{ID: p.ID, Name: chalk(n, p.Number), Number: p.Number, Kind: p.Kind, Element: p.Element, Length: out(p.Length.MM()), Disputed: []string{}, JointBefore: i}
		if after := i + 1; after < len(pieces) {
			pp.JointAfter = &after
		}
		if p.Kind == stock.Bend {
			pp.Angle, pp.CLR = num(p.Turn.Deg()), num(p.Radius.MM())
			pp.Outside, pp.Inside = num(p.Outside.MM()), num(p.Inside.MM())
			pp.Rotation, pp.ClockArc = num(p.Rotation.Deg()), num(p.ClockArc.MM())
			pp.WallLeft = num(stock.WallLeft(s, p.Radius).MM())
		}
		tp.Pieces = append(tp.Pieces, pp)
	}
}

// start returns the frame in which a tube's path begins: the port's centre on
// the port face, heading along its aim, with the bank's up as reference.
func (j Job) start(t Tube) (geom.Frame, bool) {
	for _, k := range j.Banks {
		for _, p := range k.Ports {
			if p.ID == t.Port && p.X.Known && p.Y.Known {
				f, err := tube.Start(geom.Vec{X: p.X.V.MM(), Y: p.Y.V.MM()}, p.Aim)
				return f, err == nil
			}
		}
	}
	return geom.Frame{}, false
}

// spread returns the difference between the longest and the shortest tube.
func spread(tubes []TubePlan) *out {
	low, high, n := math.Inf(1), math.Inf(-1), 0
	for _, t := range tubes {
		if t.Length != nil {
			low, high, n = min(low, float64(*t.Length)), max(high, float64(*t.Length)), n+1
		}
	}
	if n < 2 {
		return nil
	}
	return num(high - low)
}
