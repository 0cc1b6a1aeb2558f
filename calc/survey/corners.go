package survey

import (
	"fmt"
	"math"

	"tubewright/calc/fault"
	"tubewright/calc/geom"
)

// model is a mock-up as a chain of corners: leg i runs from corner i to corner
// i+1. A bend with a point of its own is two corners and the leg between them,
// tangent to its middle.
type model struct {
	sigma   float64
	legs    []leg
	corners []corner // as many as legs, plus one; the first and last are the free ends
	ends    [2]gauge
	up      geom.Vec
}

// leg is a straight, or the tangent in the middle of a bend.
type leg struct {
	straight int // index, −1 for a tangent
	of       Straight
	in       Bend // of a tangent
}

type corner struct {
	bend   int // index, −1 for a free end
	radius float64
	half   bool // the other half of the bend is the corner before or after
}

// gauge holds a free end in a plane.
type gauge struct {
	at, normal geom.Vec
	sigma      float64
}

// tight is what fraction of a point's sigma a condition is held to that has to be
// met: small enough to leave no trace in a length, large enough to keep the digits
// of the covariance.
const tight = 1e-3

// start returns the model and the corners to start from, the middles of the
// common perpendiculars, and how the axes miss.
func (m MockUp) start() (model, []geom.Vec, []Joint, error) {
	mod := model{sigma: m.Sigma.MM(), up: m.Up}
	lines := make([]line, len(m.Straights))
	for i, s := range m.Straights {
		l, err := s.line(mod.sigma)
		if err != nil {
			return mod, nil, nil, fault.At(err, whereStraight(i))
		}
		lines[i] = l
	}
	var joints []Joint
	at := []geom.Vec{{}} // the free start is filled in last
	mod.corners = []corner{{bend: -1}}
	for i, s := range m.Straights {
		mod.legs = append(mod.legs, leg{straight: i, of: s})
		if i == len(m.Bends) {
			break
		}
		j, corners, err := m.Bends[i].between(lines[i], lines[i+1], mod.sigma)
		if err != nil {
			return mod, nil, nil, fault.At(err, whereBend(i))
		}
		if j != nil {
			j.Bend = i + 1
			joints = append(joints, *j)
		}
		at = append(at, corners...)
		c := corner{bend: i, radius: m.Bends[i].CLR.MM(), half: len(corners) == 2}
		for k := range corners {
			mod.corners = append(mod.corners, c)
			if k > 0 {
				mod.legs = append(mod.legs, leg{straight: -1, in: m.Bends[i]})
			}
		}
	}
	at = append(at, geom.Vec{})
	mod.corners = append(mod.corners, corner{bend: -1})
	if err := mod.hold(m, lines, at); err != nil {
		return mod, nil, nil, err
	}
	return mod, at, joints, mod.inOrder(at)
}

// between returns the corner of a bend, or its two, from the axes before and
// after. There is no joint where the axes cross nowhere.
func (b Bend) between(before, after line, sigma float64) (*Joint, []geom.Vec, error) {
	if b.Middle != nil || b.Centre != nil {
		corners, err := b.tangent(before, after)
		return nil, corners, err
	}
	onA, onB, ok := feet(before, after)
	apart := unsigned(before.dir, after.dir)
	// Seen from where the axes cross, the points of the straight before lie behind
	// and those of the one after ahead; at a half turn both lie behind. Axes that
	// cross nowhere lie in one line or a bend apart.
	turnsBack := ok && onA.Sub(before.at).Dot(after.at.Sub(onB)) < 0
	if apart < inLine {
		turnsBack = after.at.Sub(before.at).Cross(before.dir).Norm() > b.CLR.MM()
	}
	switch {
	case apart < nearHalf && turnsBack:
		return nil, nil, fault.Refuse("Straights", fmt.Sprintf("the axes before and after are within %.2g° of a half turn, so they do not show how far along them the bend sits; measure its bend centre, or a centre point near its middle", nearHalf*180/math.Pi))
	case apart < inLine:
		return nil, nil, fault.Refuse("Straights", "the two straights lie in one line; measure them as one straight")
	}
	expected := sigma * math.Sqrt(before.variance(onA)+after.variance(onB))
	miss := onA.Sub(onB).Norm()
	return newJoint(miss, expected, onA.Add(onB).Scale(0.5)), []geom.Vec{onA.Add(onB).Scale(0.5)}, nil
}

// unsigned returns the angle between two lines, whichever way they point.
func unsigned(a, b geom.Vec) float64 { return math.Atan2(a.Cross(b).Norm(), math.Abs(a.Dot(b))) }

