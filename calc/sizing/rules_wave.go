package sizing

import (
	"math"
	"strconv"

	"tubewright/calc/gas"
	"tubewright/calc/units"
)

// End corrections in inside radii: how much longer than itself a pipe is to sound, at
// low frequency. A primary that ends in a collector is between them, or beyond.
const (
	EndUnflanged = 0.6133 // in the open, Levine and Schwinger 1948
	EndFlanged   = 0.8216 // in a wide wall, Dalmont and others 2001; 0.8217 is often quoted
)

// WaveReturn returns by how much the crank turns while a wave runs along a pipe and
// back:
//
//	θ = 12·N·L/c   (°, rpm, m, m/s)
//
// Closed form for a small wave in still gas of one temperature.
func WaveReturn(rpm float64, length units.Length, sound float64) units.Angle {
	return units.Angle(12*rpm*length.MM()/1000/sound) * units.Degree
}

// QuarterWave returns the n-th resonance in Hz of a pipe closed at one end, n·c/(4(L + δ))
// for odd n, with the speed of sound in m/s and the end correction δ of the open end.
func QuarterWave(n int, sound float64, length, end units.Length) float64 {
	return float64(n) * sound / (4 * (length + end).MM() / 1000)
}

// HalfWave returns the n-th resonance in Hz of a pipe open at both ends, n·c/(2(L + 2δ)).
func HalfWave(n int, sound float64, length, end units.Length) float64 {
	return float64(n) * sound / (2 * (length + units.Length(2*end)).MM() / 1000)
}

var waveRules = []Rule{
	{
		ID: "wave-return", Name: "When the wave is back",
		Formula: "θ = 12·N·L/c",
		Holds:   "small waves in still gas of one temperature",
		Sources: []Source{ownWave, nasa}, Grade: Computed, Start: Valve,
		Note: "From the opening of the valve to the open end and back. Half of ED is where the 850 rule puts it.",
		work: func(b *bench) {
			n := b.tunedTo()
			l := b.length("L", "primary length from the valve to its open end", asMetre)
			c := b.sound(GasTemp, "c", "speed of sound in the primary")
			b.gives(Value{What: WaveBack, Unit: "°", Start: Valve}, WaveReturn(n, units.Length(1000*l), c).Deg(), "°", 1)
		},
	},
	resonanceRule("quarter-wave", "Resonances with the valve shut", "f = n·c/(4·(L + δ)), n = 1, 3, 5, δ = k·a", []int{1, 3, 5}, QuarterWave),
	resonanceRule("half-wave", "Resonances with the valve open", "f = n·c/(2·(L + 2δ)), n = 1, 2, 3, δ = k·a", []int{1, 2, 3}, HalfWave),
	{
		ID: "choking", Name: "Choking at the exhaust valve",
		Formula: "p_cyl/p_port ≥ ((γ + 1)/2)^(γ/(γ − 1))",
		Holds:   "ideal gas without losses; γ from 1.05 to 1.67",
		Sources: []Source{
			{"closed form of gas dynamics", Computed}, nasa,
			{"course page (A. Kirkpatrick) on exhaust flow: the pressure at opening is usually high enough for sonic flow at the valve", Published},
			{"lecture slides on induction and exhaust: 1.86 for γ = 1.35; the same slides say about 3 for exhaust, which no γ gives", Published},
		}, Grade: Computed,
		Note: "Above the ratio the gas leaves at its own speed of sound whatever the header does; tuning acts after that.",
		work: func(b *bench) {
			gamma := b.derived("γ", "cp/cv of the burnt mixture at T", "", b.state(OpeningTemp, "gas temperature as the valve opens").Gamma, AirFuel, OpeningTemp)
			cyl := b.need("p_cyl", "pressure in the cylinder as the valve opens", OpeningPressure, asItself)
			port := b.need("p_port", "pressure behind the valve", PortPressure, asItself)
			ratio, err := gas.Choking(gamma)
			if err != nil {
				return
			}
			b.gives(Value{What: ChokeRatio}, ratio, "", 1)
			b.gives(Value{What: OpeningRatio}, cyl/port, "", 1)
		},
	},
}

func resonanceRule(id, name, formula string, harmonics []int, f func(int, float64, units.Length, units.Length) float64) Rule {
	return Rule{
		ID: id, Name: name, Formula: formula, Holds: "small waves of low frequency in a plain pipe, the wavelength far longer than the pipe is wide",
		Sources: []Source{columns, levine, dalmont, nasa}, Grade: Published, Start: Valve,
		Note: "Small waves in a plain pipe: where it hums, not what it gives. The band is the end correction's, from an end in the open to one in a wide wall; a collector is neither.",
		work: func(b *bench) {
			l := units.Length(1000 * b.length("L", "primary length from the valve to its open end", asMetre))
			a := units.Length(1000 * b.bore("2a", asMetre) / 2)
			k := b.need("k", "end correction in inside radii", EndCorrection, asItself)
			c := b.sound(GasTemp, "c", "speed of sound in the primary")
			for _, n := range harmonics {
				v := Value{What: Resonance, Name: "n = " + strconv.Itoa(n), Unit: "Hz", Low: f(n, c, l, a*EndFlanged), High: f(n, c, l, a*EndUnflanged), Start: Valve}
				b.gives(v, f(n, c, l, a*units.Length(k)), "Hz", 1)
			}
		},
	}
}

// sound puts temperature and mixture on the bench and returns the speed of sound in m/s.
func (b *bench) sound(k Key, letter, text string) float64 {
	s := b.state(k, "mean gas temperature")
	return b.derived(letter, text+", from T and the burnt mixture", "m/s", s.Sound, AirFuel, k)
}

// state puts temperature and mixture on the bench and returns the state of the gas; NaN
// where there is none.
func (b *bench) state(k Key, text string) gas.State {
	temp := b.need("T", text, k, asItself)
	b.holds(300, 1800, "above, molecules break up, which is not counted")
	if mixture, ok := b.mixture(); ok {
		if s, err := mixture.At(temp); err == nil {
			return s
		}
	}
	return gas.State{TempK: temp, Cp: math.NaN(), Gamma: math.NaN(), Sound: math.NaN()}
}

// usualRichness is the part of the stoichiometric ratio that full load usually has: 12.8
// on petrol. From memory.
const usualRichness = 0.88

// mixture is what comes of burning the fuel at the air-fuel ratio; false where that
// cannot be used.
func (b *bench) mixture() (gas.Mixture, bool) {
	fuel, ok := b.in.fuel()
	if !ok {
		b.lacks("Fuel")
		b.or("AFR", "air-fuel ratio by mass", AirFuel, asItself, math.NaN(), "", "Fuel")
		return gas.Mixture{}, false
	}
	ratio := b.or("AFR", "air-fuel ratio by mass, of "+fuel.Name, AirFuel, asItself, usualRichness*fuel.Stoichiometric(), Usual, FieldOf(AirFuel).Label)
	m, err := gas.Burnt(fuel, ratio)
	return m, err == nil
}
