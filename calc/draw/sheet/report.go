package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// inspected is what was read of a header, as it is reported.
type inspected struct {
	maker
	job.InspectionPlan
}

// report is what a customer is given: how the header came out, who read it with what, and
// when. Nothing of it is the shop's own: no stock, no hours, no prices, no pieces.
func (m maker) report() draft {
	d := draft{Entry: Entry{Key: "report", Title: "Inspection report", Forms: []string{PDF, SVG}, Warnings: []string{}, NotToScale: true}}
	if !m.w.IsInspected() {
		d.Why = "To read first: a length, the collector, a gap, the flange or a bolt, as tacked, welded or fitted."
		return d
	}
	for _, f := range m.w.Checks().Findings {
		if f.Severity == job.Stop {
			d.Warnings = append(d.Warnings, f.Text)
		}
	}
	if more := len(d.Warnings) - mostWarnings; more > 0 {
		d.Warnings = append(d.Warnings[:mostWarnings:mostWarnings], fmt.Sprintf("And %d more: they stand in the report.", more))
	}
	d.make = func(made *Made) error {
		made.uncut = "Nothing of a report is cut."
		r := inspected{m, m.w.Inspection()}
		var f prose
		for _, part := range []func(*prose){r.summary, r.lengths, r.gaps, r.collectors, r.flanges, r.bolts, r.leak, r.unread, r.photos} {
			part(&f)
		}
		made.Sheets = m.onPages(d, &f, d.Warnings, []string{reportCaution})
		return nil
	}
	return d
}

const reportCaution = "Read cold, as it was on the day. Hot metal grows and an engine moves on its mounts: look at the gaps to steering, brakes and fuel again over full lock and after the first drive, before the car is used on a road. Local codes and licensed practice come first."

// Words for when a thing was read, and for how it came out.
var (
	whenRead = map[string]string{"as-tacked": "as tacked", "as-welded": "as welded", "fitted": "fitted"}
	verdicts = map[string]string{"ok": "good", "near": "LESS than wanted", "too near": "TOO NEAR", "undecided": "rods do not tell", "contradiction": "rods contradict", "open": "not tried"}
)

// isTold tells of a row that a customer is told of: pieces are the shop's own.
func isTold(r job.CheckRow) bool { return whenRead[r.At] != "" && r.What != "clock" }

// summary is what came out of all of it, on top.
func (r inspected) summary(f *prose) {
	var good, off, unknown int
	count := func(ok *bool) {
		switch {
		case ok == nil:
			unknown++
		case *ok:
			good++
		default:
			off++
		}
	}
	for _, row := range r.Rows {
		if isTold(row) {
			count(row.OK)
		}
	}
	for _, g := range r.Gauges {
		if g.Verdict != "open" {
			count(g.OK)
		}
	}
	if r.Leak.OK != nil {
		count(r.Leak.OK)
	}
	const large = 3.6
	text := fmt.Sprintf("%d of %d are good", good, good+off+unknown)
	if off > 0 {
		text += fmt.Sprintf(", %d off", off)
	}
	if unknown > 0 {
		text += fmt.Sprintf(", %d that nobody can tell", unknown)
	}
	if n := len(r.Open); n > 0 {
		text += fmt.Sprintf("; %d not read yet", n)
	}
	f.add(kept(paragraph(text+".", large, true, 0, proseWide))...)
	var about []string
	for _, s := range []string{r.w.Job.Notes.Name, r.w.Job.Notes.Customer} {
		if s != "" {
			about = append(about, s)
		}
	}
	if len(about) > 0 {
		f.add(paragraph(strings.Join(about, ", for ")+".", 2.5, false, 0, proseWide)...)
	}
	f.say("What was read, against what was planned, in " + string(r.o.Unit) + " and degrees. Beside each tolerance stands where it comes from; a person who gave no name is left open. What is not read is said, and what readings that differ leave open.")
}

