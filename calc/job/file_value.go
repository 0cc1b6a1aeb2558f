package job

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// fields reads all fields of a kind that m holds under their own names.
func (r *fileReader) fields(where string, k Kind, id string, m *members) {
	for _, field := range k.Fields {
		if raw := take(m, field.Name); raw != "" {
			r.field(where+"."+field.Name, field, Slot(k.Name, id, field.Name), raw)
		}
	}
}

// field reads one value of a job file as the quantity of its field.
func (r *fileReader) field(where string, field Field, slot, raw string) {
	place := fault.Field{Name: field.Label, Where: where, Unit: field.Unit, Low: field.Low, High: field.High}
	var typed units.Typed
	var err error
	switch field.Quantity {
	case TextQ, DateQ:
		r.note(where, field, slot, raw)
		return
	case WordQ:
		r.word(where, field, slot, raw)
		return
	case LengthQ:
		text, isText := textOf(raw)
		if !isText {
			text = decimal(raw)
		}
		typed, err = units.ParseLength(text, "mm")
	case AngleQ:
		typed, err = units.ParseAngle(decimal(raw))
	default:
		typed, err = units.ParseNumber(decimal(raw))
	}
	if err == nil && typed.Ask != "" {
		err = refused(typed.Text, typed.Ask)
	}
	if err != nil {
		r.errs = append(r.errs, fault.At(err, place))
		return
	}
	r.facts.Values[slot] = Value{Text: typed.Text, Unit: typed.Unit, V: typed.V, From: where}
}

// word reads a word; a firing order and its intervals may be lists of numbers, and a
// numbering an object that names the cylinders of each bank.
func (r *fileReader) word(where string, field Field, slot, raw string) {
	text, isText := textOf(raw)
	if !isText {
		var order []int
		var intervals []json.Number
		switch {
		case field.Name == "firing_order" && json.Unmarshal([]byte(raw), &order) == nil:
			parts := make([]string, len(order))
			for i, n := range order {
				parts[i] = strconv.Itoa(n)
			}
			text = strings.Join(parts, "-")
		case field.Name == "firing_intervals" && json.Unmarshal([]byte(raw), &intervals) == nil:
			parts := make([]string, len(intervals))
			for i, n := range intervals {
				parts[i] = decimal(n.String())
			}
			text = strings.Join(parts, "-")
		case field.Name == "numbering" && raw[0] == '{':
			text = raw
		default:
			r.refuse(where, field.Label, "it has to be text in quotation marks: "+clip(raw))
			return
		}
	}
	r.facts.Values[slot] = Value{Text: text, From: where}
}

// refused is input that was typed as text and is wrong for the reason given.
func refused(text, why string) *fault.Field {
	f := fault.Refuse("", why)
	f.Text = text
	return f
}

// decimal writes a JSON number as plain decimal text. More than six decimals (a
// nanometre, a millionth of a degree) are rounded. What is no number stays as
// it is and is refused by the parser, which then can quote it.
func decimal(raw string) string {
	if text, isText := textOf(raw); isText {
		return text
	}
	text := raw
	_, decimals, _ := strings.Cut(text, ".")
	if len(decimals) <= 6 && !strings.ContainsAny(text, "eE") {
		return text
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.Abs(v) >= 1e9 {
		return text
	}
	rounded := strconv.FormatFloat(v, 'f', 6, 64)
	return strings.TrimRight(strings.TrimRight(rounded, "0"), ".")
}

// isDate tells whether text is a day as year-month-day. Dates are compared as
// text and never become an instant, so that no time zone can shift them. (Package
// time would also add 100 kB to the tablet's module.)
func isDate(text string) bool {
	if len(text) != len("2027-04-01") || text[4] != '-' || text[7] != '-' {
		return false
	}
	for i := range text {
		if text[i] != '-' && (text[i] < '0' || text[i] > '9') {
			return false
		}
	}
	year, err1 := strconv.Atoi(text[:4])
	month, err2 := strconv.Atoi(text[5:7])
	day, err3 := strconv.Atoi(text[8:])
	if err1 != nil || err2 != nil || err3 != nil || year < 2000 || month < 1 || month > 12 || day < 1 {
		return false
	}
	days := []int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		days = 29
	}
	return day <= days
}

// noteFault tells why a text cannot be used as a note; empty when it can.
func noteFault(field Field, text string) string {
	if field.Quantity == DateQ && text != "" {
		if !isDate(text) {
			return fmt.Sprintf("write the date as year-month-day, for example 2027-04-01; it says %q", text)
		}
	}
	if len(field.Words) > 0 && !field.Open && text != "" {
		for _, w := range field.Words {
			if w == text {
				return ""
			}
		}
		return fmt.Sprintf("it has to be one of %s; it says %q", strings.Join(field.Words, ", "), text)
	}
	return ""
}
