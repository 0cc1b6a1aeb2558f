package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"tubewright/calc/draw/pdf"
	"tubewright/calc/draw/sheet"
	"tubewright/calc/fault"
	"tubewright/calc/job"
	"tubewright/calc/units"
)

// sheetCommand writes a sheet of a job file, or lists its sheets.
func sheetCommand(args []string, stdout, stderr io.Writer) error {
	fs := flags("sheet", " FILE [KEY]", `Makes a sheet of a job file. KEY is one of those that are listed without a KEY, or
"flange" for all sheets of the flanges. "-" reads standard input. Without -o the sheet
goes to standard output.
Exit code 0: made. 2: the file cannot be used, or the sheet cannot be made; one line
for every reason.`, stderr)
	asPDF := fs.Bool("pdf", false, "true to size on paper; taken where no form is named")
	asDXF := fs.Bool("dxf", false, "what is cut, in mm, for a cutter")
	asSVG := fs.Bool("svg", false, "a picture, to work from by figures")
	paper := fs.String("paper", "a4", "of a PDF: a4, letter, a3 or tabloid")
	unit := fs.String("unit", "mm", "of the figures: mm or in")
	to := fs.String("o", "", "write to this file, or into this folder under a name that says what it is")
	operands, err := parseMixed(fs, args, 1, 2)
	if err != nil {
		return err
	}
	form := sheet.PDF
	switch {
	case *asPDF && *asDXF, *asDXF && *asSVG, *asSVG && *asPDF:
		return fmt.Errorf("%w: one of --pdf, --dxf and --svg", errUnusable)
	case *asDXF:
		form = sheet.DXF
	case *asSVG:
		form = sheet.SVG
	}
	on, err := pdf.PaperOf(*paper)
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	if *unit != "mm" && *unit != "in" {
		return fmt.Errorf("%w: unit %q: want mm or in", errUnusable, *unit)
	}
	name := operands[0]
	data, err := readFile(name)
	if err != nil {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	w, err := job.WorkFile(data)
	if err != nil {
		for _, f := range fault.All(err) {
			fmt.Fprintf(stderr, "%s: %v\n", name, f)
		}
		return fmt.Errorf("%w %w", errUnusable, errSaid)
	}
	if len(operands) == 1 {
		return listSheets(stdout, w)
	}
	made, err := sheet.Make(w, operands[1], sheet.Options{Unit: units.Unit(*unit), Date: time.Now().Format(time.DateOnly)}.Waiting(w, nil))
	if err != nil {
		return unmade(err)
	}
	b, err := sheetFile(made, form, on)
	if err != nil {
		return unmade(err)
	}
	return put(stdout, *to, made.FileName(form), b)
}

// unmade says that a sheet cannot be made of this file.
func unmade(err error) error {
	var no *sheet.Unmade
	if errors.As(err, &no) || errors.Is(err, sheet.ErrUnknown) {
		return fmt.Errorf("%w: %w", errUnusable, err)
	}
	return err
}

func sheetFile(made sheet.Made, form string, on pdf.Paper) ([]byte, error) {
	if form != sheet.PDF {
		return made.File(form)
	}
	sheets, err := pdf.WithLists(made.Sheets, made.Lists, on)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = pdf.Write(&b, on, sheets...)
	return b.Bytes(), err
}

// listSheets prints what sheets there are, and why one cannot be made.
func listSheets(to io.Writer, w job.Worked) error {
	t := tabwriter.NewWriter(to, 0, 0, 2, ' ', 0)
	for _, e := range sheet.Of(w).Sheets {
		says := strings.Join(e.Forms, " ")
		if e.Why != "" {
			says = "– " + e.Why
		}
		if len(e.Asks) > 0 {
			says += " (figures may stand behind its key: " + e.Key
			for _, a := range e.Asks {
				says += "," + a.Name + "=" + cmp.Or(a.Default, "…")
			}
			says += ")"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\n", e.Key, e.Title, says)
	}
	return t.Flush()
}

// put writes a file: to a file or into a folder, whose path is then printed, or to
// standard output, unless that is a person's screen and the file not for reading.
func put(stdout io.Writer, to, name string, b []byte) error {
	if to == "" {
		if f, ok := stdout.(*os.File); ok && strings.HasSuffix(name, "."+sheet.PDF) {
			if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
				return fmt.Errorf("%w: a PDF is not for the screen; say where to with -o, -o . for %s here", errUnusable, name)
			}
		}
		_, err := stdout.Write(b)
		return err
	}
	if info, err := os.Stat(to); err == nil && info.IsDir() {
		to = filepath.Join(to, name)
	}
	if err := os.WriteFile(to, b, 0o666); err != nil {
		return err
	}
	fmt.Fprintln(stdout, to)
	return nil
}
