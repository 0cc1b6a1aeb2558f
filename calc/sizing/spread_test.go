package sizing_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tubewright/calc/fault"
	"tubewright/calc/gas"
	"tubewright/calc/sizing"
	"tubewright/calc/tube"
	"tubewright/calc/units"
)

// four is the invented engine of the design: 84.5 × 88.2 mm, 494.6 cm³ a cylinder,
// peak torque at 5,500 rpm, exhaust opens 62° before BDC, 95 mm from valve to face.
func four() (in sizing.Inputs) {
	in.Set(sizing.Cylinders, 4)
	in.SetLength(sizing.Bore, 84.5)
	in.SetLength(sizing.Stroke, 88.2)
	in.SetLength(sizing.Rod, 146)
	in.Set(sizing.Compression, 10.5)
	in.SetAngle(sizing.Opens, 62*deg)
	in.SetAngle(sizing.Closes, 18*deg)
	in.SetLength(sizing.ValveToFace, 95)
	in.Set(sizing.TorqueRPM, 5500)
	in.Set(sizing.PowerRPM, 7000)
	in.Set(sizing.PortArea, 1300)
	in.Set(sizing.ThroatArea, 900)
	return in
}

func work(t testing.TB, in sizing.Inputs) []sizing.Result {
	t.Helper()
	results, err := sizing.Work(in)
	if err != nil {
		t.Fatal(err)
	}
	return results
}

// By hand: 30.18 in³ · 5500/88200 = 1.882 in², 1.548 in. 850·242/5500 = 37.4 in from the
// valve; 34.4 from the flange by the book's 3 in, 33.66 by the port's own 95 mm.
func TestFourByHand(t *testing.T) {
	in := four()
	near(t, "bore", book(t, in, "gas-speed", sizing.PrimaryBore), 1.548, 0.0005)
	near(t, "from the valve", book(t, in, "length-850-valve", sizing.PrimaryLength), 37.4, 1e-9)
	near(t, "from the flange", book(t, in, "length-850", sizing.PrimaryLength), 34.4, 1e-9)
	// 13,000·242/(6·5500) = 95.33 cm; with 18° after TDC, 260° in all, 102.4.
	m, _ := result(t, in, "length-13000").Value(sizing.PrimaryLength)
	near(t, "cm, of ED", m.V/10, 95.333, 0.001)
	near(t, "cm, of all", m.High/10, 102.424, 0.001)
	// 34.4 in in two parts of three fifths and two fifths.
	near(t, "first of 4-2-1", book(t, in, "split-two-thirds", sizing.FirstLength), 20.64, 1e-9)
	near(t, "second", book(t, in, "split-two-thirds", sizing.SecondaryLength), 13.76, 1e-9)
	// c of burnt petrol at 1000 K and 12.8 is about 618 m/s (612 for stoichiometric
	// octane): 618·121/(12·5500) = 1.133 m.
	v, _ := result(t, in, "length-wave").Value(sizing.PrimaryLength)
	near(t, "by the wave", v.V, 1133, 3)
	near(t, "least", v.Low, 0.9*v.V, 1e-9)
	// The 850 rule's length at 1,700 ft/s comes back at half of ED; in hotter gas sooner.
	w, _ := result(t, in, "wave-return").Value(sizing.WaveBack)
	near(t, "back after", w.V, 121*518.16/618, 0.5)
	// Mean gas speed in a port of 1300 mm²: D1·N/(360·A) = 30.18·5500/(360·2.015) = 228.8 ft/s.
	near(t, "in the port", book(t, in, "gas-speed-port", sizing.GasSpeed), 228.8, 0.15)
	// 5500·88.2 mm·2 a minute are 16.17 m/s.
	p, _ := result(t, in, "piston-speed").Value(sizing.PistonSpeed)
	near(t, "piston speed", p.V, 2*0.0882*5500/60, 1e-9)
	// A tube of 1.548 in has an inside radius of 19.66 mm: 618.5/(4·(0.950 + 0.6133·0.01966)).
	q, _ := result(t, in, "quarter-wave").Value(sizing.Resonance)
	near(t, "quarter wave", q.V, 618.5/(4*(0.94996+0.6133*0.01966)), 0.05)
	// Choking: γ of burnt petrol at 1600 K is about 1.26; 5.5 bar over 1 are far beyond.
	c := result(t, in, "choking")
	r, _ := c.Value(sizing.ChokeRatio)
	o, _ := c.Value(sizing.OpeningRatio)
	if !(r.V > 1.79 && r.V < 1.83 && o.V > 5 && o.V < 6) {
		t.Errorf("ratios %v, %v", r.V, o.V)
	}
	// Two cylinders' worth of collector.
	near(t, "volume", book(t, in, "collector-volume", sizing.CollectorVolume), 2*494.6, 0.1)
}

