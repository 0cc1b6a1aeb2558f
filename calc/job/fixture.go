package job

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/collector"
	"tubewright/calc/fixture"
	"tubewright/calc/flange"
	"tubewright/calc/geom"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// PlanFixture works out how the header of a job is held and how it comes out again. step
// is told the share that is done; false stops, and what is known so far is returned.
func PlanFixture(j Job, step func(done float64) bool) FixturePlan {
	p := FixturePlan{MockUpOD: mmOf(j.Fixture.MockUpOD), Stations: []StationPlan{}, NoRoom: []NoRoomPlan{}, Ends: []HeldPlan{}, Disputed: []string{}, Findings: []Finding{}}
	h, ok := j.holding()
	if !ok {
		p.Findings = append(p.Findings, Finding{Severity: Note, Rule: "fixture-open", Where: []string{}, Slots: []string{}, Grade: given,
			Text: "There is no fixture yet: none of the tubes of this flange has a path, an OD and a place.", Help: "Lay out the tubes first."})
		return p
	}
	share := func(from, to float64) func(float64) bool {
		return func(done float64) bool { return step == nil || step(from+(to-from)*done) }
	}
	layout, err := fixture.Place(h.part, h.wishes, share(0, 0.3))
	if err != nil {
		p.Findings = append(p.Findings, Finding{Severity: Stop, Rule: "fixture-input", Where: []string{}, Slots: []string{}, Grade: given, Text: "The fixture cannot be worked out: " + reasons(err) + ".", Help: "Look at the figures of the fixture."})
		return p
	}
	h.layout, p.Stopped = layout, layout.Stopped
	h.named()
	p.Base, p.Upright = h.plates()
	p.Stations, p.NoRoom, p.Ends = h.stations(), h.noRoom(), h.ends()
	if !p.Stopped {
		p.Release.Header, p.Stopped = h.wayOut(nil, share(0.3, 0.65))
	}
	if od := j.Fixture.MockUpOD; od.Known && !p.Stopped {
		p.Release.MockUp, p.Stopped = h.wayOut(&od.V, share(0.65, 1))
	}
	for i := range p.Stations {
		s := &p.Stations[i]
		s.Removable = p.Release.Header != nil && slices.Contains(p.Release.Header.Remove, s.ID)
		s.MockUp = p.Release.MockUp != nil && slices.Contains(p.Release.MockUp.Remove, s.ID)
	}
	p.Earth = h.earth()
	p.Findings = append(p.Findings, h.findings(p)...)
	return p
}

// FixtureOf is PlanFixture of a job's records and those of the shop's own job. A job in
// which readings are in dispute says so first.
func FixtureOf(own, shop []ledger.Record, step func(done float64) bool) (FixturePlan, error) {
	folded := ledger.Fold(own)
	facts, _ := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	p := PlanFixture(facts.job(), step)
	p.Disputed = append(p.Disputed, disputedSlots(folded, facts)...)
	p.Findings = slices.Insert(p.Findings, 0, disputeFindings(folded, facts, p.Disputed)...)
	return p, nil
}

// holding is the part of a job that a fixture holds.
type holding struct {
	job        Job
	bank       Bank
	tubes      []Tube      // those of part
	collectors []Collector // likewise
	part       fixture.Part
	wishes     []fixture.Wish
	wished     map[string]Station
	layout     fixture.Layout
	names      map[string]string // of stations, by id: what is marked on them
}

// usualShell is how thick cradle and clamp are over the tube. Own choice.
const usualShell = 6 * units.Millimetre

// holding gathers it; false where no tube has a place.
func (j Job) holding() (*holding, bool) {
	s := newScene(j)
	x := j.Fixture
	h := &holding{job: j, wished: map[string]Station{}, names: map[string]string{}}
	i := slices.IndexFunc(j.Banks, func(k Bank) bool { return k.ID == x.Bank })
	if i < 0 {
		return nil, false
	}
	h.bank = j.Banks[i]
	move, placed := s.frames[h.bank.ID]
	if !placed {
		return nil, false
	}
	h.part.Flange = h.flange(move)
	h.part.Rules = fixture.Rules{Post: x.Post, Clamp: x.Clamp, Shell: usualShell, Torch: x.Torch, Clearance: x.Clearance, Wrap: x.Wrap}
	for _, t := range j.Tubes {
		start, walked, ok := s.walk(t)
		if !ok || !t.OD.Known || j.bankOf(t) != h.bank.ID {
			continue
		}
		of := fixture.Tube{ID: t.ID, Start: start, Path: t.Path, OD: t.OD.V, Sunk: units.Length(h.part.Flange.Thickness.MM() / max(0.1, start.T.Dot(h.part.Flange.Face.Normal))), Collector: t.Collector}
		if mouth, ok := s.mouth(t); ok {
			of.Insert = units.Length(max(0, collector.Enter(mouth, walked.End).Insert))
		}
		h.tubes, h.part.Tubes = append(h.tubes, t), append(h.part.Tubes, of)
	}
	for _, c := range j.Collectors {
		if body, ok := s.held(c, h.tubes); ok {
			h.collectors, h.part.Collectors = append(h.collectors, c), append(h.part.Collectors, body)
		}
	}
	h.part.Base = h.base()
	for _, w := range x.Stations {
		h.wishes, h.wished[w.ID] = append(h.wishes, w.wish()), w
	}
	return h, len(h.tubes) > 0
}

// usualDepth is how deep sockets are taken to be while that is open. From memory.
const usualDepth = 1.25 * units.Inch

