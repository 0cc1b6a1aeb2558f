package units

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// scan walks over what was typed, from left to right and never back over what
// has been taken.
type scan struct {
	text string
	at   int // index of the next byte
}

// end is what peek returns behind the last character.
const end rune = -1

func (s *scan) peek() rune {
	if s.at == len(s.text) {
		return end
	}
	if b := s.text[s.at]; b < utf8.RuneSelf {
		return rune(b)
	}
	r, _ := utf8.DecodeRuneInString(s.text[s.at:])
	return r
}

// skip steps over the next character; there must be one.
func (s *scan) skip() {
	_, n := utf8.DecodeRuneInString(s.text[s.at:])
	s.at += n
}

// take steps over the next character if it is one of set.
func (s *scan) take(set string) bool {
	if !strings.ContainsRune(set, s.peek()) {
		return false
	}
	s.skip()
	return true
}

// blanks are the spaces of keyboards and of pasted text: space, non-breaking,
// figure, thin, narrow non-breaking.
const blanks = " \u00a0\u2007\u2009\u202f"

func (s *scan) spaces() (any bool) {
	for s.take(blanks) {
		any = true
	}
	return any
}

func (s *scan) digits() string {
	from := s.at
	for s.at < len(s.text) && isDigit(rune(s.text[s.at])) {
		s.at++
	}
	return s.text[from:s.at]
}

func (s *scan) letters() string {
	from := s.at
	for s.at < len(s.text) && isLetter(rune(s.text[s.at])) {
		s.at++
	}
	return s.text[from:s.at]
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// show prints a character for a sentence; what may have no shape on a screen,
// by its number.
func show(r rune) string {
	if r > ' ' && r < 0x7f || r > 0xa0 && r < 0x250 && r != 0xad {
		return string(r)
	}
	hex := strings.ToUpper(strconv.FormatInt(int64(r), 16))
	return "U+" + strings.Repeat("0", max(0, 4-len(hex))) + hex
}
