package sheet

import (
	"errors"
	"fmt"
	"strings"

	"tubewright/calc/draw"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// List is what sheets a job has.
type List struct {
	Inputs string  `json:"inputs"` // sign of all that they are made from
	Sheets []Entry `json:"sheets"`
}

// Entry is one sheet, whether it can be made or not.
type Entry struct {
	Key      string   `json:"key"`
	Title    string   `json:"title"`
	Why      string   `json:"why"`            // it cannot be made, a sentence; empty where it can
	Forms    []string `json:"forms"`          // of PDF, SVG and DXF
	Warnings []string `json:"warnings"`       // that stand on it
	Sign     string   `json:"sign"`           // of what it is made from, as it stands on it
	Asks     []Ask    `json:"asks,omitempty"` // figures that stand behind its key
	// NotToScale marks sheets to read: they bear no rulers.
	NotToScale bool `json:"not_to_scale,omitempty"`
}

// Forms in which a sheet is written.
const (
	PDF = "pdf"
	SVG = "svg"
	DXF = "dxf"
)

// Options are how a sheet is written.
type Options struct {
	Unit units.Unit // of the figures, "in" or "mm"; anything else is mm
	Date string     // as it is to be read; empty for none
	// Link returns the address under which a tablet opens a piece, for the code on its
	// label; nil, or "" from it, and the label bears none.
	Link func(piece string) string
	// Cuts works out the plan of cuts, which takes its time; nil where that is not done.
	Cuts func() (job.Packing, error)
	// Fixture works out the fixture, which takes its time; nil where that is not done.
	Fixture func() job.FixturePlan
	// Photo returns a photo of an inspection as an upright JPEG; nil, and an error from it,
	// and the report has its frame.
	Photo func(job.CheckPhoto) ([]byte, error)
	// Code makes the squares of a QR code of a text; nil, and labels bear none.
	Code func(text string) (Code, error)
}

// Code is a QR code, row by row from the top: which of its squares are black.
type Code [][]bool

// Made is a sheet: drawings to scale, each a sheet of its own on paper, and lists.
type Made struct {
	Entry
	Revision string
	Sheets   []draw.Sheet
	Lists    []draw.Table
	// uncut says why there is no DXF of it.
	uncut string
	// Chord is how far the arcs of what is cut may be from the curves they stand for, mm.
	Chord float64
}

// Unmade says in a sentence why a sheet cannot be made.
type Unmade struct{ Key, Why string }

func (u *Unmade) Error() string { return fmt.Sprintf("sheet %s cannot be made: %s", u.Key, u.Why) }

// ErrUnknown is wrapped where a job has no sheet of that key.
var ErrUnknown = errors.New("there is no such sheet")

// Flanges is the key that stands for all sheets of all flanges.
const Flanges = "flange"

// Of lists the sheets of a job, in the order of its banks and tubes.
func Of(w job.Worked) List {
	l := List{Inputs: sign(w.Hash), Sheets: []Entry{}}
	for _, d := range drafts(maker{w: w, o: Options{Unit: "mm"}}) {
		l.Sheets = append(l.Sheets, d.Entry)
	}
	return l
}

// Make makes the sheet of a key. With Flanges it is those of all flanges that can be
// made, with their lists once. The error wraps ErrUnknown, or is an *Unmade.
func Make(w job.Worked, key string, o Options) (Made, error) {
	m := maker{w: w, o: o}
	if o.Unit != "in" {
		m.o.Unit = "mm"
	}
	all := drafts(m)
	if key == Flanges {
		return flanges(all)
	}
	base, figures := parted(key)
	for _, d := range all {
		if d.Key != base {
			continue
		}
		if len(figures) > 0 {
			var why string
			sign := d.Sign // the figures stand in the key, so they need none in the sign
			if d, why = d.with(key, figures); why != "" {
				return Made{}, &Unmade{key, why}
			}
			d.Sign = sign
		}
		return d.made()
	}
	return Made{}, fmt.Errorf("sheet %q: %w", key, ErrUnknown)
}

func flanges(all []draft) (Made, error) {
	var whole Made
	why := ""
	for _, d := range all {
		if !d.isFlange {
			continue
		}
		if d.Why != "" {
			why = d.Why
			continue
		}
		one, err := d.made()
		if err != nil {
			return Made{}, err
		}
		if whole.Key == "" {
			whole = one
			whole.Key, whole.Title = Flanges, "Flanges"
			continue
		}
		whole.Sheets = append(whole.Sheets, one.Sheets...)
		if !d.isMirrored {
			whole.Lists = append(whole.Lists, one.Lists...)
		}
	}
	switch {
	case whole.Key != "":
		return whole, nil
	case why != "":
		return Made{}, &Unmade{Flanges, why}
	}
	return Made{}, &Unmade{Flanges, "The job has no bank yet."}
}

// draft is a sheet before it is made.
type draft struct {
	Entry
	isFlange, isMirrored bool
	rests                []job.About // nil: on everything
	make                 func(*Made) error
	// figured returns the same sheet with figures that stand behind its key.
	figured func(Figures) draft
}

func (d draft) made() (Made, error) {
	if d.Why != "" {
		return Made{}, &Unmade{d.Key, d.Why}
	}
	m := Made{Entry: d.Entry, Chord: chord}
	if err := d.make(&m); err != nil {
		var no *Unmade
		if errors.As(err, &no) {
			return Made{}, no
		}
		return Made{}, fmt.Errorf("make sheet %s: %w", d.Key, err)
	}
	for i := range m.Sheets {
		if d.Sign != "" {
			m.Sheets[i].Title.Inputs = d.Sign
		}
	}
	return m, nil
}

// chord is how far, in mm, the loops of the plan are from the outlines they stand for.
const chord = 0.01

func drafts(m maker) []draft {
	all := []draft{m.sizing().resting(m.sizeRests()...)}
	for i, k := range m.w.Job.Banks {
		f := m.w.Plan.Flanges[i]
		rests := m.head(k)
		all = append(all, m.flange(k, f, false).resting(rests...), m.flange(k, f, true).resting(rests...), m.ports(k, f).resting(rests...), m.dies(k, f).resting(rests...))
		for n, p := range k.Patterns {
			all = append(all, m.pattern(k, f, p, f.Patterns[n]).resting(append(m.head(k), patternOf(p))...))
		}
	}
	for _, t := range m.w.Job.Tubes {
		if d, ok := m.transition(t); ok {
			all = append(all, d.resting(m.start(t)...))
		}
	}
	if len(m.w.Job.Tubes) > 0 {
		all = append(all, m.cuts())
	}
	all = append(all, m.wheels()...)
	for i, t := range m.w.Job.Tubes {
		tp := m.w.Plan.Tubes[i]
		rests := m.path(t)
		all = append(all, m.wraps(t, tp).resting(rests...), m.clock(t, tp).resting(rests...), m.labels(t, tp).resting(rests...),
			m.pieCuts(t, tp, nil).resting(append(m.path(t), kerf)...), m.saddle(t, nil).resting(rests...))
	}
	if len(m.w.Job.Tubes) > 0 {
		rests := m.fixtureRests()
		for _, d := range append([]draft{m.fixture()}, m.bases()...) {
			all = append(all, d.resting(rests...))
		}
		all = append(all, m.weld().resting(m.weldRests()...), m.report())
	}
	for i := range all {
		all[i].Sign = m.sign(all[i])
	}
	return all
}

// maker makes sheets of one job.
type maker struct {
	w job.Worked
	o Options
}

// sign is as much of a hash as a person compares or types.
func sign(hash string) string { return hash[:min(12, len(hash))] }

// title returns the title block of a sheet of a bank.
func (m maker) title(e Entry, k job.Bank) draw.Title {
	return draw.Title{Job: m.w.Job.Notes.Name, Part: e.Title, Sheet: e.Key, Revision: k.Making.Revision, Unit: string(m.o.Unit), Date: m.o.Date, Inputs: sign(m.w.Hash)}
}

// short is a name for where there is little room: b3 for "Bolt 3".
func short(title string) string {
	word, n, found := strings.Cut(title, " ")
	if !found || word == "" {
		return title
	}
	n, _, _ = strings.Cut(n, " ")
	return strings.ToLower(word[:1]) + n
}

// within writes a name as it stands within a sentence.
func within(title string) string {
	if title == "" {
		return title
	}
	return strings.ToLower(title[:1]) + title[1:]
}
