package stock_test

import (
	"fmt"
	"math"
	"math/bits"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"tubewright/calc/stock"
)

// A strong model is what makes it as easy for a MIP solver as we know how: a variable
// for every set of bends that fills a bar (Gilmore and Gomory, whose relaxation is that
// of arc flow), each on the cheapest bar that it fits in, and none that a set with more
// bends for no more money makes needless; prices in their largest common measure, so
// that the solver rounds its bound up; and whole numbers that count the bars, on which
// it branches first, with the row that they have to be long enough together, from which
// it derives cuts. Bars are not told apart, so that there is no symmetry to break.
type strong struct {
	sets  []uint64
	price []int64
	bar   []int
	bends int
	room  []float64 // of each bar
	need  float64   // of all bends
	unit  int64     // of price, cents
}

func strongModel(needs []stock.Need, items []stock.Item, set stock.Settings) *strong {
	m := &strong{bends: len(needs)}
	var bars []int
	for k, it := range items {
		if it.Kind == stock.BentTube {
			bars = append(bars, k)
		}
	}
	loss := float64(stock.Loss(items[0].Section.OD, items[0].CLR, set.Saw))
	slices.SortStableFunc(bars, func(a, b int) int { return int(items[a].Price - items[b].Price) })
	size := func(i int) float64 { return float64(needs[i].Turn) + loss }
	for i := range needs {
		m.need += size(i)
	}
	done := map[uint64]bool{}
	for b, k := range bars {
		m.room = append(m.room, float64(items[k].Angle)+loss)
		m.unit = gcd(m.unit, items[k].Price)
		var sets []uint64
		fill(len(needs), m.room[b]+1e-8, size, true, func(sub int) { sets = append(sets, uint64(sub)) })
		for _, s := range sets {
			if !done[s] {
				done[s] = true
				m.sets, m.price, m.bar = append(m.sets, s), append(m.price, items[k].Price), append(m.bar, b)
			}
		}
	}
	m.dominate()
	return m
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// dominate drops the sets that another has all bends of for no more money.
func (m *strong) dominate() {
	order := make([]int, len(m.sets))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return bits.OnesCount64(m.sets[b]) - bits.OnesCount64(m.sets[a]) })
	var kept []int
next:
	for _, i := range order {
		for _, j := range kept {
			if m.sets[i]&^m.sets[j] == 0 && m.price[j] <= m.price[i] {
				continue next
			}
		}
		kept = append(kept, i)
	}
	slices.Sort(kept)
	for n, i := range kept {
		m.sets[n], m.price[n], m.bar[n] = m.sets[i], m.price[i], m.bar[i]
	}
	m.sets, m.price, m.bar = m.sets[:len(kept)], m.price[:len(kept)], m.bar[:len(kept)]
}

// write writes the model in the LP format.
func (m *strong) write(path string) error {
	var s strings.Builder
	price := make([]int64, len(m.room))
	for i, b := range m.bar {
		price[b] = m.price[i] / m.unit
	}
	s.WriteString("Minimize\n cost:")
	for b, p := range price {
		fmt.Fprintf(&s, " + %d n%d", p, b)
	}
	s.WriteString("\nSubject To\n")
	for i := range m.bends {
		fmt.Fprintf(&s, " r%d:", i)
		for j, set := range m.sets {
			if set>>i&1 == 1 {
				fmt.Fprintf(&s, " + x%d\n", j)
			}
		}
		s.WriteString(" >= 1\n")
	}
	for b := range m.room {
		fmt.Fprintf(&s, " c%d: n%d", b, b)
		for j, of := range m.bar {
			if of == b {
				fmt.Fprintf(&s, " - x%d\n", j)
			}
		}
		s.WriteString(" = 0\n")
	}
	s.WriteString(" long:")
	for b, room := range m.room {
		fmt.Fprintf(&s, " + %.9f n%d", room, b)
	}
	fmt.Fprintf(&s, " >= %.9f\nBounds\n", m.need-1e-6)
	for b := range m.room {
		fmt.Fprintf(&s, " n%d <= %d\n", b, m.bends)
	}
	s.WriteString("Generals\n")
	for b := range m.room {
		fmt.Fprintf(&s, " n%d\n", b)
	}
	s.WriteString("Binaries\n")
	for j := range m.sets {
		fmt.Fprintf(&s, " x%d\n", j)
	}
	s.WriteString("End\n")
	return os.WriteFile(path, []byte(s.String()), 0o600)
}

