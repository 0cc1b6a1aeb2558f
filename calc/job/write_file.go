package job

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tubewright/calc/ledger"
	"tubewright/calc/sorted"
	"tubewright/calc/units"
)

// FileOf writes a job as a job file, for people and for other programs: the reading in use
// of every slot, with the stock and the saw of the shop's own job, so that nothing else is
// needed to work it out. What a job file has no word for stays in the records: other
// readings, who measured with what and when, photos, choices. left names what else could
// not be written, because it cannot be used, or because the path up to it is not there.
// The error is for a text that would not be read again.
func FileOf(recs []ledger.Record, shop ...ledger.Record) (data []byte, left []string, err error) {
	facts, faults := fromFolded(ledger.Fold(recs))
	usable, wrong, _ := check(facts)
	for _, f := range append(faults, wrong...) {
		left = append(left, facts.label(f.Slot))
	}
	w := &fileWriter{f: usable, ids: map[string]string{}, taken: map[string]bool{}, slots: map[string]string{}}
	w.f.withShop(shop)
	data = []byte(pretty(w.document(), 0) + "\n")
	back, err := ReadFile(data)
	if err != nil {
		return nil, nil, fmt.Errorf("write a job file: %w", err)
	}
	for slot, v := range w.f.Values {
		if kind, _, name, _ := SplitSlot(slot); name == orderField || isUnwritten[kind] || fieldOf(kind, name).Name == "" {
			continue
		}
		got, written := back.Values[w.slots[slot]]
		if isSame := got.V == v.V && (v.Unit != "" || got.Text == w.word(slot, v)); !written || !isSame {
			left = append(left, w.f.label(slot))
		}
	}
	slices.Sort(left)
	return data, slices.Compact(left), nil
}

// isUnwritten are kinds that a job file has no place for: what was taken of stock is in
// what is on hand.
var isUnwritten = map[string]bool{"use": true}

// Label names a slot for people: "Port 3: Width".
func (w Worked) Label(slot string) string { return w.facts.label(slot) }

func (f Facts) label(slot string) string {
	kind, id, name, _ := SplitSlot(slot)
	label := fieldOf(kind, name).Label
	if title := f.title(kind, id); title != "" {
		return title + ": " + label
	}
	return label
}

// withShop adds the stock and the saw of the shop's own job; what the job says itself stands.
func (f *Facts) withShop(shop []ledger.Record) {
	if len(shop) == 0 {
		return
	}
	read, _ := fromFolded(ledger.Fold(shop))
	own, _, _ := check(read)
	has := map[string]bool{}
	for _, e := range f.Lists["stock"] {
		has[e.ID] = true
	}
	f.Lists = cloneLists(f.Lists)
	f.Notes = cloneNotes(f.Notes)
	for _, e := range own.Lists["stock"] {
		if has[e.ID] {
			continue // a job that names its stock like the shop's has its own
		}
		f.Lists["stock"] = append(f.Lists["stock"], e)
		k, _ := KindOf("stock")
		for n := range k.Fields {
			slot := Slot("stock", e.ID, k.Fields[n].Name)
			if v, known := own.Values[slot]; known {
				f.Values[slot] = v
			}
			if text, known := own.Notes[slot]; known {
				f.Notes[slot] = text
			}
		}
	}
	k, _ := KindOf("shop")
	for n := range k.Fields {
		slot := Slot("shop", Self, k.Fields[n].Name)
		if _, known := f.Values[slot]; !known {
			if v, known := own.Values[slot]; known {
				f.Values[slot] = v
			}
		}
	}
}

func cloneLists(m map[string][]Entity) map[string][]Entity {
	c := make(map[string][]Entity, len(m))
	for k, v := range m {
		c[k] = slices.Clip(v)
	}
	return c
}

func cloneNotes(m map[string]string) map[string]string {
	c := make(map[string]string, len(m))
	for k, v := range m {
		c[k] = v
	}
	return c
}

// fileWriter writes facts as the text that fileReader reads.
type fileWriter struct {
	f     Facts
	ids   map[string]string // kind/id → its id in the file
	taken map[string]bool   // ids in the file
	slots map[string]string // → the slot that it is when the file is read
}

// object is a JSON object that is being written.
type object struct{ parts []string }

func (o *object) set(key, raw string) {
	if raw != "" {
		o.parts = append(o.parts, quoted(key)+": "+raw)
	}
}