// Every rule prints its source, its formula, its grade and, where it gives or takes a
// length, where that is counted from; every symbol of the formula is there with a unit
// and a word for where its value comes from, and so it is without an engine.
func TestEveryRuleSaysWhereItIsFrom(t *testing.T) {
	seen := map[string]bool{}
	check := func(results []sizing.Result, complete bool) {
		for _, r := range results {
			rule := r.Rule
			if rule.ID == "" || rule.Name == "" || rule.Formula == "" || rule.Holds == "" || rule.Grade == "" || len(rule.Sources) == 0 {
				t.Errorf("%+v", rule)
			}
			for _, s := range rule.Sources {
				if s.Text == "" || s.Grade == "" {
					t.Errorf("%s: %+v", rule.ID, s)
				}
			}
			for _, s := range r.Symbols {
				if s.Letter == "" || s.Text == "" || s.From == "" && !math.IsNaN(s.V) {
					t.Errorf("%s: %+v", rule.ID, s)
				}
				if s.From == sizing.Usual && s.Grade == "" {
					t.Errorf("%s: usual value of %s without a grade", rule.ID, s.Letter)
				}
				if letters := strings.Split(s.Letter, "_"); !strings.Contains(rule.Formula, letters[0]) && !strings.Contains("T AFR 2a d cc", s.Letter) {
					t.Errorf("%s: %s is not in %s", rule.ID, s.Letter, rule.Formula)
				}
			}
			if complete && rule.ID != "cone" && (len(r.Values) == 0 || len(r.Open) > 0) {
				t.Errorf("%s: open %v", rule.ID, r.Open)
			}
			for _, v := range r.Values {
				lengths := strings.Contains(string(v.What), "length")
				if lengths && (v.Start == "" || rule.Start == "") {
					t.Errorf("%s: a %s from nowhere", rule.ID, v.What)
				}
				if !(v.Low <= v.V && v.V <= v.High) {
					t.Errorf("%s: %v is not within its band %v to %v", rule.ID, v.V, v.Low, v.High)
				}
			}
		}
	}
	for _, r := range sizing.Rules() {
		if seen[r.ID] {
			t.Errorf("%s twice", r.ID)
		}
		seen[r.ID] = true
	}
	check(work(t, four()), true)
	empty := work(t, sizing.Inputs{})
	check(empty, false)
	if len(empty) != len(seen) {
		t.Errorf("%d results of %d rules", len(empty), len(seen))
	}
	full := work(t, four())
	for i, r := range empty {
		if len(r.Values) > 0 && !strings.HasPrefix(r.Rule.ID, "collector-") && r.Rule.ID != "choking" {
			t.Errorf("%s gives %+v of nothing", r.Rule.ID, r.Values)
		}
		if len(r.Symbols) != len(full[i].Symbols) {
			t.Errorf("%s: %d symbols without an engine, %d with one", r.Rule.ID, len(r.Symbols), len(full[i].Symbols))
		}
	}
}

// Each input can be edited where a rule shows it, and the rules that rest on it follow.
func TestInputsAreEditedInPlace(t *testing.T) {
	in := four()
	for _, r := range work(t, in) {
		for _, s := range r.Symbols {
			if s.Key == "" {
				continue
			}
			f := sizing.FieldOf(s.Key)
			edited := four()
			v := f.Low + 0.37*(f.High-f.Low)
			switch f.Unit {
			case "mm":
				edited.SetLength(s.Key, units.Length(v))
			case "°":
				edited.SetAngle(s.Key, units.Angle(v)*deg)
			default:
				edited.Set(s.Key, v)
			}
			got := result(t, edited, r.Rule.ID)
			for _, g := range got.Symbols {
				if g.Key == s.Key && (g.From != sizing.Entered || math.Abs(g.V/s.V-v/of(in, r, s)) > 1e-9*math.Abs(v/of(in, r, s))) {
					t.Errorf("%s: %s was set to %v %s and reads %v %s from %q", r.Rule.ID, s.Key, v, f.Unit, g.V, g.Unit, g.From)
				}
			}
		}
	}
}

