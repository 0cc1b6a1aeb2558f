package flange

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tubewright/calc/geom"
)

func compareFaces(t testing.TB, own, other Face) []Comparison {
	t.Helper()
	list, err := Compare(own, other)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// uneven is a face that lies on itself in no other way: the head of the supplier
// examples, n bolts and ports.
func uneven(t testing.TB, rnd *rand.Rand, n, ports int) Face {
	f := even(t, (n+3)/4, ports, 50, 30)
	f.Holes = f.Holes[:n]
	for i := range f.Holes {
		f.Holes[i].At[0] += 12 * (rnd.Float64() - 0.5)
		f.Holes[i].At[1] += 12 * (rnd.Float64() - 0.5)
	}
	return f
}

// renamed returns the face in another order, holes h1, h2, …, ports o1, o2, …, and
// where each hole came from.
func (f Face) renamed(rnd *rand.Rand) (Face, []int) {
	f = f.clone()
	order := rnd.Perm(len(f.Holes))
	holes := make([]Hole, len(f.Holes))
	for i, k := range order {
		holes[i] = f.Holes[k]
		holes[i].ID = fmt.Sprintf("h%d", i+1)
		holes[i].Bolt = 0
	}
	f.Holes = holes
	rnd.Shuffle(len(f.Ports), func(i, j int) { f.Ports[i], f.Ports[j] = f.Ports[j], f.Ports[i] })
	for i := range f.Ports {
		f.Ports[i].ID = fmt.Sprintf("o%d", i+1)
	}
	return f, order
}

func anyPlacement(rnd *rand.Rand) Placement {
	return Placement{rnd.IntN(2) == 0, math.Pi * (2*rnd.Float64() - 1), [2]float64{400 * (rnd.Float64() - 0.5), 400 * (rnd.Float64() - 0.5)}}
}

// A copy, moved, turned, perhaps turned over and in another order, lies on its
// original hole by hole and port by port.
func TestCompareFindsACopyHoweverItLies(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		own := uneven(t, rnd, 4+rnd.IntN(13), rnd.IntN(9))
		move := anyPlacement(rnd)
		other, order := own.placed(move).renamed(rnd)
		list := compareFaces(t, own, other)
		if len(list) == 0 {
			t.Fatalf("seed %d case %d: nothing found", seed, i)
		}
		c := list[0]
		if c.Mirrored != move.Mirrored || c.RMS > 1e-9 || c.Minimax > precision || !c.BoltsGoIn || math.Abs(c.Room-0.5) > precision || len(c.Seats) != len(order) || c.OpeningsOff > 0.011 || len(c.Openings) != len(own.Ports) {
			t.Fatalf("seed %d case %d: %+v", seed, i, c)
		}
		for k, s := range c.Seats {
			if s.Bolt != own.Holes[order[k]].ID {
				t.Fatalf("seed %d case %d: hole %s on bolt %s, want %s", seed, i, s.Hole, s.Bolt, own.Holes[order[k]].ID)
			}
		}
		for _, q := range own.places() {
			if d := distance(c.Point(move.Point(q)), q); d > 1e-4 {
				t.Fatalf("seed %d case %d: a place comes back %v mm off", seed, i, d)
			}
		}
	}
}

