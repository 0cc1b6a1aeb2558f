package route_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"tubewright/calc/geom"
	"tubewright/calc/route"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

const deg = units.Degree

func mm(l float64) units.Length { return units.Length(l) }

// place is a position and three axes as the columns of a matrix: an own way to walk
// a chain, by products of matrices.
type place [4][4]float64

func still() (p place) {
	for i := range p {
		p[i][i] = 1
	}
	return p
}

func (p place) times(q place) (out place) {
	for i := range 4 {
		for j := range 4 {
			for k := range 4 {
				out[i][j] += p[i][k] * q[k][j]
			}
		}
	}
	return out
}

// In the frame of a place the tube travels along the first axis and bends towards
// the second.
func ahead(l float64) place {
	p := still()
	p[0][3] = l
	return p
}

func rolled(a float64) place {
	p := still()
	p[1][1], p[1][2] = math.Cos(a), -math.Sin(a)
	p[2][1], p[2][2] = math.Sin(a), math.Cos(a)
	return p
}

func bent(a, r float64) place {
	p := still()
	p[0][0], p[0][1] = math.Cos(a), -math.Sin(a)
	p[1][0], p[1][1] = math.Sin(a), math.Cos(a)
	p[0][3], p[1][3] = r*math.Sin(a), r-r*math.Cos(a)
	return p
}

func placeOf(f geom.Frame) place {
	b := f.T.Cross(f.N)
	p := still()
	for j, v := range []geom.Vec{f.T, f.N, b, f.O} {
		p[0][j], p[1][j], p[2][j] = v.X, v.Y, v.Z
	}
	return p
}

func (p place) at() geom.Vec  { return geom.Vec{X: p[0][3], Y: p[1][3], Z: p[2][3]} }
func (p place) aim() geom.Vec { return geom.Vec{X: p[0][0], Y: p[1][0], Z: p[2][0]} }

// follow walks elements and returns the end and the length.
func follow(start geom.Frame, elems []tube.Element) (place, float64) {
	p, l := placeOf(start), 0.0
	for _, e := range elems {
		if e.Bend == nil {
			p = p.times(ahead(e.Straight.MM()))
			l += e.Straight.MM()
			continue
		}
		p = p.times(rolled(float64(e.Bend.Rotation))).times(bent(float64(e.Bend.Turn), e.Bend.Radius.MM()))
		l += float64(e.Bend.Turn) * e.Bend.Radius.MM()
	}
	return p, l
}

func vec(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }

func straight(l float64) tube.Element { return tube.Element{Straight: units.Length(l)} }

func bend(turn, radius, rotation float64) tube.Element {
	return tube.Element{Bend: &tube.Bend{Turn: units.Angle(turn) * deg, Radius: units.Length(radius), Rotation: units.Angle(rotation) * deg}}
}

func between(rnd *rand.Rand, low, high float64) float64 { return low + (high-low)*rnd.Float64() }

func unit(rnd *rand.Rand) geom.Vec {
	for {
		if v, ok := (geom.Vec{X: between(rnd, -1, 1), Y: between(rnd, -1, 1), Z: between(rnd, -1, 1)}).Unit(); ok {
			return v
		}
	}
}

// start is a random place and aim.
func start(rnd *rand.Rand) geom.Frame {
	for {
		f, err := geom.NewFrame(unit(rnd).Scale(200), unit(rnd), unit(rnd))
		if err == nil {
			return f
		}
	}
}

