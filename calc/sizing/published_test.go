package sizing_test

import (
	"math"
	"strings"
	"testing"

	"tubewright/calc/calctest"
	"tubewright/calc/sizing"
	"tubewright/calc/units"
)

const (
	deg  = units.Degree
	inch = units.Inch
	foot = 0.3048 // m
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tol)
	}
}

// cylinder sets bore and stroke to a swept volume of one cylinder in cm³.
func cylinder(in *sizing.Inputs, cc float64) {
	bore := 90.0
	in.SetLength(sizing.Bore, units.Length(bore))
	in.SetLength(sizing.Stroke, units.Length(1000*cc/(math.Pi/4*bore*bore)))
}

const cubicInch = 25.4 * 25.4 * 25.4 / 1000 // cm³

// result works all rules out and returns one of them.
func result(t *testing.T, in sizing.Inputs, id string) sizing.Result {
	t.Helper()
	results, err := sizing.Work(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range results {
		if r.Rule.ID == id {
			return r
		}
	}
	t.Fatalf("no rule %s", id)
	return sizing.Result{}
}

// book returns a value of a rule as its formula gives it.
func book(t *testing.T, in sizing.Inputs, id string, what sizing.What) float64 {
	t.Helper()
	v, ok := result(t, in, id).Value(what)
	if !ok {
		t.Fatalf("%s: no %s; open %v", id, what, result(t, in, id).Open)
	}
	return v.Book
}

// Every row of the table of rules, or why it has no figure to be held to. "published"
// in the message is what the table says; the book's rows are from memory there.
func TestHeaderRulesRowByRow(t *testing.T) {
	work := map[string]func(t *testing.T){
		"Bell primary length|ED=250 RPM=6500": func(t *testing.T) {
			in := tuned(250, 6500)
			near(t, "P", book(t, in, "length-850", sizing.PrimaryLength), 29.6923, 5e-5)
			r := result(t, in, "length-850")
			near(t, "P + 3", r.Values[1].Book, 32.6923, 5e-5)
			if r.Values[0].Start != sizing.Flange || r.Values[1].Start != sizing.Valve {
				t.Errorf("counted from %q and %q", r.Values[0].Start, r.Values[1].Start)
			}
		},
		"Bell primary length|ED=260 RPM=7500": func(t *testing.T) {
			near(t, "P", book(t, tuned(260, 7500), "length-850", sizing.PrimaryLength), 26.4667, 5e-5)
		},
		"Bell primary bore|cc=500 P=29.6923": func(t *testing.T) {
			v, _ := result(t, long(500, 29.6923), "bore-850").Value(sizing.PrimaryBore)
			near(t, "ID, in", v.Book, 1.6425, 5e-5)
			near(t, "ID, mm", v.V, 41.72, 0.005)
		},
		"Bell primary bore|cc=399.75 P=26.4667": func(t *testing.T) {
			near(t, "ID", book(t, long(399.75, 26.4667), "bore-850", sizing.PrimaryBore), 1.5470, 5e-5)
		},
		"Bell 4-2-1 primary|P=29.6923": func(t *testing.T) {
			in := long(500, 29.6923)
			near(t, "P1", book(t, in, "split-15", sizing.FirstLength), 15, 0)
			near(t, "P2", book(t, in, "split-15", sizing.SecondaryLength), 14.6923, 5e-5)
		},
		"Bell 4-2-1 secondary bore|ID=1.6425": func(t *testing.T) {
			var in sizing.Inputs
			in.SetLength(sizing.ChosenBore, 1.6425*inch)
			near(t, "IDS", book(t, in, "bore-secondary", sizing.SecondaryBore), 2.1603, 7e-5)
		},
		"Bell tailpipe bore|cc=500 P=29.6923": func(t *testing.T) {
			near(t, "IDT", book(t, long(500, 29.6923), "bore-tail", sizing.TailBore), 2.2123, 5e-5)
		},
		"Bell collector length|ID2=3.0 ID3=2.25 A=7 deg": func(t *testing.T) {
			var in sizing.Inputs
			in.SetLength(sizing.ConeIn, 3*inch)
			in.SetLength(sizing.ConeOut, 2.25*inch)
			in.SetAngle(sizing.Taper, 7*deg)
			near(t, "CL", book(t, in, "cone", sizing.ConeLength), 3.0541, 5e-5)
		},
		"88,200 relation|bore 1.500 in, 350 in3 / 8 = 43.75 in3": func(t *testing.T) {
			var in sizing.Inputs
			cylinder(&in, 43.75*cubicInch)
			in.SetLength(sizing.ChosenBore, 1.5*inch)
			near(t, "RPM", book(t, in, "gas-speed-peak", sizing.TorquePeak), 3562.6, 0.05)
			near(t, "A, mm²", math.Pi/4*38.1*38.1, 1.76715*25.4*25.4, 0.005)
		},
		"88,200 relation inverted|RPM=3600 D1=43.75": func(t *testing.T) {
			var in sizing.Inputs
			cylinder(&in, 43.75*cubicInch)
			in.Set(sizing.TorqueRPM, 3600)
			near(t, "A", book(t, in, "gas-speed", sizing.PrimaryArea), 1.785714, 5e-7)
			near(t, "d", book(t, in, "gas-speed", sizing.PrimaryBore), 1.50786, 5e-6)
		},
		"88,200 meaning|D1=43.75 RPM=3562.57 A=1.76715": func(t *testing.T) {
			var in sizing.Inputs
			cylinder(&in, 43.75*cubicInch)
			in.Set(sizing.TorqueRPM, 3562.57)
			in.SetLength(sizing.ChosenBore, 1.5*inch)
			near(t, "V", book(t, in, "gas-speed-tube", sizing.GasSpeed), 245.000, 0.0005)
		},
		"88,200 family|RPM=6000 S=3.48 B=4.00 X=88200": func(t *testing.T) {
			var in sizing.Inputs
			in.SetLength(sizing.Bore, 4*inch)
			in.SetLength(sizing.Stroke, 3.48*inch)
			in.Set(sizing.TorqueRPM, 6000)
			v, _ := result(t, in, "gas-speed").Value(sizing.PrimaryBore)
			near(t, "d", v.Book, 1.9462, 5e-5)
			// X = 86,400 to 108,000 is 240 to 300 ft/s.
			near(t, "widest, mm", v.High, 25.4*math.Sqrt(6000*3.48*16/86400), 1e-9)
			near(t, "narrowest, mm", v.Low, 25.4*math.Sqrt(6000*3.48*16/108000), 1e-9)
			near(t, "mean piston speed, ft/s", book(t, in, "piston-speed", sizing.PistonSpeed), 6000*3.48/360, 1e-9)
		},
		"mean flow velocity at peak torque|": func(t *testing.T) {
			low, high := sizing.GasSpeedBand[0], sizing.GasSpeedBand[1]
			near(t, "low, m/s", low, 240*foot, 1e-12)
			near(t, "high, m/s", high, 260*foot, 1e-12)
			near(t, "low, as printed", low, 73.2, 0.05)
			near(t, "high, as printed", high, 79.2, 0.05)
		},
		"wave return timing|N=6000 L=0.8128 m c=518.16 m/s": func(t *testing.T) {
			near(t, "θ", sizing.WaveReturn(6000, 812.8, 518.16).Deg(), 112.9412, 5e-5)
			near(t, "in feet and inches", 6000*32/1700.0, 112.9412, 5e-5)
		},
		"consistency of 850 rule|ED=250 N=6500": func(t *testing.T) {
			l := book(t, tuned(250, 6500), "length-850-valve", sizing.PrimaryLength)
			near(t, "θ", sizing.WaveReturn(6500, units.Length(l)*inch, 1700*foot).Deg(), 125, 1e-9)
		},
		"choking at exhaust valve|g=1.40 / 1.33 / 1.30 / 1.28": func(t *testing.T) {}, // calc/gas: TestChokingRatios
		"choking, published figure|((2.35)/2)^(1.35/0.35)": func(t *testing.T) {
			for _, s := range result(t, sizing.Inputs{}, "choking").Rule.Sources {
				if strings.Contains(s.Text, "1.86") && strings.Contains(s.Text, "about 3") {
					return
				}
			}
			t.Error("the source that prints 1.86 and says about 3 is not named with what it says")
		},
		"exhaust valve opening|":    func(t *testing.T) {}, // TestOpeningBandIsThePublishedOne
		"Heywood exhaust blowdown|": func(t *testing.T) {}, // figures from memory; the two seen sources stand for it
		"Smith & Morrison|":         func(t *testing.T) {}, // an index page: no formula was seen
		"Blair diameter from throat area|": func(t *testing.T) { // no figure is recorded on purpose, so no rule has it
			for _, r := range sizing.Rules() {
				if strings.Contains(r.Name, "throat area") {
					t.Errorf("rule %s has no source", r.ID)
				}
			}
		},
	}
	seen := 0
	for _, r := range calctest.Published(t, "header_rules.csv") {
		key := r["rule"] + "|" + r["worked_inputs"]
		check, ok := work[key]
		if !ok {
			t.Errorf("row %q is held to nothing", key)
			continue
		}
		seen++
		t.Run(key, check)
	}
	if want := len(work) + 1; seen != want { // one name has two rows without figures
		t.Errorf("%d rows, want %d: the table has changed", seen, want)
	}
}

func tuned(ed, rpm float64) (in sizing.Inputs) {
	in.SetAngle(sizing.Opens, units.Angle(ed-180)*deg)
	in.Set(sizing.TunedRPM, rpm)
	return in
}

// long is a cylinder of so many cm³ with a primary that the book counts as p inches, 3
// more from the valve.
func long(cc, p float64) (in sizing.Inputs) {
	cylinder(&in, cc)
	in.SetLength(sizing.ChosenLength, units.Length(p+3)*inch)
	return in
}

// The band for the opening of the exhaust valve is the two sources', and says where they
// disagree: 40 to 60° by one (a hand-out on exhaust flow), 40 to 70° by the other.
func TestOpeningBandIsThePublishedOne(t *testing.T) {
	f := sizing.FieldOf(sizing.Opens)
	if f.Likely != [2]float64{40, 70} || !strings.Contains(f.Source, "60") || !strings.Contains(f.Source, "70") || f.Grade != sizing.Published {
		t.Errorf("%+v", f)
	}
}

// Worked figures of the trade, by the relation with 88,200: 43.75 in³ at 4,500 rpm 1.69
// in, 41.7 at 4,000 1.55, 30.5 at 5,500 1.56, 37.75 at 4,800 1.62; and by 850·ED/rpm:
// 260° at 5,500 40.2 in, 250° at 4,500 47.2, 260° at 7,000 31.6.
func TestWorkedFiguresOfTheTrade(t *testing.T) {
	for _, w := range [][3]float64{{43.75, 4500, 1.69}, {41.7, 4000, 1.55}, {30.5, 5500, 1.56}, {37.75, 4800, 1.62}} {
		var in sizing.Inputs
		cylinder(&in, w[0]*cubicInch)
		in.Set(sizing.TorqueRPM, w[1])
		near(t, "ID", book(t, in, "gas-speed", sizing.PrimaryBore), w[2], 0.0051)
	}
	for _, w := range [][3]float64{{260, 5500, 40.2}, {250, 4500, 47.2}, {260, 7000, 31.6}} {
		near(t, "L", book(t, tuned(w[0], w[1]), "length-850-valve", sizing.PrimaryLength), w[2], 0.051)
	}
}

// The metric rule is the other one in other units: 13,000/6 cm against 850 in, 0.35 %
// apart.
func TestMetricRuleAgrees(t *testing.T) {
	in := tuned(250, 6500)
	metric := book(t, in, "length-13000", sizing.PrimaryLength)
	near(t, "cm", metric, 13000*250/(6*6500.0), 1e-9)
	near(t, "in", metric/2.54, book(t, in, "length-850-valve", sizing.PrimaryLength), 0.004*33)
}

// Published and worked rows of acoustics.csv.
func TestAcousticsRowByRow(t *testing.T) {
	for _, r := range calctest.Published(t, "acoustics.csv") {
		switch key := r["item"] + "|" + r["quantity"]; key {
		case "end correction, unflanged|delta/a":
			near(t, key, sizing.EndUnflanged, calctest.Number(t, r["value"]), 0)
		case "end correction, infinite flange|delta/a":
			near(t, key+", "+r["source"], sizing.EndFlanged, calctest.Number(t, r["value"]), 2e-4) // two sources, 0.8216 and 0.8217
		case "end correction, infinite flange (rounded)|delta/a":
			near(t, key, sizing.EndFlanged, calctest.Number(t, r["value"]), 0.005)
		case "end correction, unflanged (rounded)|delta/a":
			near(t, key, sizing.EndUnflanged, calctest.Number(t, r["value"]), 0.05)
		case "end correction, piston in baffle (upper bound)|delta/a":
			near(t, key, 8/(3*math.Pi), calctest.Number(t, r["value"]), 5e-5)
			if !(sizing.EndFlanged < calctest.Number(t, r["value"])) {
				t.Error("the flanged pipe is beyond its upper bound")
			}
		case "quarter-wave (closed-open)|f_Hz":
			// n·c/(4(L+δ)), odd harmonics
			near(t, key, sizing.QuarterWave(3, 343, 500, 10), 3*343/(4*0.51), 1e-9)
		case "half-wave (open-open)|f_Hz":
			near(t, key, sizing.HalfWave(2, 343, 500, 10), 2*343/(2*0.52), 1e-9)
		case "quarter-wave worked|L_m for f=440 Hz c=343":
			l := calctest.Number(t, r["value"])
			near(t, key, sizing.QuarterWave(1, 343, units.Length(1000*l), 0), 440, 0.001)
		case "quarter-wave with end correction, worked|f_Hz":
			near(t, key, sizing.QuarterWave(1, 343.2, 500, 20*sizing.EndUnflanged), calctest.Number(t, r["value"]), 5e-5)
		case "half-wave with end correction, worked|f_Hz":
			near(t, key, sizing.HalfWave(1, 343.2, 500, 20*sizing.EndUnflanged), calctest.Number(t, r["value"]), 5e-5)
		case "exhaust sound speed, quoted|c_m_per_s":
			// 1,700 ft/s is what the 850 rule implies, 1,800 is at 811 K: both lie
			// below what the mixture has at the temperature that is usual here.
			if c := calctest.Number(t, r["value"]); !(c < 612.37 && c > 500) {
				t.Errorf("%s: %v", key, c)
			}
		case "exhaust blow-down state, paper|T_K":
			f := sizing.FieldOf(sizing.OpeningTemp)
			if v := calctest.Number(t, r["value"]); !(v >= f.Low && v <= f.High) {
				t.Errorf("%s: %v is outside %+v", key, v, f)
			}
		case "ideal gas|c", "exhaust, stoichiometric C8H18-air products|c_m_per_s", "air|c_m_per_s":
			// calc/gas
		default:
			t.Errorf("row %q is held to nothing", key)
		}
	}
}
