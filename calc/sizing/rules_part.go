package sizing

import "math"

// partRules size what follows from the primary: its bore by the book, the parts of a
// 4-2-1, tailpipe, cone and collector.
var partRules = []Rule{
	{
		ID: "bore-850", Name: "Primary bore by length and displacement",
		Formula: "ID = 2.1·√(cc/(25·(P + 3)))",
		Holds:   "companion of the 850 rule; the remembered examples are of 400 and 500 cm³ a cylinder",
		Sources: []Source{book}, Grade: Memory, Start: Valve,
		Note: "The book's companion to its length rule: a longer primary gets a smaller bore. P + 3 is the length from the valve.",
		work: func(b *bench) {
			cc := b.cc()
			l := b.length("P + 3", "primary length from the valve", asInch)
			b.gives(Value{What: PrimaryBore, Unit: "mm"}, 2.1*math.Sqrt(cc/(25*l)), "in", 25.4)
		},
	},
	{
		ID: "split-15", Name: "4-2-1 with a first part of 15 in",
		Formula: "P1 = 15, P2 = (P + 3) − 3 − P1",
		Holds:   "4-2-1 by the book's length rule",
		Sources: []Source{{"personal page that applies the book: first primaries of 15 in", Practice}, book}, Grade: Memory, Start: Flange,
		Note: "P, the whole length, is what the book counts from the flange, 3 in less than from the valve.",
		work: func(b *bench) {
			l := b.length("P + 3", "primary length from the valve", asInch)
			first := b.need("P1", "first part, from the flange", ChosenFirst, asInch)
			b.holds(15, 30, "first parts that builders name: 15 in, or 20 to 30")
			b.splits(first, l-3-first)
		},
	},
	{
		ID: "split-two-thirds", Name: "4-2-1 with secondaries of two thirds",
		Formula: "P1 = 3/5·((P + 3) − 3), P2 = 2/3·P1",
		Holds:   "4-2-1 of any length; nobody gives a range",
		Sources: []Source{{"articles for builders: secondaries about two thirds of the primaries; first parts of 15 in or of 20 to 30, secondaries of 8 to 18", Practice}}, Grade: Practice, Start: Flange,
		Note: "That both parts make up the whole length is our own reading.",
		work: func(b *bench) {
			l := b.length("P + 3", "primary length from the valve", asInch)
			first := float64(0.6 * (l - 3))
			b.splits(first, l-3-first)
		},
	},
	{
		ID: "bore-secondary", Name: "Secondary bore of a 4-2-1",
		Formula: "IDS = 0.93·√(2·ID²)",
		Holds:   "two equal primaries into one secondary",
		Sources: []Source{book}, Grade: Memory,
		work: func(b *bench) {
			d := b.bore("ID", asInch)
			b.gives(Value{What: SecondaryBore, Unit: "mm"}, 0.93*math.Sqrt(2*d*d), "in", 25.4)
		},
	},
	{
		ID: "bore-tail", Name: "Tailpipe bore",
		Formula: "IDT = 2·√(2·cc/(25·(P + 3)))",
		Holds:   "companion of the 850 rule",
		Sources: []Source{book}, Grade: Memory, Start: Valve,
		Note: "Remembered with less certainty than the others.",
		work: func(b *bench) {
			cc := b.cc()
			l := b.length("P + 3", "primary length from the valve", asInch)
			b.gives(Value{What: TailBore, Unit: "mm"}, 2*math.Sqrt(2*cc/(25*l)), "in", 25.4)
		},
	},
	{
		ID: "cone", Name: "Length of the collector's cone",
		Formula: "CL = (ID2 − ID3)/2·cot A",
		Holds:   "a straight cone",
		Sources: []Source{book, {"geometry of a cone", Computed}}, Grade: Memory, Start: Joint,
		Note: "The formula is geometry; the half angle of 7 to 8° is the book's, from memory. Builders have 7 to 10°.",
		work: func(b *bench) {
			wide := b.need("ID2", "inside diameter where the cone begins", ConeIn, asInch)
			narrow := b.need("ID3", "inside diameter of its outlet", ConeOut, asInch)
			b.holds(0, wide, "the cone gets narrower along the flow")
			a := b.need("A", "half angle of the cone", Taper, asItself)
			b.holds(7, 10, "what the book and builders have, from memory")
			if narrow > wide {
				return
			}
			b.gives(Value{What: ConeLength, Unit: "mm", Start: Joint}, (wide-narrow)/2/math.Tan(a*math.Pi/180), "in", 25.4)
		},
	},
	collectorRule("collector-street", "Collector length for the street", 10, 20, Source{"builders, for the street: 10 to 20 in", Memory}),
	collectorRule("collector-open", "Length of a long open collector", 23, 25, Source{"a page of little weight: 23 to 25 in for the long open kind", Practice}),
	{
		ID: "collector-volume", Name: "Least volume of a collector",
		Formula: "V ≥ 2·cc",
		Holds:   "nobody gives a range",
		Sources: []Source{{"a page of little weight: at least two cylinders", Practice}}, Grade: Practice,
		work: func(b *bench) {
			b.gives(Value{What: CollectorVolume, Unit: "cm³"}, 2*b.cc(), "cm³", 1)
		},
	},
}

// collectorRule is a length that is only named, in inches: its middle, with the ends as
// the band.
func collectorRule(id, name string, low, high float64, s Source) Rule {
	return Rule{ID: id, Name: name, Formula: "no formula, only a range", Holds: "headers whose collector ends in the open or in a larger pipe; nobody says more", Sources: []Source{s}, Grade: s.Grade, Start: Joint,
		work: func(b *bench) {
			b.gives(Value{What: CollectorLength, Unit: "mm", Low: low * 25.4, High: high * 25.4, Start: Joint}, (low+high)/2, "in", 25.4)
		},
	}
}

// splits gives both parts of a 4-2-1 in inches. A second part of nothing is none: the
// first is as long as the whole.
func (b *bench) splits(first, second float64) {
	if !(second > 0) {
		if second <= 0 {
			b.lacks("Primary length longer than its first part")
		}
		return
	}
	b.gives(Value{What: FirstLength, Unit: "mm", Start: Flange}, first, "in", 25.4)
	b.gives(Value{What: SecondaryLength, Unit: "mm", Start: Joint}, second, "in", 25.4)
}

// cc is the displacement of one cylinder in cm³.
func (b *bench) cc() float64 {
	return b.derived("cc", "displacement of one cylinder, from bore and stroke", "cm³", b.swept()/1000, Bore, Stroke)
}
