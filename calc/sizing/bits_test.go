package sizing_test

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// The shop's machine and the tablet work out the same bits: everything that this package
// gives for random engines, held to one sum on both. A changed formula changes it; then
// the sum is that of the failing message, the same from
// GOOS=js GOARCH=wasm go test -exec="$(go env GOROOT)/lib/wasm/go_js_wasm_exec".
func TestSameBitsOnEveryMachine(t *testing.T) {
	if runtime.GOARCH != "amd64" && runtime.GOARCH != "wasm" {
		t.Skip("other compilers may fuse within the functions of package math")
	}
	const want = 0x74543002a6fb75af
	const seed = 23
	rnd := rand.New(rand.NewPCG(seed, 0))
	h := fnv.New64a()
	put := func(values ...float64) {
		for _, v := range values {
			var b [8]byte
			binary.LittleEndian.PutUint64(b[:], math.Float64bits(v))
			h.Write(b[:])
		}
	}
	for range 300 {
		var in sizing.Inputs
		in.Fuel = []string{"petrol", "iso-octane", "ethanol", "methanol"}[rnd.IntN(4)]
		for _, f := range sizing.Fields {
			v := f.Low + float64((f.High-f.Low)*rnd.Float64()) // not fused
			switch {
			case f.Key == sizing.AirFuel || rnd.IntN(5) == 0:
			case f.Unit == "mm":
				in.SetLength(f.Key, units.Length(v))
			case f.Unit == "°":
				in.SetAngle(f.Key, units.Angle(v)*deg)
			default:
				in.Set(f.Key, v)
			}
		}
		results := work(t, in)
		for _, r := range results {
			for _, v := range r.Values {
				if v.What == sizing.ConeLength {
					continue // math.Tan has other last bits where a build may fuse
				}
				put(v.V, v.Low, v.High, v.Book)
			}
		}
		for _, s := range sizing.Spreads(results, in) {
			if s.What == sizing.ConeLength {
				continue
			}
			put(s.From, s.Low, s.High, s.To)
		}
		od := 30 + float64(60*rnd.Float64())
		list, err := sizing.Near(results, in, []tube.Section{{OD: units.Length(od), Wall: 1.2}})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range list {
			put(c.Area, c.PeakLow, c.PeakHigh)
		}
		f := fit(t, 140, 1200+float64(300*rnd.Float64()), tube.Section{OD: units.Length(od), Wall: 1.2})
		put(f.ByArea.MM(), f.ByPerimeter.MM(), f.Stretch, f.AreaPercent)
		for _, m := range sizing.Materials() {
			g, err := sizing.Growth(m, units.Length(od), 20+float64(1000*rnd.Float64()))
			if err != nil {
				t.Fatal(err)
			}
			put(g[0].By.MM())
		}
		for _, s := range firing(t, []int{1, 5, 3, 6, 2, 4, 7}).Circle() {
			put(float64(s.Cycle), float64(s.Crank))
		}
	}
	if got := h.Sum64(); got != want {
		t.Errorf("%s: %#x, want %#x", runtime.GOARCH, got, uint64(want))
	}
}
