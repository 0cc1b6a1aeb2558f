package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// sized is the answer of the rules for a job, as it is drawn.
type sized struct {
	maker
	job.SizingPlan
	names map[string]string // of rules, by id
}

// sizing is what was decided, what every rule says to it, and which cylinders go together.
// It can always be made: what is missing is what it says then.
func (m maker) sizing() draft {
	d := draft{Entry: Entry{Key: "sizing", Title: "Sizing", Forms: []string{PDF, SVG}, Warnings: m.sizeWarnings(), NotToScale: true}}
	d.make = func(made *Made) error {
		made.uncut = "Nothing of the sizing is cut."
		s := sized{m, m.w.Sizing(), map[string]string{}}
		for _, r := range s.Rules {
			s.names[r.ID] = r.Name
		}
		var f prose
		for _, part := range []func(*prose){s.decided, s.found, s.spreads, s.sizes, s.pairing, s.ports, s.slips, s.growth, s.sensors, s.given, s.rules} {
			part(&f)
		}
		made.Sheets = s.onPages(d, &f)
		return nil
	}
	return d
}

// sizeRests is all that a size rests on.
func (m maker) sizeRests() []job.About {
	on := []job.About{{Kind: "engine", ID: job.Self}, {Kind: "target", ID: job.Self}, {Kind: "sizing", ID: job.Self}}
	for _, k := range m.w.Job.Banks {
		for _, p := range k.Ports {
			on = append(on, job.About{Kind: "port", ID: p.ID, With: []string{"rim"}})
		}
	}
	for _, t := range m.w.Job.Tubes {
		on = append(on, job.About{Kind: "tube", ID: t.ID, With: []string{"element"}})
	}
	for _, c := range m.w.Job.Collectors {
		on = append(on, job.About{Kind: "collector", ID: c.ID})
	}
	for _, p := range m.w.Job.Slips {
		on = append(on, job.About{Kind: "slip", ID: p.ID})
	}
	for _, n := range m.w.Job.Sensors {
		on = append(on, job.About{Kind: "sensor", ID: n.ID})
	}
	for _, i := range m.w.Job.Stock {
		on = append(on, job.About{Kind: "stock", ID: i.ID})
	}
	return on
}

// sizeRules are the families of findings that speak against a size.
var sizeRules = []string{"decision", "header", "area", "slip", "numbering"}

// sizeWarnings are what stops and warns of the sizes, in short: help and sources stand on
// the sheet.
func (m maker) sizeWarnings() []string {
	list := []string{}
	for _, f := range m.w.Plan.Findings {
		family, _, _ := strings.Cut(f.Rule, "-")
		if slices.Contains(sizeRules, family) && f.Severity != job.Note {
			list = append(list, f.Text)
		}
	}
	if more := len(list) - mostWarnings; more > 0 {
		list = append(list[:mostWarnings:mostWarnings], fmt.Sprintf("And %d more: they stand on the sheet.", more))
	}
	return list
}

// Upright Letter is the lowest page, and A4 the narrowest, less what printers leave white;
// listEdge is what pages that are not to scale need besides.
const (
	leastHigh = 259.4
	leastWide = 190.0
	listEdge  = 10.0
)

// onPages deals text out on sheets that are no taller than any page has room for, so that
// it is never made smaller.
func (s sized) onPages(d draft, f *prose) []draw.Sheet {
	var warnings []string
	if text := s.against(); text != "" {
		warnings = []string{text}
	}
	return s.maker.onPages(d, f, warnings, s.Cautions)
}

func (m maker) onPages(d draft, f *prose, warnings, cautions []string) []draw.Sheet {
	sheet := draw.Sheet{Title: m.title(d.Entry, job.Bank{}), Warnings: warnings, Cautions: cautions, NotToScale: true}
	room := leastHigh - listEdge
	_, high := sheet.Block(draw.Pos{}, leastWide)
	room -= high
	_, high = sheet.Warned(draw.Pos{}, leastWide)
	room -= high
	for _, c := range cautions {
		_, high = draw.Paragraph(c, draw.Pos{}, leastWide, 2)
		room -= high
	}
	var sheets []draw.Sheet
	for _, page := range f.pages(room) {
		page.Name, page.Origin = d.Title, "top left, not to scale"
		one := sheet
		one.Drawing = page
		sheets = append(sheets, one)
	}
	return sheets
}