// tangent returns where the axes meet the plane that touches the bend in its
// middle.
func (b Bend) tangent(before, after line) ([]geom.Vec, error) {
	p, out := b.Middle, 0.0
	if b.Centre != nil {
		p, out = b.Centre, b.CLR.MM()
	}
	// Outwards is where the point lies from the straights, along the bisector.
	u, w := before.dir, after.dir
	if u.Dot(p.Sub(before.at)) < 0 {
		u = u.Scale(-1)
	}
	if w.Dot(after.at.Sub(*p)) < 0 {
		w = w.Scale(-1)
	}
	if turn := u.Angle(w); turn < helped {
		return nil, &fault.Field{Name: "Bent through", Got: turn * 180 / math.Pi, Unit: "°", Low: 90, High: 180,
			Why: "below that the straights fix the bend better than a point in it; leave the point out"}
	}
	outward, ok := u.Sub(w).Unit()
	if !ok {
		return nil, fault.Refuse("Straights", "the axes give the bend no direction")
	}
	touch := p.Add(outward.Scale(out))
	var corners []geom.Vec
	for _, l := range []line{before, after} {
		c, ok := pierce(l, touch, outward)
		if !ok {
			return nil, fault.Refuse("Straights", "the axes give the bend no direction")
		}
		corners = append(corners, c)
	}
	return corners, nil
}

// pierce returns where an axis meets a plane. It is false when the two are within
// 0.6° of parallel.
func pierce(l line, at, normal geom.Vec) (geom.Vec, bool) {
	n, _ := normal.Unit()
	slope := l.dir.Dot(n)
	if !(math.Abs(slope) > 0.01) {
		return geom.Vec{}, false
	}
	return l.at.Add(l.dir.Scale(at.Sub(l.at).Dot(n) / slope)), true
}

// hold finds the planes that hold the free ends, and the ends in them.
func (mod *model) hold(m MockUp, lines []line, at []geom.Vec) error {
	last := len(lines) - 1
	for k, end := range []struct {
		line   line
		points []geom.Vec
		cut    *Cut
		corner int
		next   geom.Vec // a point further along the tube
		where  fault.Field
	}{
		{lines[0], m.Straights[0].Points, m.Start, 0, at[1], whereStraight(0)},
		{lines[last], m.Straights[last].Points, m.End, len(at) - 1, at[len(at)-2], whereStraight(last)},
	} {
		if end.cut != nil {
			c, ok := pierce(end.line, end.cut.At, end.cut.Normal)
			if !ok {
				return fault.At(fault.Refuse("Plane", "the straight runs along the plane that should end it"), end.where)
			}
			n, _ := end.cut.Normal.Unit()
			mod.ends[k] = gauge{end.cut.At, n, max(end.cut.Sigma.MM(), tight*mod.sigma)}
			at[end.corner] = c
			continue
		}
		if last == 0 { // no bend says which end is which: the points come in order
			end.next = end.points[(1-k)*(len(end.points)-1)]
		}
		far := end.points[0]
		for _, p := range end.points {
			if p.Sub(end.next).Norm() > far.Sub(end.next).Norm() {
				far = p
			}
		}
		// The end is where the point was put, as exactly as that was measured.
		mod.ends[k] = gauge{far, end.line.dir, mod.sigma}
		at[end.corner] = end.line.at.Add(end.line.dir.Scale(far.Sub(end.line.at).Dot(end.line.dir)))
	}
	return nil
}

// inOrder refuses a chain whose legs have no length, or whose straights were not
// measured where the chain runs: the order is wrong then.
func (mod model) inOrder(at []geom.Vec) error {
	for i, l := range mod.legs {
		along := at[i+1].Sub(at[i])
		length := along.Norm()
		if !(length > 1e-3) {
			if l.straight < 0 {
				return fault.At(fault.Refuse("Point", "the two straights lie in one line at the point given"), whereBend(mod.corners[i].bend))
			}
			return fault.At(fault.Refuse("Points", "the straight has no length between its ends; give two points on it, or the planes that end the tube"), whereStraight(l.straight))
		}
		if l.straight < 0 {
			continue
		}
		var mean geom.Vec
		for _, p := range l.of.Points {
			mean = mean.Add(p.Scale(1 / float64(len(l.of.Points))))
		}
		x := mean.Sub(at[i]).Dot(along) / length
		if slack := 5 * mod.sigma; !(x >= -slack && x <= length+slack) {
			return fault.At(fault.Refuse("Points", "they do not lie between the ends of the straight, which are where its axis crosses its neighbours'; check the order of the straights and the points"), whereStraight(l.straight))
		}
	}
	return nil
}
