package fault

import (
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Error returns one sentence for a person:
//
//	port p3: Port width: cannot read "4 1//2 in" (a fraction needs a number below the slash); allowed 5 to 150 mm
//	port p3: Port width: cannot use 200 mm; allowed 5 to 150 mm
//
// Values have at most three decimals, except where a value so rounded would
// look like the limit that it misses.
func (f *Field) Error() string {
	var b strings.Builder
	for _, part := range []string{f.Where, f.Name} {
		if part != "" {
			b.WriteString(part + ": ")
		}
	}
	b.WriteString(f.trouble())
	if allowed := f.allowed(); allowed != "" {
		b.WriteString("; allowed " + allowed)
	}
	return b.String()
}

// trouble is the middle of the sentence: what was entered and what is wrong with it.
func (f *Field) trouble() string {
	what := ""
	switch {
	case f.valued():
		what = "cannot use " + f.got()
	case f.Text != "":
		what = "cannot read " + quote(f.Text)
	case f.Why != "":
		return f.Why
	default:
		return "not a number"
	}
	if f.Why != "" {
		what += " (" + f.Why + ")"
	}
	return what
}

// valued reports whether there is a value to show. The zero of a Field literal
// that states no value, unit or range is not one.
func (f *Field) valued() bool {
	return !math.IsNaN(f.Got) && (f.Got != 0 || f.Unit != "" || f.ranged())
}

// got prints the value, with more decimals than three if it would otherwise read
// like one of the limits, or like zero, without being it.
func (f *Field) got() string {
	low, high := f.limits()
	for places := 3; places <= 12; places++ {
		text := number(f.Got, places)
		if f.Got != 0 && text == "0" ||
			low != nil && f.Got != *low && text == number(*low, places) ||
			high != nil && f.Got != *high && text == number(*high, places) {
			continue
		}
		return withUnit(text, f.Unit)
	}
	return withUnit(strconv.FormatFloat(f.Got, 'g', -1, 64), f.Unit)
}

func (f *Field) allowed() string {
	low, high := f.limits()
	switch {
	case low == nil && high == nil:
		return ""
	case high == nil:
		return "at least " + withUnit(number(*low, 3), f.Unit)
	case low == nil:
		return "at most " + withUnit(number(*high, 3), f.Unit)
	}
	return number(*low, 3) + " to " + withUnit(number(*high, 3), f.Unit)
}

// number prints x with at most so many decimals and no zeros at the end.
func number(x float64, places int) string {
	if math.IsInf(x, 0) || math.Abs(x) >= 1e15 {
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
	text := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}

func withUnit(number, unit string) string {
	if unit == "" || unit == "°" {
		return number + unit
	}
	return number + " " + unit
}

// quoteMax is how much of a text is repeated in a sentence, in characters; the
// field still holds all of it.
const quoteMax = 60

// quote puts a text in quotation marks without backslashes before the inch marks
// in it. What has no shape on a screen is written as its code.
func quote(text string) string {
	var b strings.Builder
	n := 0
	for _, r := range text {
		if n++; n > quoteMax {
			b.WriteString("…")
			break
		}
		if unicode.IsPrint(r) || unicode.Is(unicode.Zs, r) {
			b.WriteRune(r)
		} else {
			b.WriteString(strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
		}
	}
	if strings.Contains(text, `"`) {
		return "“" + b.String() + "”"
	}
	return `"` + b.String() + `"`
}
