package flange

import (
	"fmt"
	"math"

	"tubewright/calc/geom"
)

// Loft is the transition of a tube's end from a port to the round bore: straight
// lines from every place of the port's outline to the place of the bore that lies
// equally far round it. The port lies in z = 0 about the origin, the bore's middle
// on the tube's direction, and its plane is square to that.
type Loft struct {
	Length float64 // mm along the tube's direction
	// Phase is the angle round the bore, in rad, that belongs to the beginning of
	// the port's outline.
	Phase float64
	// Port, Middle and Bore are the areas in mm² as the gas sees them, looking along
	// the tube; Middle is that of the mixed term, not of the section half-way.
	Port, Middle, Bore float64
	Volume             float64 // mm³ between the face and the bore's plane
	// Wall is the greatest angle in rad between one of the lines and the tube's
	// direction, asked for at corners and at the places of geom.Outline.Along, within
	// 1 %, and WallAt the place on the port where it begins.
	Wall   float64
	WallAt [2]float64

	port        geom.Outline
	radius      float64
	aim, across geom.Vec // across is the bore's direction of angle 0
}

// NewLoft returns the transition from the port to a bore of the given diameter in
// mm, whose middle lies length mm from the origin along aim. Of all phases the
// bore has the one at which the lines are shortest: with a(s) the port and b(s)
// the bore, s the share of the way round,
//
//	∮ |a − b|² ds least  ⇔  ∮ a·b ds greatest
//
// which is closed form in C = ∮ a·cos 2πs ds and S = ∮ a·sin 2πs ds. The area of
// the section at the share k of the length, seen along the tube, is exactly
//
//	A(k) = (1−k)²·A₀ + 2k(1−k)·Aₘ + k²·A₁,   Aₘ = ½ ∮ (a × b′) ds
//
// and the volume follows from the flux of the position through wall and bore; for
// a tube square to the face it is L·(A₀ + Aₘ + A₁)/3. The sums are those of
// geom.Outline.Along, good to 1e-8 relative.
//
// It is an error when bore or length are not above 0 and at most 1e6 mm, when aim
// has no direction, or lies 80° or more from z.
func NewLoft(port geom.Outline, bore, length float64, aim geom.Vec) (Loft, error) {
	for _, v := range []struct {
		name string
		mm   float64
	}{{"bore", bore}, {"transition", length}} {
		if !(v.mm > 0 && v.mm <= 1e6) {
			return Loft{}, fmt.Errorf("%s %v mm: want more than 0 and at most 1e6", v.name, v.mm)
		}
	}
	perimeter := port.Perimeter()
	if !(perimeter > 0) {
		return Loft{}, fmt.Errorf("port: the outline has no length")
	}
	u, v, w, err := facing(aim)
	if err != nil {
		return Loft{}, err
	}
	l := Loft{Length: length, port: port, radius: bore / 2, aim: w, across: u}

	// Sums over the way round: of a, a·cos and a·sin, and of the area's parts.
	var mean, c, s geom.Vec
	var turn [3]float64 // ∮ (a × a′), its cosine and its sine
	type place struct {
		at       [2]float64
		sin, cos float64 // of the bore's angle there, without the phase
	}
	places := make([]place, 0, port.Nodes()+port.Len())
	port.Along(func(weight, at float64, p, d [2]float64) {
		sin, cos := math.Sincos(2 * math.Pi * at / perimeter)
		places = append(places, place{p, sin, cos})
		a := geom.Vec{X: p[0], Y: p[1]}.Scale(weight / perimeter)
		mean, c, s = mean.Add(a), c.Add(a.Scale(cos)), s.Add(a.Scale(sin))
		part := weight * (float64(p[0]*d[1]) - float64(p[1]*d[0]))
		turn[0] += part
		turn[1] += part * cos
		turn[2] += part * sin
	})
	l.Phase = math.Atan2(v.Dot(c)-u.Dot(s), u.Dot(c)+v.Dot(s))
	sin, cos := math.Sincos(l.Phase)
	// From here on C and S are of the bore's own angle, the phase included.
	c, s = c.Scale(cos).Sub(s.Scale(sin)), c.Scale(sin).Add(s.Scale(cos))
	turn[1], turn[2] = turn[1]*cos-turn[2]*sin, turn[1]*sin+turn[2]*cos

	l.Port = turn[0] / 2 * w.Z
	l.Middle = math.Pi * l.radius * c.Cross(v).Sub(s.Cross(u)).Dot(w)
	l.Bore = math.Pi * l.radius * l.radius
	// Flux of X/3: ½∮[b·(a×a′) − a·(b×b′)] through the wall, L·A₁ through the bore.
	wall := length*w.Z*turn[0] + l.radius*(u.Z*turn[1]+v.Z*turn[2])
	round := 2 * math.Pi * l.radius * (length*(w.Cross(v).Dot(c)-w.Cross(u).Dot(s)) + l.radius*w.Dot(mean))
	l.Volume = ((wall-round)/2 + length*l.Bore) / 3
	corner := 0.0 // where it is often steepest
	for _, s := range port.Segments() {
		at := place{at: s.From}
		at.sin, at.cos = math.Sincos(2 * math.Pi * corner / perimeter)
		places = append(places, at)
		corner += s.Length()
	}
	steepest, least := geom.Vec{}, math.Inf(1) // by the cosine
	for _, p := range places {
		bore := l.onBore(float64(p.sin*cos)+float64(p.cos*sin), float64(p.cos*cos)-float64(p.sin*sin))
		line := bore.Sub(geom.Vec{X: p.at[0], Y: p.at[1]})
		if along := line.Dot(w) / math.Sqrt(line.Dot(line)); along < least-1e-12 { // the first of those that are alike
			steepest, least, l.WallAt = line, along, p.at
		}
	}
	l.Wall = steepest.Angle(w)
	return l, nil
}

