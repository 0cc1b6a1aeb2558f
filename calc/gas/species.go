package gas

// Constant is the molar gas constant in J/(mol K), exact since 2019 (SI).
const Constant = 8.314462618

// Component is a gas of one kind of molecule.
type Component struct {
	Name string
	Mass float64 // g/mol

	// low and high are the coefficients a1 to a5 of cp/R below and above 1000 K.
	low, high [5]float64
}

// meet is where, in K, one polynomial of a component ends and the other begins.
const meet = 1000

// Coldest and Hottest are the ends in K of what the polynomials were fitted to.
const Coldest, Hottest = 200, 6000

// Species are the gases of air and of exhaust, with the coefficients of B.J. McBride,
// S. Gordon and M.A. Reno, NASA TM-4513 (1993). JANAF's heat capacities (4th ed., 1998)
// are met within 0.3 % from 300 to 2,000 K, those of water within 1 %.
var Species = []Component{
	{"N2", 28.0134,
		[5]float64{3.53100528, -0.000123660987, -5.02999437e-07, 2.43530612e-09, -1.40881235e-12},
		[5]float64{2.95257626, 0.00139690057, -4.92631691e-07, 7.86010367e-11, -4.60755321e-15}},
	{"O2", 31.9988,
		[5]float64{3.78245636, -0.00299673415, 9.847302e-06, -9.68129508e-09, 3.24372836e-12},
		[5]float64{3.66096083, 0.000656365523, -1.41149485e-07, 2.05797658e-11, -1.29913248e-15}},
	{"CO2", 44.0095,
		[5]float64{2.35677352, 0.00898459677, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13},
		[5]float64{4.63659493, 0.00274131991, -9.95828531e-07, 1.60373011e-10, -9.16103468e-15}},
	{"H2O", 18.01528,
		[5]float64{4.19864056, -0.0020364341, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12},
		[5]float64{2.67703787, 0.00297318329, -7.7376969e-07, 9.44336689e-11, -4.26900959e-15}},
	{"Ar", 39.948, [5]float64{2.5}, [5]float64{2.5}},
	{"CO", 28.0101,
		[5]float64{3.57953347, -0.00061035368, 1.01681433e-06, 9.07005884e-10, -9.04424499e-13},
		[5]float64{3.04848583, 0.00135172818, -4.85794075e-07, 7.88536486e-11, -4.69807489e-15}},
	{"H2", 2.01588,
		[5]float64{2.34433112, 0.00798052075, -1.9478151e-05, 2.01572094e-08, -7.37611761e-12},
		[5]float64{2.93286579, 0.000826607967, -1.46402335e-07, 1.54100359e-11, -6.88804432e-16}},
}

// Where each stands in Species.
const (
	nitrogen = iota
	oxygen
	carbonDioxide
	water
	argon
	carbonMonoxide
	hydrogen
	species
)

// Cp returns the molar heat capacity at constant pressure in J/(mol K):
//
//	cp = R·(a1 + a2·T + a3·T² + a4·T³ + a5·T⁴)
//
// T in K from Coldest to Hottest; the polynomials go on beyond, the gas does not.
func (s Component) Cp(tempK float64) float64 {
	a := s.low
	if tempK > meet {
		a = s.high
	}
	sum := a[4]
	for i := 3; i >= 0; i-- {
		sum = float64(sum*tempK) + a[i] // not fused: the same bits on every machine
	}
	return Constant * sum
}
