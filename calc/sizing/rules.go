package sizing

import "math"

// rules in the order in which they are worked out: a rule may rest on one before it.
var rules = joined(speedRules, lengthRules, partRules, waveRules)

func joined(lists ...[]Rule) (all []Rule) {
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// The mean gas speed at peak torque.
const (
	feet        = 0.3048 // m in a foot, exact
	middleSpeed = 245 * feet
	perSpeed    = 360 // in³·rpm/in² that 1 ft/s is: half a turn for each stroke, 12 in to the foot
)

var (
	// GasSpeedBand is in m/s what two articles give for peak torque, 240 to 260 ft/s.
	GasSpeedBand = [2]float64{240 * feet, 260 * feet}
	// GasSpeedFamily is in m/s what the forum derivation spans, 240 to 300 ft/s.
	GasSpeedFamily = [2]float64{240 * feet, 300 * feet}
)

const (
	freeBreathing = "four-stroke engines without charging, at their peak of torque"
	speedLimits   = "no source gives a range; this one is our own choice"
)

var speedRules = []Rule{
	{
		ID: "gas-speed", Name: "Primary bore by mean gas speed",
		Formula: "A = N·D1/X, X = 360·V (88,200 at 245 ft/s), d = √(4A/π)",
		Holds:   freeBreathing,
		Sources: []Source{areaArticle, speedArticle, speedColumn, areaForum}, Grade: Published,
		Note: "The band is the family's, X from 86,400 (240 ft/s, the larger bore) to 108,000 (300 ft/s). The articles give 240 to 260 ft/s.",
		work: func(b *bench) {
			d1 := b.displacement()
			n := b.torqueRPM()
			b.holds(1500, 9000, speedLimits)
			v := b.need("V", "mean gas speed in half a turn of the crank", FlowSpeed, asFootS)
			b.holds(240, 300, "the speeds that the sources span")
			area := n * d1 / (perSpeed * v)
			b.gives(Value{What: PrimaryArea, Unit: "mm²", Low: in2(n * d1 / (perSpeed * 300)), High: in2(n * d1 / (perSpeed * 240))}, area, "in²", in2(1))
			b.gives(Value{What: PrimaryBore, Unit: "mm", Low: 25.4 * across(n*d1/(perSpeed*300)), High: 25.4 * across(n*d1/(perSpeed*240))}, across(area), "in", 25.4)
		},
	},
	{
		ID: "gas-speed-peak", Name: "Speed of peak torque for a bore",
		Formula: "N = A·X/D1, X = 360·V (88,200 at 245 ft/s), A = π/4·d²",
		Holds:   freeBreathing,
		Sources: []Source{areaArticle, speedArticle, areaForum}, Grade: Published,
		Note: "The relation before, the other way round: where a chosen tube puts the torque.",
		work: func(b *bench) {
			d1 := b.displacement()
			d := b.bore("d", asInch)
			v := b.need("V", "mean gas speed in half a turn of the crank", FlowSpeed, asFootS)
			b.holds(240, 300, "the speeds that the sources span")
			one := math.Pi / 4 * d * d * perSpeed / d1
			b.gives(Value{What: TorquePeak, Unit: "rpm", Low: one * 240, High: one * 300}, one*v, "rpm", 1)
		},
	},
	speedIn("gas-speed-tube", "Mean gas speed in the primary", "A = π/4·d² of the primary", passageNote, func(b *bench) float64 {
		d := b.bore("d", asInch)
		return math.Pi / 4 * d * d
	}),
	speedIn("gas-speed-port", "Mean gas speed in the port", "A the port's area at the face", passageNote, func(b *bench) float64 {
		return b.need("A", "area of the port at the face", PortArea, asInch2)
	}),
	speedIn("gas-speed-throat", "Mean gas speed in the valve throat", "A the area at the valve throat", "The sources speak of passages; what a throat should have, none of them says.", func(b *bench) float64 {
		return b.need("A", "area at the valve throat", ThroatArea, asInch2)
	}),
	{
		ID: "piston-speed", Name: "Mean piston speed",
		Formula: "v = N·S/360",
		Holds:   "any engine with a crank",
		Sources: []Source{areaForum, {"closed form: two strokes a turn", Computed}}, Grade: Computed,
		work: func(b *bench) {
			n := b.torqueRPM()
			s := b.need("S", "stroke", Stroke, asInch)
			b.gives(Value{What: PistonSpeed, Unit: "m/s"}, n*s/360, "ft/s", feet)
		},
	},
}

const passageNote = "At peak torque the sources have 240 to 260 ft/s in an exhaust or intake passage."

func speedIn(id, name, where, note string, area func(*bench) float64) Rule {
	return Rule{
		ID: id, Name: name, Formula: "V = D1·N/(360·A), " + where, Holds: freeBreathing,
		Sources: []Source{speedArticle, speedColumn}, Grade: Published,
		Note: note,
		work: func(b *bench) {
			d1 := b.displacement()
			n := b.torqueRPM()
			b.holds(1500, 9000, speedLimits)
			b.gives(Value{What: GasSpeed, Unit: "m/s"}, d1*n/(perSpeed*area(b)), "ft/s", feet)
		},
	}
}

// displacement is D1 in in³.
func (b *bench) displacement() float64 {
	return b.derived("D1", "displacement of one cylinder, from bore and stroke", "in³", b.swept()/(25.4*25.4*25.4), Bore, Stroke)
}

// across returns the diameter of a circle of that area.
func across(area float64) float64 { return math.Sqrt(4 * area / math.Pi) }

// in2 returns in² in mm².
func in2(area float64) float64 { return area * 25.4 * 25.4 }
