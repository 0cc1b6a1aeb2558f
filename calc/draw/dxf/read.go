package dxf

import (
	"fmt"
	"strings"

	"tubewright/calc/geom"
)

// Options say how a file is read. The zero value takes the unit from the file and
// every layer that is on.
type Options struct {
	// Unit is what the figures of the file are in: "mm", "cm", "m", "in" or "ft". It
	// goes before what the file says.
	Unit string
	// Layers are the only ones that are taken, in any case of letters. Nil takes all
	// that are on.
	Layers []string
	// Chord is how far a line or arc may leave the curve that it stands for, in mm,
	// 0.0001 to 1; 0 means 0.01.
	Chord float64
	// Join is the widest gap between two ends that is closed, in mm, 0 to 1; 0 means
	// 0.01.
	Join float64
}

const (
	usualChord = 0.01
	usualJoin  = 0.01
)

// reader goes through a file.
type reader struct {
	*scanner
	opts   Options
	only   map[string]bool
	units  said
	scale  float64 // mm a unit
	layers map[string]*Layer
	order  []string // of layers
	blocks map[string]*block

	kept     int // entities in blocks, and the curves of them
	curves   int
	entities int
	vertices int
	pieces   []piece
	left     tally
	notes    []string
	short    int
	worst    float64
	low      float64 // heights
	high     float64
	leveled  bool
	ended    bool
	fitted   int     // splines through points
	waiting  *entity // read and put back
	ask      string
	work     int // comparisons made
	doubles  int
	gap      float64 // the widest that was closed
	forks    []xy    // where more than two ends meet
}

// block is a part of a drawing that is put into it by name.
type block struct {
	base   xy
	z      float64
	shapes []shape
}

// piece is a row of lines and arcs from one entity.
type piece struct {
	layer  string
	line   int
	closed bool // the last vertex leads back to the first
	v      []geom.Vertex
}

func (r *reader) read() error {
	for {
		g, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			break
		}
		if g.code != 0 {
			continue // between sections, as some programs write
		}
		switch name := strings.TrimSpace(g.value); name {
		case "EOF":
			r.ended = true
			return nil
		case "SECTION":
			err = r.section(g.line)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) section(from int) error {
	g, ok, err := r.next()
	if err != nil || !ok {
		return err
	}
	if g.code != 2 {
		return fmt.Errorf("line %d: a section without a name", from)
	}
	switch strings.TrimSpace(g.value) {
	case "HEADER":
		return r.header()
	case "TABLES":
		return r.tables()
	case "BLOCKS":
		return r.readBlocks()
	case "ENTITIES":
		r.setUnit()
		return r.list("ENDSEC", func(s shape) error { return r.draw(s, identity, place{scale: 1, layer: "0"}) })
	}
	return r.skip()
}

// skip goes to the end of a section.
func (r *reader) skip() error {
	for {
		g, ok, err := r.next()
		if err != nil || !ok || g.code == 0 && strings.TrimSpace(g.value) == "ENDSEC" {
			return err
		}
	}
}

// tables keeps the layers and whether they are on.
func (r *reader) tables() error {
	for {
		e, ok, err := r.entity()
		if err != nil || !ok || e.name == "ENDSEC" {
			return err
		}
		if e.name == "LAYER" && e.text(2) != "" {
			const frozen = 1
			if len(r.layers) >= mostEntities {
				return tooMany(e.line)
			}
			l := r.layer(e.text(2))
			l.Off = e.flag(70)&frozen != 0 || e.num(62, 7) < 0
			if e.err != nil {
				return e.err
			}
		}
	}
}

// layer returns a layer by name, as one that is on where the file has not told.
func (r *reader) layer(name string) *Layer {
	l, ok := r.layers[name]
	if !ok {
		l = &Layer{Name: name}
		r.layers[name] = l
		r.order = append(r.order, name)
	}
	return l
}

// readBlocks keeps what blocks are made of.
func (r *reader) readBlocks() error {
	for {
		e, ok, err := r.entity()
		if err != nil || !ok || e.name == "ENDSEC" {
			return err
		}
		if e.name != "BLOCK" {
			continue
		}
		b := &block{base: e.point(10), z: e.num(30, 0)}
		name := e.text(2)
		if e.err != nil {
			return e.err
		}
		err = r.list("ENDBLK", func(s shape) error {
			r.kept++
			if r.curves += len(s.curves); r.kept > mostEntities || r.curves > mostVertices {
				return tooMany(s.line)
			}
			b.shapes = append(b.shapes, s)
			return nil
		})
		if err != nil {
			return err
		}
		r.blocks[name] = b
	}
}

func tooMany(line int) error {
	return fmt.Errorf("line %d: more than %d entities or %d vertices: have only the flange saved", line, mostEntities, mostVertices)
}

// entity reads the groups from the next 0 to the one after that.
func (r *reader) entity() (*entity, bool, error) {
	if e := r.waiting; e != nil {
		r.waiting = nil
		return e, true, nil
	}
	for {
		g, ok, err := r.next()
		if err != nil || !ok {
			return nil, false, err
		}
		if g.code != 0 {
			continue
		}
		e := &entity{name: strings.ToUpper(strings.TrimSpace(g.value)), line: g.line}
		if e.name == "EOF" {
			r.back(g)
			return nil, false, nil
		}
		for {
			g, ok, err := r.next()
			if err != nil {
				return nil, false, err
			}
			if !ok {
				return e, true, nil
			}
			if g.code == 0 {
				r.back(g)
				return e, true, nil
			}
			const most = 4 * mostVertices // groups
			if len(e.groups) >= most {
				return nil, false, fmt.Errorf("line %d: the %s from line %d on has more than %d groups", g.line, e.name, e.line, most)
			}
			if g.code < extended {
				e.groups = append(e.groups, g)
			}
		}
	}
}

// extended is the first code of what programs add for themselves.
const extended = 1000

// list hands on every shape until the entity that ends the list.
func (r *reader) list(end string, take func(shape) error) error {
	for {
		e, ok, err := r.entity()
		if err != nil || !ok {
			return err
		}
		if e.name == end || e.name == "ENDSEC" {
			if e.name != end { // a block without an end: the section's end ends it too
				r.back(group{0, e.name, e.line})
			}
			return nil
		}
		s, err := r.shape(e)
		if err == nil {
			err = take(s)
		}
		if err != nil {
			return err
		}
	}
}

// shape reads an entity with the parts that follow it.
func (r *reader) shape(e *entity) (shape, error) {
	switch {
	case e.name == "POLYLINE":
		parts, err := r.parts("VERTEX", e)
		if err != nil {
			return shape{}, err
		}
		return polyline(e, parts)
	case e.name == "INSERT" && e.flag(66) == 1:
		texts, err := r.parts("ATTRIB", e)
		if err != nil {
			return shape{}, err
		}
		for range texts {
			r.left.add(noOutline, "ATTRIB", e.line)
		}
	}
	return e.shape()
}

// parts reads the entities that belong to the one before, to SEQEND.
func (r *reader) parts(name string, of *entity) ([]entity, error) {
	var list []entity
	for {
		e, ok, err := r.entity()
		if err != nil || !ok {
			return list, err
		}
		if e.name == "SEQEND" {
			return list, nil
		}
		if e.name != name { // the end is missing
			r.waiting = e
			return list, nil
		}
		if len(list) >= mostVertices {
			return nil, fmt.Errorf("line %d: the %s from line %d on has more than %d vertices", e.line, of.name, of.line, mostVertices)
		}
		list = append(list, *e)
	}
}
