package job

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/ledger"
	"tubewright/calc/sorted"
)

// FileVersion is the version of the job file that this package reads.
const FileVersion = 1

// FilePlan is the plan of a job file together with what is still to be entered.
type FilePlan struct {
	Plan
	Todo []Todo `json:"todo"`
}

// PlanFile reads a job file and works out its plan. The error holds a
// *fault.Field for every value that cannot be used; then there is no plan.
func PlanFile(data []byte) (FilePlan, error) {
	facts, err := ReadFile(data)
	plan, todo, faults := fromFacts(facts)
	errs := []error{err}
	for _, f := range faults {
		// What could not be read may be what another value names; that is one fault.
		if err == nil || !f.dangling {
			errs = append(errs, f.Field)
		}
	}
	if err := errors.Join(errs...); err != nil {
		return FilePlan{}, err
	}
	for _, u := range facts.Unknown {
		plan.Findings = append(plan.Findings, Finding{Severity: Warn, Rule: "unknown-key", Where: []string{u.Where}, Slots: []string{}, Grade: given,
			Text: fmt.Sprintf("%s is not used by this version, or not here; it was left as it is.", u.Where), Help: "Look for a spelling mistake."})
	}
	plan.fit()
	return FilePlan{Plan: plan, Todo: append([]Todo{}, todo...)}, nil
}

// ReadFile reads a job file into facts. Lengths are numbers in mm or text as a
// person types them, angles numbers in degrees. Keys that are not known are kept
// in Facts.Unknown. With an error, the facts hold what could be read.
func ReadFile(data []byte) (Facts, error) {
	r := fileReader{facts: newFacts(), ids: map[string]string{}}
	top := r.document(bytes.TrimPrefix(data, []byte("\uFEFF"))) // some editors put a mark in front
	if len(r.errs) > 0 {
		return Facts{}, errors.Join(r.errs...)
	}
	if v := take(top, "tubewright"); v != strconv.Itoa(FileVersion) {
		return Facts{}, fault.Refuse(`"tubewright"`, fmt.Sprintf("the file has to say \"tubewright\": %d; it says %s", FileVersion, or(v, "nothing")))
	}
	r.notes(top)
	for _, name := range []string{"engine", "target", "shop", "sizing"} {
		r.single(name, top)
	}
	r.banks(r.array("banks", take(top, "banks")))
	r.tubes(r.array("tubes", take(top, "tubes")))
	r.around(top)
	r.fixture(top)
	r.welding(top)
	r.stock(take(top, "stock"))
	r.unknown("", top)
	r.banksOfRefs()
	return r.facts, errors.Join(r.errs...)
}

type fileReader struct {
	facts Facts
	errs  []error
	ids   map[string]string // id → where it stands
}

func (r *fileReader) refuse(where, name, why string) {
	f := fault.Refuse(name, why)
	f.Where = where
	r.errs = append(r.errs, f)
}

func (r *fileReader) notes(top *members) {
	m := r.object("job", take(top, "job"))
	k, _ := KindOf("job")
	for _, field := range k.Fields {
		raw := take(m, field.Name)
		if raw == "" {
			continue
		}
		r.note("job."+field.Name, field, Slot("job", Self, field.Name), raw)
	}
	r.unknown("job", m)
}

func (r *fileReader) note(where string, field Field, slot, raw string) {
	text, isText := textOf(raw)
	if !isText {
		r.refuse(where, field.Label, "it has to be text in quotation marks: "+clip(raw))
		return
	}
	if why := noteFault(field, text); why != "" {
		r.refuse(where, field.Label, why)
		return
	}
	if field.Event {
		r.facts.Events[slot] = ledger.Note{Text: text}
		return
	}
	r.facts.Notes[slot] = text
}

func (r *fileReader) single(name string, top *members) {
	m := r.object(name, take(top, name))
	k, _ := KindOf(name)
	r.fields(name, k, Self, m)
	r.unknown(name, m)
}

func (r *fileReader) banks(list []string) {
	for i, raw := range list {
		where := fmt.Sprintf("banks[%d]", i)
		m := r.object(where, raw)
		k, _ := KindOf("bank")
		id := r.entity(where, "bank", "", i, m)
		r.fields(where, k, id, m)
		for n, raw := range r.array(where+".bolts", take(m, "bolts")) {
			r.child(fmt.Sprintf("%s.bolts[%d]", where, n), "bolt", id, n, raw)
		}
		for n, raw := range r.array(where+".ports", take(m, "ports")) {
			r.port(fmt.Sprintf("%s.ports[%d]", where, n), id, n, raw)
		}
		r.each(where+".plugs", "plug", id, take(m, "plugs"), func(at, plug string, m *members) {
			r.triple(at, "plug", plug, "at", "", m)
			r.triple(at, "plug", plug, "dir", "dir_", m)
		})
		r.patterns(where+".patterns", id, take(m, "patterns"))
		r.unknown(where, m)
	}
}

func (r *fileReader) child(where, kind, parent string, i int, raw string) {
	m := r.object(where, raw)
	r.yes(m, "starts")
	k, _ := KindOf(kind)
	r.fields(where, k, r.entity(where, kind, parent, i, m), m)
	r.unknown(where, m)
}

