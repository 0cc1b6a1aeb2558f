package sizing

import (
	"strings"

	"tubewright/calc/fault"
	"tubewright/calc/flange"
	"tubewright/calc/units"
)

// Hottest is the highest temperature in °C that growth is worked out for; above, no
// tube of a header stays whole.
const Hottest = 1100

// others are coefficients beside those of flange.Materials, in °C and 1e-6/K: what
// disagrees with them, and what they have not. A posted coefficient is one that builders
// hand on, without the range it holds for.
var others = []struct {
	material string
	points   [][2]float64
	source   Source
}{
	{"mild steel", [][2]float64{{100, 11.0}, {200, 11.8}}, Source{"data sheet of steel 1.0301 (C10, AISI 1010)", Published}},
	{"mild steel", fixed(6.3, 700), Source{"posted by builders for low-carbon steel: 6.3e-6/°F, without a range", Practice}},
	{"mild steel", fixed(7.6, 649), Source{"handbook mean to 1,200 °F: 7.6e-6/°F", Memory}},
	{"304", [][2]float64{{100, 17.28}, {316, 17.82}, {538, 18.36}, {649, 18.72}}, Source{"properties table of 304 and 304L", Published}},
	{"304", [][2]float64{{100, 16.56}, {315, 17.82}, {538, 18.36}}, Source{"data sheet of 304/304L with oxidation limits, 4 % lower than the others below 100 °C", Published}},
	{"304", fixed(11.0, 700), Source{"posted by builders for 304: 11.0e-6/°F, without a range", Practice}},
	{"304", fixed(10.4, 649), Source{"handbook mean to 1,200 °F: 10.4e-6/°F", Memory}},
	{"321", [][2]float64{{100, 16.6}, {600, 18.9}, {1000, 20.5}}, Source{"physical properties of 321 and 321H", Published}},
	{"321", fixed(11.4, 700), Source{"posted by builders for 321: 11.4e-6/°F, without a range", Practice}},
	{"316L", fixed(10.8, 700), Source{"posted by builders for 316L: 10.8e-6/°F, without a range", Practice}},
	{"409", [][2]float64{{100, 11.0}, {315, 11.7}, {538, 12.4}}, Source{"data sheet of 409 (ASTM A268 tube)", Published}},
	{"nickel alloy 625", fixed(12.78/1.8, 100), Source{"data page of alloy 625 (UNS N06625): 20 to 100 °C only", Published}},
	{"nickel alloy 625", [][2]float64{{93, 12.8}, {204, 13.1}, {538, 13.9}, {649, 14.8}}, Source{"the producer's bulletin", Memory}},
	{"titanium", [][2]float64{{93, 8.6}, {315, 9.2}}, Source{"data sheet of titanium grade 2", Published}},
	{"titanium", [][2]float64{{100, 8.6}, {315, 9.2}, {540, 9.7}}, Source{"property tables of titanium grades 1 and 2", Published}},
}

// fixed is a coefficient in 1e-6/°F that is the same at all temperatures, up to °C.
func fixed(perF, upTo float64) [][2]float64 {
	return [][2]float64{{0, 1.8 * perF}, {upTo, 1.8 * perF}}
}

// Coefficient is a mean coefficient of expansion by one source.
type Coefficient struct {
	Source Source
	table  flange.Material
	beyond float64 // °C up to which the source goes
}

// Mean returns the coefficient per K from 20 °C to hot, straight between the
// temperatures of the source; beyond its last it goes on along the last two.
func (c Coefficient) Mean(hot float64) float64 { return c.table.Mean(hot) }

// UpTo returns the °C up to which the source goes.
func (c Coefficient) UpTo() float64 { return c.beyond }

// Materials returns the names that growth is known for.
func Materials() []string {
	var names []string
	for _, m := range flange.Materials {
		names = append(names, m.Name)
	}
	for _, o := range others {
		known := false
		for _, n := range names {
			known = known || n == o.material
		}
		if !known {
			names = append(names, o.material)
		}
	}
	return names
}

// Coefficients returns what is known of a material, the one that flanges are reckoned
// with first; none for a material that is not known.
func Coefficients(material string) []Coefficient {
	var list []Coefficient
	add := func(m flange.Material, s Source) {
		list = append(list, Coefficient{s, m, m.Expansion[len(m.Expansion)-1][0]})
	}
	if m, ok := flange.MaterialOf(material); ok {
		grade := Published
		if strings.Contains(m.Source, string(Memory)) {
			grade = Memory
		}
		add(m, Source{m.Source, grade})
	}
	for _, o := range others {
		if o.material == material {
			add(flange.Material{Name: material, Expansion: o.points}, o.source)
		}
	}
	return list
}

// Grown is how much longer something gets by one coefficient.
type Grown struct {
	Source Source
	Alpha  float64 // mean, per K
	By     units.Length
	Beyond bool // hot is beyond what the source goes to
}

// Growth returns how much longer a length of a material gets from 20 °C to hot, by each
// coefficient that is known:
//
//	ΔL = L·α·(hot − 20)
//
// Sources disagree by some per cent, and what builders post by up to a quarter; all are
// shown. The error is a *fault.Field: hot is 20 to 1,100 °C, the length up to 20 m.
func Growth(material string, length units.Length, hotC float64) ([]Grown, error) {
	if err := fault.Within("Gets as hot as", hotC, flange.Cold, Hottest, "°C"); err != nil {
		return nil, err
	}
	if err := fault.Within("Length", length.MM(), 0, 20_000, "mm"); err != nil {
		return nil, err
	}
	var list []Grown
	for _, c := range Coefficients(material) {
		a := c.Mean(hotC)
		list = append(list, Grown{c.Source, a, length * units.Length(a*(hotC-flange.Cold)), hotC > c.beyond})
	}
	if list == nil {
		return nil, fault.Refuse("Material", "growth is known for "+strings.Join(Materials(), ", "))
	}
	return list, nil
}