// checks is a list of what was read. Two of its columns are as wide as is said.
func (r inspected) checks(f *prose, heads [2]string, wide float64, tell func(job.CheckRow) [2]string, rows []job.CheckRow) {
	g := grid{columns: []column{{"", 27, false}, {"when", 20, false}, {heads[0], wide, true}, {heads[1], wide, true}, {"off", 17, true}, {"within ±", 17, true}, {"", 18, false}}}
	g.columns = append(g.columns, column{"read by", proseWide - g.wide(), false})
	var differ []string
	bold := map[int]bool{}
	for i, row := range rows {
		told := tell(row)
		verdict := "nobody can tell"
		if row.OK != nil && *row.OK {
			verdict = "good"
		} else if row.OK != nil {
			verdict, bold[i] = "OFF", true
		}
		write := r.writes(row)
		off := write(num(row.Off))
		if row.Low != nil && row.High != nil {
			off = write(num(row.Low)) + " to " + write(num(row.High))
		}
		within := "none entered"
		if v, known := value(row.Tolerance); known {
			within = strings.TrimPrefix(write(v), "+")
		}
		name := row.Name
		if row.What == "aim" {
			name += ", aim"
		}
		g.rows = append(g.rows, []string{name, whenRead[row.At], told[0], told[1], off, within, verdict, whoRead(row.By, row.When, row.With)})
		if len(row.Readings) > 0 {
			differ = append(differ, r.differs(row.Name+", "+whenRead[row.At], row.Readings))
		}
	}
	g.bold = func(row int) bool { return bold[row] }
	f.add(g.strips()...)
	for _, text := range differ {
		f.saysBold(text)
	}
	f.grades(rows)
}

// writes is how what a row is off by is written: never so coarse that what is off looks as
// if it were not.
func (r inspected) writes(row job.CheckRow) func(float64) string {
	switch row.What {
	case "length":
		return r.maker.signed
	case "aim":
		return func(v float64) string { return decimals(v, 2) + "°" }
	case "flatness", "flatness-pair":
		return r.fine
	}
	return r.length
}

// fine writes a length one decimal finer than others.
func (r inspected) fine(mm float64) string {
	if r.o.Unit == "in" {
		return decimals(mm/units.Inch.MM(), 4)
	}
	return decimals(mm, 3)
}

func (r inspected) differs(what string, readings []job.CheckReading) string {
	var says []string
	for _, one := range readings {
		says = append(says, one.Text)
	}
	return what + ": readings differ, and nobody has chosen yet: " + strings.Join(says, "; ") + "."
}

// grades says where tolerances come from.
func (f *prose) grades(rows []job.CheckRow) {
	var all []string
	for _, row := range rows {
		if row.Grade != "" && !slices.Contains(all, row.Grade) {
			all = append(all, row.Grade)
		}
	}
	if len(all) > 0 {
		f.say("Tolerance: " + strings.Join(all, "; ") + ".")
	}
}

func whoRead(by, at, with string) string {
	if len(at) >= len("2006-01-02") {
		at = at[:10]
	}
	var said []string
	for _, s := range []string{by, at, with} {
		if s != "" {
			said = append(said, s)
		}
	}
	if len(said) == 0 {
		return "not recorded"
	}
	return strings.Join(said, ", ")
}

// of are the rows about some things.
func (r inspected) of(what ...string) (rows []job.CheckRow) {
	for _, row := range r.Rows {
		if isTold(row) && slices.Contains(what, row.What) {
			rows = append(rows, row)
		}
	}
	return rows
}

// lengths are those of the tubes, and how far they are apart.
func (r inspected) lengths(f *prose) {
	f.section("Lengths of the tubes, along the centreline from the flange")
	rows := r.of("length")
	if len(rows) == 0 {
		f.say("No length is read yet.")
		return
	}
	r.checks(f, [2]string{"planned", "read"}, 24, func(row job.CheckRow) [2]string {
		return [2]string{r.length(num(row.Planned)), r.length(num(row.Read))}
	}, rows)
	s := r.Spread
	var says []string
	add := func(what string, v, low, high *float64) {
		switch {
		case low != nil && high != nil:
			says = append(says, what+" "+r.length(*low)+" to "+r.with(*high)+", as readings differ")
		case v != nil:
			says = append(says, what+" "+r.with(*v))
		}
	}
	add("planned", number(s.Planned), nil, nil)
	add("as tacked", number(s.Tacked), number(s.TackedLow), number(s.TackedHigh))
	add("as welded", number(s.Welded), number(s.WeldedLow), number(s.WeldedHigh))
	if len(says) > 0 {
		text := "Longest less shortest: " + strings.Join(says, ", ")
		if limit, known := value(s.Limit); known {
			text += "; twice the tolerance is " + r.with(limit)
		}
		f.saysBold(text + ".")
	}
}