// held is a collector in which some of the tubes end, as a round body.
func (s *scene) held(c Collector, tubes []Tube) (fixture.Collector, bool) {
	mouths, move := s.mouths[c.ID], s.frames[c.Frame]
	i := slices.IndexFunc(tubes, func(t Tube) bool { return t.Collector == c.ID })
	if mouths == nil || i < 0 {
		return fixture.Collector{}, false
	}
	f := move.Frame(c.Pose.V)
	out := 0.0
	for _, m := range mouths {
		out = max(out, m.O.Sub(f.O).Norm())
	}
	wall := tubes[i].Wall.Or(usualWall)
	return fixture.Collector{ID: c.ID, Mouth: f, Depth: c.SocketDepth.Or(usualDepth), OD: units.Length(2*out) + c.SocketID.Or(tubes[i].OD.V) + 2*wall}, true
}

// flange is the flange as far as it is in the way: its bolts, and the least rectangle about
// what it holds.
func (h *holding) flange(move geom.Move) fixture.Flange {
	k, x := h.bank, h.job.Fixture
	f := fixture.Flange{ID: k.ID, Face: fixture.Face{At: move.Point(geom.Vec{}), X: move.Dir(geom.Vec{X: 1}), Y: move.Dir(geom.Vec{Y: 1}), Normal: move.Dir(geom.Vec{Z: 1})},
		Thickness: k.Thickness.Or(usualFlange), OnStuds: x.Held == onStuds, Stud: x.Stud}
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	take := func(at [2]float64, out float64) {
		for i := range at {
			low[i], high[i] = min(low[i], at[i]-out), max(high[i], at[i]+out)
		}
	}
	for _, b := range k.Bolts {
		if !b.X.Known || !b.Y.Known {
			continue
		}
		hole := b.Hole.Or(usualHole)
		at := [2]float64{b.X.V.MM(), b.Y.V.MM()}
		f.Bolts = append(f.Bolts, fixture.Bolt{ID: b.ID, At: at, Hole: hole, Head: units.Length(h.washer(hole.MM()))})
		take(at, hole.MM()/2+k.Making.Edge.Or(units.Length(flange.UsualEdge)*hole).MM())
	}
	web := k.Making.Web.Or(flange.UsualWeb).MM()
	for _, p := range k.Ports {
		if !p.X.Known || !p.Y.Known || p.Outline == nil {
			continue
		}
		l, u := p.Outline.Bounds()
		take([2]float64{p.X.V.MM() + l[0], p.Y.V.MM() + l[1]}, web)
		take([2]float64{p.X.V.MM() + u[0], p.Y.V.MM() + u[1]}, web)
	}
	if low[0] <= high[0] {
		f.Outline = [][2]float64{low, {high[0], low[1]}, high, {low[0], high[1]}}
	}
	return f
}

// What is taken of a flange while it is open. From memory: 3/8 in, and M8 in 9 mm.
const (
	usualFlange = 0.375 * units.Inch
	usualHole   = 9 * units.Millimetre
)

// washer is the diameter of what presses on the flange round a hole.
func (h *holding) washer(hole float64) float64 {
	m := h.bank.Making
	if m.Washer.Known {
		return m.Washer.V.MM()
	}
	for _, b := range flange.BoltSizes {
		if b.Name == m.BoltSize {
			return b.Washer
		}
	}
	return 1.8 * hole // M8: 16 on 9
}

// base is the face of the base plate.
func (h *holding) base() fixture.Face {
	x := h.job.Fixture
	if x.Base != lying {
		return fixture.Standing(h.part.Flange)
	}
	below := x.Below
	if !below.Known {
		at := h.part
		at.Base = fixture.Lying(h.part.Flange, x.Turn, 0)
		if lowest, ok := at.Lowest(); ok {
			below = Opt[units.Length]{lowest + usualBelow, true}
		}
	}
	return fixture.Lying(h.part.Flange, x.Turn, below.V)
}

func (s Station) wish() fixture.Wish {
	w := fixture.Wish{ID: s.ID, On: s.On, None: s.LeftOut}
	w.Along, w.Arm = known(s.Along), known(s.Arm)
	w.Opening, w.Wrap, w.ArmTurn = known(s.Opening), known(s.Wrap), known(s.ArmAngle)
	return w
}

// known is the value, nil where there is none.
func known[T any](o Opt[T]) *T {
	if !o.Known {
		return nil
	}
	return &o.V
}

// named gives every station what is marked on it: the number of its tube and a letter for
// the straight, or C and the number of a collector; a second one bears a 2 behind that.
func (h *holding) named() {
	taken := map[string]int{}
	for _, s := range h.layout.Stations {
		name := fmt.Sprintf("C%d", s.Index+1)
		if s.IsTube {
			t := h.tubes[s.Index]
			straight := s.Straight
			if straight == 0 { // on a bend: that before it
				for _, e := range t.Path[:s.Element] {
					if e.Bend != nil {
						straight++
					}
				}
				straight++
			}
			name = fmt.Sprintf("%d%c", t.Number, 'A'+rune((straight-1)%26))
		}
		if taken[name]++; taken[name] > 1 {
			name += fmt.Sprintf("-%d", taken[name])
		}
		h.names[s.ID] = name
	}
}

// label is how a thing is called in a sentence, by its id.
func (h *holding) label(id string) string {
	for _, t := range h.tubes {
		if t.ID == id {
			return t.Title
		}
	}
	for _, c := range h.collectors {
		if c.ID == id {
			return c.Title
		}
	}
	for _, b := range h.bank.Bolts {
		if b.ID == id {
			return b.Title
		}
	}
	switch name := h.names[id]; {
	case name != "":
		return "station " + name
	case id == h.bank.ID:
		return "the flange"
	case id == basePlate:
		return "the base plate"
	}
	return id
}

// basePlate is the word for the base plate.
const basePlate = "plate"
