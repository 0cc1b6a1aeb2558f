package gas_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/fault"
	"tubewright/calc/gas"
)

// janaf has, by species, T in K, cp in J/(mol K) of the JANAF tables (M.W. Chase, 4th
// ed., 1998, tables N-023, O-029, C-095, H-064, Ar-001, C-093, H-050), and by how many
// percent the polynomials of NASA TM-4513 are said to differ from it.
var janaf = map[string][][3]float64{
	"N2":  {{298.15, 29.124, 0.001}, {300, 29.125, 0.001}, {600, 30.110, -0.062}, {1000, 32.697, -0.043}, {1500, 34.843, -0.219}, {2000, 35.971, 0.107}},
	"O2":  {{298.15, 29.376, 0.007}, {300, 29.385, 0.010}, {600, 32.090, -0.022}, {1000, 34.870, 0.037}, {1500, 36.544, -0.101}, {2000, 37.741, 0.303}},
	"CO2": {{298.15, 37.129, 0.017}, {300, 37.221, -0.009}, {600, 47.321, 0.074}, {1000, 54.308, 0.024}, {1500, 58.379, -0.264}, {2000, 60.350, 0.191}},
	"H2O": {{298.15, 33.590, -0.007}, {300, 33.596, 0.001}, {600, 36.325, -0.012}, {1000, 41.268, 0.065}, {1500, 47.090, 0.517}, {2000, 51.180, 0.974}},
	"Ar":  {{298.15, 20.786, 0.001}, {300, 20.786, 0.001}, {600, 20.786, 0.001}, {1000, 20.786, 0.001}, {1500, 20.786, 0.001}, {2000, 20.786, 0.001}},
	"CO":  {{298.15, 29.142, -0.004}, {300, 29.142, 0.004}, {600, 30.443, -0.092}, {1000, 33.183, -0.061}, {1500, 35.217, -0.242}, {2000, 36.250, 0.104}},
	"H2":  {{298.15, 28.836, 0.001}, {300, 28.849, 0.006}, {600, 29.327, -0.247}, {1000, 30.205, -0.139}, {1500, 32.298, 0.189}, {2000, 34.280, -0.248}},
}

func TestHeatCapacityIsAsFarFromJANAFAsSaid(t *testing.T) {
	for _, s := range gas.Species {
		rows := janaf[s.Name]
		if len(rows) != 6 {
			t.Fatalf("%s: %d rows of JANAF", s.Name, len(rows))
		}
		for _, r := range rows {
			// Half a unit of the last place, of the percentage and of cp in percent.
			off, tol := 100*(s.Cp(r[0])/r[1]-1), 0.0005+100*0.0005/r[1]
			if !(math.Abs(off-r[2]) <= tol) {
				t.Errorf("%s at %v K: cp %.3f is %+.4f %% off JANAF's %v, stated %+.3f %%", s.Name, r[0], s.Cp(r[0]), off, r[1], r[2])
			}
		}
	}
	if len(gas.Species) != len(janaf) {
		t.Errorf("%d species, %d of JANAF", len(gas.Species), len(janaf))
	}
}

// The two polynomials of a species meet at 1000 K.
func TestHeatCapacityDoesNotJump(t *testing.T) {
	for _, s := range gas.Species {
		if below, above := s.Cp(1000), s.Cp(math.Nextafter(1000, 1001)); math.Abs(above/below-1) > 1e-5 {
			t.Errorf("%s: %v below 1000 K, %v above", s.Name, below, above)
		}
	}
}

func at(t *testing.T, m gas.Mixture, tempK float64) gas.State {
	t.Helper()
	s, err := m.At(tempK)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Every published speed of sound of air. The table keeps sources that disagree; our own
// arithmetic from the same polynomials is met to its last digit, the others within what
// separates them.
func TestSoundOfAirRowByRow(t *testing.T) {
	for _, r := range calctest.Published(t, "gas_sound_speed.csv") {
		got, want := at(t, gas.Air, 273.15+calctest.Number(t, r["T_C"])).Sound, calctest.Number(t, r["c_m_per_s"])
		tol := 0.3 // values run from 331.2 to 331.6 at 0 °C, a real gas is not an ideal one
		switch {
		case strings.Contains(r["note"], "ideal gas"):
			tol = 0.006
		case strings.Contains(r["note"], "DISAGREES"):
			tol = 0.8 // 0.2 % low
		case strings.Contains(r["note"], "rounded"):
			tol = 0.5
		}
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s at %s °C: %.2f m/s, published %v ± %v (%s; %s)", r["gas"], r["T_C"], got, want, tol, r["note"], r["source"])
		}
	}
}

