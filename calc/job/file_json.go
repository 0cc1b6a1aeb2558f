package job

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// members are the keys of a JSON object in the order in which they stand, with their
// values as read. An object has few keys, so that a list is quicker than a map.
type members struct{ list []member }

type member struct {
	key, raw string
}

// get returns the value of a key, "" where there is none.
func (m *members) get(key string) string {
	if m == nil {
		return ""
	}
	for i := range m.list {
		if m.list[i].key == key {
			return m.list[i].raw
		}
	}
	return ""
}

// set gives a key that is there another value.
func (m *members) set(key, raw string) {
	for i := range m.list {
		if m.list[i].key == key {
			m.list[i].raw = raw
		}
	}
}

// take removes a key from m and returns its value; JSON null counts as absent.
func take(m *members, key string) string {
	if m == nil {
		return ""
	}
	for i := range m.list {
		if m.list[i].key != key {
			continue
		}
		raw := m.list[i].raw
		m.list = append(m.list[:i], m.list[i+1:]...)
		if raw == "null" {
			return ""
		}
		return raw
	}
	return ""
}

// document reads a whole file, which has to be one JSON object. Everything in it is
// valid JSON afterwards, so that what reads its parts need not look again.
func (r *fileReader) document(data []byte) *members {
	const where = "the file"
	d := json.NewDecoder(bytes.NewReader(data))
	var raw json.RawMessage
	err := d.Decode(&raw)
	if start := bytes.TrimLeft(data, " \t\r\n"); len(start) == 0 || start[0] != '{' {
		r.refuse(where, "", "it has to be an object in braces: "+clip(string(start)))
		return nil
	}
	if err != nil {
		at := len(data)
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) {
			at = min(at, int(syntax.Offset))
		}
		r.refuse(where, "", fmt.Sprintf("it is not JSON: %v in line %d", err, 1+bytes.Count(data[:at], []byte("\n"))))
		return nil
	}
	if len(bytes.TrimSpace(data[d.InputOffset():])) > 0 {
		r.refuse(where, "", "there is more text after the closing brace")
		return nil
	}
	return r.object(where, string(raw)) // all that is read is a part of this one text
}

// object reads a JSON object without its values. A key that stands twice is
// refused: of two values that were written neither may get lost.
func (r *fileReader) object(where, raw string) *members {
	if len(raw) == 0 {
		return nil
	}
	if raw[0] != '{' {
		r.refuse(where, "", "it has to be an object in braces: "+clip(raw))
		return nil
	}
	m := &members{list: make([]member, 0, 6)}
	for at := step(raw, 1, '}'); at > 0; {
		end := after(raw, at)
		key, _ := textOf(raw[at:end])
		at = blank(raw, 1+blank(raw, end)) // behind the colon
		end = after(raw, at)
		if m.get(key) != "" {
			r.refuse(where, key, "it stands there twice; leave one of them")
			m.set(key, raw[at:end])
		} else {
			m.list = append(m.list, member{key, raw[at:end]})
		}
		at = step(raw, end, '}')
	}
	return m
}

// array reads a JSON list without its values; null is an empty one.
func (r *fileReader) array(where, raw string) []string {
	switch {
	case len(raw) == 0 || raw == "null":
		return nil
	case raw[0] != '[':
		r.refuse(where, "", "it has to be a list in brackets: "+clip(raw))
		return nil
	}
	list := make([]string, 0, 4)
	for at := step(raw, 1, ']'); at > 0; {
		end := after(raw, at)
		list = append(list, raw[at:end])
		at = step(raw, end, ']')
	}
	return list
}

// step goes from at, in front of a comma or at the very beginning, to what comes next
// in a list or an object; 0 when it is closed there. Of these three the text is valid.
func step(raw string, at int, closing byte) int {
	at = blank(raw, at)
	if raw[at] == ',' {
		at = blank(raw, at+1)
	}
	if raw[at] == closing {
		return 0
	}
	return at
}

// blank goes over white space.
func blank(raw string, at int) int {
	for raw[at] == ' ' || raw[at] == '\n' || raw[at] == '\r' || raw[at] == '\t' {
		at++
	}
	return at
}

// after returns where the value that begins at at has ended.
func after(raw string, at int) int {
	open := 0
	for ; at < len(raw); at++ {
		switch raw[at] {
		case '"':
			for at++; raw[at] != '"'; at++ {
				if raw[at] == '\\' {
					at++
				}
			}
			if open == 0 {
				return at + 1
			}
		case '{', '[':
			open++
		case '}', ']':
			if open--; open == 0 {
				return at + 1
			}
			if open < 0 {
				return at // of what the value stands in
			}
		case ',', ' ', '\n', '\r', '\t', ':':
			if open == 0 {
				return at
			}
		}
	}
	return at
}

// textOf returns the text of a JSON string; null is an empty one.
func textOf(raw string) (text string, isText bool) {
	if raw == "null" {
		return "", true
	}
	if raw == "" || raw[0] != '"' {
		return "", false
	}
	if inner := raw[1 : len(raw)-1]; strings.IndexByte(inner, '\\') < 0 && utf8.ValidString(inner) {
		return inner, true
	}
	return text, json.Unmarshal([]byte(raw), &text) == nil
}
