package stock

import "math"

// measure is a cost with its bound.
type measure struct {
	on    bool
	worth worth
	bar   []float64 // what each bar costs
	leave float64   // what leaving out a part costs
	legs  float64   // what counts of what a leg gains
	unit  float64   // every cost is a multiple of it; 0 for none
	fuzz  float64   // what the bound may be off by
	spent float64
	owed  float64     // what covering the rest is worth
	areas []*area     // of money, by class; may be nil
	need  []float64   // of the rest, by class, for areas
	limit float64     // what a plan may cost at most
	dense [][]float64 // of each bar: the most that parts from i on are worth for their size
	bonus []float64   // of each bar: the most that two legs can be worth
}

// fuzzCost is what a bound in floating point may be off by, in units of cost: sums of
// whole numbers up to 1e10 carry errors below 1e-4.
const fuzzCost = 1e-3

// prepared fills in what follows from the worth of parts.
func (s *search) prepared(m measure) measure {
	c := s.c
	m.dense, m.bonus = nil, nil
	for k := range c.bars {
		dense := make([]float64, len(c.parts)+1)
		var first, second float64
		for i := len(c.parts) - 1; i >= 0; i-- {
			dense[i] = dense[i+1]
			if !c.fits(i, k) {
				continue
			}
			dense[i] = math.Max(dense[i], m.worth.part[i]/c.need(i, k))
			if m.legs > 0 {
				v := c.legWorth(i, k, m.worth)
				first, second = top(first, second, v)
				first, second = top(first, second, v)
			}
		}
		m.dense = append(m.dense, dense)
		m.bonus = append(m.bonus, first+second)
	}
	s.owe(&m)
	return m
}

// legWorth is the most that a leg of bar k on part i can be worth.
func (c *cover) legWorth(i, k int, w worth) float64 {
	var most float64
	long := math.Max(c.bars[k].legA, c.bars[k].legB)
	for _, t := range [2]int{c.parts[i].before, c.parts[i].after} {
		if t >= 0 && long > 0 && reaches(long, c.parts[t]) {
			most = math.Max(most, float64(c.parts[t].gain)+w.part[t])
		}
	}
	return most
}

// limitMoney searches for the most that legs gain among plans that cost no more than
// a limit of money.
func (s *search) limitMoney(m money, limit int64) {
	own := measure{on: true, worth: m.worth, leave: float64(s.c.leaveMoney), unit: float64(m.unit), fuzz: fuzzCost, limit: float64(limit), areas: m.areas, need: make([]float64, len(m.areas))}
	for _, b := range s.c.bars {
		own.bar = append(own.bar, float64(b.money))
	}
	s.bounds[1] = s.prepared(own)
	s.money = limit
}

// byAreas adds the bound of whole bars to the search for the least money.
func (s *search) byAreas(areas []*area) {
	s.bounds[0].areas, s.bounds[0].need = areas, make([]float64, len(areas))
	s.owe(&s.bounds[0])
}

// least is what a plan through here costs at least.
func (m *measure) least() float64 {
	owed := m.owed - m.fuzz
	if m.unit > 0 {
		owed = math.Ceil(owed/m.unit) * m.unit
	}
	if len(m.areas) == 0 {
		return m.spent + owed
	}
	var whole int64
	for class, a := range m.areas {
		if a != nil {
			whole += a.of(m.need[class])
		}
	}
	return m.spent + math.Max(owed, float64(whole))
}

// up rounds a bound up to the next multiple of unit.
func up(v float64, unit int64) int64 {
	return int64(math.Ceil((v-fuzzCost)/float64(unit))) * unit
}

// owe works out what covering the rest is worth.
func (s *search) owe(m *measure) {
	m.owed = m.worth.of(s.parts, s.bars)
	for class := range m.need {
		m.need[class] = 0
	}
	if len(m.areas) == 0 {
		return
	}
	for i, n := range s.parts {
		p := &s.c.parts[i]
		if n <= 0 || !p.must || p.class >= len(m.areas) || m.areas[p.class] == nil {
			continue
		}
		for _, bend := range s.beside[i] { // a leg may still serve it
			n -= s.parts[bend]
		}
		if n > 0 {
			m.need[p.class] += float64(n) * (p.size + m.areas[p.class].loss)
		}
	}
}