func (o *object) list(key string, items []string) {
	if len(items) > 0 {
		o.set(key, listOf(items))
	}
}

func (o *object) text() string {
	if len(o.parts) == 0 {
		return ""
	}
	return "{" + strings.Join(o.parts, ", ") + "}"
}

func listOf(items []string) string { return "[" + strings.Join(items, ", ") + "]" }

func (w *fileWriter) document() string {
	w.name()
	o := &object{}
	o.set("tubewright", strconv.Itoa(FileVersion))
	for n := range Kinds {
		if k := &Kinds[n]; k.Single {
			m := &object{}
			w.fields(m, *k, Self)
			o.set(k.Name, m.text())
		}
	}
	for n := range Kinds {
		if k := &Kinds[n]; !k.Single && k.Parent == "" {
			o.list(listName(k.Name), w.entities(*k, ""))
		}
	}
	return o.text()
}

// listName is the key of a list of entities.
func listName(kind string) string {
	if kind == "stock" {
		return kind
	}
	return kind + "s"
}

// inPlace are kinds that are no list of their own name in the file: they have no id there,
// but one from their place in it, with these letters.
var inPlace = map[string]string{"element": "e", "tape": "t", "part": "s", "corner": "c", "mark": "m", "crook": "k", "rim": "r", "spot": "r", "tack": "f"}

// name decides what every entity is called in the file: as it is, unless another kind has
// something of the same name, or it has its name from its place.
func (w *fileWriter) name() {
	for n := range Kinds {
		k := &Kinds[n]
		for _, e := range w.f.Lists[k.Name] {
			if inPlace[k.Name] != "" || isUnwritten[k.Name] {
				continue
			}
			id := strings.Map(func(r rune) rune {
				if strings.ContainsRune("/ .[]", r) {
					return '-'
				}
				return r
			}, e.ID)
			for n := 2; w.taken[id]; n++ {
				id = e.ID + "-" + strconv.Itoa(n)
			}
			w.called(k.Name, e.ID, id)
		}
	}
	for n := range Kinds { // parents stand before their children
		k := &Kinds[n]
		count := map[string]int{}
		for _, e := range w.f.Lists[k.Name] {
			if inPlace[k.Name] != "" && w.isWritten(k.Name, e.ID) {
				count[e.Parent]++
				w.called(k.Name, e.ID, w.ids[k.Parent+"/"+e.Parent]+"-"+inPlace[k.Name]+strconv.Itoa(count[e.Parent]))
			}
		}
	}
}

func (w *fileWriter) called(kind, id, name string) {
	w.ids[kind+"/"+id] = name
	w.taken[name] = true
}

// isWritten tells whether the file can say an entity of a kind without ids at all: a piece of
// the path is its length or its angle.
func (w *fileWriter) isWritten(kind, id string) bool {
	known := func(name string) bool { _, known := w.f.Values[Slot(kind, id, name)]; return known }
	switch kind {
	case "element":
		return w.f.word(kind, id, "type") == "straight" && known("length") || known("turn")
	case "part":
		return known("shape")
	case "rim", "spot":
		return known("x") && known("y")
	case "corner":
		return known("point") || known("x") && known("y") && known("z")
	}
	return true
}

// entities writes the entities of a kind that belong to a parent.
func (w *fileWriter) entities(k Kind, parent string) (list []string) {
	for _, e := range w.f.in(k.Name, parent) {
		id, named := w.ids[k.Name+"/"+e.ID]
		if !named {
			continue
		}
		m := &object{}
		if inPlace[k.Name] == "" {
			m.set("id", quoted(id))
		}
		w.entity(m, k, e.ID)
		list = append(list, m.text())
	}
	return list
}

// entity writes what stands in braces for one entity: values that have a form of their own
// in the file, the others under their names, and what belongs to it.
func (w *fileWriter) entity(m *object, k Kind, id string) {
	switch k.Name {
	case "port", "opening":
		w.outline(m, k.Name, id)
	case "pattern":
		w.path(m, k.Name, id)
	case "neighbour":
		w.shapes(m, id)
	case "collector":
		w.posed(m, id)
	case "tube":
		w.measured(m, id)
	case "element":
		w.element(m, id)
	}
	w.fields(m, k, id)
	for n := range Kinds {
		child := &Kinds[n]
		if child.Parent != k.Name || isUnwritten[child.Name] {
			continue
		}
		switch child.Name {
		case "mark", "crook", "part", "rim", "spot", "corner": // written above
		case "element":
			m.list("path", w.entities(*child, id))
		case "tape":
			m.list("tape", w.entities(*child, id))
		default:
			m.list(listName(child.Name), w.entities(*child, id))
		}
	}
}

