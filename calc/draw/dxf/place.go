package dxf

import (
	"fmt"
	"math"
)

// place is where blocks have led to.
type place struct {
	layer    string // of the insert, which layer 0 in a block takes
	depth    int
	z, scale float64 // heights: z + scale·height
	inBlock  bool
}

// draw puts a shape into the drawing, a block with all that is in it.
func (r *reader) draw(s shape, to affine, p place) error {
	if r.entities++; r.entities > mostEntities {
		return tooMany(s.line)
	}
	if p.inBlock && s.layer == "0" {
		s.layer = p.layer
	}
	if !s.taken {
		r.left.add(noOutline, s.name, s.line)
		return nil
	}
	l := r.layer(s.layer)
	if s.insert == nil && !s.paper {
		l.Pieces++
	}
	out := ""
	switch {
	case s.paper:
		out = "on the sheet, not in the drawing"
	case s.unseen:
		out = "switched off"
	case r.only == nil && l.Off:
		out = "layer " + s.layer + " is switched off"
	case r.only != nil && !r.only[s.layer] && s.insert == nil:
		out = "on other layers than the chosen ones"
	case s.why != "":
		out = s.why
	case s.insert != nil:
		return r.insert(s, to, p)
	}
	if out != "" {
		r.left.add(out, s.name, s.line)
		return nil
	}
	if s.fitted {
		r.fitted++
	}
	if low, high := p.z+p.scale*s.low, p.z+p.scale*s.high; !r.leveled {
		r.low, r.high, r.leveled = min(low, high), max(low, high), true
	} else {
		r.low, r.high = min(r.low, low, high), max(r.high, low, high)
	}
	return r.flatten(s, to)
}

func (r *reader) insert(s shape, to affine, p place) error {
	in := s.insert
	b, ok := r.blocks[in.block]
	if !ok {
		r.left.add("the file does not hold the block "+quoted(in.block), s.name, s.line)
		return nil
	}
	if p.depth >= mostDepth {
		return fmt.Errorf("line %d: blocks lie in each other more than %d deep", s.line, mostDepth)
	}
	next := place{layer: s.layer, depth: p.depth + 1, z: p.z + p.scale*(in.z-in.deep*b.z), scale: p.scale * in.deep, inBlock: true}
	for i := range in.rows {
		for j := range in.cols {
			// An empty block counts too, or an array of them would never end.
			if r.entities++; r.entities > mostEntities {
				return tooMany(s.line)
			}
			m := in.to
			m.O = add(m.O, add(times(in.col, float64(j)), times(in.row, float64(i))))
			m = to.after(m).after(affine{X: xy{1, 0}, Y: xy{0, 1}, O: times(b.base, -1)})
			for _, inner := range b.shapes {
				if err := r.draw(inner, m, next); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// flatten makes a piece of a shape, in mm.
func (r *reader) flatten(s shape, to affine) error {
	m := affine{X: xy{r.scale, 0}, Y: xy{0, r.scale}}.after(to)
	c := chain{tol: r.opts.Chord, most: mostVertices - r.vertices}
	for _, k := range s.curves {
		c.add(k.mapped(m))
		if c.full {
			return fmt.Errorf("line %d: more than %d vertices: have only the flange saved", s.line, mostVertices)
		}
	}
	r.vertices += len(c.v)
	r.worst = max(r.worst, c.worst)
	length := 0.0
	for i, v := range c.v {
		if !(math.Abs(v.X) <= widest && math.Abs(v.Y) <= widest) {
			return fmt.Errorf("line %d: the %s reaches to %.6g, %.6g mm: want within %.0f m of 0, 0", s.line, s.name, v.X, v.Y, widest/1000)
		}
		if i > 0 {
			length += apart(at(c.v[i-1]), at(v))
		}
	}
	if !(length > nothing) {
		r.short++
		return nil
	}
	if s.closed { // the last vertex stands where the first does
		c.v = c.v[:len(c.v)-1]
	}
	r.pieces = append(r.pieces, piece{s.layer, s.line, s.closed, c.v})
	return nil
}

// nothing is the length in mm of a piece that is none.
const nothing = 1e-6
