package sizing

import (
	"errors"
	"math"
	"strconv"

	"tubewright/calc/fault"
	"tubewright/calc/units"
)

// mostCylinders is the largest engine, as in a job.
const mostCylinders = 16

// cycle is two turns of the crank: a four-stroke engine fires each cylinder once in it.
const cycle = 720

// Firing is when each cylinder of a four-stroke engine fires. The zero value is no
// engine.
//
// Times are whole numbers of which period make a cycle, so that gaps are compared
// exactly: of an engine that fires evenly as many as it has cylinders, of others
// millionths of a degree.
type Firing struct {
	order  []int
	at     []int64 // by cylinder − 1
	period int64
}

const micro = 1_000_000 // in a degree

// NewFiring returns an engine that fires its cylinders, numbered from 1, in this order.
// intervals are the crank angles from each to the next and from the last to the first
// again; none is every 720°/n. The error is a *fault.Field: 1 to 16 cylinders, each
// named once, intervals of 0 to 720° that sum to 720° within a hundredth of a degree
// each.
func NewFiring(order []int, intervals []units.Angle) (Firing, error) {
	n := len(order)
	if err := fault.Within("Firing order", float64(n), 1, mostCylinders, "cylinders"); err != nil {
		return Firing{}, err
	}
	f := Firing{order: append([]int(nil), order...), at: make([]int64, n), period: int64(n)}
	named := make([]bool, n)
	for i, cyl := range order {
		if cyl < 1 || cyl > n || named[cyl-1] {
			return Firing{}, fault.Refuse("Firing order", "it has to name each cylinder from 1 to "+strconv.Itoa(n)+" once")
		}
		named[cyl-1] = true
		f.at[cyl-1] = int64(i)
	}
	if len(intervals) == 0 {
		return f, nil
	}
	if len(intervals) != n {
		return Firing{}, fault.Refuse("Firing intervals", "there has to be one after each of the "+strconv.Itoa(n)+" cylinders")
	}
	sum := 0.0
	for _, a := range intervals {
		if err := fault.Within("Firing interval", a.Deg(), 0, cycle, "°"); err != nil {
			return Firing{}, err
		}
		sum += a.Deg()
	}
	if err := fault.Within("Sum of the firing intervals", sum, cycle-0.01*float64(n), cycle+0.01*float64(n), "°"); err != nil {
		return Firing{}, err
	}
	f.period = cycle * micro
	at := int64(0)
	for i, cyl := range order {
		f.at[cyl-1] = min(at, f.period)
		at += int64(math.Round(intervals[i].Deg() * micro))
	}
	return f, nil
}

// FiringAt is NewFiring for an engine of which the crank angle is known at which each
// cylinder fires, 0 ≤ at < 720°, that of cylinder 1 first.
func FiringAt(at []units.Angle) (Firing, error) {
	if err := fault.Within("Firing angles", float64(len(at)), 1, mostCylinders, "cylinders"); err != nil {
		return Firing{}, err
	}
	f := Firing{period: cycle * micro}
	for i, a := range at {
		if d := a.Deg(); !(d >= 0 && d < cycle) {
			return Firing{}, &fault.Field{Name: "Firing angle", Where: "cylinder " + strconv.Itoa(i+1), Got: d, Unit: "°", Low: 0, High: cycle, Why: "a cycle is two turns"}
		}
		f.at = append(f.at, int64(math.Round(a.Deg()*micro)))
		k := len(f.order)
		for k > 0 && f.at[f.order[k-1]-1] > f.at[i] {
			k--
		}
		f.order = append(f.order, 0)
		copy(f.order[k+1:], f.order[k:])
		f.order[k] = i + 1
	}
	return f, nil
}

// Order returns the cylinders as they fire.
func (f Firing) Order() []int { return append([]int(nil), f.order...) }

// At returns when a cylinder fires, counted from the first of the order as it was
// entered, 0 for one that the engine has not.
func (f Firing) At(cylinder int) units.Angle {
	if !f.has(cylinder) {
		return 0
	}
	return f.angle(f.at[cylinder-1])
}

func (f Firing) has(cylinder int) bool { return cylinder >= 1 && cylinder <= len(f.at) }

func (f Firing) angle(steps int64) units.Angle {
	return units.Angle(float64(steps)*cycle/float64(f.period)) * units.Degree
}