// triples are values that the file has in one list of three: by kind its key and what the
// fields begin with.
var triples = map[string][][2]string{
	"port":      {{"aim", "aim_"}},
	"plug":      {{"at", ""}, {"dir", "dir_"}},
	"collector": {{"at", "at_"}, {"axis", "axis_"}},
	"tie":       {{"at_a", "a"}, {"at_b", "b"}},
	"point":     {{"at", ""}},
	"part":      {{"size", "size_"}},
	"tack":      {{"at", ""}, {"aim", "aim_"}},
}

// fields writes what is known of an entity and not written yet.
func (w *fileWriter) fields(m *object, k Kind, id string) {
	for _, t := range triples[k.Name] {
		m.set(t[0], w.triple(k.Name, id, t[1]))
	}
	for n := range k.Fields {
		m.set(k.Fields[n].Name, w.take(k.Name, id, k.Fields[n].Name))
	}
}

// triple writes [x, y, z]; empty unless all three are known.
func (w *fileWriter) triple(kind, id, prefix string) string {
	axes := []string{prefix + "x", prefix + "y", prefix + "z"}
	for _, name := range axes {
		if _, known := w.f.Values[Slot(kind, id, name)]; !known {
			return ""
		}
	}
	for i, name := range axes {
		axes[i] = w.take(kind, id, name)
	}
	return listOf(axes)
}

// take writes the value of a slot that was not written before; empty where it is open.
func (w *fileWriter) take(kind, id, name string) string {
	slot := Slot(kind, id, name)
	if w.slots[slot] != "" {
		return ""
	}
	field := fieldOf(kind, name)
	text := ""
	switch {
	case field.Event:
		text = w.f.Events[slot].Text
	case field.isNote():
		text = w.f.Notes[slot]
	default:
		v, known := w.f.Values[slot]
		if !known {
			return ""
		}
		w.slots[slot] = w.renamed(kind, id, name)
		return w.value(slot, field, v)
	}
	if text == "" || noteFault(field, text) != "" {
		return ""
	}
	w.slots[slot] = w.renamed(kind, id, name)
	return quoted(text)
}

// renamed is a slot as it is when the file is read.
func (w *fileWriter) renamed(kind, id, name string) string {
	if own, named := w.ids[kind+"/"+id]; named {
		id = own
	}
	return Slot(kind, id, name)
}

// value writes a value in the unit of the file: mm, degrees or a plain number. Inches stay
// as they were typed, since a sixty-fourth of one is an odd number of mm.
func (w *fileWriter) value(slot string, field Field, v Value) string {
	switch field.Quantity {
	case WordQ:
		return quoted(w.word(slot, v))
	case LengthQ:
		if v.Unit == "in" || v.Unit == "ft" {
			for _, text := range []string{v.Text, v.Text + " " + string(v.Unit)} {
				if typed, err := units.ParseLength(text, "mm"); err == nil && typed.Ask == "" && typed.V == v.V {
					return quoted(text)
				}
			}
		}
	}
	return sixDecimals(v.V)
}

// word is a word as the file has it: what it names may be called otherwise there.
func (w *fileWriter) word(slot string, v Value) string {
	kind, _, name, _ := SplitSlot(slot)
	for _, ref := range fieldOf(kind, name).Refs {
		if own, named := w.ids[ref+"/"+v.Text]; named {
			return own
		}
	}
	return v.Text
}

// sixDecimals writes a count of millionths as a decimal number.
func sixDecimals(millionths int64) string {
	sign, n := "", uint64(millionths)
	if millionths < 0 {
		sign, n = "-", -n
	}
	text := strconv.FormatUint(n/1_000_000, 10)
	if part := n % 1_000_000; part != 0 {
		text += "." + strings.TrimRight(strconv.FormatUint(1_000_000+part, 10)[1:], "0")
	}
	return sign + text
}

// sortedBy returns the entities of a kind under a parent in the order of a number.
func (w *fileWriter) sortedBy(kind, parent, name string) []Entity {
	es := w.f.in(kind, parent)
	sorted.By(es, func(a, b Entity) int {
		return int(w.f.Values[Slot(kind, a.ID, name)].V/1e6 - w.f.Values[Slot(kind, b.ID, name)].V/1e6)
	})
	return es
}