// chain is a random chain of n pieces as drawn: tacked from the start, then some
// cut, then some not begun.
func chain(rnd *rand.Rand, n int) route.Chain {
	c := route.Chain{Start: start(rnd), OD: 44.45}
	radii := []float64{50.8, 63.5, 76.2, 88.9}
	tacked := rnd.IntN(n/2 + 1)
	cut := tacked + rnd.IntN(n-tacked)
	bends := 0
	for i := range n {
		p := route.Piece{ID: fmt.Sprintf("t1-%d", i+1)}
		// Two straights in a row are one piece.
		if i > 0 && c.Pieces[i-1].Element.Bend == nil || rnd.IntN(5) < 2 || i == n-1 && bends == 0 {
			p.Element = bend(between(rnd, 15, 110), radii[rnd.IntN(4)], between(rnd, -180, 180))
			p.MaxTurn = 180 * deg
			bends++
		} else {
			p.Element = straight(between(rnd, 15, 140))
			p.Least = 5
		}
		switch {
		case i < tacked:
			p.State = route.Fixed
		case i < cut:
			p.State = route.Cut
		}
		c.Pieces = append(c.Pieces, p)
	}
	return c
}

func elems(c route.Chain) (list []tube.Element) {
	for _, p := range c.Pieces {
		list = append(list, p.Element)
	}
	return list
}

// spoil returns the chain with errors: of turns up to 1.5°, of lengths up to 2 mm,
// of clocks up to 3°. Where all is false, only such that can be undone: nothing of
// what is tacked, and what is cut is too long only.
func spoil(rnd *rand.Rand, c route.Chain, all bool) route.Chain {
	ps := append([]route.Piece(nil), c.Pieces...)
	for i := range ps {
		p := &ps[i]
		if p.State == route.Fixed && !all {
			continue
		}
		off := between(rnd, -1, 1)
		if p.State == route.Cut && !all {
			off = math.Abs(off)
		}
		if b := p.Element.Bend; b != nil {
			e := *b
			e.Turn += units.Angle(1.5*off) * deg
			e.Rotation += units.Angle(between(rnd, -3, 3)) * deg
			p.Element.Bend = &e
		} else {
			p.Element.Straight += units.Length(2 * off)
		}
	}
	c.Pieces = ps
	return c
}

// done does what an answer says to the pieces of a chain, as a hand would, and
// returns what is then there; the error says what cannot be done.
func done(c route.Chain, a route.Answer) ([]tube.Element, error) {
	const hair = 1e-9
	list := elems(c)
	news := map[int]tube.Element{}
	for _, ch := range a.Changes {
		if ch.Kind == route.NewStraight {
			news[ch.Joint] = straight(ch.Length.MM())
			continue
		}
		if ch.Kind == route.NewBend {
			news[ch.Joint] = bend(ch.Angle.Deg(), ch.Radius.MM(), ch.Turn.Deg())
			continue
		}
		p, e := c.Pieces[ch.Piece], &list[ch.Piece]
		if e.Bend != nil {
			b := *e.Bend
			e.Bend = &b
		}
		bad := fmt.Errorf("%+v is not possible on %+v", ch, p)
		switch ch.Kind {
		case route.Turn:
			if c.Pieces[ch.Joint].State == route.Fixed || e.Bend == nil || ch.Joint > ch.Piece || math.Abs(ch.Turn.Deg()) > 180 {
				return nil, bad
			}
			for _, between := range c.Pieces[ch.Joint:ch.Piece] {
				if between.Element.Bend != nil {
					return nil, bad
				}
			}
			if math.Abs(ch.Arc.MM()-c.OD.MM()/2*float64(ch.Turn)) > 1e-9 {
				return nil, fmt.Errorf("%+v: arc of another turn", ch)
			}
			e.Bend.Rotation += ch.Turn
		case route.Bend, route.Recut:
			if e.Bend == nil || p.State == route.Fixed || (p.State == route.Cut) != (ch.Kind == route.Recut) || p.State == route.Cut && ch.Angle > 0 || twice(a, ch) {
				return nil, bad
			}
			e.Bend.Turn += ch.Angle
			if e.Bend.Turn < route.LeastTurn-hair || e.Bend.Turn > 180*deg+hair || p.MaxTurn > 0 && p.State == route.Uncut && e.Bend.Turn > p.MaxTurn+hair {
				return nil, bad
			}
		case route.BendAnew:
			if e.Bend == nil || p.State != route.Cut || p.NoStock || ch.Angle <= 0 || twice(a, ch) {
				return nil, bad
			}
			e.Bend.Turn += ch.Angle
			if e.Bend.Turn > 180*deg+hair || p.MaxTurn > 0 && e.Bend.Turn > p.MaxTurn+hair {
				return nil, bad
			}
		case route.StraightAnew:
			if e.Bend != nil || p.State != route.Cut || p.NoStock || ch.Length <= 0 || twice(a, ch) {
				return nil, bad
			}
			e.Straight += ch.Length
			if p.Most > 0 && e.Straight > p.Most+hair {
				return nil, bad
			}
		case route.Straight, route.Trim:
			if e.Bend != nil || p.State == route.Fixed || (p.State == route.Cut) != (ch.Kind == route.Trim) || p.State == route.Cut && ch.Length > 0 || twice(a, ch) {
				return nil, bad
			}
			e.Straight += ch.Length
			if e.Straight < p.Least-hair || p.Most > 0 && p.State == route.Uncut && e.Straight > p.Most+hair {
				return nil, bad
			}
		default:
			return nil, bad
		}
	}
	var out []tube.Element
	turnedBack := units.Angle(0)
	for i := range len(list) + 1 {
		if n, ok := news[i]; ok {
			if i < len(list) && c.Pieces[i].State == route.Fixed {
				return nil, fmt.Errorf("a sliver at joint %d, which is tacked", i)
			}
			out = append(out, n)
			if n.Bend != nil {
				turnedBack = n.Bend.Rotation // what is behind stays as it was about the tube
			}
		}
		if i < len(list) {
			if b := list[i].Bend; b != nil {
				b := *b
				b.Rotation -= turnedBack
				turnedBack = 0
				list[i].Bend = &b
			}
			out = append(out, list[i])
		}
	}
	return out, nil
}

