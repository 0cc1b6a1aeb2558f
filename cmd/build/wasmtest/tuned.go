package wasmtest

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
)

// Tuned changes the engine of the vee, and what rules want besides, by chance.
func Tuned(t *testing.T, rnd *rand.Rand, file []byte) []byte {
	t.Helper()
	var j map[string]any
	if err := json.Unmarshal(file, &j); err != nil {
		t.Fatal(err)
	}
	between := func(low, high float64) float64 { return low + (high-low)*rnd.Float64() }
	engine, besides := j["engine"].(map[string]any), j["sizing"].(map[string]any)
	engine["bore"], engine["stroke"] = between(60, 110), between(50, 110)
	engine["peak_torque_rpm"], engine["exhaust_opens_bbdc"] = between(2000, 9000), between(30, 90)
	engine["numbering"] = []string{"odd-even", "1-4/5-8", "inline"}[rnd.IntN(3)]
	engine["fuel"] = []string{"petrol", "ethanol", "methanol", "iso-octane"}[rnd.IntN(4)]
	besides["gas_temperature"], besides["opening_temperature"] = between(400, 1100), between(700, 1700)
	b, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
