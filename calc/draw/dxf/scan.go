package dxf

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// group is the least part of a DXF: a code that says what the value is, and the
// value, each on a line of its own.
type group struct {
	code  int
	value string
	line  int // of the value
}

// scanner reads groups.
type scanner struct {
	text  string
	end   byte // what ends a line
	at    int  // of the next byte
	line  int  // lines read so far
	begun bool // a group was read
	// held is a group that was read and put back.
	held    group
	holding bool
}

// newScanner looks at what the file is before it is read as groups.
func newScanner(data []byte) (*scanner, error) {
	if len(data) > mostBytes {
		return nil, fmt.Errorf("the file has %.1f MiB: want at most %d MiB", float64(len(data))/(1<<20), mostBytes>>20)
	}
	head := data[:min(len(data), 32)]
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return nil, fmt.Errorf("the file is empty")
	case bytes.Contains(head, []byte("Binary DXF")):
		return nil, fmt.Errorf("this is a binary DXF: have it saved as ASCII DXF, R12 where there is a choice")
	case len(head) > 5 && string(head[:2]) == "AC" && isDigits(string(head[2:6])):
		return nil, fmt.Errorf("this is a DWG, which cannot be read here: have it saved as DXF")
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return nil, fmt.Errorf("the file is written as UTF-16, which no DXF is: have it saved as ASCII DXF")
	}
	s := &scanner{text: strings.TrimPrefix(string(data), "\ufeff"), end: '\n'}
	if !strings.Contains(s.text, "\n") {
		s.end = '\r'
	}
	return s, nil
}

func isDigits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

// next returns the next group, false at the end of the text. Comments are left out.
func (s *scanner) next() (group, bool, error) {
	if s.holding {
		s.holding = false
		return s.held, true, nil
	}
	for {
		code, ok := s.read()
		for code = strings.TrimSpace(code); ok && code == "" && !s.begun; code = strings.TrimSpace(code) {
			code, ok = s.read()
		}
		// Behind the end some programs leave blanks and the old sign for the end of a text.
		if !ok || (code == "" || code == "\x1a") && strings.Trim(s.text[s.at:], " \t\r\n\x1a\x00") == "" {
			return group{}, false, nil
		}
		n, err := strconv.Atoi(code)
		if err != nil || n < -5 || n > 1071 {
			return group{}, false, fmt.Errorf("line %d: %s where a group code should be: this is no DXF, or a line is missing", s.line, quoted(code))
		}
		s.begun = true
		value, ok := s.read()
		if !ok {
			return group{}, false, fmt.Errorf("line %d: the file ends in the middle of a group", s.line)
		}
		if n != comment {
			return group{n, value, s.line}, true, nil
		}
	}
}

// comment is the code of a group that says nothing to a program.
const comment = 999

// back puts the last group back.
func (s *scanner) back(g group) { s.held, s.holding = g, true }

// read returns the next line without its end.
func (s *scanner) read() (string, bool) {
	if s.at >= len(s.text) {
		return "", false
	}
	rest := s.text[s.at:]
	n := strings.IndexByte(rest, s.end)
	if n < 0 {
		n = len(rest)
	}
	s.at = min(s.at+n+1, len(s.text))
	s.line++
	return strings.TrimSuffix(rest[:n], "\r"), true
}

// number reads a value as a number of at most largest in size.
func (g group) number() (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(g.value), 64)
	if err != nil || !(v >= -largest && v <= largest) {
		return 0, fmt.Errorf("line %d: %s is not a number that can be used", g.line, quoted(g.value))
	}
	return v, nil
}

// whole reads a value as a whole number.
func (g group) whole() (int, error) {
	v, err := strconv.ParseInt(strings.TrimSpace(g.value), 10, 32)
	if err != nil {
		return 0, fmt.Errorf("line %d: %s is not a whole number", g.line, quoted(g.value))
	}
	return int(v), nil
}

// name reads a value as the name of a layer or a block. Old files are written in
// one of many code pages and do not always say which: what is not UTF-8 is read as
// Latin-1, so that different names stay different.
func (g group) name() string {
	text := strings.TrimSpace(g.value)
	if !utf8.ValidString(text) {
		runes := make([]rune, len(text))
		for i := range len(text) {
			runes[i] = rune(text[i])
		}
		text = string(runes)
	}
	return strings.ToUpper(text)
}

// quoted repeats a text in a sentence, the beginning of it if it is long.
func quoted(text string) string {
	const most = 40
	if runes := []rune(text[:min(len(text), 4*most)]); len(runes) > most {
		text = string(runes[:most]) + "…"
	}
	return strconv.Quote(text)
}
