package pack

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"tubewright/calc/job"
	"tubewright/calc/ledger"
)

// index is the text that says what the pack is, what each of its files is, and where a
// thing is found. It is written last, since it knows all the others by then.
func (m *maker) index() []byte {
	t := &text{}
	n := m.w.Job.Notes
	t.line("Record pack of the job “%s”", cmp.Or(n.Name, "without a name"))
	t.line("Made on %s with Tubewright %s, of %d records of the job and %d of the shop's stock and saw.", m.o.Date, m.o.Program, len(m.h.Job), len(m.h.Shop))
	t.head("What it is for")
	t.line("To build this header once more, or to repair it, without the car. It holds all that was measured, decided, cut, tacked and checked, the photos, and the sheets as they could be made on that day.")
	t.line("Sheets rest on what was entered. Read what each says against cutting, measure both rulers of a print, and keep to the rules of your shop for sawing, grinding, welding, dust and fumes.")
	t.head("Who may see it")
	t.line("%s", customer(n.Customer))
	t.head("With Tubewright")
	t.line("“tubewright import” with the name of this file, or the shop page, gives the job back with all readings and photos. Doing it again changes nothing. %s makes a job of its own each time.", FileName)
	t.head("Without Tubewright")
	t.line("sheets/ are PDF, true to size where they bear rulers, and DXF in mm for a cutter. %s and %s are JSON, to be read in any editor: lengths in mm, or as typed with their unit; angles in degrees. records.jsonl has every single entry, one a line: what was typed, by whom, when and with what; hashes.txt the SHA-256 of each. photos/ are named by their SHA-256.", FileName, PlanName)
	t.head("Where to find what")
	m.topics(t)
	m.pieces(t)
	m.stock(t)
	m.gaps(t)
	m.photos(t)
	m.open(t)
	t.head("Files, with their size and SHA-256")
	t.table(func(row func(...string)) {
		for _, f := range m.files {
			row(f.name, f.what, strconv.Itoa(f.size), f.sha)
		}
	})
	return []byte(t.b.String())
}

func customer(name string) string {
	if name == "" {
		return "No customer's name was entered. Names of people stand beside what they measured, in records.jsonl, and photos show what they show."
	}
	return "The customer is " + name + ". The name stands here, in records.jsonl and in job.job.json, and may stand on sheets; names of people stand beside what they measured; photos show what they show. Give the pack only to those who may know."
}

// topic is what somebody looks for who builds or repairs without the car, and where it
// stands: in sheets whose key begins so, in parts of the plan and of the job file.
type topic struct {
	name                string
	sheets, plan, inJob []string
	also                string
}

var topics = []topic{
	{"Head flange, its ports and bolts", []string{"flange", "ports", "dies", "pattern"}, []string{"flanges"}, []string{"banks"}, ""},
	{"Pieces of each tube, as planned and as cut", []string{"labels", "wrap", "clock", "wheel", "piecut", "transition", "saddle"}, []string{"tubes"}, []string{"tubes"}, "the list below"},
	{"What was tacked otherwise, and what corrects it", nil, []string{"corrections"}, []string{"tubes"}, ""},
	{"Fixture: base, stations, posts", []string{"fixture", "base"}, []string{"fixture"}, []string{"fixture", "stations"}, ""},
	{"Collector", []string{"collector", "merge"}, []string{"collectors"}, []string{"collectors"}, ""},
	{"Stock: bends and tube, and who makes them", []string{"cuts"}, []string{"stock", "cuts"}, []string{"stock", "shop"}, "the list below"},
	{"Welding: joints, order, purge, pull, notes", []string{"weld"}, []string{"weld"}, []string{"weld", "hold"}, ""},
	{"Gaps to what is round the tubes", nil, []string{"gaps", "access", "neighbours"}, []string{"neighbours", "points"}, "the list below"},
	{"Inspection: as built against planned, leak test", []string{"report"}, []string{"inspection"}, []string{"hold", "gauges"}, ""},
	{"Sizes, and why they were chosen", []string{"sizing"}, []string{"decided", "sizing"}, []string{"engine", "target", "sizing"}, ""},
	{"What speaks against it, and what disagrees", nil, []string{"findings"}, nil, "records.jsonl has every reading"},
	{"Photos", nil, nil, nil, "the list below"},
}

