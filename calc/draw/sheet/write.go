package sheet

import (
	"fmt"
	"slices"

	"tubewright/calc/draw"
	"tubewright/calc/draw/dxf"
)

// apart is how far drawings and lists stand apart where a file holds them all, mm.
const apart = 12.0

// whole returns all drawings of the sheet below each other.
func (m Made) whole() draw.Drawing {
	all := m.Sheets[0].Drawing
	all.Entities = slices.Clone(all.Entities)
	for _, s := range m.Sheets[1:] {
		on, b := all.Bounds(), s.Drawing.Bounds()
		all.Add(s.Drawing.Moved(on.Min[0]-b.Min[0], on.Min[1]-apart-b.Max[1]).Entities...)
	}
	return all
}

// File returns the sheet in the form SVG or DXF. PDF is made by draw/pdf.
func (m Made) File(form string) ([]byte, error) {
	switch form {
	case SVG:
		text, err := m.SVG()
		return []byte(text), err
	case DXF:
		return m.DXF()
	}
	return nil, fmt.Errorf("write sheet %s: no form %q", m.Key, form)
}

// SVG returns the sheet as one picture, drawings and lists below each other: to look at
// and to work from by figures.
func (m Made) SVG() (string, error) {
	s := m.Sheets[0]
	s.Drawing = m.whole()
	for _, t := range m.Lists {
		b := s.Drawing.Bounds()
		list, _, _, err := t.Entities(draw.Pos{b.Min[0], b.Min[1] - apart})
		if err != nil {
			return "", fmt.Errorf("write sheet %s: %w", m.Key, err)
		}
		s.Drawing.Add(list...)
	}
	text, err := draw.SVGFile(s)
	if err != nil {
		return "", fmt.Errorf("write sheet %s: %w", m.Key, err)
	}
	return text, nil
}

// DXF returns what is cut as a DXF in mm, whatever the unit of the figures. It is an
// *Unmade where nothing of the sheet is cut, or not as it stands.
func (m Made) DXF() ([]byte, error) {
	if m.uncut != "" {
		return nil, &Unmade{m.Key, m.uncut}
	}
	t := m.Sheets[0].Title
	var lines []string
	for _, r := range m.Sheets[0].Rows() {
		if r.Label != "Scale" && r.Label != "Unit" {
			lines = append(lines, r.Label+": "+r.Text)
		}
	}
	lines = append(lines, m.Sheets[0].Warnings...)
	d := m.cut()
	if t.Side == draw.SeenFromHead {
		lines = append(lines, "mirrored: this is the face to the head, seen from the head")
	}
	b, err := dxf.Write(d, dxf.Info{Unit: "mm", Chord: m.Chord, Lines: lines})
	if err != nil {
		return nil, fmt.Errorf("write sheet %s: %w", m.Key, err)
	}
	return b, nil
}

// cut is what is cut, of the first drawing where each shows all of it.
func (m Made) cut() draw.Drawing {
	if m.Key == Flanges { // the others are the same seen from behind, or other flanges
		return m.Sheets[0].Drawing.Only(draw.Cut)
	}
	return m.whole().Only(draw.Cut)
}

// FileName is a name for the sheet as a file of one of the forms. It says the revision,
// and of a DXF the size of what is cut.
func (m Made) FileName(form string) string {
	switch {
	case form != DXF:
		return dxf.BaseName(m.Key, m.Revision) + "." + form
	case m.Key == Flanges:
		return dxf.FileName(m.Sheets[0].Title.Sheet, m.Revision, m.cut())
	}
	return dxf.FileName(m.Key, m.Revision, m.cut())
}
