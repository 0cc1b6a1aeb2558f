package weld_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tubewright/calc/weld"
)

// header is n tubes on one flange with so many butt joints each, and sockets.
func header(n, butts int, end weld.Kind) (list []weld.Joint) {
	for i := range n {
		id := func(what string) string { return fmt.Sprintf("t%d/%s", i+1, what) }
		list = append(list, weld.Joint{ID: id("port"), Kind: weld.Port, Tube: i, Place: i + 1})
		for k := range butts {
			list = append(list, weld.Joint{ID: id(fmt.Sprintf("%d-%d", k+1, k+2)), Kind: weld.Butt, Tube: i, Along: k + 1, Place: i + 1})
		}
		list = append(list, weld.Joint{ID: id("socket"), Kind: end, Tube: i, Along: butts + 1, Place: i + 1})
	}
	return list
}

func ids(joints []weld.Joint, order []int) (list []string) {
	for _, i := range order {
		list = append(list, joints[i].ID)
	}
	return list
}

// The ports of a four are welded 2-4-1-3 (common practice, no source); both templates by
// hand.
func TestTemplatesOfAFour(t *testing.T) {
	if got := weld.Every(4); !slices.Equal(got, []int{2, 4, 1, 3}) {
		t.Errorf("ports of a four %v, want 2-4-1-3", got)
	}
	four := header(4, 2, weld.Socket)
	four[1].Bench = true // t1/1-2
	for tt, want := range map[weld.Template]string{
		weld.TackAll:    "t1/1-2 t2/1-2 t4/1-2 t3/1-2 t2/2-3 t4/2-3 t1/2-3 t3/2-3 t2/port t4/port t1/port t3/port t2/socket t4/socket t1/socket t3/socket",
		weld.TubeByTube: "t1/1-2 t1/2-3 t2/1-2 t2/2-3 t3/1-2 t3/2-3 t4/1-2 t4/2-3 t2/port t4/port t1/port t3/port t2/socket t4/socket t1/socket t3/socket",
	} {
		if got := strings.Join(ids(four, weld.Order(tt, four)), " "); got != want {
			t.Errorf("%s:\n got %s\nwant %s", tt, got, want)
		}
	}
}

// From four ports on no two neighbours follow each other; all come once.
func TestPortsSkipTheirNeighbours(t *testing.T) {
	for n := 1; n <= 16; n++ {
		list := weld.Every(n)
		all := slices.Sorted(slices.Values(list))
		for i := range n {
			if len(all) != n || all[i] != i+1 {
				t.Fatalf("%d ports: %v", n, list)
			}
			if n >= 4 && i > 0 && (list[i]-list[i-1] == 1 || list[i-1]-list[i] == 1) {
				t.Errorf("%d ports: %v has neighbours one after the other", n, list)
			}
		}
	}
}

// Every order is a permutation, whatever the joints and whatever is written; butt joints of
// tube-by-tube stand together and before every port; what is named comes in its order.
func TestOrderIsAPermutation(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		joints := random(rnd)
		for _, tt := range []weld.Template{weld.TackAll, weld.TubeByTube} {
			order := weld.Order(tt, joints)
			permutes(t, fmt.Sprintf("seed %d case %d %s", seed, i, tt), order, joints)
			lastButt, firstPort := -1, len(order)
			var tubes []int
			for k, n := range order {
				switch j := joints[n]; j.Kind {
				case weld.Butt:
					lastButt = k
					if len(tubes) == 0 || tubes[len(tubes)-1] != j.Tube {
						tubes = append(tubes, j.Tube)
					}
				case weld.Port:
					firstPort = min(firstPort, k)
				}
			}
			if lastButt > firstPort {
				t.Fatalf("seed %d case %d %s: a butt joint behind a port: %v", seed, i, tt, ids(joints, order))
			}
			if once := slices.Compact(slices.Sorted(slices.Values(tubes))); tt == weld.TubeByTube && len(once) != len(tubes) {
				t.Fatalf("seed %d case %d: tubes %v, not each by itself", seed, i, tubes)
			}
		}
		text, named := written(rnd, joints)
		r := weld.OwnOrder(text, joints)
		permutes(t, fmt.Sprintf("seed %d case %d %q", seed, i, text), r.Order, joints)
		if got := ids(joints, r.Order); !slices.Equal(got[:len(named)], named) || len(r.Missing) != len(joints)-len(named) {
			t.Fatalf("seed %d case %d %q: %v, missing %v", seed, i, text, got, r.Missing)
		}
	}
}