// facing returns the bore's axes and the unit aim: the face's x and y turned the
// short way from z to the aim.
func facing(aim geom.Vec) (u, v, w geom.Vec, err error) {
	w, ok := aim.Unit()
	if !ok || !(w.Z > math.Cos(80*math.Pi/180)) {
		return u, v, w, fmt.Errorf("direction %v: want one within 80° of straight out of the face", aim)
	}
	// Rodrigues about z × w, with 1 − cos = (1 − w_z) and sin² = w_x² + w_y².
	k := 1 / (1 + w.Z)
	u = geom.Vec{X: 1 - k*w.X*w.X, Y: -k * w.X * w.Y, Z: -w.X}
	v = geom.Vec{X: -k * w.X * w.Y, Y: 1 - k*w.Y*w.Y, Z: -w.Y}
	return u, v, w, nil
}

// Ruling is a straight line of the wall from the port to the bore.
type Ruling struct{ From, To geom.Vec }

// Lines returns n of the wall's lines, equally far from each other on the port and
// on the bore.
func (l Loft) Lines(n int) []Ruling {
	pts := l.port.Evenly(n)
	lines := make([]Ruling, len(pts))
	for i, p := range pts {
		lines[i] = Ruling{geom.Vec{X: p[0], Y: p[1]}, l.onBore(math.Sincos(l.Phase + 2*math.Pi*float64(i)/float64(n)))}
	}
	return lines
}

func (l Loft) onBore(sin, cos float64) geom.Vec {
	up := l.aim.Cross(l.across)
	return l.aim.Scale(l.Length).Add(l.across.Scale(l.radius * cos)).Add(up.Scale(l.radius * sin))
}

// Area returns the area in mm² of the section at the share k of the length, 0 at
// the port and 1 at the bore, as the gas sees it.
func (l Loft) Area(k float64) float64 {
	return (1-k)*(1-k)*l.Port + 2*k*(1-k)*l.Middle + k*k*l.Bore
}

// Areas returns n+1 pairs of mm along the tube and area in mm².
func (l Loft) Areas(n int) [][2]float64 {
	list := make([][2]float64, n+1)
	for i := range list {
		k := float64(i) / float64(n)
		list[i] = [2]float64{k * l.Length, l.Area(k)}
	}
	return list
}

// Extremes returns the least and the greatest area along the transition. Between
// the ends it can only be where the quadratic turns:
//
//	k = (A₀ − Aₘ) / (A₀ − 2Aₘ + A₁)
func (l Loft) Extremes() (least, greatest float64) {
	least, greatest = min(l.Port, l.Bore), max(l.Port, l.Bore)
	if k := (l.Port - l.Middle) / (l.Port - 2*l.Middle + l.Bore); k > 0 && k < 1 {
		a := l.Area(k)
		least, greatest = min(least, a), max(greatest, a)
	}
	return least, greatest
}