// Exhaust and air from 600 to 1200 K: own arithmetic of the table from the same
// polynomials, to its last digit.
func TestSoundOfExhaustRowByRow(t *testing.T) {
	octane, err := gas.Burnt(gas.IsoOctane, gas.IsoOctane.Stoichiometric())
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(octane.Mass()-28.714) > 0.0006 {
		t.Errorf("products of C8H18: %v g/mol, published 28.714", octane.Mass())
	}
	n := 0
	for _, r := range calctest.Published(t, "acoustics.csv") {
		var m gas.Mixture
		switch r["item"] {
		case "exhaust, stoichiometric C8H18-air products":
			m = octane
		case "air":
			m = gas.Air
		default:
			continue
		}
		n++
		temp, rest, _ := strings.Cut(strings.TrimPrefix(r["conditions"], "T="), " K, gamma=")
		gamma, _, _ := strings.Cut(rest, ",")
		s := at(t, m, calctest.Number(t, temp))
		if want := calctest.Number(t, r["value"]); !(math.Abs(s.Sound-want) <= 0.006) {
			t.Errorf("%s at %s K: %.3f m/s, published %v", r["item"], temp, s.Sound, want)
		}
		if want := calctest.Number(t, gamma); !(math.Abs(s.Gamma-want) <= 0.00006) {
			t.Errorf("%s at %s K: γ %.5f, published %v", r["item"], temp, s.Gamma, want)
		}
	}
	if n != 10 {
		t.Errorf("%d rows, want 10", n)
	}
	// A newsgroup's 1,800 ft/s at 1,000 °F (548.64 m/s at 811 K) is said to compute as 555.
	if c := at(t, octane, 811).Sound; math.Abs(c-555) > 0.5 {
		t.Errorf("at 811 K: %v m/s, want 555", c)
	}
}

// Another set of polynomials (GRI-Mech 3.0) and another fuel, CH1.87, were used for the
// gas of our own study: γ 1.371, 1.293 and 1.266 at 300, 1000 and 1500 K, 28.90 g/mol
// without argon.
func TestGasOfTheStudy(t *testing.T) {
	m, err := gas.Burnt(gas.Petrol, gas.Petrol.Stoichiometric())
	if err != nil {
		t.Fatal(err)
	}
	for temp, want := range map[float64]float64{300: 1.371, 1000: 1.293, 1500: 1.266} {
		if got := at(t, m, temp).Gamma; math.Abs(got-want) > 0.003 {
			t.Errorf("at %v K: γ %v, want %v", temp, got, want)
		}
	}
	// Nitrogen in the place of argon, as there.
	if got := m.Mass() - m.Share("Ar")*(39.948-28.0134); math.Abs(got-28.90) > 0.01 {
		t.Errorf("%v g/mol, want 28.90", got)
	}
}