// gaps are those that were tried with rods.
func (r inspected) gaps(f *prose) {
	f.section("Gaps, by rods that were put through")
	if len(r.Gauges) == 0 {
		f.say("No gap was tried yet.")
		return
	}
	f.leads("A gap is at least as wide as the largest rod that goes, and less than the smallest that does not. It is good when the rod of what is wanted goes.")
	g := grid{columns: []column{{"between", 42, false}, {"when", 20, false}, {"goes", 19, true}, {"does not go", 21, true}, {"wanted", 18, true}, {"least", 16, true}, {"", 24, false}, {"tried by", 28, false}}}
	bold := map[int]bool{}
	var differ, grades []string
	for i, c := range r.Gauges {
		rod := func(v *float64) string {
			switch {
			case v == nil:
				return "–"
			case *v == 0:
				return "none"
			}
			return r.both(*v)
		}
		bold[i] = c.OK != nil && !*c.OK
		g.rows = append(g.rows, []string{c.Name, whenRead[c.At], rod(number(c.Goes)), rod(number(c.Stops)), r.both(float64(c.Wanted)), r.both(float64(c.Least)), verdicts[c.Verdict], whoRead(c.By, c.When, c.With)})
		if len(c.Readings) > 0 {
			differ = append(differ, r.differs(c.Name+", "+whenRead[c.At], c.Readings))
		}
		if text := within(c.Name) + ": " + c.Grade; !slices.Contains(grades, text) {
			grades = append(grades, text)
		}
	}
	g.bold = func(row int) bool { return bold[row] }
	f.add(g.strips()...)
	for _, text := range differ {
		f.saysBold(text)
	}
	f.say("Where what is wanted comes from: " + strings.Join(grades, "; ") + ".")
}

// collectors are where they stand and where they aim.
func (r inspected) collectors(f *prose) {
	rows := r.of("position", "aim")
	if len(rows) == 0 {
		return
	}
	f.section("Collector")
	f.leads("Place of the middle of the socket mouths, x right, y up, z out of the head from the datum bolt hole, and the direction of its axis.")
	r.checks(f, [2]string{"planned", "read"}, 33, func(row job.CheckRow) [2]string {
		write := func(p struct{ X, Y, Z float64 }) string {
			one := r.length
			if row.What == "aim" {
				one = func(v float64) string { return decimals(v, 4) }
			}
			return one(p.X) + ", " + one(p.Y) + ", " + one(p.Z)
		}
		return [2]string{write(row.Places.Planned.XYZ()), write(row.Places.Read.XYZ())}
	}, rows)
}

// flanges are how flat they are.
func (r inspected) flanges(f *prose) {
	rows := r.of("flatness", "flatness-pair")
	if len(rows) == 0 {
		return
	}
	f.section("Flange, out of flat")
	f.leads("The thickest feeler that goes below a straight edge, unbolted and cold. No published limit for a fabricated header is known to us; what the gasket's maker says comes first.")
	r.checks(f, [2]string{"straight edge", "read"}, 26, func(row job.CheckRow) [2]string {
		along := "along the whole"
		if row.What == "flatness-pair" {
			along = "across two ports"
		}
		return [2]string{along, r.fine(num(row.Read))}
	}, rows)
}