// of returns what a symbol stood for in the unit of its field.
func of(in sizing.Inputs, r sizing.Result, s sizing.Symbol) float64 {
	if v, ok := in.Get(s.Key); ok {
		return v
	}
	per := map[string]float64{"in": 25.4, "in²": 25.4 * 25.4, "ft/s": 0.3048, "m": 1000}[s.Unit]
	if per == 0 {
		per = 1
	}
	return s.V * per
}

// What lies outside of what a rule is meant for says so, and what was refused counts as
// not entered.
func TestOutsideAndRefused(t *testing.T) {
	in := four()
	in.Set(sizing.TorqueRPM, 2500)
	r := result(t, in, "length-850")
	if len(r.Outside) != 1 || r.Outside[0] != "N" || len(r.Values) == 0 {
		t.Errorf("at 2,500 rpm: outside %v", r.Outside)
	}
	for _, s := range r.Symbols {
		if s.Letter == "N" && !(s.Outside && s.Low == 3500 && strings.Contains(s.Limits, "study")) {
			t.Errorf("%+v", s)
		}
	}
	in.Set(sizing.TorqueRPM, 9500)
	if r := result(t, in, "length-850"); len(r.Outside) != 1 {
		t.Errorf("at 9,500 rpm: outside %v", r.Outside)
	}
	// A cone that widens, and a first part as long as the whole, are none.
	in.SetLength(sizing.ConeIn, 50)
	in.SetLength(sizing.ConeOut, 60)
	in.SetLength(sizing.ChosenLength, 18*inch)
	if r := result(t, in, "cone"); len(r.Values) > 0 || len(r.Outside) != 1 || r.Outside[0] != "ID3" {
		t.Errorf("%+v", r)
	}
	if r := result(t, in, "split-15"); len(r.Values) > 0 || len(r.Open) != 1 {
		t.Errorf("%+v", r)
	}
	// A wish outside of what the sources span is within its own band.
	in.Set(sizing.FlowSpeed, 120)
	if v, _ := result(t, in, "gas-speed").Value(sizing.PrimaryBore); v.Low != v.V || !(v.V < v.High) {
		t.Errorf("at 120 m/s: %+v", v)
	}
	slow := four()
	slow.Set(sizing.TorqueRPM, 100)
	results, err := sizing.Work(slow)
	if fs := fault.All(err); len(fs) != 1 || fs[0].Name != "Peak torque wanted at" {
		t.Errorf("%v", err)
	}
	for _, r := range results {
		if r.Rule.ID == "length-850" && (len(r.Values) > 0 || len(r.Open) != 1) {
			t.Errorf("%+v", r)
		}
	}
	in = four()
	in.SetLength(sizing.Bore, units.Length(math.NaN()))
	in.Set(sizing.AirFuel, 99)
	in.Fuel = "coal"
	results, err = sizing.Work(in)
	if fs := fault.All(err); len(fs) != 2 || fs[0].Name != "Bore" || fs[1].Name != "Fuel" {
		t.Errorf("%v", err)
	}
	for _, r := range results {
		if r.Rule.ID == "gas-speed" && (len(r.Values) > 0 || len(r.Open) != 1 || r.Open[0] != "Bore") {
			t.Errorf("%+v", r)
		}
		if r.Rule.ID == "length-wave" && (len(r.Values) > 0 || len(r.Open) == 0) {
			t.Errorf("%+v", r)
		}
	}
	var bore sizing.Inputs
	bore.SetLength(sizing.Bore, 84.5)
	bore.Set(sizing.TorqueRPM, 5500)
	if r := result(t, bore, "gas-speed"); len(r.Open) != 1 || r.Open[0] != "Stroke" {
		t.Errorf("without a stroke: open %v", r.Open)
	}
	in = four()
	in.Set(sizing.AirFuel, 99) // petrol does not burn at that
	if r := result(t, in, "length-wave"); len(r.Values) > 0 || len(r.Open) == 0 {
		t.Errorf("%+v", r)
	}
}

// Another fuel moves the wave, by what its mixture is.
func TestFuelMovesTheWave(t *testing.T) {
	in := four()
	in.Fuel = "methanol"
	m, err := gas.Burnt(gas.Methanol, 0.88*gas.Methanol.Stoichiometric())
	if err != nil {
		t.Fatal(err)
	}
	s, err := m.At(1000)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "m", book(t, in, "length-wave", sizing.PrimaryLength), s.Sound*121/(12*5500), 1e-12)
}