// A supplier's flange 0.4 mm off at one hole, the head measured to 0.1 mm along
// each axis.
func TestSupplierHoleOffIsNamed(t *testing.T) {
	const seed = 6
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, tt := range []struct {
		holes         int
		off, sigma    float64
		named, called int // of 200: named at all, called certain and right; at least
	}{
		{16, 0.4, 0.1, 170, 85}, {10, 0.4, 0.1, 170, 70}, {8, 0.4, 0.05, 198, 175}, {6, 0.8, 0.1, 198, 190}, {4, 0.8, 0.05, 198, 190},
	} {
		named, certain, wrong, sum := 0, 0, 0, 0
		for range 200 {
			own := uneven(t, rnd, tt.holes, 4)
			other, order := own.placed(anyPlacement(rnd)).renamed(rnd)
			k := rnd.IntN(len(order))
			aim := 2 * math.Pi * rnd.Float64()
			other.Holes[k].At[0] += tt.off * math.Cos(aim)
			other.Holes[k].At[1] += tt.off * math.Sin(aim)
			c := compareFaces(t, own.shaken(rnd, tt.sigma), other)[0]
			right := c.Worst == other.Holes[k].ID && c.WorstBolt == own.Holes[order[k]].ID
			most := slices.MaxFunc(c.Seats, func(a, b Seat) int { return byFirst(a.Miss - b.Miss) })
			if most.Hole == other.Holes[k].ID {
				sum++
			}
			switch {
			case right && c.Certain:
				named++
				certain++
			case right:
				named++
			case c.Certain:
				wrong++
			}
		}
		t.Logf("%d holes, one %.1f mm off, measured to %.2f mm: named %d of 200 (least sum of misses: %d), certain %d, certain and wrong %d", tt.holes, tt.off, tt.sigma, named, sum, certain, wrong)
		if named < tt.named || certain < tt.called || wrong > 2 {
			t.Errorf("seed %d, %d holes: named %d, certain %d, wrong %d; want at least %d, %d, at most 2", seed, tt.holes, named, certain, wrong, tt.named, tt.called)
		}
	}
}

// Nothing is called off where nothing is.
func TestNoHoleIsCalledOffForNoise(t *testing.T) {
	const seed = 7
	faces := 200
	if testing.Short() {
		faces = 50
	}
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, n := range []int{4, 6, 8, 16} {
		for _, sigma := range []float64{0.05, 0.1, 0.2} {
			compared, matched, ways := 0, 0, 0
			for range faces {
				own := uneven(t, rnd, n, 0)
				other, _ := own.placed(anyPlacement(rnd)).renamed(rnd)
				if compareFaces(t, own.shaken(rnd, sigma), other)[0].Certain {
					compared++
				}
				for _, m := range selfMatch(t, even(t, n/4+1, 0, 50, 30).shaken(rnd, sigma)) {
					ways++
					if m.Certain {
						matched++
					}
				}
			}
			t.Logf("%d holes, %.2f mm: called off in %d of %d comparisons, %d of %d self-matches of %d holes", n, sigma, compared, faces, matched, ways, 4*(n/4+1))
			if sigma <= 0.1 && (compared > faces/50 || matched > ways/20) {
				t.Errorf("seed %d, %d holes, %.2f mm: called off in %d of %d comparisons, %d of %d self-matches", seed, n, sigma, compared, faces, matched, ways)
			}
		}
	}
}

// The same for a face laid on itself, in the three ways together.
func TestOddHoleOfAnEvenFaceIsNamed(t *testing.T) {
	const seed = 8
	rnd := rand.New(rand.NewPCG(seed, 0))
	for _, tt := range []struct {
		n           int
		off, sigma  float64
		pair, alone int // of 600 and of 200, at least
	}{{2, 0.8, 0.05, 598, 198}, {2, 0.8, 0.1, 575, 140}, {4, 0.8, 0.1, 590, 160}, {4, 0.5, 0.1, 500, 60}} {
		pair, ways, single, wrong, sum := 0, 0, 0, 0, 0
		for range 200 {
			f := even(t, tt.n, 0, 50, 30).shaken(rnd, tt.sigma)
			k := rnd.IntN(len(f.Holes))
			aim := 2 * math.Pi * rnd.Float64()
			f.Holes[k].At[0] += tt.off * math.Cos(aim)
			f.Holes[k].At[1] += tt.off * math.Sin(aim)
			matches := selfMatch(t, f)
			for _, m := range matches {
				ways++
				if m.Worst == f.Holes[k].ID || m.Mate == f.Holes[k].ID {
					pair++
				} else if m.Certain {
					wrong++
				}
				top := 0
				for i := range m.Misses {
					if m.Misses[i] > m.Misses[top] {
						top = i
					}
				}
				if top == k || m.Mates[top] == f.Holes[k].ID {
					sum++
				}
			}
			if id, _, ok := Suspect(f, matches); ok && id == f.Holes[k].ID {
				single++
			} else if ok {
				wrong++
			}
		}
		t.Logf("%d holes, one %.1f mm off, measured to %.2f mm: hole or mate named in %d of %d ways (least sum of misses: %d), the hole alone in %d of 200, wrong %d", 4*tt.n, tt.off, tt.sigma, pair, ways, sum, single, wrong)
		if ways != 600 || pair < tt.pair || single < tt.alone || wrong > 4 {
			t.Errorf("seed %d: %d holes, one %.1f mm off, measured to %.2f mm: %d of %d, %d of 200, wrong %d; want at least %d of 600 and %d, at most 4", seed, 4*tt.n, tt.off, tt.sigma, pair, ways, single, wrong, tt.pair, tt.alone)
		}
	}
}

