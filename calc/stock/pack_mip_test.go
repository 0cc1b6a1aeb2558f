package stock_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/stock"
)

// A mip is packing as a set partition for a MIP solver: a variable for every way to
// cut one bar.
type mip struct {
	name []string
	cost []int
	rows map[string][]string // of each piece the variables that cover it
	most map[string][]string // of each item on hand the variables that use it
}

func (m *mip) add(cost int, covers []string, hand string) {
	v := "x" + strconv.Itoa(len(m.name))
	m.name, m.cost = append(m.name, v), append(m.cost, cost)
	for _, c := range covers {
		m.rows[c] = append(m.rows[c], v)
	}
	if hand != "" {
		m.most[hand] = append(m.most[hand], v)
	}
}

// perCent is how much a cent weighs beside a leg.
const perCent = 100

// model writes down every way to cut a bar: of bends with every set of straights that
// legs can serve, as brute finds them, and of straights. As a cover without legs, only
// ways that have room for nothing more.
func model(needs []stock.Need, items []stock.Item, set stock.Settings, legs bool) *mip {
	m := &mip{rows: map[string][]string{}, most: map[string][]string{}}
	b := &brute{cut: float64(set.Saw.Kerf + set.Saw.Facing), ways: map[[2]int][]int{}, items: items}
	for _, n := range needs {
		m.rows[n.ID] = nil
		if n.Kind == stock.Bend {
			b.bends = append(b.bends, n)
		} else {
			b.straights = append(b.straights, n)
		}
	}
	for k, it := range items {
		price, hand := int(it.Price), ""
		if it.OnHand > 0 {
			price, hand = int(it.HandPrice), it.ID
		}
		need, room, pieces := func(i int) float64 { return float64(b.straights[i].Length) + b.cut }, float64(it.Length)+b.cut, len(b.straights)
		loss := 0.0
		if it.Kind != stock.Tubing {
			loss = float64(stock.Loss(it.Section.OD, it.CLR, set.Saw))
			need, room, pieces = func(i int) float64 { return float64(b.bends[i].Turn) + loss }, float64(it.Angle)+loss, len(b.bends)
		}
		b.loss = append(b.loss, loss)
		fill(pieces, room+1e-8, need, !legs, func(sub int) {
			var covers []string
			for i := range pieces {
				if sub>>i&1 == 1 && it.Kind == stock.Tubing {
					covers = append(covers, b.straights[i].ID)
				} else if sub>>i&1 == 1 {
					covers = append(covers, b.bends[i].ID)
				}
			}
			if it.Kind == stock.Tubing || !legs {
				m.add(price*perCent, covers, hand)
				return
			}
			for _, served := range b.served(sub, k) {
				all, n := slices.Clone(covers), 0
				for i, s := range b.straights {
					if served>>i&1 == 1 {
						all = append(all, s.ID)
						n++
					}
				}
				m.add(price*perCent-n, all, hand)
			}
		})
	}
	return m
}

// fill calls found with every set of pieces that fits, or with those alone that have
// room for no other.
func fill(pieces int, room float64, need func(int) float64, maximal bool, found func(set int)) {
	var grow func(i, set int, room float64)
	grow = func(i, set int, room float64) {
		if i == pieces {
			for k := range pieces {
				if maximal && set>>k&1 == 0 && need(k) <= room {
					return
				}
			}
			if set != 0 {
				found(set)
			}
			return
		}
		if need(i) <= room {
			grow(i+1, set|1<<i, room-need(i))
		}
		grow(i+1, set, room)
	}
	grow(0, 0, room)
}