// bolts are those that start by hand.
func (r inspected) bolts(f *prose) {
	rows := r.of("bolt")
	if len(rows) == 0 {
		return
	}
	f.section("Bolts, started by hand")
	g := grid{columns: []column{{"bolt", 60, false}, {"", 50, false}, {"tried by", 78, false}}}
	bold := map[int]bool{}
	var differ []string
	for i, row := range rows {
		says := "nobody can tell"
		switch {
		case row.OK != nil && *row.OK:
			says = "starts by hand"
		case row.OK != nil:
			says, bold[i] = "does NOT start by hand", true
		}
		g.rows = append(g.rows, []string{row.Name, says, whoRead(row.By, row.When, row.With)})
		if len(row.Readings) > 0 {
			differ = append(differ, r.differs(row.Name, row.Readings))
		}
	}
	g.bold = func(row int) bool { return bold[row] }
	f.add(g.strips()...)
	for _, text := range differ {
		f.saysBold(text)
	}
}

func (r inspected) leak(f *prose) {
	f.section("Leak test")
	l := r.Leak
	if l.OK == nil {
		f.say("Not made yet, or not entered.")
		return
	}
	text := "Passed"
	if !*l.OK {
		text = "FAILED"
	}
	if v, known := value(l.Pressure); known {
		text += ", at " + decimals(v, 1) + " " + l.Unit
	}
	if l.Method != "" {
		text += ", " + l.Method
	}
	f.saysBold(text + " (" + whoRead(l.By, l.When, l.With) + ").")
}

// unread is what is not read yet.
func (r inspected) unread(f *prose) {
	if len(r.Open) == 0 {
		return
	}
	f.section("Not read")
	by := map[string][]string{}
	for _, o := range r.Open {
		what := o.Name
		if o.What != "leak" {
			what += ", " + within(strings.TrimSuffix(o.Label, " x"))
		}
		for _, word := range whenRead {
			what = strings.TrimSuffix(strings.TrimSuffix(what, ","), ", "+word)
		}
		by[o.At] = append(by[o.At], what)
	}
	for _, at := range []string{"as-tacked", "as-welded", "fitted"} {
		if len(by[at]) > 0 {
			name := whenRead[at]
			f.say(strings.ToUpper(name[:1]) + name[1:] + ": " + strings.Join(by[at], "; ") + ".")
		}
	}
}

// Sizes of photos: two stand beside each other. More than mostPhotos make a report that
// nobody looks through.
const (
	photoWide  = 88.0
	photoHigh  = 70.0
	mostPhotos = 24
)

func (r inspected) photos(f *prose) {
	all := r.w.CheckPhotos()
	if len(all) == 0 {
		return
	}
	f.section("Photos")
	if r.o.Photo == nil {
		f.say(fmt.Sprintf("%s: in the report that the shop machine makes as PDF.", countOf(len(all), "photo")))
	}
	var cells []draw.Drawing
	for i, p := range all {
		if i == mostPhotos {
			f.leads(fmt.Sprintf("%d of %d photos; the others are in the shop's record.", mostPhotos, len(all)))
			break
		}
		cells = append(cells, r.photo(p))
	}
	f.beside(cells)
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// photo is one with its caption below it.
func (r inspected) photo(p job.CheckPhoto) draw.Drawing {
	wide, high := photoWide, photoHigh
	if p.W > 0 && p.H > 0 {
		scale := min(photoWide/float64(p.W), photoHigh/float64(p.H))
		wide, high = scale*float64(p.W), scale*float64(p.H)
	}
	picture := draw.Picture{Layer: draw.Note, Box: draw.Box{Min: draw.Pos{0, -high}, Max: draw.Pos{wide, 0}}}
	caption := p.Caption + ". " + whoRead(p.Person, p.At, "") + "."
	if r.o.Photo != nil {
		jpeg, err := r.o.Photo(p)
		if picture.JPEG = jpeg; err != nil {
			picture.JPEG = nil
			caption += " The photo is not here yet."
		}
	}
	var d draw.Drawing
	d.Add(picture)
	text, _ := draw.Paragraph(caption, draw.Pos{0, -high - 1.5}, photoWide, textHigh)
	d.Add(text...)
	return d
}