// twice reports whether an answer cuts one piece in two ways.
func twice(a route.Answer, c route.Change) bool {
	n := 0
	for _, o := range a.Changes {
		if o.Kind != route.Turn && o.Piece == c.Piece {
			n++
		}
	}
	return n > 1
}

// check does what an answer says and reports how it is wrong, if it is.
func check(c route.Chain, t route.Target, a route.Answer) error {
	list, err := done(c, a)
	if err != nil {
		return err
	}
	for _, elems := range [][]tube.Element{list, a.Elems} {
		p, l := follow(c.Start, elems)
		within, aimWithin := t.Within.MM(), t.AimWithin.Deg()
		if within == 0 {
			within = 1.5
		}
		if aimWithin == 0 {
			aimWithin = 0.5
		}
		to, _ := t.Aim.Unit()
		d := p.at().Sub(t.At)
		along := d.Dot(to)
		aside := d.Sub(to.Scale(along)).Norm()
		over := max(0, along-t.Deeper.MM(), -along-t.Shorter.MM())
		miss := math.Hypot(aside, over)
		aim := math.Acos(min(1, p.aim().Dot(to))) / float64(deg)
		l += c.Before.MM()
		const hair = 1e-6
		if math.Abs(miss-a.Miss.MM()) > hair || math.Abs(aim-a.Aim.Deg()) > 1e-4 || math.Abs(l-a.Length.MM()) > hair {
			return fmt.Errorf("says it misses by %v mm and %v° at %v mm; it is %v, %v, %v", a.Miss, a.Aim.Deg(), a.Length, miss, aim, l)
		}
		holds := miss <= within+hair && aim <= aimWithin+hair && (t.LengthWithin == 0 || math.Abs(l-t.Length.MM()) <= t.LengthWithin.MM()+hair)
		if a.Closes != holds {
			return fmt.Errorf("closes: says %v, is %v", a.Closes, holds)
		}
	}
	return nil
}