func spreadOf(t testing.TB, in sizing.Inputs, what sizing.What, start sizing.Start) sizing.Spread {
	t.Helper()
	for _, s := range sizing.Spreads(work(t, in), in) {
		if s.What == what && s.Start == start {
			return s
		}
	}
	t.Fatalf("no spread of %s from %q", what, start)
	return sizing.Spread{}
}

// Lengths that are counted from different places are put beside each other by the port's
// own length, and not without it.
func TestSpreadPutsLengthsOnOneStart(t *testing.T) {
	s := spreadOf(t, four(), sizing.PrimaryLength, sizing.Flange)
	// 850 from the valve less 95, the book's own P and not its P + 3, the metric one less
	// 95, and the wave's less 95.
	want := map[string]float64{"length-850-valve": 37.4*25.4 - 95, "length-850": 34.4 * 25.4, "length-13000": 130000*242/(6*5500.0) - 95}
	count := 0
	for _, m := range s.Marks {
		if w, ok := want[m.Rule]; ok && m.Name == "" {
			near(t, m.Rule, m.V, w, 1e-9)
			count++
		}
		if m.Moved != (m.Rule != "length-850") {
			t.Errorf("%+v", m)
		}
		if !(s.Low <= m.V && m.V <= s.High && s.From <= m.Low && m.High <= s.To) {
			t.Errorf("%+v is not within %+v", m, s)
		}
	}
	if count != 3 || len(s.Marks) != 4 || s.Open != "" {
		t.Errorf("%+v", s)
	}
	if v := spreadOf(t, four(), sizing.PrimaryLength, sizing.Valve); len(v.Marks) != 4 || v.Marks[1].Name != "with its 3 in of port" || v.Marks[1].Moved {
		t.Errorf("from the valve: %+v", v)
	}
	in := four()
	var bare sizing.Inputs
	bare.SetAngle(sizing.Opens, 62*deg)
	bare.Set(sizing.TunedRPM, 5500)
	from := spreadOf(t, bare, sizing.PrimaryLength, sizing.Flange)
	if len(from.Marks) != 1 || from.Marks[0].Rule != "length-850" || !strings.Contains(from.Open, "Valve to port face") {
		t.Errorf("%+v", from)
	}
	if b := spreadOf(t, in, sizing.PrimaryBore, ""); len(b.Marks) != 2 || !(b.High > b.Low) {
		t.Errorf("%+v", b)
	}
}

// Every size near the answers, with what each rule says to it.
func TestSizesNearTheAnswer(t *testing.T) {
	in := four()
	var sizes []tube.Section
	for od := 1.0; od <= 2.5; od += 0.125 {
		for _, wall := range []float64{0.049, 0.065} {
			sizes = append(sizes, tube.Section{OD: units.Length(od) * inch, Wall: units.Length(wall) * inch})
		}
	}
	sizes = append(sizes, sizes[10]) // 1 5/8 × 0.049 twice
	list, err := sizing.Near(work(t, in), in, sizes)
	if err != nil {
		t.Fatal(err)
	}
	spread := spreadOf(t, in, sizing.PrimaryBore, "")
	found := 0
	for i, c := range list {
		id := c.Section.ID()
		near(t, "ID", c.ID.MM(), id.MM(), 0)
		if i > 0 && (list[i-1].Section.OD > c.Section.OD || list[i-1].Section == c.Section) {
			t.Errorf("%v after %v", c.Section, list[i-1].Section)
		}
		if within := id.MM() >= spread.From && id.MM() <= spread.To; within != c.Within {
			t.Errorf("%v: within %v", c.Section, c.Within)
		}
		if !(id.MM() >= spread.From-25.4/8-1e-9 && id.MM() <= spread.To+25.4/8+1e-9) {
			t.Errorf("%v is not near %v to %v", c.Section, spread.From, spread.To)
		}
		if len(c.Against) != 2 {
			t.Fatalf("%+v", c.Against)
		}
		for _, a := range c.Against {
			v, _ := result(t, in, a.Rule).Value(sizing.PrimaryBore)
			near(t, a.Rule, a.Off.MM(), id.MM()-v.V, 1e-9)
		}
		// The tube as the chosen one gives the same figures by the rules.
		chosen := four()
		chosen.SetLength(sizing.ChosenBore, id)
		v, _ := result(t, chosen, "gas-speed-tube").Value(sizing.GasSpeed)
		near(t, "gas speed", c.SpeedAtTorque, v.V, 1e-9)
		near(t, "gas speed at peak power", c.SpeedAtPower, v.V*7000/5500, 1e-9)
		p, _ := result(t, chosen, "gas-speed-peak").Value(sizing.TorquePeak)
		near(t, "peak", c.Peak, p.V, 1e-6)
		near(t, "peak, least", c.PeakLow, p.Low, 1e-6)
		near(t, "peak, most", c.PeakHigh, p.High, 1e-6)
		if c.Section.OD == 1.625*inch && c.Section.Wall == 0.049*inch {
			found++
		}
	}
	if found != 1 {
		t.Errorf("1 5/8 × 0.049 stands in it %d times", found)
	}
	// Only sizes far off: the nearest smaller and the nearest larger one all the same.
	far, err := sizing.Near(work(t, in), in, []tube.Section{{OD: 20, Wall: 1}, {OD: 25, Wall: 1}, {OD: 90, Wall: 1}, {OD: 80, Wall: 1}})
	if err != nil || len(far) != 2 || far[0].Section.OD != 25 || far[1].Section.OD != 80 {
		t.Errorf("%+v, %v", far, err)
	}
	if _, err := sizing.Near(work(t, in), in, []tube.Section{{OD: 40}}); len(fault.All(err)) == 0 {
		t.Error("no wall: no error")
	}
	if list, err := sizing.Near(work(t, sizing.Inputs{}), sizing.Inputs{}, sizes); err != nil || len(list) != 0 {
		t.Errorf("nothing known: %v, %v", list, err)
	}
}

