package job

import (
	"math"
	"slices"
	"strings"

	"tubewright/calc/ledger"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
	"tubewright/calc/weld"
)

// Weld plans how the header of a job is welded.
func Weld(j Job) WeldPlan {
	w := newWelder(j)
	p := WeldPlan{Template: string(j.Weld.Template), How: w.how(), Joints: []WeldJoint{}, Torch: TorchPlan{out(weld.TorchRoom.MM()), sourcePlan(weld.TorchSource)},
		Changes: out(j.Weld.Changes), Flow: out(j.Weld.Flow), While: rulePlan(weld.While), Purge: []PurgePlan{}, Oxygen: []FlowPlan{},
		PortPull: out(j.Weld.Pull.MM()), Pull: []PullPlan{}, Growth: newSizer(j, nil).growth(), Between: []ApartPlan{}, Slips: []TravelPlan{},
		Holds: holds(j), Cautions: slices.Clone(weld.Cautions), Disputed: []string{}, Findings: []Finding{}}
	p.About = sourcePlan(map[weld.Template]sizing.Source{weld.TackAll: weld.TackAllSource, weld.TubeByTube: weld.TubeByTubeSource, weld.Own: weld.OwnSource}[j.Weld.Template])
	if j.Weld.Template == weld.Own {
		p.own = weld.OwnOrder(j.Weld.Order, w.of)
	}
	for n, i := range w.order() {
		jt := w.joints[i]
		jt.Order = n + 1
		p.Joints = append(p.Joints, jt)
	}
	for _, o := range weld.Oxygen {
		p.Oxygen = append(p.Oxygen, rulePlan(o))
	}
	w.purge(&p)
	w.pull(&p)
	w.between(&p)
	w.travel(&p)
	p.Findings = append(p.Findings, w.findings(p)...)
	return p
}

// Weld is the same with who said what of the hold points.
func (w Worked) Weld() WeldPlan {
	p := Weld(w.Job)
	p.signed(w.folded)
	return p
}

// WeldOf is Weld of a job's records and those of the shop's own job. A job in which
// readings are in dispute says so first. It takes a moment, so that step is not asked.
func WeldOf(own, shop []ledger.Record, _ func(done float64) bool) (WeldPlan, error) {
	folded := ledger.Fold(own)
	facts, _ := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	p := Weld(facts.job())
	p.signed(folded)
	p.photographed(own)
	disputed := slices.DeleteFunc(disputedSlots(folded, facts), func(slot string) bool { return !isWelded(slot) })
	p.Disputed = append(p.Disputed, disputed...)
	p.Findings = slices.Insert(p.Findings, 0, disputeFindings(folded, facts, disputed)...)
	return p, nil
}

// isWelded tells whether something of the answer may rest on a slot.
func isWelded(slot string) bool {
	kind, _, _ := strings.Cut(slot, "/")
	return slices.Contains([]string{"weld", "hold", "target", "bank", "bolt", "port", "tube", "element", "collector", "fixture", "tie"}, kind) || slot == Slot("sizing", Self, "tube_hot")
}

// signed says who said what of the hold points, and when.
func (p *WeldPlan) signed(folded ledger.Folded) {
	for i, h := range p.Holds {
		if head, used := inUse(folded.Slots[h.Slot]); used {
			p.Holds[i].By, p.Holds[i].At = head.Person, head.At
		}
	}
}

// photographed counts the photos of the hold points, each picture once.
func (p *WeldPlan) photographed(recs []ledger.Record) {
	against, gone := map[string][]string{}, map[string]bool{}
	for _, r := range recs {
		if r.Kind == ledger.RetractKind {
			against[r.Target] = append(against[r.Target], r.ID)
		}
		if sha, is := ledger.Denied(r); is {
			gone[sha] = true
		}
	}
	live := map[string]bool{} // as ledger.Fold has it; records that take each other back in a ring count as taken back
	var isLive func(id string) bool
	isLive = func(id string) bool {
		is, known := live[id]
		if !known {
			live[id] = false
			is = !slices.ContainsFunc(against[id], isLive)
			live[id] = is
		}
		return is
	}
	seen := map[string]bool{}
	for _, r := range recs {
		i := slices.IndexFunc(p.Holds, func(h HoldPlan) bool { return h.Slot == r.Slot })
		photo, is := ledger.PhotoOf(r)
		if i < 0 || !is || !isLive(r.ID) || gone[photo.SHA] || seen[r.Slot+photo.SHA] {
			continue
		}
		seen[r.Slot+photo.SHA] = true
		p.Holds[i].Photos++
	}
}