func (m *maker) topics(t *text) {
	for _, topic := range topics {
		var places []string
		for _, f := range m.files {
			if slices.ContainsFunc(topic.sheets, func(key string) bool { return f.key == key || strings.HasPrefix(f.key, key+"-") }) {
				places = append(places, f.name)
			}
		}
		places = append(places, parts(PlanName, m.keys, topic.plan)...)
		places = append(places, parts(FileName, m.values, topic.inJob)...)
		if topic.also != "" {
			places = append(places, topic.also)
		}
		if len(places) == 0 {
			places = []string{"nothing was entered of it"}
		}
		t.item("%s", topic.name)
		for _, p := range places {
			t.sub("%s", p)
		}
		if topic.name == topics[0].name {
			for _, k := range m.w.Job.Banks {
				t.sub("bank %s: revision %s, %s, %s thick", k.ID, cmp.Or(k.Making.Revision, "not named"), cmp.Or(k.Material, "material not entered"), lengthOf(k.Thickness.V.MM(), k.Thickness.Known))
			}
		}
	}
}

// parts names the keys that hold something.
func parts(file string, in map[string]string, keys []string) (places []string) {
	for _, key := range keys {
		if held := in[key]; held != "" && held != "null" && held != "[]" && held != "{}" {
			places = append(places, file+", key "+strconv.Quote(key))
		}
	}
	return places
}

// pieces lists the pieces of every tube.
func (m *maker) pieces(t *text) {
	t.head("Pieces, from the port to the end; as planned, and as cut and tacked where it was entered")
	none := true
	for i, tp := range m.whole.Tubes {
		if len(tp.Pieces) == 0 {
			continue
		}
		none = false
		of := m.w.Job.Tubes[i]
		t.item("%s: OD %s, wall %s, %s", of.Title, mm((*float64)(tp.OD)), mm((*float64)(tp.Wall)), cmp.Or(of.Material, "material not entered"))
		t.table(func(row func(...string)) {
			for _, p := range tp.Pieces {
				what := fmt.Sprintf("straight %s", mm((*float64)(&p.Length)))
				if p.Kind == "bend" {
					what = fmt.Sprintf("bend %s, CLR %s, rotation %s", degrees((*float64)(p.Angle)), mm((*float64)(p.CLR)), degrees((*float64)(p.Rotation)))
				}
				row("  "+p.Name, what, asCut(p), p.Stage)
			}
		})
	}
	if none {
		t.line("None yet.")
	}
}

func asCut(p job.PiecePlan) string {
	var said []string
	if c := p.AsCut; c != nil {
		if p.Kind == "bend" {
			said = append(said, "cut "+degrees((*float64)(c.Angle)), "CLR "+mm((*float64)(c.CLR)))
		} else {
			said = append(said, "cut "+mm((*float64)(c.Length)))
		}
	}
	if p.AsClocked != nil {
		said = append(said, "tacked at "+degrees((*float64)(p.AsClocked)))
	}
	return strings.Join(said, ", ")
}

// stock lists what pieces were planned to be cut from.
func (m *maker) stock(t *text) {
	t.head("Stock, of this job and of the shop")
	if len(m.w.Job.Stock) == 0 {
		t.line("None was entered.")
	}
	t.table(func(row func(...string)) {
		for _, s := range m.w.Job.Stock {
			size := fmt.Sprintf("OD %s, wall %s", lengthOf(s.OD.V.MM(), s.OD.Known), lengthOf(s.Wall.V.MM(), s.Wall.Known))
			if s.CLR.Known {
				size += ", CLR " + lengthOf(s.CLR.V.MM(), true)
			}
			if s.Angle.Known {
				size += ", " + figure(s.Angle.V.Deg()) + "°"
			}
			if s.Length.Known {
				size += ", " + lengthOf(s.Length.V.MM(), true) + " long"
			}
			row("  "+cmp.Or(s.Name, s.Title), s.Type, size, s.Material, "maker: "+cmp.Or(s.Supplier, "not entered"))
		}
	})
}