// limit is how long the solver may take for one plan, in seconds.
const limit = 60

// took is what the solver says of a strong model.
type took struct {
	time   time.Duration // from reading the model on, of the clock
	best   int64         // cents
	bound  int64         // cents
	proven bool
}

func (m *strong) solve(b *testing.B, path string) took {
	b.Helper()
	lp := filepath.Join(b.TempDir(), "m.lp")
	if err := m.write(lp); err != nil {
		b.Fatal(err)
	}
	start := time.Now()
	said, err := exec.Command(path, lp, "sec", strconv.Itoa(limit), "ratio", "0", "allow", "0.999", "solve").CombinedOutput()
	t := took{time: time.Since(start), best: math.MaxInt64}
	if err != nil {
		b.Fatalf("%v\n%s", err, said)
	}
	for _, line := range strings.Split(string(said), "\n") {
		name, value, _ := strings.Cut(line, ":")
		n, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		switch {
		case strings.HasPrefix(line, "Result - Optimal solution found"):
			t.proven = true
		case name == "Objective value" && err == nil:
			t.best = int64(math.Round(n)) * m.unit
		case name == "Lower bound" && err == nil:
			t.bound = int64(math.Ceil(n-1e-6)) * m.unit
		}
	}
	if t.proven {
		t.bound = t.best
	}
	return t
}

// Bends of one CLR by Pack and by a MIP solver, one after the other in one run: the same
// optimum, proven by both. The solver has our best model of it; the time to write that
// down is not counted, that to read it is. Where it does not end within the limit, its
// plan must not be better nor its bound above ours, and the figure is called
// x-faster-at-least. Twenty headers of each size, invented, with fixed seeds:
//
//	go test ./calc/stock -run XXX -bench BesideAMIPSolver -benchtime 20x
func BenchmarkPackBesideAMIPSolver(b *testing.B) {
	path := solver(b)
	for _, size := range []int{16, 24} {
		b.Run(strconv.Itoa(size)+" bends", func(b *testing.B) {
			var ours, theirs time.Duration
			n, ended := 0, 0
			least := math.Inf(1)
			for b.Loop() {
				needs, items, set := header(uint64(n%20), size, false)
				start := time.Now()
				p, err := stock.Pack(needs, items, set, nil)
				own := time.Since(start)
				if err != nil || !p.Optimal {
					b.Fatal(p, err)
				}
				t := strongModel(needs, items, set).solve(b, path)
				if t.best < p.Cost || t.bound > p.Cost || t.proven && t.best != p.Cost {
					b.Fatalf("seed %d: %d, the solver says %+v", n%20, p.Cost, t)
				}
				if t.proven {
					ended++
				} else {
					b.Logf("seed %d: the solver did not end in %d s: %d cents, at least %d; %d is proven in %v", n%20, limit, t.best, t.bound, p.Cost, own)
				}
				ours, theirs = ours+own, theirs+t.time
				least = min(least, t.time.Seconds()/own.Seconds())
				n++
			}
			name := "x-faster"
			if ended < n {
				name = "x-faster-at-least"
			}
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(ours.Seconds()*1000/float64(n), "pack-ms")
			b.ReportMetric(theirs.Seconds()*1000/float64(n), "solver-ms")
			b.ReportMetric(theirs.Seconds()/ours.Seconds(), name)
			b.ReportMetric(least, "x-faster-least")
			b.ReportMetric(100*float64(ended)/float64(n), "%solver-ended")
		})
	}
}
