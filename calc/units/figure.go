package units

import "strings"

// figure is a number as it was written, before it has a unit. It has decimals or
// a fraction or neither, never both.
type figure struct {
	whole    string // figures before the mark; empty for ".5" and for a bare fraction
	decimals string // figures after the mark
	comma    bool   // the mark was a comma
	num      int64
	den      int64 // 0 when there is no fraction
}

const (
	point  = ".,"
	slash  = "/\u2044"
	maxNum = 6 // figures above a slash
)

// glyphs are the fractions with a character of their own that a rule has.
var glyphs = map[rune][2]int64{
	'½': {1, 2}, '¼': {1, 4}, '¾': {3, 4}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

// otherGlyphs are the thirds, fifths and so on, and the unfinished 1/.
const otherGlyphs = "⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅟↉"

// figure reads one number. why is empty or says why it is none.
func (s *scan) figure(k *kind) (f figure, why string) {
	f.whole = s.digits()
	if r := s.peek(); s.take(point) {
		f.comma = r == ','
		return s.decimals(k, f)
	}
	if f.whole == "" {
		return s.fraction(k, f, "")
	}
	if s.take(slash) {
		num := f.whole
		f.whole = ""
		return s.below(f, num)
	}
	if why := k.whole(f.whole); why != "" {
		return f, why
	}
	hyphen := s.take("-")
	if !hyphen {
		s.spaces()
	}
	return s.mixed(k, f, hyphen)
}

// decimals reads on behind a decimal mark.
func (s *scan) decimals(k *kind, f figure) (figure, string) {
	f.decimals = s.digits()
	if f.decimals == "" {
		return f, whyDecimals
	}
	if s.take(point) {
		return f, whyTwoMarks
	}
	s.spaces()
	if r := s.peek(); isDigit(r) || isFraction(r) {
		return f, whyAfterDecimals
	}
	if f.whole == "" {
		return f, ""
	}
	return f, k.whole(f.whole)
}

// mixed reads on behind a whole number and its hyphen or space, where a fraction
// may follow.
func (s *scan) mixed(k *kind, f figure, hyphen bool) (figure, string) {
	num := s.digits()
	if num == "" && !isFraction(s.peek()) {
		if hyphen {
			return f, whyHyphen
		}
		return f, ""
	}
	if num != "" && !strings.ContainsRune(slash, s.peek()) {
		if hyphen {
			return f, whyHyphen
		}
		return f, whySpace
	}
	f, why := s.fraction(k, f, num)
	switch {
	case why != "":
		return f, why
	case f.whole == "0":
		return f, whyZeroWhole
	case f.num >= f.den:
		return f, whyMixed
	}
	return f, ""
}

// fraction reads a fraction whose upper number, if it has one of its own, is num.
func (s *scan) fraction(k *kind, f figure, num string) (figure, string) {
	if s.take(slash) {
		return s.below(f, num)
	}
	r := s.peek()
	if g, ok := glyphs[r]; ok {
		s.skip()
		f.num, f.den = g[0], g[1]
		return f, ""
	}
	if isFraction(r) {
		return f, whyDenominator
	}
	return f, "a number has to come first; " + k.good
}

// below reads on behind a slash.
func (s *scan) below(f figure, num string) (figure, string) {
	den := s.digits()
	switch {
	case num == "" || num == "0":
		return f, whyAbove
	case den == "":
		return f, whyBelow
	case num[0] == '0' || den[0] == '0' && den != "0":
		return f, whyLeadingZero
	case den == "0":
		return f, whyZeroBelow
	case len(num) > maxNum:
		return f, whyManyAbove
	case len(den) > 3:
		return f, whyDenominator
	}
	f.num, f.den = atoi(num), atoi(den)
	if f.den < 2 || f.den > 128 || f.den&(f.den-1) != 0 {
		return f, whyDenominator
	}
	return f, ""
}

func isFraction(r rune) bool {
	return r != end && (glyphs[r] != [2]int64{} || strings.ContainsRune(otherGlyphs+slash, r))
}

// atoi reads digits that are known to be few enough for an int64.
func atoi(digits string) int64 {
	var n int64
	for i := range len(digits) {
		n = n*10 + int64(digits[i]-'0')
	}
	return n
}