func rulePlan(r weld.Rule) SaysPlan {
	return SaysPlan{r.Name, out(r.Low), out(r.High), sourcePlan(r.Source)}
}

func holds(j Job) []HoldPlan {
	list := []HoldPlan{}
	for _, h := range holdPoints {
		list = append(list, HoldPlan{What: h.name, Name: h.label, Slot: Slot("hold", Self, h.name), State: j.Weld.Holds[h.name], Text: h.help})
	}
	return list
}

// how are sentences that belong to a template beside its order. All are common practice
// without a source.
func (w *welder) how() []string {
	tacks := "Three or four tacks a joint, some 3 mm (1/8 in) long"
	if w.j.Weld.TackedBare {
		tacks += ", without purge: the root of every tack stays rough."
	} else {
		tacks += ", with the purge on stainless too."
	}
	list := []string{tacks, "Fit-up without a gap on thin stainless; weld in quarter runs opposite each other and let it cool between.", "Flange bolted to a plate, dummy collector over the ends, until all is cold."}
	switch w.j.Weld.Template {
	case weld.TackAll:
		return append([]string{"Tack every joint first, tube by tube, in the fixture. Tack check before the first weld."}, append(list, "Joints for the bench are welded before the next tube goes in beside them.")...)
	case weld.TubeByTube:
		return append([]string{"Weld each tube as an assembly of its own, checked against its wrap and marks; then all go to the flange, whose welds are the last chance to correct the aim."}, list...)
	}
	return list
}

// purge is that of every tube.
func (w *welder) purge(p *WeldPlan) {
	for _, t := range w.j.Tubes {
		section, known := t.Section()
		if !known || len(t.Path) == 0 || len(t.Open) > 0 {
			continue
		}
		litres, err := weld.Volume(section, lengthOf(t.Path))
		if err != nil {
			continue // what is wrong with it is said where it is entered
		}
		minutes := func(changes, flow float64) out {
			m, err := weld.Minutes(litres, changes, flow)
			if err != nil {
				return 0 // changes and flow were held to their ranges
			}
			return out(m)
		}
		u := PurgePlan{Tube: t.ID, Name: t.Title, Volume: out(litres), Flow: p.Flow, Changes: p.Changes, Minutes: minutes(w.j.Weld.Changes, w.j.Weld.Flow), Also: []PurgeRule{}}
		u.Feed, u.Vent = w.lowEnd(t)
		for _, r := range weld.ChangeRules {
			u.Also = append(u.Also, PurgeRule{r.Name, [2]out{out(r.Low), out(r.High)}, [2]out{p.Flow, p.Flow}, [2]out{minutes(r.Low, w.j.Weld.Flow), minutes(r.High, w.j.Weld.Flow)}, sourcePlan(r.Source)})
		}
		for _, r := range weld.FlowRules {
			u.Also = append(u.Also, PurgeRule{r.Name, [2]out{p.Changes, p.Changes}, [2]out{out(r.Low), out(r.High)}, [2]out{minutes(w.j.Weld.Changes, r.High), minutes(w.j.Weld.Changes, r.Low)}, sourcePlan(r.Source)})
		}
		p.Purge = append(p.Purge, u)
	}
}

// level is how far, in mm, two ends may differ in height and still be called level. Own
// choice.
const level = 20

// lowEnd says where argon, which is heavier than air, goes in and where the air leaves.
func (w *welder) lowEnd(t Tube) (feed, vent string) {
	port, end := "the port's end", "the collector's end"
	if w.j.Weld.Template != weld.TackAll {
		return "whichever end lies lower on the bench", "the higher end, by a small hole"
	}
	if w.j.Fixture.Base != lying {
		return port + ", which stands lower", end + ", by a small hole"
	}
	reach, _, known := w.reach(t)
	if !known {
		return "the lower end", "the higher end, by a small hole"
	}
	sin, cos := math.Sincos(float64(w.j.Fixture.Turn))
	switch down := reach[0]*sin - reach[1]*cos; {
	case down > level:
		return end + ", which lies lower", port + ", by a small hole"
	case down < -level:
		return port + ", which lies lower", end + ", by a small hole"
	}
	return "either end, they lie level: tip the fixture", "the other end, by a small hole"
}