// write writes the model in the LP format.
func (m *mip) write(path string, items []stock.Item, cover bool) error {
	var s strings.Builder
	s.WriteString("Minimize\n cost:")
	for i, v := range m.name {
		fmt.Fprintf(&s, " %+d %s\n", m.cost[i], v)
	}
	s.WriteString("Subject To\n")
	rel := "="
	if cover {
		rel = ">="
	}
	var pieces []string
	for p := range m.rows {
		pieces = append(pieces, p)
	}
	slices.Sort(pieces)
	for i, p := range pieces {
		fmt.Fprintf(&s, " r%d: %s %s 1\n", i, strings.Join(m.rows[p], "\n + "), rel)
	}
	for i, it := range items {
		if v := m.most[it.ID]; len(v) > 0 {
			fmt.Fprintf(&s, " m%d: %s <= %d\n", i, strings.Join(v, "\n + "), it.OnHand)
		}
	}
	fmt.Fprintf(&s, "Binaries\n %s\nEnd\n", strings.Join(m.name, "\n "))
	return os.WriteFile(path, []byte(s.String()), 0o600)
}

// solver skips the test where there is no MIP solver.
func solver(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("cbc")
	if err != nil {
		t.Skip("there is no MIP solver to compare with (Debian: apt-get install coinor-cbc)")
	}
	return path
}

// patience is how long the solver may take, in seconds: it needs minutes for some
// instances of 16 bends.
const patience = 20

// answer is what the solver found.
type answer struct {
	cost     int
	proven   bool // the least cost
	hasPlan  bool
	noPlanIs bool // proven to be none
}

// solve asks the solver for the least cost.
func (m *mip) solve(t testing.TB, path string, items []stock.Item, cover bool) answer {
	t.Helper()
	dir := t.TempDir()
	lp, out := filepath.Join(dir, "m.lp"), filepath.Join(dir, "out")
	if err := m.write(lp, items, cover); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command(path, lp, "sec", strconv.Itoa(patience), "ratio", "0", "allow", "0", "solve", "solution", out).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	raw, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(raw), "\n")
	if strings.Contains(strings.ToLower(first), "infeasible") {
		return answer{noPlanIs: true}
	}
	_, value, ok := strings.Cut(first, "objective value")
	cost, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if !ok || err != nil {
		t.Fatalf("the solver says %q", first)
	}
	return answer{cost: int(math.Round(cost)), proven: strings.HasPrefix(first, "Optimal"), hasPlan: cost < 1e20}
}

// Random jobs with legs, tubing and finite counts: the same money and the same welds
// as a MIP solver proves.
func TestPackEqualsAMIPSolver(t *testing.T) {
	path := solver(t)
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	cases := 40
	if testing.Short() {
		cases = 6
	}
	done := 0
	for i := 0; done < cases; i++ {
		needs, items, set := madeUp(rnd, 5+rnd.IntN(4))
		if needs[0].Copies > 1 || cantCut(needs, items) {
			continue
		}
		for k := range items { // one or the other, as the model has them
			if items[k].OnHand > 0 {
				items[k].Buy = false
			}
		}
		p, err := stock.Pack(needs, items, set, nil)
		if err != nil {
			t.Fatalf("seed %d case %d: %v", seed, i, err)
		}
		holds(t, needs, items, set, p)
		if len(p.Splits) > 0 {
			continue
		}
		done++
		got, want := int(p.Cost)*perCent-servedBy(p), model(needs, items, set, true).solve(t, path, items, false)
		if want.noPlanIs != (len(p.Out) > 0) {
			t.Errorf("seed %d case %d: left out %v, the solver says there is no plan: %v", seed, i, p.Out, want.noPlanIs)
		}
		if want.hasPlan && (got > want.cost || want.proven && got != want.cost) {
			t.Errorf("seed %d case %d: %d, optimal %v, want %+v", seed, i, got, p.Optimal, want)
		}
	}
}

// Bends alone. The solver needs seconds for twelve and minutes for some sixteen.
func TestPackOfTwelveBendsEqualsAMIPSolver(t *testing.T) {
	path := solver(t)
	for seed := range uint64(4) {
		needs, items, set := header(seed, 12, false)
		p, err := stock.Pack(needs, items, set, nil)
		if err != nil || !p.Optimal {
			t.Fatalf("seed %d: optimal %v, %v", seed, p.Optimal, err)
		}
		want := model(needs, items, set, false).solve(t, path, items, true)
		if got := int(p.Cost) * perCent; want.hasPlan && (got > want.cost || want.proven && got != want.cost) {
			t.Errorf("seed %d: %d, want %+v", seed, got, want)
		}
	}
}