func TestSaneBands(t *testing.T) {
	if fs := sizing.Sane(four()); len(fs) != 0 {
		t.Errorf("the invented four: %+v", fs)
	}
	if fs := sizing.Sane(sizing.Inputs{}); len(fs) != 0 {
		t.Errorf("nothing: %+v", fs)
	}
	for _, tt := range []struct {
		rule     string
		severity sizing.Severity
		change   func(*sizing.Inputs)
	}{
		{"unlikely-exhaust_opens_bbdc", sizing.Note, func(in *sizing.Inputs) { in.SetAngle(sizing.Opens, 85*deg) }},
		{"unlikely-compression", sizing.Note, func(in *sizing.Inputs) { in.Set(sizing.Compression, 20) }},
		{"torque-above-power", sizing.Warn, func(in *sizing.Inputs) { in.Set(sizing.TorqueRPM, 7500) }},
		{"piston-speed", sizing.Warn, func(in *sizing.Inputs) { in.Set(sizing.PowerRPM, 9500) }},
		{"rod-too-short", sizing.Stop, func(in *sizing.Inputs) { in.SetLength(sizing.Rod, 44) }},
		{"rod-ratio", sizing.Note, func(in *sizing.Inputs) { in.SetLength(sizing.Rod, 110) }},
		{"bore-stroke", sizing.Note, func(in *sizing.Inputs) { in.SetLength(sizing.Stroke, 45); in.SetLength(sizing.Bore, 120) }},
		{"throat-in-bore", sizing.Stop, func(in *sizing.Inputs) { in.Set(sizing.ThroatArea, 6000) }},
		{"port-in-bore", sizing.Stop, func(in *sizing.Inputs) { in.Set(sizing.PortArea, 6000) }},
	} {
		in := four()
		tt.change(&in)
		f, ok := found(sizing.Sane(in), tt.rule)
		if !ok || f.Severity != tt.severity || f.Text == "" || f.Source.Grade == "" {
			t.Errorf("%s: %+v", tt.rule, sizing.Sane(in))
		}
	}
}

