package stock_test

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tubewright/calc/stock"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// cutting is an instance of testdata/cutplan.json.
type cutting struct {
	Angles     []float64
	CLR, OD    units.Length
	Kerf, Face units.Length
	LossDeg    float64 `json:"loss_deg"`
	Stock      []struct {
		ID    string
		Angle float64
		Price int64
	}
	Optimum int64
}

func (c cutting) input() (needs []stock.Need, items []stock.Item, set stock.Settings) {
	s := tube.Section{OD: c.OD, Wall: 1.651}
	for i, a := range c.Angles {
		needs = append(needs, stock.Need{ID: "p" + strconv.Itoa(i), Kind: stock.Bend, Section: s, Turn: units.Angle(a) * deg, Radius: c.CLR})
	}
	for _, b := range c.Stock {
		items = append(items, stock.Item{ID: b.ID, Kind: stock.BentTube, Section: s, Angle: units.Angle(b.Angle) * deg, CLR: c.CLR, Price: b.Price, Buy: true})
	}
	return needs, items, stock.Settings{Saw: stock.Saw{Kerf: c.Kerf, Facing: c.Face}}
}

func read(t testing.TB, name string, to any) {
	t.Helper()
	raw, err := os.ReadFile("testdata/" + name)
	if err == nil {
		err = json.Unmarshal(raw, to)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// The optima were proven by a MIP solver (CBC); see testdata/README.md.
func TestPackReachesProvenOptima(t *testing.T) {
	var all []cutting
	read(t, "cutplan.json", &all)
	if len(all) < 20 {
		t.Fatalf("%d instances", len(all))
	}
	for i, c := range all {
		needs, items, set := c.input()
		if got := stock.Loss(c.OD, c.CLR, set.Saw).Deg(); math.Abs(got-c.LossDeg) > 1e-9 {
			t.Errorf("instance %d: loss %v°, want %v°", i, got, c.LossDeg)
		}
		p, err := stock.Pack(needs, items, set, nil)
		if err != nil || p.Cost != c.Optimum || p.Bound != c.Optimum || !p.Optimal {
			t.Errorf("instance %d: cost %d, bound %d, optimal %v, %v; want %d", i, p.Cost, p.Bound, p.Optimal, err, c.Optimum)
		}
		holds(t, needs, items, set, p)
	}
}

// Straights without a cut between them are bin packing. The instances and optima are
// published; see testdata/README.md.
func TestPackOfPublishedLengths(t *testing.T) {
	for _, name := range []string{"paper_5600.txt", "raws_100.txt"} {
		raw, err := os.ReadFile("testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Fields(string(raw))
		var nums []int
		for _, l := range lines {
			n, err := strconv.Atoi(l)
			if err != nil {
				t.Fatal(err)
			}
			nums = append(nums, n)
		}
		capacity, count, optimum := nums[0], nums[1], nums[2]
		sizes := nums[3:]
		if len(sizes) != count {
			t.Fatalf("%s: %d sizes, want %d", name, len(sizes), count)
		}
		// With a kerf k, sizes s + k in C + k are sizes s in C with k between them: an
		// identity.
		for _, kerf := range []int{0, 3} {
			s := tube.Section{OD: 40, Wall: 1.5}
			var needs []stock.Need
			for i, size := range sizes {
				needs = append(needs, stock.Need{ID: strconv.Itoa(i), Kind: stock.Straight, Section: s, Length: units.Length(size - kerf)})
			}
			items := []stock.Item{{ID: "l", Kind: stock.Tubing, Section: s, Length: units.Length(capacity - kerf), Price: 1, Buy: true}}
			set := stock.Settings{Saw: stock.Saw{Kerf: units.Length(kerf)}}
			p, err := stock.Pack(needs, items, set, nil)
			if err != nil || p.Cost != int64(optimum) || !p.Optimal {
				t.Errorf("%s, kerf %d: %d lengths, optimal %v, %v; want %d", name, kerf, p.Cost, p.Optimal, err, optimum)
			}
			holds(t, needs, items, set, p)
		}
	}
}
