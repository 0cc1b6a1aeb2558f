package job

import (
	"fmt"
	"math"
	"slices"

	"tubewright/calc/ledger"
	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// CutsPlan is what to cut from what, and what to buy for it. Lengths are mm, angles
// degrees, money as prices were entered.
type CutsPlan struct {
	Cost        out         `json:"cost"`    // of what has to be bought
	Bound       out         `json:"bound"`   // no plan costs less
	Optimal     bool        `json:"optimal"` // Cost is Bound
	Welds       int         `json:"welds"`
	FewestWelds bool        `json:"fewest_welds"` // of all plans that are as cheap
	Stopped     bool        `json:"stopped"`      // before all was tried
	Stock       []CutStock  `json:"stock"`
	Buy         []BuyPlan   `json:"buy"`
	Out         []OutPlan   `json:"out"`    // pieces that are not planned
	Splits      []SplitPlan `json:"splits"` // pieces made of two
	Done        []string    `json:"done"`   // pieces that are cut already
	Findings    []Finding   `json:"findings"`
}

// CutStock is one piece of stock and what is cut from it.
type CutStock struct {
	Stock   string      `json:"stock"`
	Name    string      `json:"name"`
	N       int         `json:"n"` // counts those of one item, from 1
	OnHand  bool        `json:"on_hand"`
	Price   out         `json:"price"`
	TrueCLR *out        `json:"true_clr"` // that the marks are for where it was measured
	Pieces  []string    `json:"pieces"`   // in order from end A
	Cuts    []LaidPiece `json:"cuts"`
	Left    *LeftPlan   `json:"left"` // the largest part of what is left
	Rest    []LeftPlan  `json:"rest"` // all of it
}

// LaidPiece is a piece where it lies in its stock. Angles and marks are from the tangent
// line at end A; a straight's are from that end.
type LaidPiece struct {
	Piece   string    `json:"piece"`
	Set     int       `json:"set"`
	Flipped bool      `json:"flipped"` // its end towards the collector is nearer to end A
	From    *FacePlan `json:"from,omitempty"`
	To      *FacePlan `json:"to,omitempty"`
	Start   *out      `json:"start,omitempty"`
	End     *out      `json:"end,omitempty"`
	LegA    *LegPlan  `json:"leg_a,omitempty"` // the straight that the leg at end A stays on as
	LegB    *LegPlan  `json:"leg_b,omitempty"`
}

// FacePlan is where a cut face of a bend lies, with the marks for it.
type FacePlan struct {
	Angle      out `json:"angle"`
	Outside    out `json:"outside"`
	Inside     out `json:"inside"`
	Centreline out `json:"centreline"`
}

// LegPlan is a leg that is a straight piece.
type LegPlan struct {
	Piece  string `json:"piece"`
	Length out    `json:"length"`
}

// LeftPlan is what is left in one place.
type LeftPlan struct {
	Angle  *out `json:"angle,omitempty"`
	Length *out `json:"length,omitempty"`
	LegA   out  `json:"leg_a"`
	LegB   out  `json:"leg_b"`
	Kept   bool `json:"kept"` // goes back to stock
}

// BuyPlan is what has to be bought of an item.
type BuyPlan struct {
	Stock string `json:"stock"`
	Name  string `json:"name"`
	Count int    `json:"count"`
	Cost  out    `json:"cost"`
}

// OutPlan is a piece that could not be planned.
type OutPlan struct {
	Piece string `json:"piece"`
	Sets  int    `json:"sets"`
	Why   string `json:"why"`
}

// SplitPlan is a piece that is made of two, with a weld between them.
type SplitPlan struct {
	Piece  string   `json:"piece"`
	Parts  []string `json:"parts"`
	Angles []out    `json:"angles"`
}

// Packing is a plan of cuts with the stock that it is for.
type Packing struct {
	Plan  stock.Plan
	Items []stock.Item
	Names map[string]string // of items by id, as people call them
}

// usualKerf is taken while none is entered: a cold saw is thicker, a band saw thinner.
// From memory.
const usualKerf = 1.6 * units.Millimetre

// Pack plans from which stock the pieces of a job that are not cut yet are cut. step is
// told the share that is done; false stops, and the best so far is returned. It takes
// its time: seconds for two banks. The error joins *fault.Field.
func (j Job) Pack(step func(done float64) bool) (Packing, error) {
	var needs []stock.Need
	for _, t := range j.Tubes {
		ns, _ := j.needs(t)
		needs = append(needs, ns...)
	}
	return j.pack(needs, step)
}

// pack plans from which stock some pieces are cut.
func (j Job) pack(needs []stock.Need, step func(done float64) bool) (Packing, error) {
	p := Packing{Names: map[string]string{}}
	for _, s := range j.Stock {
		if len(s.Open) == 0 {
			p.Items = append(p.Items, s.item())
			p.Names[s.ID] = s.Title
		}
	}
	set := stock.Settings{Saw: stock.Saw{Kerf: j.Shop.Kerf.Or(usualKerf), Facing: j.Shop.Facing.V}, Smallest: j.Shop.LeastPiece.V, Keep: j.Shop.LeastOffcut.V}
	var err error
	p.Plan, err = stock.Pack(needs, p.Items, set, func(at stock.Progress) bool { return step == nil || step(at.Done) })
	return p, err
}

// needs are the pieces of a tube that are still to be cut, and those that are.
func (j Job) needs(t Tube) (needs []stock.Need, done []string) {
	section, known := t.Section()
	if !known || len(t.Path) == 0 || len(t.Open) > 0 {
		return nil, nil
	}
	pieces, err := stock.Pieces(t.ID, section, t.Path)
	if err != nil {
		return nil, nil
	}
	isDone := map[string]bool{"": true}
	for i, n := range stock.Needs(t.ID, section, t.Material, pieces, j.Target.Sets) {
		if t.Made[pieces[i].Element].isCut() {
			isDone[n.ID] = true
			done = append(done, n.ID)
		} else {
			needs = append(needs, n)
		}
	}
	for i := range needs { // a straight that is cut is no leg of a bend that is not
		if isDone[needs[i].Before] {
			needs[i].Before = ""
		}
		if isDone[needs[i].After] {
			needs[i].After = ""
		}
	}
	return needs, done
}

// item is a stock item as packing takes it. What is on hand is paid for.
func (s Stock) item() stock.Item {
	return stock.Item{ID: s.ID, Kind: map[string]string{"bend": stock.BentTube, "length": stock.Tubing, "elbow": stock.Elbow}[s.Type],
		Section: tube.Section{OD: s.OD.V, Wall: s.Wall.V}, Material: s.Material, Length: s.Length.V, Angle: s.Angle.V, CLR: s.CLR.V, TrueCLR: s.TrueCLR().V,
		LegA: s.LegA.V, LegB: s.LegB.V, Price: int64(math.Round(100 * s.Price.V)), Buy: !s.Offcut, OnHand: s.Left(), Offcut: s.Offcut}
}

// Cuts plans the cuts of a job, see Pack.
func Cuts(j Job, step func(done float64) bool) (CutsPlan, error) {
	packed, err := j.Pack(step)
	if err != nil {
		return CutsPlan{}, err
	}
	return packed.plan(j), nil
}

// CutsOf is Cuts of a job's records and those of the shop's own job. A job in which
// readings are in dispute says so first.
func CutsOf(own, shop []ledger.Record, step func(done float64) bool) (CutsPlan, error) {
	folded := ledger.Fold(own)
	facts, _ := fromFolded(folded)
	facts.Shared = SharedOf(shop)
	p, err := Cuts(facts.job(), step)
	if err == nil {
		p.Findings = slices.Insert(p.Findings, 0, disputeFindings(folded, facts, disputedSlots(folded, facts))...) // a list where there is none, too
	}
	return p, err
}

func (k Packing) plan(j Job) CutsPlan {
	money := func(cents int64) out { return out(float64(cents) / 100) }
	p := CutsPlan{Cost: money(k.Plan.Cost), Bound: money(k.Plan.Bound), Optimal: k.Plan.Optimal, Welds: k.Plan.Welds, FewestWelds: k.Plan.FewestWelds, Stopped: k.Plan.Stopped,
		Stock: []CutStock{}, Buy: []BuyPlan{}, Out: []OutPlan{}, Splits: []SplitPlan{}, Done: []string{}, Findings: []Finding{}}
	items := map[string]stock.Item{}
	for _, it := range k.Items {
		items[it.ID] = it
	}
	for _, u := range k.Plan.Uses {
		p.Stock = append(p.Stock, cutStock(u, items[u.Item], k.Names[u.Item]))
	}
	for _, b := range k.Plan.Buy {
		p.Buy = append(p.Buy, BuyPlan{b.Item, k.Names[b.Item], b.Count, money(b.Cost)})
	}
	untold := j.untold()
	for _, o := range k.Plan.Out {
		if _, is := untold[o.Piece]; is {
			o.Why = "the material of its tube, or that of stock of its size, is not entered"
		}
		p.Out = append(p.Out, OutPlan(o))
	}
	for _, s := range k.Plan.Splits {
		p.Splits = append(p.Splits, SplitPlan{s.Piece, s.Parts[:], []out{out(s.Turns[0].Deg()), out(s.Turns[1].Deg())}})
	}
	for _, t := range j.Tubes {
		_, done := j.needs(t)
		p.Done = append(p.Done, done...)
	}
	p.Findings = append(p.Findings, k.findings(j)...)
	return p
}

func cutStock(u stock.Use, it stock.Item, name string) CutStock {
	s := CutStock{Stock: u.Item, Name: name, N: u.Number, OnHand: u.OnHand, Price: out(float64(u.Price) / 100), Pieces: []string{}, Cuts: []LaidPiece{}, Rest: []LeftPlan{}}
	clr := it.CLR
	if it.TrueCLR > 0 {
		clr = it.TrueCLR
		s.TrueCLR = num(clr.MM())
	}
	isTubing := it.Kind == stock.Tubing
	face := func(a units.Angle) *FacePlan {
		arc := func(r units.Length) out { return out(r.MM() * float64(a)) }
		return &FacePlan{out(a.Deg()), arc(clr + it.Section.OD/2), arc(clr - it.Section.OD/2), arc(clr)}
	}
	for _, c := range u.Cuts {
		cp := LaidPiece{Piece: c.Piece, Set: c.Set, Flipped: c.Flipped}
		if isTubing {
			cp.Start, cp.End = num(c.Start.MM()), num(c.End.MM())
		} else {
			cp.From, cp.To = face(c.From), face(c.To)
		}
		if c.LegA != "" {
			cp.LegA = &LegPlan{c.LegA, out(c.LengthA.MM())}
		}
		if c.LegB != "" {
			cp.LegB = &LegPlan{c.LegB, out(c.LengthB.MM())}
		}
		s.Pieces, s.Cuts = append(s.Pieces, c.Piece), append(s.Cuts, cp)
	}
	largest := units.Length(-1)
	for _, l := range u.Left {
		lp := LeftPlan{LegA: out(l.LegA.MM()), LegB: out(l.LegB.MM()), Kept: l.Kept}
		size := l.LegA + l.LegB + l.Length()
		if isTubing {
			lp.Length = num(l.Length().MM())
		} else {
			lp.Angle = num(l.Angle().Deg())
			size += clr * units.Length(l.Angle())
		}
		s.Rest = append(s.Rest, lp)
		if size > largest {
			largest, s.Left = size, &s.Rest[len(s.Rest)-1]
		}
	}
	if s.Left != nil { // not into the list, which moved while it grew
		left := *s.Left
		s.Left = &left
	}
	return s
}

// findings says what a person has to know about the plan of cuts.
func (k Packing) findings(j Job) []Finding {
	var fs []Finding
	add := func(f Finding) {
		if f.Slots == nil {
			f.Slots = []string{}
		}
		if f.Grade == "" {
			f.Grade = given
		}
		fs = append(fs, f)
	}
	name := j.chalked()
	if !j.Shop.Kerf.Known && len(k.Plan.Uses) > 0 {
		add(Finding{Severity: Warn, Rule: "kerf-open", Where: []string{}, Slots: []string{Slot("shop", Self, "kerf")}, Value: num(usualKerf.MM()), Unit: "mm", Grade: memory,
			Text: "The kerf of the saw is not entered; " + say(usualKerf) + " is taken.", Help: "Saw a slit into a piece of scrap and measure its width."})
	}
	if len(k.Items) == 0 && len(k.Plan.Out) > 0 {
		add(Finding{Severity: Note, Rule: "stock-open", Where: []string{}, Text: "No stock is entered yet, so no cuts are planned.", Help: "Enter what is on the rack and what can be bought."})
		return fs
	}
	untold, told := j.untold(), map[string]bool{}
	for _, o := range k.Plan.Out {
		if f, is := untold[o.Piece]; is { // once for its tube and where it is to be entered
			if of := f.Where[0] + " " + f.Slots[0]; !told[of] {
				told[of] = true
				add(f)
			}
			continue
		}
		add(Finding{Severity: Warn, Rule: "piece-without-stock", Where: []string{o.Piece}, Value: num(float64(o.Sets)),
			Text: fmt.Sprintf("Piece %s is in no plan of cuts: %s.", name(o.Piece), o.Why), Help: "Enter stock that it can be cut from, or count again what is on hand."})
	}
	for _, s := range k.Plan.Splits {
		add(Finding{Severity: Warn, Rule: "piece-split", Where: []string{s.Piece}, Value: num((s.Turns[0] + s.Turns[1]).Deg()), Unit: "°",
			Text: fmt.Sprintf("Piece %s turns more than any stock of its CLR has: it is made of %s and %s, with a weld between them.", name(s.Piece), name(s.Piece)+"a", name(s.Piece)+"b"), Help: "Keep both in one plane: the outside lines meet at that weld."})
	}
	used := map[string]bool{}
	for _, u := range k.Plan.Uses {
		used[u.Item] = true
	}
	bought := map[string]int{}
	for _, b := range k.Plan.Buy {
		bought[b.Item] = b.Count
	}
	for _, s := range j.Stock {
		if n := bought[s.ID]; n > 0 {
			add(Finding{Severity: Note, Rule: "stock-short", Where: []string{s.ID}, Slots: []string{Slot("stock", s.ID, "on_hand")}, Value: num(float64(n)),
				Text: fmt.Sprintf("%s: %d on hand, %d more to buy.", s.Title, s.Left(), n), Help: "The buy list has what it costs."})
		}
		if s.OnHand.Known && float64(s.Taken) > s.OnHand.V {
			add(Finding{Severity: Warn, Rule: "stock-overdrawn", Where: []string{s.ID}, Slots: []string{Slot("stock", s.ID, "on_hand")}, Value: num(float64(s.Taken)), Limit: num(s.OnHand.V),
				Text: fmt.Sprintf("%s: %d were taken since %g were counted.", s.Title, s.Taken, s.OnHand.V), Help: "Count again what is on the rack."})
		}
		if clr := s.TrueCLR(); used[s.ID] && clr.Known && math.Abs((clr.V-s.CLR.V).MM()) > trueCLRWithin.MM() {
			add(Finding{Severity: Warn, Rule: "true-clr-marks", Where: []string{s.ID}, Slots: []string{Slot("stock", s.ID, "across_a"), Slot("stock", s.ID, "across_b")}, Value: num(clr.V.MM()), Limit: num(s.CLR.V.MM()), Unit: "mm",
				Text: fmt.Sprintf("%s has CLR %s and is sold as %s: the marks here are for the true one, and pieces of it move the end of their tubes.", s.Title, say(clr.V), say(s.CLR.V)),
				Help: "Enter the true CLR of each piece when it is cut; the tube then says where it ends."})
		}
	}
	for _, id := range k.Plan.Unpriced {
		add(Finding{Severity: Note, Rule: "price-open", Where: []string{id}, Slots: []string{Slot("stock", id, "price")},
			Text: k.Names[id] + " has no price, so what is cheapest is a guess: one cent a degree, ten a metre.", Help: "Enter what one costs."})
	}
	if !k.Plan.Optimal && k.Plan.Cost > 0 {
		gap := 100 * float64(k.Plan.Cost-k.Plan.Bound) / float64(k.Plan.Cost)
		add(Finding{Severity: Note, Rule: "cuts-not-proven", Where: []string{}, Value: num(gap), Limit: num(0), Unit: "%", Grade: fromGeometry,
			Text: fmt.Sprintf("This is the best plan that was found; the best there is costs at most %.0f %% less.", gap), Help: "Good enough to buy by, or let it work longer."})
	}
	return fs
}

// untold gives, by piece, what is to be said of tubes that find no stock because a
// material is not entered.
func (j Job) untold() map[string]Finding {
	of := map[string]Finding{}
	for _, t := range j.Tubes {
		section, _ := t.Section()
		pieces, _ := stock.Pieces(t.ID, section, t.Path) // none where it cannot be cut yet
		for _, p := range pieces {
			if f, found := j.materialOpen(t, p.Kind, p.Radius, Warn); found {
				of[p.ID] = f
			}
		}
	}
	return of
}

// chalked returns what is chalked on a piece by its id.
func (j Job) chalked() func(id string) string {
	names := map[string]string{}
	for _, t := range j.Tubes {
		section, _ := t.Section()
		pieces, _ := stock.Pieces(t.ID, section, t.Path) // none where it cannot be cut yet
		for _, p := range pieces {
			names[p.ID] = chalk(t.Number, p.Number)
		}
	}
	return func(id string) string {
		if n := names[id]; n != "" {
			return n
		}
		return id
	}
}
