package tube

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/units"
)

// What a list of points may hold. Own choice: a tube has a dozen.
const mostListed = 200

// ReadPoints reads intersection points from comma-separated text, one a line, and
// the CLR at each, 0 where the text has none. unit is what a figure is in whose
// column does not say so.
//
// The first line may name the columns: x, y, z, point and clr, each with _mm or
// _in behind it or without; other columns are passed over. Without names three
// columns are x, y, z, four have a number of the point in front, a fifth is the
// CLR. Columns are parted by commas; by semicolons or tabs where the first line has
// one of those, and then a comma in a figure is the decimal mark. Quotation marks
// around a cell, empty lines and a byte order mark are passed over.
//
// The error is one or more *fault.Field that name line and column, from 1.
func ReadPoints(text string, unit units.Length) (pts []geom.Vec, clr []units.Length, err error) {
	rows := rowsOf(text)
	if len(rows) == 0 {
		return nil, nil, fault.Refuse("Points", "there is no line in it")
	}
	columns, hasNames, err := columnsOf(rows[0], unit)
	if err != nil {
		return nil, nil, err
	}
	if hasNames {
		rows = rows[1:]
	}
	if len(rows) < 2 || len(rows) > mostListed {
		return nil, nil, &fault.Field{Name: "Points", Got: float64(len(rows)), Low: 2, High: mostListed, Why: "that many lines were found"}
	}
	var faults []error
	for _, r := range rows {
		p, radius, err := r.point(columns)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		pts, clr = append(pts, p), append(clr, radius)
	}
	if err := errors.Join(faults...); err != nil {
		return nil, nil, err
	}
	return pts, clr, nil
}

// row is a line of a list that holds something.
type row struct {
	line  int // from 1
	cells []string
	comma bool // in a figure it is the decimal mark
}

func rowsOf(text string) []row {
	text = strings.TrimPrefix(text, "\uFEFF")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	sep := ""
	var rows []row
	for i, line := range strings.Split(text, "\n") {
		if strings.Trim(line, " \t,;\"") == "" {
			continue
		}
		if sep == "" {
			sep = separator(line)
		}
		cells := strings.Split(line, sep)
		for j, c := range cells {
			cells[j] = strings.TrimSpace(strings.Trim(strings.TrimSpace(c), `"`))
		}
		rows = append(rows, row{i + 1, cells, sep != ","})
	}
	return rows
}

func separator(line string) string {
	for _, sep := range []string{";", "\t"} {
		if strings.Contains(line, sep) {
			return sep
		}
	}
	return ","
}

// column is where a list has one of x, y, z and CLR, and what its figures are in.
type column struct {
	at    int // index; -1 where it has none
	label string
	unit  units.Length
}

// columnsOf reads the first row: the columns of x, y, z and CLR, and whether the row
// names them.
func columnsOf(first row, unit units.Length) (columns [4]column, hasNames bool, err error) {
	for i := range columns {
		columns[i] = column{at: -1, label: []string{"x", "y", "z", "clr"}[i], unit: unit}
	}
	for _, c := range first.cells {
		_, why := first.figure(c)
		hasNames = hasNames || c != "" && why != ""
	}
	if !hasNames {
		n := len(first.cells)
		if n < 3 || n > 5 {
			return columns, false, fault.Refuse(fmt.Sprintf("Line %d", first.line), fmt.Sprintf("%d columns without names; give x, y, z, or point, x, y, z, or point, x, y, z, CLR", n))
		}
		from := min(n-3, 1)
		for i := range columns {
			if from+i < n {
				columns[i].at = from + i
			}
		}
		return columns, false, nil
	}
	for at, c := range first.cells {
		name, of, _ := strings.Cut(strings.ToLower(c), "_")
		i := slices.Index([]string{"x", "y", "z", "clr"}, name)
		if i < 0 {
			continue
		}
		if columns[i].at >= 0 {
			return columns, true, fault.Refuse(fmt.Sprintf("Line %d, column %d", first.line, at+1), fmt.Sprintf("%q names a column a second time", clip(c)))
		}
		columns[i].at, columns[i].label = at, c
		switch of {
		case "mm":
			columns[i].unit = units.Millimetre
		case "in":
			columns[i].unit = units.Inch
		case "":
		default:
			return columns, true, fault.Refuse(fmt.Sprintf("Line %d, column %d", first.line, at+1), fmt.Sprintf("%q names a unit that is not known; mm and in are", clip(c)))
		}
	}
	for _, c := range columns[:3] {
		if c.at < 0 {
			return columns, true, fault.Refuse(fmt.Sprintf("Line %d", first.line), fmt.Sprintf("no column is named %s; give point, x_mm, y_mm, z_mm", c.label))
		}
	}
	return columns, true, nil
}

// point reads one row.
func (r row) point(columns [4]column) (geom.Vec, units.Length, error) {
	var got [4]float64
	var faults []error
	for i, c := range columns {
		cell := ""
		if c.at >= 0 && c.at < len(r.cells) {
			cell = r.cells[c.at]
		}
		isCLR := i == 3
		if isCLR && cell == "" {
			continue
		}
		v, why := r.figure(cell)
		v *= c.unit.MM()
		low, high := -farthest, farthest
		if isCLR {
			low = 0
		}
		if why == "" && !(v >= low && v <= high) {
			why = fmt.Sprintf("allowed %g to %g mm", low, high)
		}
		if why != "" {
			faults = append(faults, fault.Refuse(fmt.Sprintf("Line %d, column %d (%s)", r.line, c.at+1, clip(c.label)), fmt.Sprintf("cannot read %q: %s", clip(cell), why)))
			continue
		}
		got[i] = v
	}
	return geom.Vec{X: got[0], Y: got[1], Z: got[2]}, units.Length(got[3]), errors.Join(faults...)
}

// figure reads a cell; why says what is wrong with it. Programs write more decimals
// than people and powers of ten, so that this is wider than what can be typed.
func (r row) figure(cell string) (v float64, why string) {
	if cell == "" {
		return 0, "nothing stands there"
	}
	if r.comma {
		cell = strings.Replace(cell, ",", ".", 1)
	}
	cell = strings.Replace(cell, "\u2212", "-", 1)
	v, err := strconv.ParseFloat(cell, 64)
	if strings.Trim(cell, "0123456789.+-eE") != "" || err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, "it is no number"
	}
	return v, ""
}

// clip keeps a sentence short whatever a file holds.
func clip(s string) string {
	if r := []rune(s); len(r) > 24 {
		return string(r[:24]) + "…"
	}
	return s
}
