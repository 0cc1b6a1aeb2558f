package job

import (
	"encoding/hex"
	"hash/fnv"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/sorted"
)

// About names something that was entered: a thing by kind and id, what belongs to it of
// the kinds With names, and of the thing itself all fields, or those named.
type About struct {
	Kind, ID string
	Fields   []string
	With     []string
}

// SignOf is a hash of what was entered about these things, and of words beside it. It
// changes with any value of theirs in use, and with which of them there are in which
// order; with nothing else. Values are whole numbers and words, so that every machine
// makes the same of them, which it would not of results.
func (w Worked) SignOf(words []string, about ...About) string {
	h := fnv.New128a()
	put := func(text string) {
		h.Write([]byte(strconv.Quote(text))) // never fails; quoted, so that no two lists read alike
	}
	for _, word := range words {
		put(word)
	}
	for _, a := range about {
		put(a.Kind)
		w.facts.put(put, a.Kind, a.ID, a.Fields)
		w.facts.putIn(put, a.ID, a.With)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// put gives the values of a thing in the order of their fields' names.
func (f Facts) put(put func(string), kind, id string, fields []string) {
	put(id)
	put(f.title(kind, id)) // it stands on what is drawn, and may count those before it
	slots := f.elsewhere(kind, id, fields)
	for slot := range f.Values {
		if k, i, field, ok := SplitSlot(slot); ok && k == kind && i == id && field != orderField && (fields == nil || slices.Contains(fields, field)) {
			slots = append(slots, slot)
		}
	}
	sorted.By(slots, strings.Compare)
	for _, slot := range slots {
		v := f.Values[slot]
		put(slot)
		if isWord(slot) {
			put(v.Text)
		} else {
			put(strconv.FormatInt(v.V, 10))
		}
	}
}

// elsewhere are the slots that count where fields of a thing are left open.
func (f Facts) elsewhere(kind, id string, fields []string) (slots []string) {
	k, _ := KindOf(kind)
	for _, field := range k.Fields {
		if field.Else == "" || fields != nil && !slices.Contains(fields, field.Name) {
			continue
		}
		_, own := f.Values[Slot(kind, id, field.Name)]
		if _, known := f.Values[field.Else]; known && !own {
			slots = append(slots, field.Else)
		}
	}
	return slots
}

// putIn gives what belongs to a thing, and to that, of these kinds, in its order.
func (f Facts) putIn(put func(string), id string, kinds []string) {
	for _, kind := range kinds {
		for _, e := range f.in(kind, id) {
			put(kind)
			f.put(put, kind, e.ID, nil)
			f.putIn(put, e.ID, kinds)
		}
	}
}