// reach is the way from a tube's port to its end and the direction there, in its bank's
// frame.
func (w *welder) reach(t Tube) (reach, dir [3]float64, known bool) {
	start, known := w.j.start(t)
	if !known {
		return reach, dir, false
	}
	tp := tubePlan(w.j, t)
	if tp.End == nil {
		return reach, dir, false
	}
	e, d := tp.End.At, tp.End.Dir
	return [3]float64{e.X - start.O.X, e.Y - start.O.Y, e.Z - start.O.Z}, [3]float64{d.X, d.Y, d.Z}, true
}

// pull is what every port weld does to the end of its tube.
func (w *welder) pull(p *WeldPlan) {
	for _, t := range w.j.Tubes {
		reach, dir, known := w.reach(t)
		if !known || !t.OD.Known {
			continue
		}
		pulled, err := weld.Pull(w.j.Weld.Pull, t.OD.V, reach, dir)
		if err != nil {
			continue
		}
		u := PullPlan{Tube: t.ID, Name: t.Title, PortPull: p.PortPull, Tilt: out(pulled.Tilt.Deg()), Lever: out(pulled.Lever.MM()), Move: out(pulled.Moves.MM()), Sideways: out(pulled.Sideways.MM())}
		if c, found := w.collector(t); found && c.SocketID.Known {
			air := c.SocketID.V - t.OD.V
			goes := air > 0 && pulled.Sideways <= air/2+slack
			u.Slip, u.Goes = num(air.MM()), &goes
		}
		p.Pull = append(p.Pull, u)
	}
}

func (w *welder) collector(t Tube) (Collector, bool) {
	for _, c := range w.j.Collectors {
		if c.ID == t.Collector {
			return c, true
		}
	}
	return Collector{}, false
}

// grown is how much longer a tube gets by the coefficient that flanges are reckoned with.
func (w *welder) grown(t Tube, hot float64) (units.Length, sizing.Source, bool) {
	if len(t.Path) == 0 || len(t.Open) > 0 {
		return 0, sizing.Source{}, false
	}
	by, err := sizing.Growth(t.Material, lengthOf(t.Path), hot)
	if err != nil {
		return 0, sizing.Source{}, false // of a material that nobody knows
	}
	return by[0].By, by[0].Source, true
}

// between is how differently tubes beside each other grow.
func (w *welder) between(p *WeldPlan) {
	hot := w.j.TubeHot.Or(usualTubeHot)
	cool := max(hot-weld.HotterBy, 20)
	_, places := w.j.portPlaces()
	for i, a := range w.j.Tubes {
		for _, b := range w.j.Tubes[i+1:] {
			apart := places[a.Port] - places[b.Port]
			if w.j.bankOf(a) != w.j.bankOf(b) || places[a.Port] == 0 || places[b.Port] == 0 || apart*apart != 1 {
				continue
			}
			aHot, source, known1 := w.grown(a, hot)
			bHot, _, known2 := w.grown(b, hot)
			aCool, _, known3 := w.grown(a, cool)
			bCool, _, known4 := w.grown(b, cool)
			if !known1 || !known2 || !known3 || !known4 {
				continue
			}
			p.Between = append(p.Between, ApartPlan{a.ID, b.ID, out(math.Abs((aHot - bHot).MM())), out(max(math.Abs((aHot - bCool).MM()), math.Abs((bHot - aCool).MM()))), out(hot - cool), sourcePlan(source)})
		}
	}
}

// travel holds the depth of slip joints against growth and tolerance.
func (w *welder) travel(p *WeldPlan) {
	if w.j.Weld.Rigid {
		return
	}
	for _, t := range w.j.Tubes {
		c, found := w.collector(t)
		i := slices.IndexFunc(p.Growth, func(g GrowthPlan) bool { return g.Tube == t.ID })
		if !found || !c.SocketDepth.Known || i < 0 || len(p.Growth[i].By) == 0 {
			continue
		}
		u := TravelPlan{Tube: t.ID, Collector: c.ID, Depth: out(c.SocketDepth.V.MM()), Tolerance: out(w.j.Target.Tolerance.V.MM())}
		for _, g := range p.Growth[i].By {
			u.Growth = max(u.Growth, g.By)
		}
		tp := tubePlan(w.j, t)
		tp.inScene(&w.s, t)
		if tp.Socket != nil {
			u.Insert = num(float64(tp.Socket.Insert))
		}
		u.Needs = u.Growth + u.Tolerance
		u.Left = u.Depth - u.Needs
		u.Enough = float64(u.Left) >= -slack.MM()
		p.Slips = append(p.Slips, u)
	}
}