// Holes may be missing on either side and ports too.
func TestCompareWithHolesMissing(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		own := uneven(t, rnd, 8+rnd.IntN(9), 4)
		move := anyPlacement(rnd)
		other, order := own.placed(move).renamed(rnd)
		without := rnd.IntN(4)
		extra := rnd.IntN(4)
		missing := map[string]bool{}
		for range without { // the farthest ones too
			missing[own.Holes[order[0]].ID] = true
			other.Holes, order = other.Holes[1:], order[1:]
		}
		for k := range extra {
			q := [2]float64{300 * (rnd.Float64() - 0.5), 12 * (rnd.Float64() - 0.5)} // between the rows
			other.Holes = append(other.Holes, Hole{ID: fmt.Sprintf("x%d", k), At: move.Point(q), Diameter: 9})
		}
		other.Ports = other.Ports[1:]
		c := compareFaces(t, own.shaken(rnd, 0.05), other)[0]
		if len(c.Seats) != len(order) || len(c.Unmatched.Bolts) != without || len(c.Unmatched.Holes) != extra || len(c.Unmatched.Ports) != 1 || len(c.Unmatched.Openings) != 0 || c.Mirrored != move.Mirrored || c.Minimax > 0.3 {
			t.Fatalf("seed %d case %d: without %d, extra %d: %+v", seed, i, without, extra, c)
		}
		for k, s := range c.Seats {
			if s.Bolt != own.Holes[order[k]].ID {
				t.Fatalf("seed %d case %d: hole %s on %s, want %s", seed, i, s.Hole, s.Bolt, own.Holes[order[k]].ID)
			}
		}
		for _, b := range c.Unmatched.Bolts {
			if !missing[b] {
				t.Fatalf("seed %d case %d: bolt %s said to have no hole", seed, i, b)
			}
		}
	}
}

// One hole far out leaves the others where they are, and is not paired.
func TestCompareHoleFarOut(t *testing.T) {
	rnd := rand.New(rand.NewPCG(10, 0))
	own := uneven(t, rnd, 10, 0)
	other, order := own.renamed(rnd)
	other.Holes[3].At[0] += 9
	c := compareFaces(t, own, other)[0]
	if len(c.Seats) != 9 || c.Minimax > precision || len(c.Unmatched.Holes) != 1 || c.Unmatched.Holes[0] != other.Holes[3].ID || c.Unmatched.Bolts[0] != own.Holes[order[3]].ID {
		t.Errorf("%+v", c)
	}
}

