package flange

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tubewright/calc/geom"
)

// faceOf reads a face from bytes: four a hole, on a grid of ½ mm so that holes fall
// together, into lines and into symmetrical patterns, sizes of a few kinds; ports
// from what is left.
func faceOf(data []byte) (f Face) {
	for len(data) >= 6 && len(f.Holes) < 12 {
		x, y := int16(binary.LittleEndian.Uint16(data)), int16(binary.LittleEndian.Uint16(data[2:]))
		h := Hole{fmt.Sprint(len(f.Holes)), [2]float64{float64(x) / 64, float64(y%512) / 2}, 0, 0}
		if data[4] > 10 {
			h.Diameter = float64(data[4]%4) + 8
		}
		if data[5] > 10 {
			h.Bolt = float64(data[5]%4)*2 + 4
		}
		if data[5] == 7 {
			h.At[0] = math.NaN()
		}
		f.Holes = append(f.Holes, h)
		data = data[6:]
	}
	for i, b := range data[:min(len(data), 8)] {
		o, err := geom.Rectangle(20+float64(b%32), 20+float64(b/32), float64(b%8))
		if err == nil {
			f.Ports = append(f.Ports, Port{fmt.Sprint(i), o.Moved(30*float64(i), float64(b%3))})
		}
	}
	return f
}

func sound(t *testing.T, what string, numbers ...float64) {
	t.Helper()
	for _, v := range numbers {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s: %v", what, numbers)
		}
	}
}

func FuzzMatch(f *testing.F) {
	rnd := rand.New(rand.NewPCG(14, 0))
	for n := range 40 {
		data := make([]byte, n)
		for i := range data {
			data[i] = byte(rnd.Uint32())
		}
		f.Add(data, data)
	}
	f.Fuzz(func(t *testing.T, a, b []byte) {
		own, other := faceOf(a), faceOf(b)
		matches, err := SelfMatch(own)
		if nan := slices.ContainsFunc(own.Holes, func(h Hole) bool { return math.IsNaN(h.At[0]) }); (err != nil) != nan {
			t.Fatalf("error %v, NaN in %v", err, nan)
		}
		for _, m := range matches {
			sound(t, m.How, m.RMS, m.Minimax, m.Room, m.WorstOff, m.PortsOff, m.Angle, m.Move[0], m.Move[1])
			sound(t, m.How, m.Misses...)
			if m.RMS > m.Minimax+1e-9 || m.Minimax > slices.Max(m.Misses)+precision || m.Minimax > widestMiss || m.Worst == "" || m.BoltsGoIn && !m.Known {
				t.Fatalf("%+v", m)
			}
		}
		list, err := Compare(own, other)
		if err != nil {
			return
		}
		for _, c := range list {
			sound(t, c.How, c.RMS, c.Minimax, c.Room, c.WorstOff, c.OpeningsOff, c.Angle, c.Move[0], c.Move[1])
			worst := 0.0
			for _, s := range c.Seats {
				sound(t, s.Hole, s.Miss, s.Room, s.Off[0], s.Off[1])
				worst = max(worst, s.Miss)
			}
			if c.RMS > c.Minimax+1e-9 || c.Minimax > worst+precision || c.Worst == "" || c.BoltsGoIn && !c.Known {
				t.Fatalf("%+v", c)
			}
			if len(c.Seats)+len(c.Unmatched.Holes) != len(other.Holes) || len(c.Seats)+len(c.Unmatched.Bolts) != len(own.Holes) {
				t.Fatalf("%+v", c)
			}
		}
	})
}

// Moving, turning and turning over a whole face, or entering it in another order,
// changes nothing that is said of it.
func TestSelfMatchDoesNotDependOnFrameOrOrder(t *testing.T) {
	const seed = 15
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 200 {
		f := even(t, 1+rnd.IntN(4), rnd.IntN(5), 50, 30).shaken(rnd, 0.1)
		f.Holes[rnd.IntN(len(f.Holes))].At[1] += 2 * rnd.Float64()
		g := f.placed(anyPlacement(rnd))
		rnd.Shuffle(len(g.Holes), func(i, j int) { g.Holes[i], g.Holes[j] = g.Holes[j], g.Holes[i] })
		rnd.Shuffle(len(g.Ports), func(i, j int) { g.Ports[i], g.Ports[j] = g.Ports[j], g.Ports[i] })
		a, b := selfMatch(t, f), selfMatch(t, g)
		if len(a) != len(b) {
			t.Fatalf("seed %d case %d: %d ways and %d", seed, i, len(a), len(b))
		}
		for k := range a {
			m, n := a[k], b[k]
			pair := func(m Match) []string { s := []string{m.Worst, m.Mate}; slices.Sort(s); return s }
			if m.Mirrored != n.Mirrored || math.Abs(m.RMS-n.RMS) > 1e-9 || math.Abs(m.Minimax-n.Minimax) > precision ||
				math.Abs(m.Room-n.Room) > precision || math.Abs(m.PortsOff-n.PortsOff) > 0.005 ||
				m.BoltsGoIn != n.BoltsGoIn || m.Certain != n.Certain {
				t.Fatalf("seed %d case %d:\n%+v\n%+v", seed, i, m, n)
			}
			// Of four holes any two explain the misses alike.
			if len(f.Holes) > 4 && (!slices.Equal(pair(m), pair(n)) || math.Abs(m.WorstOff-n.WorstOff) > 1e-9) {
				t.Fatalf("seed %d case %d:\n%+v\n%+v", seed, i, m, n)
			}
		}
		aID, aOff, aOK := Suspect(f, a)
		if bID, bOff, bOK := Suspect(g, b); aID != bID || aOK != bOK || math.Abs(aOff-bOff) > 1e-9 {
			t.Fatalf("seed %d case %d: %s %v %v, %s %v %v", seed, i, aID, aOff, aOK, bID, bOff, bOK)
		}
	}
}

func TestWhatCannotBeAFaceIsRefused(t *testing.T) {
	good := even(t, 1, 0, 50, 30)
	for _, spoil := range []func(*Face){
		func(f *Face) { f.Holes[1].At[0] = math.NaN() },
		func(f *Face) { f.Holes[1].At[1] = math.Inf(1) },
		func(f *Face) { f.Holes[1].At[0] = 2e5 },
		func(f *Face) { f.Holes[1].Diameter = -1 },
		func(f *Face) { f.Holes[1].Bolt = math.NaN() },
		func(f *Face) { f.Holes = make([]Hole, 65) },
		func(f *Face) { f.Ports = make([]Port, 65) },
	} {
		f := good.clone()
		spoil(&f)
		if _, err := SelfMatch(f); err == nil {
			t.Errorf("%+v: not refused", f.Holes[min(1, len(f.Holes))])
		}
		if _, err := Compare(good, f); err == nil {
			t.Errorf("%+v: not refused as the other", f.Holes[min(1, len(f.Holes))])
		}
		if _, err := Compare(f, good); err == nil {
			t.Errorf("%+v: not refused as the own", f.Holes[min(1, len(f.Holes))])
		}
	}
}
