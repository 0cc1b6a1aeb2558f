package dxf

import (
	"fmt"
	"math"
	"strings"

	"tubewright/calc/geom"
	"tubewright/calc/sorted"
)

// Result is what a drawing holds, in mm, x right and y up as drawn. Loops are
// counter-clockwise.
type Result struct {
	// Ask is set when a person must say which unit the file is in; then there is
	// nothing else but Layers and Left, and Options.Unit is to be given.
	Ask *Ask
	// Unit is what the figures were taken as: "mm", "in".
	Unit string

	Outer    *Loop  // the outline that holds the rest; nil where none does
	Holes    []Hole // round ones within it
	Openings []Loop // all others within it
	Beside   []Loop // what lies outside Outer, or within a hole or an opening
	Open     []Open // what does not close

	Low, High [2]float64 // corners of the box around all loops and open pieces
	Layers    []Layer    // of the drawing, in the order of the file

	Pieces  int     // lines, arcs and curves that were taken
	Doubles int     // of them, there twice, dropped
	Short   int     // without length, dropped
	Gap     float64 // the widest that was closed, in mm
	Chord   float64 // how far a line or arc may leave the curve it stands for, in mm
	Worst   float64 // how far one did, as sampled, in mm

	// Left says in sentences what was left out and what else a person should know.
	Left []string
}

// Ask is the question for the unit, with what the drawing would measure.
type Ask struct {
	Why    string     // a sentence
	Figure [2]float64 // width and height in the file's own figures
	MM     [2]float64 // width and height in mm, were it millimetres
	Inch   [2]float64 // width and height in mm, were it inches
}

// Loop is a closed outline.
type Loop struct {
	Layer    string
	Line     int // of the file, where its first piece stands
	Vertices []geom.Vertex
	Outline  geom.Outline
}

// Hole is a circle.
type Hole struct {
	X, Y, Diameter float64
	Layer          string
	Line           int
}

// Open is a row of pieces that does not close.
type Open struct {
	Layer    string
	Line     int
	From, To [2]float64
	// Near is how far the nearest other loose end is from one of its ends, in mm; its
	// own two ends count too.
	Near float64
}

// Layer is a layer of the file.
type Layer struct {
	Name   string // in capitals
	Off    bool   // switched off or frozen
	Pieces int    // on it, blocks counted each time
}

// ReferenceLayer is the layer of the square of 100 mm by which a file can be
// measured. Write draws it, Read checks it and leaves it out.
const ReferenceLayer = "REFERENCE_100MM"

// ReferenceSize is the side of that square, in mm.
const ReferenceSize = 100

// Read reads an ASCII DXF of whatever version and finds the outline, the holes and
// the openings of a flange in it.
//
// Ends within Options.Join are joined, the gap closed half way. A loop is a Hole
// when it lies within 0.005 mm of a circle. The error is a sentence with the line
// of the file; what can only not be used is told in Left.
func Read(data []byte, opts Options) (Result, error) {
	r, err := newReader(data, opts)
	if err != nil {
		return Result{}, fmt.Errorf("read the DXF: %w", err)
	}
	var res Result
	if err = r.read(); err == nil {
		res, err = r.result()
	}
	if err != nil {
		return Result{}, fmt.Errorf("read the DXF: %w", err)
	}
	return res, nil
}

func newReader(data []byte, opts Options) (*reader, error) {
	if opts.Chord == 0 {
		opts.Chord = usualChord
	}
	if opts.Join == 0 {
		opts.Join = usualJoin
	}
	if !(opts.Chord >= 1e-4 && opts.Chord <= 1) {
		return nil, fmt.Errorf("chord error %v mm: want 0.0001 to 1", opts.Chord)
	}
	if !(opts.Join > 0 && opts.Join <= 1) {
		return nil, fmt.Errorf("joining tolerance %v mm: want more than 0 and at most 1", opts.Join)
	}
	if _, ok := unitNamed(opts.Unit); !ok && opts.Unit != "" {
		return nil, fmt.Errorf("unit %s: want mm, cm, m, in or ft", quoted(opts.Unit))
	}
	s, err := newScanner(data)
	if err != nil {
		return nil, err
	}
	r := &reader{scanner: s, opts: opts, units: said{-1, -1}, layers: map[string]*Layer{}, blocks: map[string]*block{}}
	if opts.Layers != nil {
		r.only = map[string]bool{}
		for _, name := range opts.Layers {
			r.only[strings.ToUpper(name)] = true
		}
	}
	return r, nil
}

