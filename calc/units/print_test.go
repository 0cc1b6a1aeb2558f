package units_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tubewright/calc/units"
)

const sixtyfourth = 396_875 // nm, 25.4 mm / 64 exactly

// Every step of a rule up to 120 in comes back from each way of printing it. Two
// steps a sixty-fourth, as the parser reads 1/128 too.
func TestEveryRuleMarkComesBackFromItsPrint(t *testing.T) {
	for n := range int64(2*7680 + 1) {
		nm := (n*sixtyfourth + n%2) / 2 // 1/128 in is half a nanometre off and rounds up
		if got := read(t, units.MM(nm, 6), "mm"); got.V != nm {
			t.Fatalf("%d/128 in: printed %s mm, read back as %d nm, want %d", n, units.MM(nm, 6), got.V, nm)
		}
		if n%2 == 1 {
			continue
		}
		text, rest := units.Sixtyfourths(nm)
		got := read(t, text, "in")
		if got.V != nm || rest != 0 {
			t.Fatalf("%d/64 in: printed %q with %d nm left, read back as %d nm, want %d", n/2, text, rest, got.V, nm)
		}
		if typed := fmt.Sprintf("%d/64 in", n/2); n > 0 {
			got, err := units.ParseLength(typed, "mm")
			if err != nil || got.V != nm || (got.Ask != "") != (n/2 >= 64) {
				t.Fatalf("%q: %+v, %v; want %d nm", typed, got, err, nm)
			}
		}
		minus, rest := units.Sixtyfourths(-nm)
		if got := read(t, minus, "in"); got.V != -nm || rest != 0 {
			t.Fatalf("-%d/64 in: printed %q with %d nm left, read back as %d nm", n/2, minus, rest, got.V)
		}
	}
}

func TestPrintsRoundHalfAwayFromZero(t *testing.T) {
	tests := []struct{ got, want string }{
		{units.MM(41_275_000, 3), "41.275"},
		{units.MM(41_275_000, 2), "41.28"},
		{units.MM(-41_275_000, 2), "-41.28"},
		{units.MM(41_274_999, 2), "41.27"},
		{units.MM(41_000_000, 3), "41.000"},
		{units.MM(999_500, 3), "1.000"}, // 0.9995 mm
		{units.MM(999_499, 3), "0.999"},
		{units.MM(-400, 3), "0.000"},
		{units.MM(500_000, 0), "1"},
		{units.MM(-499_999, 0), "0"},
		{units.MM(1, 9), "0.000001"},
		{units.MM(1_500_000, -1), "2"},
		{units.MM(math.MaxInt64, 6), "9223372036854.775807"},
		{units.MM(math.MinInt64, 6), "-9223372036854.775808"},
		{units.Inches(41_275_000), "1.625"},
		{units.Inches(25_400_000), "1.000"},
		{units.Inches(-12_700), "-0.001"}, // 0.0005 in
		{units.Inches(12_699), "0.000"},
		{units.Inches(1_587_500), "0.063"}, // 1/16 in is 0.0625
	}
	for _, test := range tests {
		if test.got != test.want {
			t.Errorf("printed %q, want %q", test.got, test.want)
		}
	}
}

func TestSixtyfourthsShowsWhatIsLeft(t *testing.T) {
	tests := []struct {
		nm   int64
		want string
		rest int64
	}{
		{0, "0", 0},
		{25_400_000, "1", 0},
		{41_275_000, "1 5/8", 0},
		{-41_275_000, "-1 5/8", 0},
		{15_875_000, "5/8", 0},
		{41_300_000, "1 5/8", 25_000}, // 41.3 mm
		{-41_300_000, "-1 5/8", -25_000},
		{41_250_000, "1 5/8", -25_000},
		{198_437, "0", 198_437}, // just under half of 1/64 in
		{198_438, "1/64", -198_437},
		{-198_438, "-1/64", 198_437},
		{-198_437, "0", -198_437},
	}
	for _, test := range tests {
		text, rest := units.Sixtyfourths(test.nm)
		if text != test.want || rest != test.rest {
			t.Errorf("%d nm: %q and %d, want %q and %d", test.nm, text, rest, test.want, test.rest)
		}
	}
}

func TestPrintedTextReadsBack(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		nm := rnd.Int64N(2_000_000_000_000) - 1_000_000_000_000 // up to 1 km either way
		if got := read(t, units.MM(nm, 6), "mm"); got.V != nm {
			t.Fatalf("seed %d case %d: %d nm printed %s, read back %d", seed, i, nm, units.MM(nm, 6), got.V)
		}
		text, rest := units.Sixtyfourths(nm)
		if got := read(t, text, "in"); got.V+rest != nm || max(rest, -rest) > sixtyfourth/2 {
			t.Fatalf("seed %d case %d: %d nm printed %q and %d nm, read back %d", seed, i, nm, text, rest, got.V)
		}
		if got := read(t, units.Inches(nm), "in"); 2*max(got.V-nm, nm-got.V) > got.Res {
			t.Fatalf("seed %d case %d: %d nm printed %s in, read back %d", seed, i, nm, units.Inches(nm), got.V)
		}
	}
}

func TestLengthKeepsNanometres(t *testing.T) {
	const seed = 4
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 1000 {
		nm := rnd.Int64N(1<<52) - 1<<51
		if got := units.LengthNM(nm).NM(); got != nm {
			t.Fatalf("seed %d case %d: %d nm became %d", seed, i, nm, got)
		}
	}
	special := []struct {
		length units.Length
		want   int64
	}{
		{0, 0}, {1.0000005, 1_000_001}, {-1.0000005, -1_000_001},
		{1e13, math.MaxInt64}, {-1e13, math.MinInt64},
		{units.Length(math.Inf(1)), math.MaxInt64}, {units.Length(math.Inf(-1)), math.MinInt64},
		{units.Length(math.NaN()), math.MinInt64},
	}
	for _, test := range special {
		if got := test.length.NM(); got != test.want {
			t.Errorf("%v mm: %d nm, want %d", float64(test.length), got, test.want)
		}
	}
	if got := (90 * units.Degree).Deg(); math.Abs(got-90) > 1e-13 {
		t.Errorf("90°: %v", got)
	}
}