// Bolts of two sizes, holes of two plays: the room is the most that the tightest
// bolt can have, as dense search finds it.
func TestRoomIsTheMostThereIs(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 12 {
		own := uneven(t, rnd, 5+rnd.IntN(5), 0)
		other, order := own.placed(anyPlacement(rnd)).renamed(rnd)
		other = other.shaken(rnd, 0.3)
		for k := range other.Holes {
			other.Holes[k].Diameter = 9 + rnd.Float64()
		}
		c := compareFaces(t, own, other)[0]
		var p pairs
		allow := make([]float64, len(order))
		for k, j := range order {
			p.add(other.Holes[k].At, own.Holes[j].At)
			allow[k] = (other.Holes[k].Diameter - 8) / 2
		}
		flip := 1.0
		if c.Mirrored {
			flip = -1
		}
		start, _ := p.leastSquares(flip)
		if want := -dense(p, start, p.worthMost(allow)); math.Abs(c.Room-want) > precision || !c.Known || c.BoltsGoIn != (want >= 0) {
			t.Errorf("seed %d case %d: room %v, known %v, bolts go in %v; dense search %v", seed, i, c.Room, c.Known, c.BoltsGoIn, want)
		}
		least := math.Inf(1)
		for k, s := range c.Seats {
			miss := distance(c.Point(other.Holes[k].At), own.Holes[order[k]].At)
			if math.Abs(s.Room-(allow[k]-miss)) > 1e-9 {
				t.Errorf("seed %d case %d: room %v at %s, want %v", seed, i, s.Room, s.Hole, allow[k]-miss)
			}
			least = min(least, s.Room)
		}
		if least != c.Room {
			t.Errorf("seed %d case %d: room %v, least of the seats %v", seed, i, c.Room, least)
		}
	}
}

// A flange that bolts up either way round is laid as its openings fit, and
// unturned where that makes no difference.
func TestCompareOfAnEvenFaceGoesByTheOpenings(t *testing.T) {
	own := even(t, 2, 4, 50, 30)
	c := compareFaces(t, own, own.placed(Placement{Mirrored: true, Angle: 1}))
	if len(c) != 4 || c[0].Mirrored || !c[0].BoltsGoIn || c[0].OpeningsOff > 0.011 {
		t.Errorf("all even: %d ways, the first %+v", len(c), c[0])
	}
	own.Ports[0].Outline = own.Ports[0].Outline.Moved(0, 3)
	move := Placement{Mirrored: true, Angle: 1, Move: [2]float64{5, -70}}
	c = compareFaces(t, own, own.placed(move))
	if len(c) != 4 || !c[0].Mirrored || c[0].OpeningsOff > 0.011 || c[1].OpeningsOff < 2.9 {
		t.Errorf("one port higher: %+v", c)
	}
}

func TestCompareWithoutDiametersSaysNothingOfBolts(t *testing.T) {
	own := even(t, 2, 0, 50, 30)
	other := own.clone()
	other.Holes[2].Diameter = 0
	for _, c := range compareFaces(t, own, other) {
		if c.Known || c.BoltsGoIn || c.Room != 0 || c.Seats[2].Known || !c.Seats[1].Known {
			t.Errorf("%+v", c)
		}
	}
	for _, few := range []Face{{}, {Holes: own.Holes[:1]}, {Holes: []Hole{own.Holes[0], own.Holes[0]}}} {
		if c := compareFaces(t, own, few); c != nil {
			t.Errorf("against %d holes: %+v", len(few.Holes), c)
		}
		if c := compareFaces(t, few, own); c != nil {
			t.Errorf("%d holes against a flange: %+v", len(few.Holes), c)
		}
	}
}