func (r *reader) result() (Result, error) {
	if r.scale == 0 {
		return Result{}, fmt.Errorf("there is no section of entities in the file: it holds no drawing")
	}
	var res Result
	if !r.ended {
		r.note("the file does not end as a DXF does: the rest of it may be missing")
	}
	for _, name := range r.order {
		res.Layers = append(res.Layers, *r.layers[name])
	}
	square := r.reference()
	if r.ask != "" {
		if len(square) > 0 {
			low, high := bounds(square)
			r.note("the square of %d mm in the drawing has sides of %.6g by %.6g in its figures", ReferenceSize, high[0]-low[0], high[1]-low[1])
		}
		low, high := bounds(r.pieces)
		w, h := max(0, high[0]-low[0]), max(0, high[1]-low[1])
		res.Ask = &Ask{r.ask, [2]float64{w, h}, [2]float64{w, h}, [2]float64{25.4 * w, 25.4 * h}}
		res.Left = append(r.left.notes(), r.notes...)
		return res, nil
	}
	for _, u := range insUnits {
		if u.mm == r.scale {
			res.Unit = u.name
		}
	}
	r.measure(square)
	res.Pieces, res.Chord, res.Worst = len(r.pieces), r.opts.Chord, r.worst
	if res.Pieces > 0 {
		res.Low, res.High = bounds(r.pieces)
	}
	pieces, open, err := r.join()
	if err != nil {
		return Result{}, err
	}
	loops, err := r.loops(pieces)
	if err != nil {
		return Result{}, err
	}
	if err := r.sort(&res, loops, open); err != nil {
		return Result{}, err
	}
	res.Open, err = r.open(open)
	if err != nil {
		return Result{}, err
	}
	res.Doubles, res.Short, res.Gap = r.doubles, r.short, r.gap
	r.say(res)
	res.Left = append(r.left.notes(), r.notes...)
	return res, nil
}

// say puts into sentences what was done to the pieces.
func (r *reader) say(res Result) {
	if r.doubles > 0 {
		r.note("%s there twice, taken once", counted(r.doubles, "piece is", "pieces are"))
	}
	if r.short > 0 {
		r.note("%s no length, dropped", counted(r.short, "piece has", "pieces have"))
	}
	if r.gap > 1e-4 {
		r.note("gaps of up to %.3f mm between ends were closed", r.gap)
	}
	if !(r.worst <= r.opts.Chord) {
		r.note("a curve bends too sharply to be kept to %v mm: it is left by %.3g mm", r.opts.Chord, r.worst)
	}
	if r.fitted > 0 {
		r.note("%s given by points only: the course between them is what is usual, not what the file says", counted(r.fitted, "curve is", "curves are"))
	}
	if r.high-r.low > 1e-3 {
		r.note("the pieces lie at heights from %.6g to %.6g; they are taken as seen from above", r.low, r.high)
	}
	for i, p := range r.forks {
		if i == 3 {
			r.note("and so at %d more places", len(r.forks)-i)
			break
		}
		r.note("more than two ends meet at %.3f, %.3f: which goes on in which was chosen by layer and direction", p[0], p[1])
	}
	if n := len(res.Open); n > 0 {
		r.note("%s not part of any outline", counted(n, "row of pieces stays open and is", "rows of pieces stay open and are"))
	}
	switch {
	case res.Pieces == 0:
		r.note("there is nothing in the drawing of which outlines are made")
	case res.Outer == nil && len(res.Holes)+len(res.Openings) > 0:
		r.note("no outline holds the others: there are only holes and openings")
	}
}

func counted(n int, one, more string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, more)
}

// reference takes the square of 100 mm out of the pieces.
func (r *reader) reference() (square []piece) {
	var rest []piece
	for _, p := range r.pieces {
		if p.layer == ReferenceLayer {
			square = append(square, p)
		} else {
			rest = append(rest, p)
		}
	}
	r.pieces = rest
	return square
}

// measure tells of a square that is not as large as it should be.
func (r *reader) measure(square []piece) {
	if len(square) == 0 {
		return
	}
	low, high := bounds(square)
	w, h := high[0]-low[0], high[1]-low[1]
	const tol = 0.01 // mm
	if !(math.Abs(w-ReferenceSize) <= tol && math.Abs(h-ReferenceSize) <= tol) {
		r.note("the square of %d mm in the drawing measures %.3f by %.3f mm: the unit is wrong, or the drawing was scaled", ReferenceSize, w, h)
	}
}

// bounds returns the corners of the box around pieces; of none the lower one is
// above the upper.
func bounds(pieces []piece) (low, high xy) {
	low, high = xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, p := range pieces {
		for _, s := range p.sides() {
			a, b := s.Bounds()
			for i := range 2 {
				low[i], high[i] = min(low[i], a[i]), max(high[i], b[i])
			}
		}
	}
	return low, high
}

// open tells of each row where it ends and what is near.
func (r *reader) open(rows []piece) ([]Open, error) {
	if err := r.spend(len(rows) * len(rows)); err != nil {
		return nil, err
	}
	var list []Open
	for i, p := range rows {
		o := Open{p.layer, p.line, p.first(), p.last(), apart(p.first(), p.last())}
		for j, q := range rows {
			if i != j {
				for _, e := range [2]xy{q.first(), q.last()} {
					o.Near = min(o.Near, apart(e, p.first()), apart(e, p.last()))
				}
			}
		}
		list = append(list, o)
	}
	sorted.By(list, func(a, b Open) int { return a.Line - b.Line })
	return list, nil
}