// Spot is where a cylinder that fires lies on the crank's circle.
type Spot struct {
	Cylinder int
	Cycle    units.Angle // 0 to 720°
	Crank    units.Angle // 0 to 360°
	Turn     int         // of the two turns of a cycle, 1 or 2
}

// Circle returns all cylinders on the crank's circle, as they fire.
func (f Firing) Circle() []Spot {
	spots := make([]Spot, 0, len(f.order))
	for _, cyl := range f.order {
		s := Spot{Cylinder: cyl, Cycle: f.At(cyl), Turn: 1}
		steps := f.at[cyl-1]
		if 2*steps >= f.period {
			s.Turn = 2
		}
		// 2·steps mod period is twice the way round the circle, whole even where half
		// a period is not.
		s.Crank = f.angle(2*steps%f.period) / 2
		spots = append(spots, s)
	}
	return spots
}

// Group is some cylinders that share a tube or a collector.
type Group struct {
	Cylinders []int         // as they fire, beginning with the lowest number: the order round a collector
	Gaps      []units.Angle // from each to the next, and from the last to the first again
	Least     units.Angle   // of Gaps
	Even      bool          // all gaps are the same
}

// Group returns some cylinders of the engine as a group. Numbers that the engine has
// not, and repeated ones, are left out.
func (f Firing) Group(cylinders []int) Group {
	wanted := make([]bool, len(f.at))
	for _, cyl := range cylinders {
		if f.has(cyl) {
			wanted[cyl-1] = true
		}
	}
	var list []int
	lowest := 0
	for _, cyl := range f.order {
		if wanted[cyl-1] {
			if len(list) == 0 || cyl < list[lowest] {
				lowest = len(list)
			}
			list = append(list, cyl)
		}
	}
	if len(list) == 0 {
		return Group{}
	}
	list = append(list[lowest:], list[:lowest]...)
	g := Group{Cylinders: list, Even: true}
	least, first := f.period, int64(0)
	for i := range list {
		gap := f.gap(list[i], list[(i+1)%len(list)])
		if i == 0 {
			first = gap
		}
		if off := gap - first; off > f.rounding() || off < -f.rounding() {
			g.Even = false
		}
		least = min(least, gap)
		g.Gaps = append(g.Gaps, f.angle(gap))
	}
	g.Least = f.angle(least)
	return g
}

// rounding is by how many steps gaps may differ that were meant to be the same: times
// of an uneven engine were rounded to millionths.
func (f Firing) rounding() int64 {
	if f.period == cycle*micro {
		return 2
	}
	return 0
}

// gap returns how long after a the cylinder b fires, a whole period after itself.
func (f Firing) gap(a, b int) int64 {
	if a == b {
		return f.period
	}
	gap := f.at[b-1] - f.at[a-1]
	if gap < 0 || gap == 0 && f.before(b, a) {
		gap += f.period
	}
	return gap
}

// before reports whether a stands before b in the order; those that fire together do so
// in some order.
func (f Firing) before(a, b int) bool {
	for _, cyl := range f.order {
		if cyl == a || cyl == b {
			return cyl == a
		}
	}
	return false
}

// Rotates reports whether cylinders that follow each other round a collector are in
// firing order, one way round or the other: common practice for 4-1 and 3-1, no source.
// Cylinders that the engine has not, or that are named twice, are in none.
func (f Firing) Rotates(sockets []int) bool {
	g := f.Group(sockets)
	if len(g.Cylinders) != len(sockets) {
		return false
	}
	n := len(sockets)
	forward, back := true, true
	start := 0
	for i, cyl := range sockets {
		if cyl == g.Cylinders[0] {
			start = i
		}
	}
	for i, cyl := range g.Cylinders {
		forward = forward && sockets[(start+i)%n] == cyl
		back = back && sockets[(start+n-i)%n] == cyl
	}
	return forward || back
}

var errNoEngine = fault.Refuse("Firing order", "it is not known")

// known checks a list of cylinders of the engine, each named once.
func (f Firing) known(cylinders []int) error {
	if len(f.at) == 0 {
		return errNoEngine
	}
	var faults []error
	seen := make([]bool, len(f.at))
	for _, cyl := range cylinders {
		switch {
		case !f.has(cyl):
			faults = append(faults, fault.Within("Cylinder", float64(cyl), 1, float64(len(f.at)), ""))
		case seen[cyl-1]:
			faults = append(faults, fault.Refuse("Cylinders", strconv.Itoa(cyl)+" is named twice"))
		default:
			seen[cyl-1] = true
		}
	}
	return errors.Join(faults...)
}
