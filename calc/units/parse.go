package units

import (
	"math"

	"tubewright/calc/fault"
)

// ParseLength reads a length in the grammar of the package comment; text without
// a unit is in def, one of the units of length. V is in nanometres.
//
// The error is a *fault.Field with Text and Why; fault.At adds the name and the
// range of the field.
func ParseLength(text string, def Unit) (Typed, error) { return parse(&length, text, def) }

// ParseAngle reads an angle in degrees, with or without a mark: 72, 72.5, 72,5°,
// 72 deg. V is in millionths of a degree. The error is as for ParseLength.
func ParseAngle(text string) (Typed, error) { return parse(&angle, text, "deg") }

// ParseNumber reads a plain number: 4, 5500, 146,5. V is in millionths. The error
// is as for ParseLength.
func ParseNumber(text string) (Typed, error) { return parse(&number, text, "1") }

// kind is a kind of quantity and what can be written for it.
type kind struct {
	good     string // what a good entry looks like
	notUnit  string // what to say of a unit that is none of these
	scales   map[Unit]scale
	maxWhole int // figures before the decimal mark
}

// scale is how a unit counts: how many of the smallest steps it has, and how many
// decimals of it can be kept. The last decimal that is kept is at least one step.
type scale struct {
	steps    int64
	decimals int
	coarsest int64  // what a figure without decimals is meant to, in steps
	label    string // behind a number in a sentence
}

// Nobody who writes 2 in means that 3 in would say the same. A figure without
// decimals is taken to be meant to half a millimetre, a sixty-fourth of an inch or
// a tenth of a degree (common practice, no source); a plain number is a count or a
// setting and is meant exactly.
const (
	coarsestMetric = 500_000
	coarsestInch   = sixtyfourthNM
	coarsestAngle  = 100_000
	exact          = 0
)

var (
	length = kind{
		good:    `a length reads like 41.3 mm, 1 5/8 in or 1' 3 1/2"`,
		notUnit: "is not a unit of length; use mm, cm, m, in or ft",
		scales: map[Unit]scale{
			"mm": {1_000_000, 6, coarsestMetric, " mm"},
			"cm": {10_000_000, 7, coarsestMetric, " cm"},
			"m":  {1_000_000_000, 9, coarsestMetric, " m"},
			"in": {inchNM, 7, coarsestInch, " in"},
			"ft": {12 * inchNM, 8, coarsestInch, " ft"},
		},
		maxWhole: 6,
	}
	angle = kind{
		good:     "an angle reads like 72.5 or 72.5°",
		notUnit:  "is not a unit of angle; use ° or deg",
		scales:   map[Unit]scale{"deg": {1_000_000, 6, coarsestAngle, "°"}},
		maxWhole: 6,
	}
	number = kind{
		good:     "a number reads like 4 or 146.5",
		notUnit:  "does not belong here; a number reads like 4 or 146.5",
		scales:   map[Unit]scale{"1": {1_000_000, 6, exact, ""}},
		maxWhole: 9,
	}
)

const (
	inchNM        = 25_400_000  // exact, see Inch
	sixtyfourthNM = inchNM / 64 // 396,875, exact
)

// words and marks are the ways to write a unit.
var (
	words = map[string]Unit{"mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "ft": "ft", "deg": "deg"}
	marks = map[rune]Unit{'"': "in", '″': "in", '”': "in", '\'': "ft", '′': "ft", '’': "ft", '°': "deg"}
)

func parse(k *kind, text string, def Unit) (Typed, error) {
	s := scan{text: text}
	t, why := s.quantity(k, def)
	if why != "" {
		return Typed{}, &fault.Field{Text: text, Got: math.NaN(), Low: math.Inf(-1), High: math.Inf(1), Why: why}
	}
	t.Text = text
	return t, nil
}

// quantity reads the whole text.
func (s *scan) quantity(k *kind, def Unit) (t Typed, why string) {
	if _, ok := k.scales[def]; !ok {
		return t, `"` + string(def) + `" ` + k.notUnit
	}
	s.spaces()
	if s.peek() == end {
		return t, whyNothing
	}
	sign := ""
	if s.take("-\u2212") {
		sign = "-"
		if s.spaces() {
			return t, whyMinus
		}
	}
	f, why := s.figure(k)
	if why != "" {
		return t, why
	}
	unit, why := s.unit(k)
	if why != "" {
		return t, why
	}
	hyphen := unit == "ft" && s.take("-")
	s.spaces()
	if hyphen || unit == "ft" && s.peek() != end {
		t, why = s.inches(k, f, sign)
	} else {
		t, why = k.typed(f, unit, def, sign)
	}
	if why != "" {
		return t, why
	}
	if s.spaces(); s.peek() != end {
		return t, s.stray(k)
	}
	if sign != "" {
		t.V = -t.V
	}
	return t, ""
}

// unit reads a unit and the spaces before it; without one it returns "".
func (s *scan) unit(k *kind) (unit Unit, why string) {
	s.spaces()
	r := s.peek()
	shown := ""
	if isLetter(r) {
		shown = s.letters()
		if (shown == "e" || shown == "E") && (isDigit(s.peek()) || s.take("+-")) {
			return "", whyPower
		}
		unit = words[shown]
	} else if unit = marks[r]; unit != "" {
		s.skip()
		shown = string(r)
		if unit == "ft" && marks[s.peek()] == "ft" {
			return "", whyTwoPrimes
		}
	} else {
		return "", ""
	}
	if _, ok := k.scales[unit]; !ok {
		return "", `"` + shown[:min(len(shown), 12)] + `" ` + k.notUnit
	}
	return unit, ""
}

// inches reads on behind feet. The value is in inches, as its last figure is.
func (s *scan) inches(k *kind, feet figure, sign string) (t Typed, why string) {
	if r := s.peek(); !isDigit(r) && !isFraction(r) { // not .5 either: 0'.5 is too near to 0.5
		return t, s.stray(k)
	}
	if feet.decimals != "" || feet.den != 0 {
		return t, whyFeetWhole
	}
	f, why := s.figure(k)
	if why != "" {
		return t, why
	}
	unit, why := s.unit(k)
	if why != "" {
		return t, why
	}
	if unit != "in" {
		return t, whyInchMark
	}
	t, why = k.typed(f, unit, unit, sign)
	if why != "" {
		return t, why
	}
	if t.V >= 12*inchNM {
		return t, whyTwelve
	}
	t.V += atoi(feet.whole) * 12 * inchNM
	return t, ""
}

// stray says that the next character has no place here.
func (s *scan) stray(k *kind) string {
	if s.peek() == end {
		return "something is missing at the end; " + k.good
	}
	return `"` + show(s.peek()) + `" does not belong there; ` + k.good
}
