package sizing

import "math"

// lowRPM is where the rule for length begins to differ from what was calculated: there
// it asks for 1.7 to 2.6 m, and the study for 0.8 to 1.4 m.
const lowRPM = 3500

const lengthLimits = "below 3,500 rpm our own study, calculated and not measured, has its best length at about half of what the rule gives; above 9,000 nothing was looked at"

var lengthRules = []Rule{
	{
		ID: "length-850-valve", Name: "Primary length, 850 rule from the valve",
		Formula: "L = 850·ED/N",
		Holds:   "four-stroke engines without charging, at one speed; the articles give no range",
		Sources: []Source{lengthArticle, soundForum, study}, Grade: Practice, Start: Valve,
		Note: "It brings the wave back when half of ED is over, at 1,700 ft/s: gas of about 710 K. Its lengths lay 17 to 21 % below the best ones of our study, from 5,000 rpm on, where the gas had 930 to 1,060 K.",
		work: func(b *bench) {
			l := 850 * b.duration() / b.lengthRPM()
			b.gives(Value{What: PrimaryLength, Unit: "mm", Start: Valve}, l, "in", 25.4)
		},
	},
	{
		ID: "length-850", Name: "Primary length, 850 rule from the flange",
		Formula: "P = 850·ED/N − 3",
		Holds:   "four-stroke engines without charging, at one speed; the remembered examples are at 6,500 and 7,500 rpm",
		Sources: []Source{book, soundForum}, Grade: Memory, Start: Flange,
		Note: "3 in stand for the port. P + 3 is from the valve; where the port is known, take its length and not 3 in.",
		work: func(b *bench) {
			l := 850 * b.duration() / b.lengthRPM()
			b.gives(Value{What: PrimaryLength, Unit: "mm", Start: Flange}, l-3, "in", 25.4)
			b.gives(Value{What: PrimaryLength, Name: "with its 3 in of port", Unit: "mm", Start: Valve}, l, "in", 25.4)
		},
	},
	{
		ID: "length-13000", Name: "Primary length, metric rule",
		Formula: "L = 13,000·D/(6·N)",
		Holds:   "four-stroke engines without charging, at one speed; the articles give no range",
		Sources: []Source{lengthMetric}, Grade: Practice, Start: Valve,
		Note: "The articles say open degrees and not of what. Read as ED the rule is the 850 rule to 0.4 %; read as all that the valve is open, it is the upper end of the band.",
		work: func(b *bench) {
			ed := b.duration()
			b.out.Symbols[len(b.out.Symbols)-1].Letter = "D"
			n := b.lengthRPM()
			v := Value{What: PrimaryLength, Unit: "mm", Start: Valve}
			if closes, ok := b.in.usable(Closes); ok && closes > 0 {
				v.Low, v.High = 10*(13000*ed/(6*n)), 10*(13000*(ed+closes)/(6*n))
			}
			b.gives(v, 13000*ed/(6*n), "cm", 10)
		},
	},
	{
		ID: "length-wave", Name: "Primary length by the wave's return",
		Formula: "L = c·θ/(12·N)",
		Holds:   "small waves in still gas of one temperature",
		Sources: []Source{ownWave, nasa, study}, Grade: Computed, Start: Valve,
		Note: "The same law as the 850 rule with the speed of sound of this gas. The band is ±10 %, what the temperature leaves open.",
		work: func(b *bench) {
			c := b.sound(GasTemp, "c", "speed of sound in the primary")
			half := math.NaN()
			if opens, ok := b.in.usable(Opens); ok {
				half = (180 + opens) / 2
			}
			theta := b.or("θ", "crank angle from opening to the wave's return", ReturnAngle, asItself, half, Derived, FieldOf(Opens).Label, Opens)
			n := b.lengthRPM()
			l := c * theta / (12 * n)
			b.gives(Value{What: PrimaryLength, Unit: "mm", Start: Valve, Low: 900 * l, High: 1100 * l}, l, "m", 1000)
		},
	},
}

func (b *bench) lengthRPM() float64 {
	n := b.tunedTo()
	b.holds(lowRPM, 9000, lengthLimits)
	return n
}
