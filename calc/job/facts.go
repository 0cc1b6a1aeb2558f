package job

import (
	"maps"
	"slices"
	"strings"

	"tubewright/calc/ledger"
	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// Value is one entered value: exactly what was typed and how it reads.
type Value struct {
	Text string     // as typed; for words the word itself
	Unit units.Unit // of Text; empty for words
	V    int64      // nanometres, millionths of a degree or millionths; 0 for words
	From string     // where it stands: a record's id or a place in the job file
}

// Entity is one thing in a list: a bolt, a port, a tube, a piece of a path.
type Entity struct {
	ID     string
	Parent string // id of the bank or tube it belongs to; empty where there is none
	Order  string // text key, compared bytewise
}

// Unknown is a part of a job file that this version does not use.
type Unknown struct {
	Where string // path in the file
	JSON  string // kept as read
}

// Facts is everything that was entered for a job, by slot, before anything is
// made of it. Both records and job files become Facts, so that one check and one
// conversion serve both.
type Facts struct {
	Lists   map[string][]Entity    // by kind, in order
	Values  map[string]Value       // by slot
	Notes   map[string]string      // by slot
	Events  map[string]ledger.Note // by slot: the latest that was said of a piece at the bench
	Heads   map[string][]string    // by slot of what was counted: ids of the readings that stand
	Unknown []Unknown
	Shared  Shared      // of the shop's own job
	Decided ledger.Note // who said the last of what was decided, and when; no text
}

// Slot names one field of one entity: kind/entity-id/field.
func Slot(kind, id, field string) string { return kind + "/" + id + "/" + field }

// SplitSlot is the inverse of Slot; ok is false unless there are three parts.
func SplitSlot(slot string) (kind, id, field string, ok bool) {
	kind, rest, ok1 := strings.Cut(slot, "/")
	id, field, ok2 := strings.Cut(rest, "/")
	ok = ok1 && ok2 && kind != "" && id != "" && field != "" && !strings.Contains(field, "/")
	return kind, id, field, ok
}

// in returns the entities of a kind that belong to parent, in order.
func (f Facts) in(kind, parent string) []Entity {
	var es []Entity
	for _, e := range f.Lists[kind] {
		if e.Parent == parent {
			es = append(es, e)
		}
	}
	return es
}

// ids returns the entity ids of a kind; a kind of which a job has one gives Self.
func (f Facts) ids(k Kind) []string {
	if k.Single {
		return []string{Self}
	}
	ids := make([]string, 0, len(f.Lists[k.Name]))
	for _, e := range f.Lists[k.Name] {
		ids = append(ids, e.ID)
	}
	return ids
}

func (f Facts) has(kind, id string) bool {
	return slices.ContainsFunc(f.Lists[kind], func(e Entity) bool { return e.ID == id })
}

// newFacts returns facts of nothing.
func newFacts() Facts {
	return Facts{Lists: map[string][]Entity{}, Values: map[string]Value{}, Notes: map[string]string{}, Events: map[string]ledger.Note{}, Heads: map[string][]string{}}
}

// with returns a copy in which one slot has another value. Notes are shared with
// the original, and so are lists unless the value is what puts an entity into one.
func (f Facts) with(slot string, v Value) Facts {
	f = f.without(slot)
	f.Values[slot] = v
	return f.relisted(slot)
}

// without returns a copy in which one slot has no value.
func (f Facts) without(slot string) Facts {
	f.Values = maps.Clone(f.Values)
	delete(f.Values, slot)
	return f.relisted(slot)
}

// relisted makes the lists again where a slot says what is in them, and in which order.
func (f Facts) relisted(slot string) Facts {
	kind, _, field, _ := SplitSlot(slot)
	k, known := KindOf(kind)
	if known && !k.Single && (field == orderField || field == k.Parent) {
		f.Lists = lists(f.Values)
	}
	return f
}

// sortEntities orders by parent, then the order key, then the id, so that two
// equal keys (made on two tablets at once) still give the same list everywhere.
func sortEntities(es []Entity) {
	sorted.By(es, func(a, b Entity) int {
		if c := strings.Compare(a.Parent, b.Parent); c != 0 {
			return c
		}
		if c := strings.Compare(a.Order, b.Order); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	})
}

// word, length, angle and number read one slot; known is false when it is open.
func (f Facts) word(kind, id, field string) string { return f.Values[Slot(kind, id, field)].Text }

func (f Facts) length(kind, id, field string) Opt[units.Length] {
	v, known := f.Values[Slot(kind, id, field)]
	return Opt[units.Length]{units.LengthNM(v.V), known}
}

func (f Facts) angle(kind, id, field string) Opt[units.Angle] {
	v, known := f.Values[Slot(kind, id, field)]
	return Opt[units.Angle]{units.Angle(float64(v.V)/1e6) * units.Degree, known}
}

func (f Facts) number(kind, id, field string) Opt[float64] {
	v, known := f.Values[Slot(kind, id, field)]
	return Opt[float64]{float64(v.V) / 1e6, known}
}

// Opt is a value that may not have been entered yet. Zero is a measurement, so
// it cannot stand for "not entered".
type Opt[T any] struct {
	V     T
	Known bool
}

// orElse returns o, or other when o is not known.
func (o Opt[T]) orElse(other Opt[T]) Opt[T] {
	if o.Known {
		return o
	}
	return other
}

// Or returns the value, or def when it is not known.
func (o Opt[T]) Or(def T) T {
	if o.Known {
		return o.V
	}
	return def
}