// port spreads a port's outline and aim over its fields.
func (r *fileReader) port(where, bank string, i int, raw string) {
	m := r.object(where, raw)
	k, _ := KindOf("port")
	id := r.entity(where, "port", bank, i, m)
	if aim := take(m, "aim"); aim != "" {
		parts := r.array(where+".aim", aim)
		if len(parts) != 3 {
			r.refuse(where+".aim", "Aim", "it has to be three numbers [right, up, out]: "+clip(aim))
		}
		for n, name := range []string{"aim_x", "aim_y", "aim_z"} {
			if len(parts) == 3 {
				field, _ := k.Field(name)
				r.field(fmt.Sprintf("%s.aim[%d]", where, n), field, Slot("port", id, name), parts[n])
			}
		}
	}
	r.outline(where+".outline", "port", id, take(m, "outline"))
	r.own(where, "port", id, m, "cylinder", "x", "y", "number")
	r.unknown(where, m)
}

func (r *fileReader) tubes(list []string) {
	for i, raw := range list {
		where := fmt.Sprintf("tubes[%d]", i)
		m := r.object(where, raw)
		k, _ := KindOf("tube")
		id := r.entity(where, "tube", "", i, m)
		r.fields(where, k, id, m)
		if raw := take(m, "measured"); raw != "" {
			r.measured(where+".measured", id, raw)
		}
		for n, raw := range r.array(where+".path", take(m, "path")) {
			r.element(fmt.Sprintf("%s.path[%d]", where, n), id, n, raw)
		}
		r.tacks(where+".tacks", id, take(m, "tacks"))
		r.unknown(where, m)
	}
}

// element reads {"straight": …} or {"bend": …, "clr": …, "rotation": …}, with what was
// made of it.
func (r *fileReader) element(where, tube string, i int, raw string) {
	m := r.object(where, raw)
	straight, bend := take(m, "straight"), take(m, "bend")
	k, _ := KindOf("element")
	id := fmt.Sprintf("%s-e%d", tube, i+1)
	r.add("element", Entity{ID: id, Parent: tube, Order: orderKey(i)})
	set := func(key, name, raw string) {
		if raw != "" {
			field, _ := k.Field(name)
			r.field(where+"."+key, field, Slot("element", id, name), raw)
		}
	}
	kind := func(word string) {
		r.facts.Values[Slot("element", id, "type")] = Value{Text: word, From: where}
	}
	switch {
	case (straight == "") == (bend == ""):
		r.refuse(where, "Piece of the path", `it needs either "straight" or "bend": `+clip(raw))
	case straight != "":
		kind("straight")
		set("straight", "length", straight)
	default:
		kind("bend")
		set("bend", "turn", bend)
		set("clr", "clr", take(m, "clr"))
		set("rotation", "rotation", take(m, "rotation"))
	}
	set("number", "number", take(m, "number"))
	r.made(where, id, m)
	r.unknown(where, m)
}

// entity reads an id and puts the entity into its list.
func (r *fileReader) entity(where, kind, parent string, i int, m *members) string {
	raw := take(m, "id")
	id, isText := textOf(raw)
	if !isText || id == "" || strings.ContainsAny(id, "/ .[]") {
		r.refuse(where, "id", `every one needs an id of its own, a short text without blanks, dots or strokes, such as "b1": `+or(clip(raw), "missing"))
		return where
	}
	if first, taken := r.ids[id]; taken {
		r.refuse(where, "id", fmt.Sprintf("%q is the id of %s already; ids are unique within a job", id, first))
	}
	r.ids[id] = where
	r.add(kind, Entity{ID: id, Parent: parent, Order: orderKey(i)})
	return id
}

func (r *fileReader) add(kind string, e Entity) {
	r.facts.Lists[kind] = append(r.facts.Lists[kind], e)
}

// orderKey is the order text of the i-th entity of a list in a file.
func orderKey(i int) string { return fmt.Sprintf("%04d", i+1) }

// unknown keeps what is left in m.
func (r *fileReader) unknown(where string, m *members) {
	if m == nil {
		return
	}
	sorted.By(m.list, func(a, b member) int { return strings.Compare(a.key, b.key) })
	for _, left := range m.list {
		at := left.key
		if where != "" {
			at = where + "." + left.key
		}
		r.facts.Unknown = append(r.facts.Unknown, Unknown{Where: at, JSON: left.raw})
	}
}

func clip(raw string) string {
	if len(raw) > 60 {
		return string(raw[:60]) + "…"
	}
	return raw
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// banksOfRefs lets "A/b1" name a bolt or port together with its bank.
func (r *fileReader) banksOfRefs() {
	for slot, v := range r.facts.Values {
		bank, id, qualified := strings.Cut(v.Text, "/")
		if !qualified {
			continue
		}
		kind, _, name, _ := SplitSlot(slot)
		field := fieldOf(kind, name)
		for _, ref := range field.Refs {
			for _, e := range r.facts.Lists[ref] {
				if e.ID == id && e.Parent == bank {
					v.Text = id
					r.facts.Values[slot] = v
				}
			}
		}
	}
}