// A slower engine gets longer tubes, a larger cylinder wider ones, and hotter gas longer
// ones: random engines, each rule in its own direction.
func TestRulesGoTheirWay(t *testing.T) {
	const seed = 17
	rnd := rand.New(rand.NewPCG(seed, 0))
	for i := range 300 {
		var in sizing.Inputs
		bore, stroke := 60+60*rnd.Float64(), 50+60*rnd.Float64()
		in.SetLength(sizing.Bore, units.Length(bore))
		in.SetLength(sizing.Stroke, units.Length(stroke))
		in.SetAngle(sizing.Opens, units.Angle(30+60*rnd.Float64())*deg)
		rpm := 3500 + 5000*rnd.Float64()
		in.Set(sizing.TorqueRPM, rpm)
		in.Set(sizing.GasTemp, 700+500*rnd.Float64())
		slower, hotter := in, in // copies: entering into one leaves the other
		slower.Set(sizing.TorqueRPM, rpm*0.9)
		temp, _ := in.Get(sizing.GasTemp)
		hotter.Set(sizing.GasTemp, temp+50)
		for _, id := range []string{"length-850-valve", "length-850", "length-13000", "length-wave"} {
			if a, b := book(t, in, id, sizing.PrimaryLength), book(t, slower, id, sizing.PrimaryLength); !(b > a) {
				t.Fatalf("seed %d case %d: %s %v, slower %v", seed, i, id, a, b)
			}
		}
		if a, b := book(t, in, "length-wave", sizing.PrimaryLength), book(t, hotter, "length-wave", sizing.PrimaryLength); !(b > a) {
			t.Fatalf("seed %d case %d: hotter %v, %v", seed, i, a, b)
		}
		if a, b := book(t, in, "gas-speed", sizing.PrimaryBore), book(t, slower, "gas-speed", sizing.PrimaryBore); !(b < a) {
			t.Fatalf("seed %d case %d: slower engine, wider tube: %v, %v", seed, i, a, b)
		}
		// The bore that the first rule gives puts the torque where it was wanted.
		near(t, "there and back", book(t, in, "gas-speed-peak", sizing.TorquePeak), rpm, 1e-6)
		// A length of the wave rule comes back when it was asked to.
		back := in
		v, _ := result(t, in, "length-wave").Value(sizing.PrimaryLength)
		back.SetLength(sizing.ChosenLength, units.Length(v.V))
		opens, _ := in.Get(sizing.Opens)
		near(t, "the wave", book(t, back, "wave-return", sizing.WaveBack), (180+opens)/2, 1e-9)
	}
}

func FuzzWork(f *testing.F) {
	f.Add(84.5, 88.2, 62.0, 5500.0, 1000.0, 12.8, 900.0, 40.0, 7.5)
	f.Add(250.0, 20.0, 120.0, 20000.0, 400.0, 2.0, 60.0, 10.0, 45.0)
	f.Fuzz(func(t *testing.T, bore, stroke, opens, rpm, temp, afr, length, id, taper float64) {
		var in sizing.Inputs
		in.SetLength(sizing.Bore, units.Length(bore))
		in.SetLength(sizing.Stroke, units.Length(stroke))
		in.SetAngle(sizing.Opens, units.Angle(opens)*deg)
		in.SetAngle(sizing.Closes, units.Angle(taper)*deg)
		in.SetLength(sizing.ValveToFace, units.Length(stroke))
		in.Set(sizing.TorqueRPM, rpm)
		in.Set(sizing.PowerRPM, rpm)
		in.Set(sizing.GasTemp, temp)
		in.Set(sizing.AirFuel, afr)
		in.SetLength(sizing.ChosenLength, units.Length(length))
		in.SetLength(sizing.ChosenBore, units.Length(id))
		in.SetLength(sizing.ConeIn, units.Length(bore))
		in.SetLength(sizing.ConeOut, units.Length(id))
		in.SetAngle(sizing.Taper, units.Angle(taper)*deg)
		results, err := sizing.Work(in)
		if err != nil && len(fault.All(err)) == 0 {
			t.Fatal(err)
		}
		for _, r := range results {
			for _, v := range r.Values {
				for _, x := range []float64{v.V, v.Low, v.High, v.Book} {
					if math.IsNaN(x) || math.IsInf(x, 0) {
						t.Fatalf("%s: %+v", r.Rule.ID, v)
					}
				}
				if !(v.Low <= v.V && v.V <= v.High) {
					t.Fatalf("%s: %v outside %v to %v", r.Rule.ID, v.V, v.Low, v.High)
				}
			}
		}
		for _, s := range sizing.Spreads(results, in) {
			if !(s.Low <= s.High && s.From <= s.Low && s.High <= s.To) {
				t.Fatalf("%+v", s)
			}
		}
		if _, err := sizing.Near(results, in, []tube.Section{{OD: units.Length(bore), Wall: units.Length(taper)}}); err != nil && len(fault.All(err)) == 0 {
			t.Fatal(err)
		}
		sizing.Sane(in)
	})
}

func BenchmarkAllRules(b *testing.B) {
	in := four()
	for b.Loop() {
		work(b, in)
	}
}