// Stoichiometric air-fuel ratios by mass as books print them, from memory: petrol 14.6,
// iso-octane 15.1, ethanol 9.0, methanol 6.5.
func TestStoichiometricRatios(t *testing.T) {
	for name, want := range map[string]float64{"petrol": 14.6, "iso-octane": 15.1, "ethanol": 9.0, "methanol": 6.5} {
		f, ok := gas.FuelOf(name)
		if got := f.Stoichiometric(); !ok || math.Abs(got-want) > 0.06 {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
	if _, ok := gas.FuelOf("coal"); ok {
		t.Error("coal is a fuel")
	}
}

// What goes in comes out: masses of carbon, hydrogen, oxygen, nitrogen and argon per
// mole of products are in the proportion of fuel and air, at every ratio; rich mixtures
// keep the water-gas balance.
func TestBurningKeepsTheElements(t *testing.T) {
	for _, f := range gas.Fuels {
		for lambda := gas.Richest; lambda <= gas.Leanest; lambda += 0.01 {
			afr := lambda * f.Stoichiometric()
			m, err := gas.Burnt(f, afr)
			if err != nil {
				t.Fatal(err)
			}
			x := m.Share
			c, h := x("CO2")+x("CO"), 2*(x("H2O")+x("H2"))
			o, n := 2*x("CO2")+x("CO")+x("H2O")+2*x("O2"), 2*x("N2")
			sum := 0.0
			for _, s := range gas.Species {
				if !(x(s.Name) >= 0) {
					t.Fatalf("%s at λ %.2f: %v of %s", f.Name, lambda, x(s.Name), s.Name)
				}
				sum += x(s.Name)
			}
			air := n / 2 / 0.78084 // moles of air per mole of products
			carbon := c - air*0.00036
			for _, b := range []struct {
				what      string
				got, want float64
			}{
				{"all", sum, 1}, {"H", h, f.H * carbon}, {"argon", x("Ar"), air * 0.00934},
				{"O", o, f.O*carbon + 2*air*(0.20946+0.00036)},
				{"air to fuel", air * gas.Air.Mass() / (carbon * f.Mass()), afr},
			} {
				if math.Abs(b.got-b.want) > 1e-12*math.Max(1, b.want) {
					t.Fatalf("%s at λ %.2f: %s %v, want %v", f.Name, lambda, b.what, b.got, b.want)
				}
			}
			if lambda < 0.995 {
				if k := x("CO") * x("H2O") / (x("CO2") * x("H2")); math.Abs(k-gas.WaterGas) > 1e-6*gas.WaterGas {
					t.Fatalf("%s at λ %.2f: K %v, want %v", f.Name, lambda, k, gas.WaterGas)
				}
			}
		}
	}
}

// Rich and lean sides meet at the stoichiometric ratio.
func TestSoundDoesNotJumpAtStoichiometric(t *testing.T) {
	for _, f := range gas.Fuels {
		rich, err1 := gas.Burnt(f, f.Stoichiometric()*(1-1e-9))
		lean, err2 := gas.Burnt(f, f.Stoichiometric()*(1+1e-9))
		if err := errors.Join(err1, err2); err != nil {
			t.Fatal(err)
		}
		if a, b := at(t, rich, 1000).Sound, at(t, lean, 1000).Sound; math.Abs(a-b) > 1e-5 {
			t.Errorf("%s: %v rich, %v lean", f.Name, a, b)
		}
	}
}

// Ratio of cylinder to port pressure from which a valve chokes: closed form, computed
// with twenty digits elsewhere; γ 1.35 is published as 1.86 (lecture slides, Induction
// and Exhaust), the others are worked in the table of rules. 1.8929 is also the value
// for air of every textbook.
func TestChokingRatios(t *testing.T) {
	for gamma, want := range map[float64]float64{1.40: 1.8929, 1.33: 1.8506, 1.30: 1.8324, 1.28: 1.8203, 1.35: 1.8627} {
		got, err := gas.Choking(gamma)
		if err != nil || math.Abs(got-want) > 0.00005 {
			t.Errorf("γ %v: %v, want %v; %v", gamma, got, want, err)
		}
	}
	// (7/6)^4 for γ 4/3 is rational: 1.85262…
	if got, _ := gas.Choking(4.0 / 3); math.Abs(got-2401.0/1296) > 4e-15 {
		t.Errorf("γ 4/3: %v, want %v", got, 2401.0/1296)
	}
	// Another way to the same number, to the last bits: math.Pow is good for tests.
	for gamma := 1.05; gamma <= 1.67; gamma += 0.001 {
		got, err := gas.Choking(gamma)
		if want := math.Pow((gamma+1)/2, gamma/(gamma-1)); err != nil || math.Abs(got/want-1) > 2e-15 {
			t.Fatalf("γ %v: %v, want %v; %v", gamma, got, want, err)
		}
	}
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	field := func(what string, err error, name string) {
		t.Helper()
		var f *fault.Field
		if !errors.As(err, &f) || f.Name != name {
			t.Errorf("%s: %v, want %q named", what, err, name)
		}
	}
	for _, temp := range []float64{199.9, 6000.1, 0, -1, nan, inf} {
		_, err := gas.Air.At(temp)
		field("temperature", err, "Gas temperature")
	}
	for _, gamma := range []float64{1, 1.049, 1.671, 0, nan, inf, -inf} {
		_, err := gas.Choking(gamma)
		field("γ", err, "Ratio of specific heats")
	}
	for _, afr := range []float64{0, -1, 0.49 * 14.6, 100, nan, inf} {
		_, err := gas.Burnt(gas.Petrol, afr)
		field("ratio", err, "Air-fuel ratio")
	}
	for _, f := range []gas.Fuel{{}, {H: -1}, {H: 9}, {H: nan}, {H: 2, O: -1}, {H: 2, O: 3}, {H: 2, O: nan}} {
		if _, err := gas.Burnt(f, 14); f != (gas.Fuel{}) && err == nil {
			t.Errorf("%+v: no error", f)
		}
	}
	if _, err := (gas.Mixture{}).At(1000); err == nil {
		t.Error("no gas: no error")
	}
}

// Hotter gas carries sound faster, and richer gas faster than stoichiometric.
func TestSoundRises(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 500 {
		f := gas.Fuels[rnd.IntN(len(gas.Fuels))]
		m, err := gas.Burnt(f, f.Stoichiometric()*(0.6+2*rnd.Float64()))
		if err != nil {
			t.Fatal(err)
		}
		temp := 250 + 2000*rnd.Float64()
		a, b := at(t, m, temp), at(t, m, temp+1)
		if !(b.Sound > a.Sound && b.Cp > a.Cp && a.Gamma > 1.2 && a.Gamma < 1.42) {
			t.Fatalf("seed %d case %d: %s at %v K: %+v, then %+v", seed, i, f.Name, temp, a, b)
		}
	}
}

func FuzzBurnt(f *testing.F) {
	f.Add(1.87, 0.0, 12.8, 1000.0)
	f.Add(4.0, 1.0, 3.9, 250.0)
	f.Fuzz(func(t *testing.T, h, o, afr, temp float64) {
		m, err := gas.Burnt(gas.Fuel{Name: "made up", H: h, O: o}, afr)
		if err != nil {
			return
		}
		s, err := m.At(temp)
		if err != nil {
			return
		}
		if !(s.Sound > 100 && s.Sound < 5000 && s.Gamma > 1.1 && s.Gamma < 1.67) {
			t.Fatalf("CH%vO%v at %v and %v K: %+v", h, o, afr, temp, s)
		}
	})
}

func BenchmarkSoundOfExhaust(b *testing.B) {
	for b.Loop() {
		m, err := gas.Burnt(gas.Petrol, 12.8)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := m.At(1000); err != nil {
			b.Fatal(err)
		}
	}
}
