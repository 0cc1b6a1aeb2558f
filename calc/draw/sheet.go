package draw

import "fmt"

// Sheet is one drawing with what stands about it on paper. Writers never scale the
// drawing of a sheet that is to scale.
type Sheet struct {
	Title    Title
	Warnings []string // what is wrong with this very part, whole sentences, above the title block of every page
	Cautions []string // whole sentences, at the foot of the first page
	Drawing  Drawing
	// NotToScale marks lists and sketches: they may be made smaller to fit a page, bear
	// no rulers, and say so.
	NotToScale bool
}

// Title is the title block. Every field is text as it is to be read; an empty one is
// left out.
type Title struct {
	Job      string
	Part     string // "Flange A, one piece"
	Sheet    string // the sheet's key, which a printed sheet is named by: "flange-A"
	Revision string
	Side     string // how one looks at it: SeenFromTubes or SeenFromHead
	Unit     string // of the figures on the sheet: "mm", "in"
	Date     string // handed in; there is no clock here
	Inputs   string // sign of what the drawing was worked out from: the first of its hash
}

// The two ways to look at a flange. The bank frame has x to the right as one faces
// the port face, so the first is the drawing as the model has it, and the second
// its mirror image.
const (
	SeenFromTubes = "Seen from the tubes"
	SeenFromHead  = "Seen from the head: mirrored"
)

// Row is one entry of the title block.
type Row struct{ Label, Text string }

// Rows returns what the title block says, in order, for every writer alike.
func (s Sheet) Rows() []Row {
	scale := "1:1"
	if s.NotToScale {
		scale = "not to scale"
	}
	t := s.Title
	all := []Row{
		{"Job", t.Job}, {"Part", t.Part}, {"Side", t.Side}, {"Sheet", t.Sheet}, {"Revision", t.Revision},
		{"Scale", scale}, {"Unit", t.Unit}, {"Date", t.Date}, {"Sign", t.Inputs},
	}
	var list []Row
	for _, r := range all {
		if r.Text != "" {
			list = append(list, r)
		}
	}
	return list
}

// Check returns an error for what cannot be drawn, as Drawing.Check, and for a sheet
// to scale on which there is nothing.
func (s Sheet) Check() error {
	if err := s.Drawing.Check(); err != nil {
		return err
	}
	if s.Drawing.Bounds().IsEmpty() && !s.NotToScale {
		return fmt.Errorf("draw %s: nothing is on it", s.Drawing.Name)
	}
	for _, r := range s.Rows() {
		if err := (Text{Height: 1, Text: r.Text}).check(); err != nil {
			return fmt.Errorf("title block, %s: %w", r.Label, err)
		}
	}
	for what, list := range map[string][]string{"warning": s.Warnings, "caution": s.Cautions} {
		for _, c := range list {
			if err := (Text{Height: 1, Text: c}).check(); err != nil {
				return fmt.Errorf("%s: %w", what, err)
			}
		}
	}
	return nil
}