// against says on every page how much speaks against the sizes; the first page says what.
func (s sized) against() string {
	count := map[job.Severity]int{}
	for _, f := range s.Findings {
		count[f.Severity]++
	}
	stops, warns := count[job.Stop], count[job.Warn]
	if stops+warns == 0 {
		return ""
	}
	return fmt.Sprintf("What speaks against it stands with the decision, on the first page: %s, %s.", counted(stops, "stop"), counted(warns, "warning"))
}

func counted(n int, what string) string {
	switch n {
	case 0:
		return "no " + what
	case 1:
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// decided is the decision, on top.
func (s sized) decided(f *prose) {
	p := s.Decision
	const large = 3.6
	if !p.Decided {
		f.add(kept(paragraph("Not decided yet", large, true, 0, proseWide))...)
		f.add(paragraph("To enter first: "+strings.Join(lowered(p.Missing), "; ")+".", 2.5, false, 0, proseWide)...)
	} else {
		f.add(kept(paragraph(fmt.Sprintf("Decided: %s, %s from the %s", s.tube(num(p.OD), num(p.Wall)), s.with(num(p.Length)), p.From), large, true, 0, proseWide))...)
	}
	open := func(v string) string {
		if v == "" {
			return "not entered"
		}
		return v
	}
	length := func(v float64, known bool) string {
		if !known {
			return "not entered"
		}
		return s.twice(v)
	}
	var rows [][]string
	add := func(what, value string) { rows = append(rows, []string{what, value}) }
	tube := "OD " + length(value(p.OD)) + ", wall " + length(value(p.Wall))
	if id, known := value(p.ID); known {
		tube += ", which is an ID of " + s.twice(id)
	}
	add("Primary tube", tube)
	long := length(value(p.Length))
	if p.Length != nil {
		from := "; from where it is counted is not entered"
		if p.From != "" {
			from = ", " + startWords(p.From)
		}
		tolerance := "; no tolerance entered"
		if t, known := value(p.Tolerance); known {
			tolerance = ", ± " + s.twice(t)
		}
		long += from + tolerance
	}
	add("Primary length", long)
	add("Style", open(p.Style))
	add("Collector", "outlet OD "+length(value(p.OutletOD))+", length "+length(value(p.CollectorLength)))
	if p.Style == "4-2-1" || p.FirstLength != nil || p.SecondaryOD != nil || p.SecondaryWall != nil {
		add("Parts of a 4-2-1", "first part "+length(value(p.FirstLength))+" from the flange, secondaries OD "+length(value(p.SecondaryOD))+", wall "+length(value(p.SecondaryWall)))
	}
	add("Diameter rests on", s.restsOn(p.BoreBy, number(p.BoreRuleGave), number(p.BoreRuleGives)))
	add("Length rests on", s.restsOn(p.LengthBy, number(p.LengthRuleGave), number(p.LengthRuleGives)))
	add("Reason", open(p.Reason))
	add("By whom, when", s.whoWhen(p))
	drift := len(rows)
	for _, n := range s.Findings {
		if isDrift(n) {
			add("Drift", n.Text+" "+n.Help+" (limit: "+n.Grade+")")
		}
	}
	if p.Decided && len(rows) == drift {
		add("Drift", "none: what the rules that it rests on give, and the tubes and collectors that are entered, are still as decided")
		drift = len(rows)
	}
	f.add(grid{columns: []column{{wide: 34}, {wide: proseWide - 34}}, rows: rows, bold: func(row int) bool { return row >= drift }}.strips()...)
}

// isDrift tells of a finding that something is no longer as it was decided.
func isDrift(f job.Finding) bool {
	return strings.HasPrefix(f.Rule, "decision-") && f.Severity != job.Note
}

// tube is a size of tube in both units.
func (s sized) tube(od, wall float64) string {
	one := func(m maker) string { return m.length(od) + " × " + m.with(wall) }
	return one(s.maker) + " (" + one(s.other()) + ")"
}

// whoWhen is who decided, and when.
func (s sized) whoWhen(p job.DecisionPlan) string {
	by, at := p.By, p.At
	if len(at) >= len("2006-01-02T15:04") {
		at = at[:10] + " " + at[11:16] + " UTC"
	}
	switch {
	case !p.Decided:
		return "nothing is decided yet"
	case by == "" && at == "":
		return "not recorded: a job file does not say it"
	case by == "":
		return "nobody gave a name, " + at
	case at == "":
		return by
	}
	return by + ", " + at
}

// restsOn is the rule of a decision, with what it gave and gives.
func (s sized) restsOn(rule string, gave, gives *float64) string {
	switch rule {
	case "":
		return "not entered"
	case "own":
		return "own judgement, no rule"
	}
	text := s.called(rule)
	if gave != nil {
		text += "; it gave " + s.twice(*gave) + " when it was decided"
	} else {
		text += "; what it gave when it was decided is not recorded"
	}
	if gives != nil {
		return text + ", and gives " + s.twice(*gives) + " with today's figures"
	}
	return text + "; with today's figures it gives nothing"
}

// called is the name of a rule with its id.
func (s sized) called(rule string) string {
	if name := s.names[rule]; name != "" {
		return name + " (" + rule + ")"
	}
	return rule
}

// found are the findings with what would help and how well their limits are founded.
func (s sized) found(f *prose) {
	f.section("What speaks against it")
	list := s.merged()
	if len(list) == 0 {
		f.say("Nothing that is looked for: tubes against ports, slip fits, sensors, figures of the engine that are unlikely. Drift stands with the decision.")
		return
	}
	var rows [][]string
	for _, n := range list {
		rows = append(rows, []string{string(n.Severity), n.Text + " " + n.Help, n.Grade})
	}
	f.add(grid{columns: []column{{"weight", 16, false}, {"what, and what would help", 136, false}, {"limit: grade", 36, false}}, rows: rows, bold: func(i int) bool { return list[i].Severity == job.Stop }}.strips()...)
}

// merged are the findings but for drift, those that say the same of several things as one.
func (s sized) merged() (list []job.Finding) {
	type key struct{ rule, says, help string }
	at := map[key]int{}
	for _, n := range s.Findings {
		if isDrift(n) {
			continue
		}
		whom, says, found := strings.Cut(n.Text, ": ")
		k := key{n.Rule, says, n.Help}
		if i, known := at[k]; known && found {
			of, _ := strings.CutSuffix(list[i].Text, ": "+says)
			list[i].Text = of + ", " + within(whom) + ": " + says
			continue
		}
		at[k] = len(list)
		list = append(list, n)
	}
	weight := []job.Severity{job.Stop, job.Warn, job.Note}
	sorted.By(list, func(a, b job.Finding) int {
		return slices.Index(weight, a.Severity) - slices.Index(weight, b.Severity)
	})
	return list
}

// given are the inputs of the rules, each with where it is from.
func (s sized) given(f *prose) {
	f.section("What went into the rules")
	f.leads("Fuel: " + s.Fuel + ". A value that nobody entered is the usual one, follows from others, or is another rule's; how well it is founded stands beside it.")
	var rows [][]string
	for _, in := range s.Inputs {
		value, from := "open", "to be entered"
		if in.Value != nil {
			value, from = s.figure(float64(*in.Value), in.Unit), s.fromWords(in.From)
		}
		founded := []string{}
		if in.Usual != nil {
			founded = append(founded, "usual: "+s.figure(float64(*in.Usual), in.Unit))
		}
		if in.Likely != nil {
			founded = append(founded, "likely: "+s.span(float64(in.Likely[0]), float64(in.Likely[1]), in.Unit))
		}
		if in.Source != "" {
			founded = append(founded, in.Source)
		}
		if n := len(founded); n > 0 && in.Grade != "" {
			founded[n-1] += " (" + in.Grade + ")"
		}
		if len(founded) == 0 {
			founded = append(founded, "nobody says what is usual")
		}
		rows = append(rows, []string{in.Label, value, from, strings.Join(founded, "; ")})
	}
	f.add(grid{columns: []column{{"input", 50, false}, {"value", 26, true}, {"from", 34, false}, {"what is usual, and by whom", proseWide - 110, false}}, rows: rows}.strips()...)
}

func (s sized) fromWords(from string) string {
	switch from {
	case "":
		return "open"
	case "entered":
		return "entered"
	case "usual":
		return "usual value"
	case "derived":
		return "follows from others"
	}
	if name := s.names[from]; name != "" {
		return "rule " + from
	}
	return from
}

// startWords says from where a length is counted.
func startWords(start string) string {
	switch start {
	case "valve":
		return "counted from the valve head"
	case "flange":
		return "counted from the flange, the port face"
	case "joint":
		return "counted from the joint where the part begins"
	}
	return "there is no length in it"
}

// twice writes a length in the unit of the sheet, and in the other behind it.
func (m maker) twice(mm float64) string {
	return m.with(mm) + " (" + m.other().with(mm) + ")"
}

// other writes figures in the other unit.
func (m maker) other() maker {
	m.o.Unit = map[bool]units.Unit{true: "mm", false: "in"}[m.o.Unit == "in"]
	return m
}

// span writes from where to where something goes.
func (m maker) span(low, high float64, unit string) string {
	return bareFigure(m.figure(low, unit)) + " to " + shorter(m.figure(high, unit))
}

// bareFigure is the figure without its unit, and without noughts behind the point.
func bareFigure(text string) string {
	text, _, _ = strings.Cut(shorter(text), " ")
	return strings.TrimSuffix(text, "°")
}

// shorter is a figure with its unit, without noughts behind the point.
func shorter(text string) string {
	n, unit, spaced := strings.Cut(text, " ")
	if before, found := strings.CutSuffix(n, "°"); found {
		return trimmed(before) + "°"
	}
	if spaced {
		return trimmed(n) + " " + unit
	}
	return trimmed(n)
}

// places are the decimals that a figure of a unit is written with; 3 of others.
var places = map[string]int{"rpm": 0, "°": 1, "m/s": 1, "ft/s": 1, "Hz": 0, "cm³": 0, "kPa": 0, "K": 0, "°C": 0, "cm": 2, "mm²": 0, "radii": 4, "diameters": 1}

// figure writes a value of a rule with its unit; one of mm and mm² in that of the sheet.
func (m maker) figure(v float64, unit string) string {
	switch unit {
	case "mm":
		return m.with(v)
	case "mm²":
		return m.area(v)
	}
	return inUnit(v, unit)
}

// inUnit writes a value in the unit that it has.
func inUnit(v float64, unit string) string {
	n, known := places[unit]
	if !known {
		n = 3
	}
	text := decimals(v, n)
	if unit == "" || unit == "radii" { // ratios and counts
		text = trimmed(text)
	}
	switch unit {
	case "":
		return text
	case "°":
		return text + unit
	}
	return text + " " + unit
}

// trimmed takes off noughts behind the point.
func trimmed(text string) string {
	if !strings.Contains(text, ".") {
		return text
	}
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// value is a figure of a plan, and whether it is known.
func value[T ~float64](v *T) (float64, bool) {
	if v == nil {
		return 0, false
	}
	return float64(*v), true
}

func num[T ~float64](v *T) float64 {
	n, _ := value(v)
	return n
}

func number[T ~float64](v *T) *float64 {
	if v == nil {
		return nil
	}
	n := float64(*v)
	return &n
}

func lowered(list []string) []string {
	out := make([]string, len(list))
	for i, text := range list {
		out[i] = text
		if len(text) > 1 && !(text[1] >= 'A' && text[1] <= 'Z') {
			out[i] = within(text)
		}
	}
	return out
}

// alike tells whether two figures are printed alike.
func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(math.Abs(a), math.Abs(b)) }
