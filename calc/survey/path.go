package survey

import (
	"errors"
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// figure is a length or angle of the tube with its derivative by the corners and
// by the CLR of the bends.
type figure struct {
	value float64
	by    []geom.Vec // one a corner
	clr   map[int]float64
}

// add adds k times what rests on the corners from i on.
func (f *figure) add(k, value float64, i int, by ...geom.Vec) {
	f.value += k * value
	for q, v := range by {
		f.by[i+q] = f.by[i+q].Add(v.Scale(k))
	}
}

// path fills in bender data, start and sigmas.
func (mod model) path(m MockUp, s solved, f *Fit) error {
	s.shift = mod.shifts(m, s)
	sigma := func(q figure) float64 { return s.sigma(q, m.Bends) }

	total := mod.figure()
	var faults []error
	straights := make([]units.Length, len(m.Straights))
	sigmas := make([]units.Length, len(m.Straights))
	for i, l := range mod.legs {
		length, by := lengthOf(s.at[i], s.at[i+1])
		total.add(1, length, i, by[:]...)
		if l.straight < 0 {
			continue
		}
		q := mod.figure()
		q.add(1, length, i, by[:]...)
		mod.setback(&q, s, i)
		mod.setback(&q, s, i+1)
		straights[l.straight], sigmas[l.straight] = units.Length(q.value), units.Length(sigma(q))
		if !(q.value >= 0 && q.value <= longest) {
			short := &fault.Field{Name: "Straight", Got: q.value, Unit: "mm", Low: 0, High: longest}
			if q.value < 0 {
				short.Why = fmt.Sprintf("%.4g mm too short for the bends at its ends, known to ±%.2g mm", -q.value, sigma(q))
			}
			faults = append(faults, fault.At(short, whereStraight(l.straight)))
		}
	}
	for i := 1; i < len(mod.corners)-1; i++ {
		mod.corner(&total, m, s, i, f, sigma)
	}
	for i := range f.LRA.Rows {
		f.LRA.Rows[i].Length, f.Sigmas[i].Length = straights[i], sigmas[i]
	}
	f.LRA.Last, f.LastSigma = straights[len(straights)-1], sigmas[len(sigmas)-1]
	for i, r := range f.LRA.Rows {
		over := r.Turn - math.Pi
		if over > threeSigma*f.Sigmas[i].Turn {
			faults = append(faults, fault.At(&fault.Field{Name: "Bent through", Got: r.Turn.Deg(), Unit: "°", Low: 0, High: 180,
				Why: fmt.Sprintf("known to ±%.2g°; check the points of its straights", f.Sigmas[i].Turn.Deg())}, whereBend(i)))
		}
		// Noise may take a half turn past 180°, which no bend is; what walks then ends
		// off the last corner by that much.
		if over > 0 {
			f.LRA.Rows[i].Turn = math.Pi
			total.value -= m.Bends[i].CLR.MM() * float64(over)
		}
	}
	f.Length, f.LengthSigma = units.Length(total.value), units.Length(sigma(total))
	start, err := mod.startFrame(s)
	f.Start = start
	return errors.Join(append(faults, err)...)
}

func (mod model) figure() figure {
	return figure{by: make([]geom.Vec, len(mod.corners)), clr: map[int]float64{}}
}

func lengthOf(a, b geom.Vec) (float64, [2]geom.Vec) {
	d := b.Sub(a)
	u, _ := d.Unit()
	return d.Norm(), [2]geom.Vec{u.Scale(-1), u}
}

// setback takes the setback of corner i off a straight:
//
//	S = R·tan(A/2)    ∂S/∂A = ½R/cos²(A/2)
func (mod model) setback(q *figure, s solved, i int) {
	c := mod.corners[i]
	if c.bend < 0 {
		return
	}
	turn, by := turnAt(s.at[i-1], s.at[i], s.at[i+1])
	tan, sec2 := math.Tan(turn/2), 1/(math.Cos(turn/2)*math.Cos(turn/2))
	q.value -= c.radius * tan
	q.add(-c.radius*sec2/2, 0, i-1, by[:]...)
	q.clr[c.bend] -= tan
}

// corner adds what the arc at corner i is shorter than its two setbacks, and the
// row of the bend when the corner is its last.
func (mod model) corner(total *figure, m MockUp, s solved, i int, f *Fit, sigma func(figure) float64) {
	c := mod.corners[i]
	turn, by := turnAt(s.at[i-1], s.at[i], s.at[i+1])
	tan := math.Tan(turn / 2)
	total.value += c.radius * (turn - 2*tan)
	total.add(-c.radius*tan*tan, 0, i-1, by[:]...)
	total.clr[c.bend] += turn - 2*tan

	bent := mod.figure()
	bent.add(1, turn, i-1, by[:]...)
	if c.half {
		if mod.corners[i+1].bend == c.bend {
			return // its row comes with the second half
		}
		first, by := turnAt(s.at[i-2], s.at[i-1], s.at[i])
		bent.add(1, first, i-2, by[:]...)
		i--
	}
	row := tube.Row{Turn: units.Angle(bent.value), Radius: m.Bends[c.bend].CLR}
	known := RowSigma{Turn: units.Angle(sigma(bent))}
	rot := mod.figure()
	switch {
	case i > 1:
		v, by := rotationAbout(s.at[i-2], s.at[i-1], s.at[i], s.at[i+1])
		rot.add(1, v, i-2, by[:]...)
	case m.Up != (geom.Vec{}):
		v, by := rotationAbout(s.at[0].Add(mod.upScaled(s)), s.at[0], s.at[1], s.at[2])
		rot.add(1, v, 0, by[0].Add(by[1]), by[2], by[3])
	}
	if rot.value < -math.Pi+1e-9 {
		rot.value += 2 * math.Pi // one name for the other way
	}
	row.Rotation, known.Rotation = units.Angle(rot.value), units.Angle(sigma(rot))
	f.LRA.Rows = append(f.LRA.Rows, row)
	f.Sigmas = append(f.Sigmas, known)
}

// upScaled is the reference as long as the first leg, so that its products are
// of the size of the others.
func (mod model) upScaled(s solved) geom.Vec {
	up, _ := mod.up.Unit()
	return up.Scale(s.at[1].Sub(s.at[0]).Norm())
}

// startFrame is where the fitted tube begins; without a reference, towards its
// first bend.
func (mod model) startFrame(s solved) (geom.Frame, error) {
	t := s.at[1].Sub(s.at[0])
	up := mod.up
	switch {
	case up != (geom.Vec{}):
	case len(s.at) > 2:
		up = s.at[2].Sub(s.at[1])
	default:
		d, _ := t.Unit()
		up = across(d)[0]
	}
	f, err := geom.NewFrame(s.at[0], t, up)
	if err != nil {
		return geom.Frame{}, fault.Refuse("Reference", "it lies along the first straight; give one that stands square to it")
	}
	return f, nil
}

// sigma carries the covariance of the corners, and the sigmas of the CLRs, on to
// a figure.
func (s solved) sigma(q figure, bends []Bend) float64 {
	// Only the corners a figure rests on count; most rest on three or four.
	n, last := 0, len(q.by)
	for n < last && q.by[n] == (geom.Vec{}) {
		n++
	}
	for last > n && q.by[last-1] == (geom.Vec{}) {
		last--
	}
	variance := 0.0
	for i := n; i < last; i++ {
		for a, x := range [3]float64{q.by[i].X, q.by[i].Y, q.by[i].Z} {
			if x == 0 {
				continue
			}
			row := s.cov.V[(3*i+a)*s.cov.N:]
			for j := n; j < last; j++ {
				v := q.by[j]
				variance += x * (row[3*j]*v.X + row[3*j+1]*v.Y + row[3*j+2]*v.Z)
			}
		}
	}
	for i, b := range bends {
		if b.CLRSigma == 0 {
			continue
		}
		by := q.clr[i]
		for k, v := range s.shift[i] {
			by += v.Dot(q.by[k])
		}
		by *= b.CLRSigma.MM()
		variance += by * by
	}
	return math.Sqrt(max(variance, 0))
}

// shifts returns how the corners move with the CLR of a bend with a point of its
// own, −(JᵀJ)⁻¹ Jᵀ ∂r/∂R; others move no corner.
func (mod model) shifts(m MockUp, s solved) map[int][]geom.Vec {
	var out map[int][]geom.Vec
	for i, l := range mod.legs {
		if l.straight >= 0 || m.Bends[mod.corners[i].bend].CLRSigma == 0 {
			continue
		}
		c := [4]geom.Vec{s.at[i-1], s.at[i], s.at[i+1], s.at[i+2]}
		radius := mod.corners[i].radius
		high, _, _, n := mod.halves(i, radius+difference, c)
		low, _, _, _ := mod.halves(i, radius-difference, c)
		rows := mod.tangentRows(i, s.at, nil)
		for k := range n {
			rows[k].off = (high[k] - low[k]) / (2 * difference)
		}
		_, down := equations(rows, len(s.at))
		moved := s.cov.Times(down)
		by := make([]geom.Vec, len(s.at))
		for k := range by {
			by[k] = geom.Vec{X: moved[3*k], Y: moved[3*k+1], Z: moved[3*k+2]}
		}
		if out == nil {
			out = map[int][]geom.Vec{}
		}
		out[mod.corners[i].bend] = by
	}
	return out
}
