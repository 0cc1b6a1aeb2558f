package gas

import (
	"errors"
	"math"

	"tubewright/calc/fault"
)

// Fuel is CH_H O_O: atoms of hydrogen and oxygen for each of carbon.
type Fuel struct {
	Name   string
	H, O   float64
	Source string
}

// The fuels that can be named. Petrol is no one thing; 1.87 is what the gas of the
// project's study was fitted for.
var (
	Petrol    = Fuel{"petrol", 1.87, 0, "CH1.87, from memory"}
	IsoOctane = Fuel{"iso-octane", 2.25, 0, "C8H18"}
	Ethanol   = Fuel{"ethanol", 3, 0.5, "C2H5OH"}
	Methanol  = Fuel{"methanol", 4, 1, "CH3OH"}
)

// Fuels are all of them, the usual one first.
var Fuels = []Fuel{Petrol, IsoOctane, Ethanol, Methanol}

// FuelOf returns the fuel of that name, and false where there is none.
func FuelOf(name string) (Fuel, bool) {
	for _, f := range Fuels {
		if f.Name == name {
			return f, true
		}
	}
	return Fuel{}, false
}

// Atomic masses in g/mol, from the molar masses of NASA TM-4513's species.
const (
	massC = 44.0095 - 31.9988
	massH = 2.01588 / 2
	massO = 31.9988 / 2
)

// Mass returns the mass in g that holds a mole of carbon.
func (f Fuel) Mass() float64 {
	return massC + float64(f.H*massH) + float64(f.O*massO)
}

// oxygenNeeded is how many moles of O2 burn a mole of carbon with its hydrogen.
func (f Fuel) oxygenNeeded() float64 { return 1 + f.H/4 - f.O/2 }

// Stoichiometric returns the air-fuel ratio by mass at which neither fuel nor oxygen is
// left over.
func (f Fuel) Stoichiometric() float64 {
	return f.oxygenNeeded() / Air.share[oxygen] * Air.Mass() / f.Mass()
}

// Richest and Leanest are the ends of the air-fuel ratios that are taken, as parts of
// the stoichiometric one. Richer mixtures make soot, which is not counted; leaner ones
// do not burn in a petrol engine. Own choice.
const Richest, Leanest = 0.5, 5

// WaterGas is the constant CO·H2O/(CO2·H2) at which products of rich mixtures are taken
// to freeze, 3.5 (from memory: Spindt's figure for exhaust gas). Between 3 and 4 the
// speed of sound changes by less than 0.02 %.
const WaterGas = 3.5

// Burnt returns what comes of burning a fuel with dry air at an air-fuel ratio by mass.
// Lean of stoichiometric: CO2, H2O and what is left of O2. Rich of it no oxygen is left
// and CO and H2 share what is missing by WaterGas. The error is a *fault.Field: ratio
// from Richest to Leanest times the stoichiometric one; 0 to 4 hydrogen and 0 to 1
// oxygen a carbon.
func Burnt(f Fuel, airFuel float64) (Mixture, error) {
	if err := errors.Join(
		fault.Within("Hydrogen per carbon", f.H, 0, 4, ""),
		fault.Within("Oxygen per carbon", f.O, 0, 1, ""),
	); err != nil {
		return Mixture{}, err
	}
	exact := f.Stoichiometric()
	if err := fault.Within("Air-fuel ratio", airFuel, Richest*exact, Leanest*exact, ""); err != nil {
		return Mixture{}, err
	}
	air := airFuel * f.Mass() / Air.Mass() // moles a mole of carbon in the fuel
	carbon := 1 + float64(air*Air.share[carbonDioxide])
	hydrogens := f.H / 2 // moles of H2 or H2O that come of it
	oxygens := f.O + float64(2*air*Air.share[oxygen]) + float64(2*air*Air.share[carbonDioxide])
	var m Mixture
	m.share[nitrogen] = air * Air.share[nitrogen]
	m.share[argon] = air * Air.share[argon]
	if left := oxygens - float64(2*carbon) - hydrogens; left >= 0 {
		m.share[carbonDioxide], m.share[water], m.share[oxygen] = carbon, hydrogens, left/2
	} else {
		m.rich(carbon, hydrogens, oxygens)
	}
	total := 0.0
	for _, x := range m.share {
		total += x
	}
	for i := range m.share {
		m.share[i] /= total
	}
	return m, nil
}

// rich shares out c moles of carbon, h of hydrogen and o of oxygen atoms, 2c + h > o.
// With x moles of CO2 there are c − x of CO, o − c − x of H2O and h − o + c + x of H2,
// and the water-gas constant K asks
//
//	(1 − K)·x² − (o + K·(h − o + c))·x + c·(o − c) = 0
//
// One root is positive, since 1 − K is not; it is taken in the form that cancels least.
func (m *Mixture) rich(c, h, o float64) {
	a, b, e := 1-WaterGas, o+float64(WaterGas*(h-o+c)), float64(c*(o-c))
	x := 2 * e / (b + math.Sqrt(float64(b*b)-float64(4*a*e)))
	x = max(0, o-c-h, min(x, c, o-c)) // rounding may leave the last bit outside
	m.share[carbonDioxide], m.share[carbonMonoxide] = x, c-x
	m.share[water], m.share[hydrogen] = o-c-x, h-o+c+x
}
