package gas

import (
	"math"

	"tubewright/calc/fault"
)

// Mixture is a gas of several species. The zero value is no gas.
type Mixture struct {
	share [species]float64 // of the moles, in the order of Species
}

// Air is dry air: N2 0.78084, O2 0.20946, Ar 0.00934, CO2 0.00036 of the moles, as in
// the table of speeds of sound that it is held to.
var Air = Mixture{[species]float64{nitrogen: 0.78084, oxygen: 0.20946, argon: 0.00934, carbonDioxide: 0.00036}}

// Share returns how much of the moles the component of that name is, 0 to 1.
func (m Mixture) Share(name string) float64 {
	for i, s := range Species {
		if s.Name == name {
			return m.share[i]
		}
	}
	return 0
}

// Mass returns the molar mass in g/mol.
func (m Mixture) Mass() float64 {
	sum := 0.0
	for i, s := range Species {
		sum += float64(m.share[i] * s.Mass)
	}
	return sum
}

// State is a gas at one temperature.
type State struct {
	TempK float64
	Cp    float64 // J/(kg K)
	Gamma float64 // cp/cv
	Sound float64 // m/s, of small waves
}

// At returns the state of the gas at a temperature in K:
//
//	cp = Σ xᵢ·cpᵢ    γ = cp/(cp − R)    c = √(γ·R·T/M)
//
// The error is a *fault.Field: 200 to 6,000 K. Ideal gas, nothing breaks up: products
// of petrol are good to 0.5 % up to about 1,800 K (from memory). Closed form.
func (m Mixture) At(tempK float64) (State, error) {
	if err := fault.Within("Gas temperature", tempK, Coldest, Hottest, "K"); err != nil {
		return State{}, err
	}
	mass := m.Mass()
	if !(mass > 0) {
		return State{}, fault.Refuse("Gas", "it has no parts")
	}
	cp := 0.0
	for i, s := range Species {
		cp += float64(m.share[i] * s.Cp(tempK))
	}
	gamma := cp / (cp - Constant)
	return State{tempK, 1000 * cp / mass, gamma, math.Sqrt(gamma * Constant * tempK / (mass / 1000))}, nil
}