func permutes(t *testing.T, name string, order []int, joints []weld.Joint) {
	t.Helper()
	all := slices.Sorted(slices.Values(order))
	if len(all) != len(joints) {
		t.Fatalf("%s: %d of %d", name, len(all), len(joints))
	}
	for i, n := range all {
		if i != n {
			t.Fatalf("%s: %v is no permutation", name, order)
		}
	}
}

func random(rnd *rand.Rand) []weld.Joint {
	joints := header(rnd.IntN(7), rnd.IntN(5), []weld.Kind{weld.Socket, weld.Slip}[rnd.IntN(2)])
	for i := range joints {
		joints[i].Bench, joints[i].Bank = rnd.IntN(4) == 0, joints[i].Tube%2
		if rnd.IntN(10) == 0 {
			joints[i].Place = rnd.IntN(9) - 1
		}
	}
	rnd.Shuffle(len(joints), func(a, b int) { joints[a], joints[b] = joints[b], joints[a] })
	return joints
}

// written is an order of some of the joints with what is none between them.
func written(rnd *rand.Rand, joints []weld.Joint) (text string, named []string) {
	var words []string
	for _, n := range rnd.Perm(len(joints)) {
		if rnd.IntN(3) == 0 {
			continue
		}
		named = append(named, joints[n].ID)
		words = append(words, joints[n].ID)
		switch rnd.IntN(5) {
		case 0:
			words = append(words, "t9/gone")
		case 1:
			words = append(words, named[rnd.IntN(len(named))])
		}
	}
	return strings.Join(words, []string{" ", ",", "; ", "\n"}[rnd.IntN(4)]), named
}

// Taking a tube out leaves what is named of the others in its order, and its joints are
// named as what is not there.
func TestOwnOrderStaysWhenATubeGoes(t *testing.T) {
	const seed = 9
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		joints := random(rnd)
		text, named := written(rnd, joints)
		gone := rnd.IntN(7)
		left := slices.DeleteFunc(slices.Clone(joints), func(j weld.Joint) bool { return j.Tube == gone })
		want := slices.DeleteFunc(slices.Clone(named), func(id string) bool { return strings.HasPrefix(id, fmt.Sprintf("t%d/", gone+1)) })
		r := weld.OwnOrder(text, left)
		if got := ids(left, r.Order)[:len(want)]; !slices.Equal(got, want) {
			t.Fatalf("seed %d case %d: %v, want %v", seed, i, got, want)
		}
		for _, id := range named {
			if !slices.Contains(want, id) && !slices.Contains(r.Unknown, id) {
				t.Fatalf("seed %d case %d: %s is gone, and only %v are said to be", seed, i, id, r.Unknown)
			}
		}
	}
}

func TestOwnOrderSaysWhatIsWrong(t *testing.T) {
	joints := header(2, 1, weld.Slip)
	r := weld.OwnOrder("t2/port, t1/1-2 t7/port t2/port t7/port", joints)
	if !slices.Equal(r.Unknown, []string{"t7/port"}) || !slices.Equal(r.Twice, []string{"t2/port"}) || !slices.Equal(r.Missing, []string{"t2/1-2", "t1/port", "t2/socket", "t1/socket"}) {
		t.Errorf("%+v", r)
	}
	if got := ids(joints, r.Order); !slices.Equal(got[:2], []string{"t2/port", "t1/1-2"}) {
		t.Errorf("%v", got)
	}
}

func FuzzOwnOrder(f *testing.F) {
	for _, text := range []string{"", " ", "t1/port", "t2/1-2,t1/1-2;t1/socket\nt1/port", "t1/port t1/port", "T1/PORT", "\xff\x00 t3/port", "🜁 t1/2-3"} {
		f.Add(text, uint8(3), uint8(2))
	}
	f.Fuzz(func(t *testing.T, text string, tubes, butts uint8) {
		joints := header(int(tubes%9), int(butts%9), weld.Slip)
		r := weld.OwnOrder(text, joints)
		permutes(t, fmt.Sprintf("%q", text), r.Order, joints)
		// Written out and read again it is the same, with nothing left to say.
		again := weld.OwnOrder(strings.Join(ids(joints, r.Order), " "), joints)
		if !slices.Equal(again.Order, r.Order) || len(again.Unknown)+len(again.Twice)+len(again.Missing) > 0 {
			t.Fatalf("%q: %v, again %+v", text, r.Order, again)
		}
	})
}
