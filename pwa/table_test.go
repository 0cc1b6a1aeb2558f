package pwa_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"

	"tubewright/calc/ledger"
)

// onTable is what both sides say of one slot, by id.
type onTable struct {
	Heads   []string `json:"heads"`
	Aside   []string `json:"aside"`
	Choices []string `json:"choices"`
}

// A tablet names in its records what it believes to lie on the table; that has
// to be what the fold finds there, whatever the links, rings among them.
func TestTabletAndFoldSeeTheSameTable(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	cases := make([][]ledger.Record, 600)
	for i := range cases {
		cases[i] = randomSlot(rnd)
	}
	in, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	var got []onTable
	if err := json.Unmarshal(runEntry(t, "table.entry.ts", in), &got); err != nil {
		t.Fatal(err)
	}
	var aside, choices int
	for i, recs := range cases {
		s := ledger.Fold(recs).Slots["port/p1/width"]
		want := onTable{Heads: headIDs(s.Heads), Aside: headIDs(s.Aside), Choices: append([]string{}, s.Choices...)}
		if !reflect.DeepEqual(got[i], want) {
			b, _ := json.MarshalIndent(recs, "", " ")
			t.Fatalf("seed %d case %d: tablet %+v, fold %+v\n%s", seed, i, got[i], want, b)
		}
		aside, choices = aside+len(want.Aside), choices+len(want.Choices)
	}
	if aside == 0 || choices == 0 {
		t.Errorf("%d put aside and %d choices standing in all cases: nothing was compared", aside, choices)
	}
}

func headIDs(heads []ledger.Head) []string {
	ids := []string{}
	for _, h := range heads {
		ids = append(ids, h.ID)
	}
	return ids
}

// randomSlot makes up to 10 records of one slot that link to each other in any
// direction, forward in time too.
func randomSlot(rnd *rand.Rand) []ledger.Record {
	n := 1 + rnd.IntN(10)
	id := func(i int) string { return fmt.Sprintf("%026s", string(rune('a'+i))) }
	some := func() []string {
		var ids []string
		for i := range n {
			if rnd.IntN(4) == 0 {
				ids = append(ids, id(i))
			}
		}
		return ids
	}
	recs := make([]ledger.Record, n)
	for i := range recs {
		r := ledger.Record{
			ID: id(i), Dev: "d", N: int64(i), HLC: fmt.Sprintf("%013d-0000-d", rnd.IntN(5)),
			Job: "j", Slot: "port/p1/width", SV: 1,
		}
		switch rnd.IntN(6) {
		case 0:
			r.Kind, r.Target = "retract", id(rnd.IntN(n))
		case 1:
			r.Kind, r.Over, r.Seen, r.Chosen = "choice", some(), some(), id(rnd.IntN(n))
		default:
			r.Kind, r.Over = "reading", some()
			r.Body = json.RawMessage(`{"text":"41","unit":"mm","nm":41000000,"res":1000000,"tool":"","person":"","at":"2025-11-24T12:00:00+01:00"}`)
		}
		recs[i] = r
	}
	return recs
}
