package main

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
)

// shaken moves bolts, ports, the points of an outline, and the holes and openings of
// patterns by chance, by up to 0.6 mm.
func shaken(t *testing.T, rnd *rand.Rand, file []byte) []byte {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	by := func() float64 { return 1.2 * (rnd.Float64() - 0.5) }
	move := func(list any) {
		for _, e := range list.([]any) {
			e := e.(map[string]any)
			e["x"], e["y"] = e["x"].(float64)+by(), e["y"].(float64)+by()
		}
	}
	bank := j["banks"].([]any)[0].(map[string]any)
	move(bank["ports"])
	move(bank["bolts"].([]any)[1:])
	for _, p := range bank["ports"].([]any) {
		outline := p.(map[string]any)["outline"].(map[string]any)
		if turn, turned := outline["turn"].(float64); turned {
			outline["turn"] = turn + 20*by()
		}
		points, _ := outline["points"].([]any)
		for _, q := range points {
			q := q.([]any)
			q[0], q[1] = q[0].(float64)+by()/2, q[1].(float64)+by()/2
		}
	}
	for _, p := range bank["patterns"].([]any) {
		move(p.(map[string]any)["holes"])
		move(p.(map[string]any)["openings"])
	}
	bank["pieces"] = []string{"one piece", "one piece, sawn", "separate"}[rnd.IntN(3)]
	bank["opening"] = []string{"port", "tube"}[rnd.IntN(2)]
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