// gaps lists what is near the tubes.
func (m *maker) gaps(t *text) {
	t.head("Gaps, cold")
	if len(m.whole.Gaps) == 0 {
		t.line("None are known.")
	}
	t.table(func(row func(...string)) {
		for _, g := range m.whole.Gaps {
			row("  "+m.called(g.A), m.called(g.B), mm((*float64)(&g.Gap)), "wanted "+mm((*float64)(&g.Wanted)), g.WorstCase)
		}
	})
}

// called names a tube or a neighbour.
func (m *maker) called(id string) string {
	for _, t := range m.w.Job.Tubes {
		if t.ID == id {
			return t.Title
		}
	}
	for _, n := range m.w.Job.Neighbours {
		if n.ID == id {
			return n.Title
		}
	}
	return id
}

// photos lists the photos by what they show.
func (m *maker) photos(t *text) {
	t.head("Photos")
	place := map[string]string{}
	for _, p := range m.h.Photos {
		place[p.SHA] = fmt.Sprintf("%s, %d bytes", p.Name, p.Size)
	}
	none := true
	for _, r := range slices.Concat(m.h.Job, m.h.Shop) {
		p, ok := ledger.PhotoOf(r)
		if !ok || place[p.SHA] == "" && !slices.Contains(m.h.Missing, p.SHA) {
			continue // taken out for good
		}
		none = false
		label := m.w.Label(r.Slot)
		if r.Job == job.ShopJob {
			label = "stock of the shop, " + r.Slot
		}
		t.item("%s; %s", cmp.Or(label, r.Slot), strings.Join(slices.DeleteFunc([]string{p.Person, p.At}, func(s string) bool { return s == "" }), ", "))
		t.sub("%s", cmp.Or(place[p.SHA], "IT IS MISSING: its bytes were not in the shop, "+p.SHA))
		if p.Preview != nil && place[p.Preview.SHA] != "" {
			t.sub("small: %s", place[p.Preview.SHA])
		}
	}
	if none {
		t.line("None.")
	}
}

// open says what is not in the pack, or not as somebody may expect.
func (m *maker) open(t *text) {
	t.head("What is not here")
	none := true
	for _, u := range m.unmade {
		none = false
		t.item("Sheet %s: %s", u.Title, u.why)
	}
	for _, l := range m.left {
		none = false
		t.item("%s is not in %s: it cannot be used, or said there. It stands in records.jsonl.", l, FileName)
	}
	for _, f := range m.whole.Findings {
		if f.Rule == "disputed" {
			none = false
			t.item("Readings disagree, of which one is used: %s", f.Text)
		}
	}
	if none {
		t.line("Nothing is missing that could be made.")
	}
}

// text is written line by line.
type text struct{ b strings.Builder }

const width = 100 // characters of a line of prose

func (t *text) head(format string, a ...any) {
	line := fmt.Sprintf(format, a...)
	fmt.Fprintf(&t.b, "\n%s\n%s\n", line, strings.Repeat("-", len([]rune(line))))
}

func (t *text) line(format string, a ...any) { t.prose("", "", format, a...) }
func (t *text) item(format string, a ...any) { t.prose("* ", "  ", format, a...) }
func (t *text) sub(format string, a ...any)  { t.prose("  - ", "    ", format, a...) }

// prose breaks a text into lines.
func (t *text) prose(first, indent, format string, a ...any) {
	line, empty := first, true
	for word := range strings.FieldsSeq(fmt.Sprintf(format, a...)) {
		if !empty && len([]rune(line))+1+len([]rune(word)) > width {
			t.b.WriteString(line + "\n")
			line, empty = indent, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	t.b.WriteString(line + "\n")
}

func (t *text) table(rows func(row func(cells ...string))) {
	w := tabwriter.NewWriter(&t.b, 0, 0, 2, ' ', 0)
	rows(func(cells ...string) { fmt.Fprintln(w, strings.TrimRight(strings.Join(cells, "\t"), "\t")) })
	w.Flush()
}

// figure writes a number to hundredths.
func figure(v float64) string {
	return strconv.FormatFloat(math.Round(100*v)/100, 'f', -1, 64)
}

func lengthOf(v float64, known bool) string {
	if !known {
		return "not entered"
	}
	return figure(v) + " mm"
}

func mm(v *float64) string {
	if v == nil {
		return "open"
	}
	return figure(*v) + " mm"
}

func degrees(v *float64) string {
	if v == nil {
		return "open"
	}
	return figure(*v) + "°"
}
