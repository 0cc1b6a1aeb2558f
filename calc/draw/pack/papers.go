package pack

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/job"
	"tubewright/calc/ledger"
	"tubewright/calc/units"
)

// Holdings are what the pack holds besides its papers, which are made of it.
type Holdings struct {
	Job, Shop []ledger.Record // of the job, and of the shop's own
	Photos    []Photo         // and previews
	Missing   []string        // sha256 of photos that belong there and are not in the shop
}

// Photo is a photo or preview by its place in the pack.
type Photo struct {
	SHA, Name string
	Size      int64 // bytes
}

// Options are how papers are written.
type Options struct {
	Unit    units.Unit // of the figures on sheets, "in" or "mm"
	Paper   pdf.Paper
	Date    string                               // as it is to be read
	Program string                               // which version made it
	Photo   func(job.CheckPhoto) ([]byte, error) // as sheet.Options has it
}

// Paper makes one document and says what it is called in the pack. Papers are made in
// their order, each once: the index is the last, and lists those before it. Without a name
// and an error there is none.
type Paper func() (name string, b []byte, err error)

// Names of papers; sheets have names of their own.
const (
	FileName  = "job.job.json"
	PlanName  = "plan.json"
	IndexName = "README.txt"
	sheets    = "sheets/"
)

// Papers returns the papers of a pack in the order in which they are made.
func Papers(h Holdings, o Options) []Paper {
	m := &maker{h: h, o: o, w: job.Work(h.Job, h.Shop...)}
	m.how = sheet.Options{Unit: o.Unit, Date: o.Date, Photo: o.Photo}.Waiting(m.w, nil)
	m.how.Cuts, m.how.Fixture = sync.OnceValues(m.how.Cuts), sync.OnceValue(m.how.Fixture) // several sheets rest on them
	papers := []Paper{m.paper(FileName, "the job as a job file: every value in use", m.jobFile), m.paper(PlanName, "the plan: all that was worked out, in mm and degrees", m.plan)}
	for _, e := range sheet.Of(m.w).Sheets {
		if e.Why != "" {
			m.unmade = append(m.unmade, unmade{e, e.Why})
			continue
		}
		for _, form := range []string{sheet.PDF, sheet.DXF} {
			if slices.Contains(e.Forms, form) {
				papers = append(papers, m.sheet(e, form))
			}
		}
	}
	return append(papers, func() (string, []byte, error) { return IndexName, m.index(), nil })
}

// maker makes the papers of one pack, and remembers what it made for the index.
type maker struct {
	h   Holdings
	o   Options
	w   job.Worked
	how sheet.Options

	whole  job.WholePlan
	keys   map[string]string // of the plan, as JSON
	values map[string]string // of the job file, likewise
	left   []string          // that the job file has no place for
	files  []file
	unmade []unmade
}

// file is a paper that was made.
type file struct {
	name, what, sha string
	size            int
	key             string // of the sheet
}

// unmade is a sheet that could not be made.
type unmade struct {
	sheet.Entry
	why string
}

// paper notes what was made.
func (m *maker) paper(name, what string, make func() ([]byte, error)) Paper {
	return func() (string, []byte, error) {
		b, err := make()
		if err != nil {
			return name, nil, err
		}
		m.note(name, what, "", b)
		return name, b, nil
	}
}

func (m *maker) note(name, what, key string, b []byte) {
	sum := sha256.Sum256(b)
	m.files = append(m.files, file{name, what, hex.EncodeToString(sum[:]), len(b), key})
}

func (m *maker) jobFile() (b []byte, err error) {
	if b, m.left, err = job.FileOf(m.h.Job, m.h.Shop...); err != nil {
		return nil, err
	}
	m.values, err = members(b)
	return b, err
}

// plan is what the command plan prints.
func (m *maker) plan() ([]byte, error) {
	m.whole = job.Whole(m.h.Job, m.h.Shop...)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", " ")
	e.SetEscapeHTML(false)
	if err := e.Encode(m.whole); err != nil {
		return nil, err
	}
	var err error
	m.keys, err = members(b.Bytes())
	return b.Bytes(), err
}

// members are the keys of a JSON object with their values.
func members(b []byte) (map[string]string, error) {
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(b, &raw); err != nil {
		return nil, err
	}
	text := make(map[string]string, len(raw))
	for key, v := range raw {
		text[key] = string(v)
	}
	return text, nil
}

// sheet makes a sheet in one of the forms: as PDF, and as DXF where a cutter takes one.
// What cannot be made is said in the index.
func (m *maker) sheet(e sheet.Entry, form string) Paper {
	return func() (string, []byte, error) {
		made, b, err := m.file(e.Key, form)
		var no *sheet.Unmade
		switch {
		case errors.As(err, &no):
			if form == sheet.PDF {
				m.unmade = append(m.unmade, unmade{e, no.Why})
			}
			return "", nil, nil
		case err != nil:
			return "", nil, fmt.Errorf("sheet %s as %s: %w", e.Key, form, err)
		}
		name, what := m.free(sheets+made.FileName(form)), e.Title
		if form == sheet.DXF {
			what += ", for the cutter, in mm"
		}
		m.note(name, what, e.Key, b)
		return name, b, nil
	}
}

func (m *maker) file(key, form string) (sheet.Made, []byte, error) {
	made, err := sheet.Make(m.w, key, m.how)
	if err != nil {
		return made, nil, err
	}
	if form != sheet.PDF {
		b, err := made.File(form)
		return made, b, err
	}
	pages, err := pdf.WithLists(made.Sheets, made.Lists, m.o.Paper)
	if err != nil {
		return made, nil, err
	}
	var b bytes.Buffer
	err = pdf.Write(&b, m.o.Paper, pages...)
	return made, b.Bytes(), err
}

// free returns a name that no file of the pack has yet, also on a disk that takes A for a.
func (m *maker) free(name string) string {
	dot := strings.LastIndexByte(name, '.')
	for n, given := 2, name; m.has(name); n++ {
		name = fmt.Sprintf("%s-%d%s", given[:dot], n, given[dot:])
	}
	return name
}

func (m *maker) has(name string) bool {
	return slices.ContainsFunc(m.files, func(f file) bool { return strings.EqualFold(f.name, name) })
}