// Of the pairings of a few holes that lie anyhow, the one that costs least, found
// among all there are, is among those returned.
func TestCompareAgainstAllPairings(t *testing.T) {
	const seed = 16
	rnd := rand.New(rand.NewPCG(seed, 0))
	tried := 0
	for i := range 150 {
		var own, other Face
		n := 4 + rnd.IntN(3)
		for k := range n {
			own.Holes = append(own.Holes, hole(k+1, 200*rnd.Float64(), 100*rnd.Float64()))
		}
		move := anyPlacement(rnd)
		for _, k := range rnd.Perm(n)[:n-rnd.IntN(2)] {
			q := move.Point(own.Holes[k].At)
			other.Holes = append(other.Holes, hole(k+1, q[0]+4*(rnd.Float64()-0.5), q[1]+4*(rnd.Float64()-0.5)))
		}
		s := search{from: other.places(), to: own.places(), limit: widestMiss}
		best := laid{}
		least := math.Inf(1)
		for _, flip := range []float64{1, -1} {
			permutations(len(s.from), n, func(mate []int) {
				l, _ := s.chosen(mate).leastSquares(flip)
				if c := s.cost(laid{l, mate}); c < least {
					least, best = c, laid{l, slices.Clone(mate)}
				}
			})
		}
		// A pairing with a miss beyond the limit is not one.
		for k, j := range best.mate {
			if distance(best.at(s.from[k]), s.to[j]) > 0.8*widestMiss {
				best.mate = nil
				break
			}
		}
		if best.mate == nil {
			continue
		}
		tried++
		found := slices.ContainsFunc(compareFaces(t, own, other), func(c Comparison) bool {
			for k, seat := range c.Seats {
				if k >= len(best.mate) || seat.Bolt != own.Holes[best.mate[k]].ID {
					return false
				}
			}
			return c.Mirrored == (best.flip < 0)
		})
		if !found {
			t.Errorf("seed %d case %d: the pairing %v at %v mm a hole is not among those found", seed, i, best.mate, least)
		}
	}
	if tried < 100 {
		t.Errorf("only %d of 150 cases had a pairing to find", tried)
	}
}

// Four in a line, an end hole off square to the line: by 0.4 mm the line could as
// well be turned and the next hole be off, by 0.8 mm hardly.
func TestHoleOffInALine(t *testing.T) {
	var own Face
	for k := range 4 {
		own.Holes = append(own.Holes, hole(k+1, 60*float64(k), 0))
	}
	for _, off := range []float64{0.4, 0.8} {
		other := own.clone()
		other.Holes[3].At[1] += off
		for _, c := range compareFaces(t, own, other) {
			if c.Certain != (off > 0.5) || math.Abs(c.WorstOff-off) > 1e-9 {
				t.Errorf("off by %v: %s called off by %v, certain %v", off, c.Worst, c.WorstOff, c.Certain)
			}
		}
	}
}

// Holes at one pitch in two rows lie on each other half turned too, but for one. While the
// bolts' size is not known it must not be that way that is taken: it would tell a fabricator
// that a bought flange lacks a hole.
func TestHolesAtOnePitchAreNotShiftedWhileBoltsAreUnknown(t *testing.T) {
	d, err := geom.D(19.5, 14, 6)
	if err != nil {
		t.Fatal(err)
	}
	circle, err := geom.Round(42.6)
	if err != nil {
		t.Fatal(err)
	}
	port := func(id string, o geom.Outline, x float64) Port { return Port{ID: id, Outline: o.Moved(x, 27)} }
	var own Face
	for i, at := range [][2]float64{{0, 0}, {110, 0}, {220.4, 0}, {330, 0}, {55, 60}, {165, 60}, {275, 60}} {
		own.Holes = append(own.Holes, Hole{ID: fmt.Sprint(i + 1), At: at, Diameter: 9})
	}
	other := own.clone()
	// Round openings over D ports, of which two are not measured yet.
	other.Ports = []Port{port("o1", circle, 41), port("o2", circle, 125), port("o3", circle, 205.9), port("o4", circle, 289)}
	own.Ports = []Port{port("p1", d, 41), port("p3", d, 205.9)}
	other.Holes[4].At[1] += 0.4
	for _, move := range []Placement{{}, {Mirrored: true, Move: [2]float64{165, 0}}, {Angle: 1, Move: [2]float64{30, -9}}} {
		c := compareFaces(t, own, other.placed(move))
		if len(c) == 0 || len(c[0].Unmatched.Bolts) > 0 || len(c[0].Openings) != 2 {
			t.Errorf("%+v: %+v", move, c[0])
		}
	}
}
