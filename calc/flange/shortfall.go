package flange

import "math"

// Shortfall is by how much, in percent, area and perimeter of the curve through
// measured points are off: the root of the mean square.
type Shortfall struct{ AreaPercent, PerimeterPercent float64 }

// simulated is what 16 points and others cost, own simulation, percent: a
// rectangle 40 × 32 mm with corners of 6, a stadium 50 × 30, an oval 44 × 33, a D
// of radius 22, flat 12 and corners 5, and a round of 41; points at even
// distances, each out of place along the outline by up to a quarter of that, and
// off it by a normal error, as large both ways; 1,000 draws each, the worst shape
// of each entry. TestShortfallIsWhatASimulationSays draws them again.
//
//	[number of points][noise 0, 0.1, 0.2, 0.3, 0.5 mm] area, perimeter
var simulated = [len(countsOf)][len(noisesOf)]Shortfall{
	{{2.47, 3.93}, {2.72, 4.08}, {2.74, 4.14}, {2.75, 3.96}, {3.23, 4.04}}, // 8 points
	{{1.44, 2.74}, {1.53, 2.79}, {1.68, 2.76}, {1.78, 2.79}, {2.18, 2.73}}, // 10 points
	{{0.93, 1.81}, {0.91, 1.76}, {1.11, 1.77}, {1.23, 1.74}, {1.75, 1.81}}, // 12 points
	{{0.65, 1.25}, {0.68, 1.22}, {0.84, 1.24}, {1.07, 1.20}, {1.60, 1.38}}, // 14 points
	{{0.41, 0.82}, {0.49, 0.82}, {0.71, 0.85}, {0.90, 0.86}, {1.40, 1.04}}, // 16 points
	{{0.21, 0.43}, {0.31, 0.43}, {0.52, 0.47}, {0.74, 0.56}, {1.20, 1.12}}, // 20 points
	{{0.11, 0.25}, {0.25, 0.27}, {0.46, 0.36}, {0.69, 0.61}, {1.16, 1.47}}, // 24 points
	{{0.03, 0.06}, {0.19, 0.15}, {0.37, 0.52}, {0.56, 1.14}, {0.94, 3.13}}, // 36 points
	{{0.01, 0.01}, {0.14, 0.35}, {0.28, 1.34}, {0.44, 3.12}, {0.73, 8.93}}, // 60 points
}

var (
	countsOf = [...]float64{8, 10, 12, 14, 16, 20, 24, 36, 60}
	noisesOf = [...]float64{0, 0.1, 0.2, 0.3, 0.5}
)

// simulatedSize is the diameter in mm, of the round of equal perimeter, that the
// simulation is for; noise counts in proportion to it.
const simulatedSize = 41

// ShortfallOf returns what n points with a scatter of noise mm cost on a port of
// the given equal-perimeter diameter in mm, between the entries of the simulation
// in proportion: over the logarithm of n, and over the noise. Outside of it the
// last entry stands, and beyond 0.5 mm the noise goes on in proportion.
func ShortfallOf(n int, noise, diameter float64) Shortfall {
	if diameter > 0 {
		noise *= simulatedSize / diameter
	}
	more := max(1, noise/noisesOf[len(noisesOf)-1])
	i, u := between(countsOf[:], float64(n), math.Log)
	j, v := between(noisesOf[:], noise, func(x float64) float64 { return x })
	mix := func(of func(Shortfall) float64) float64 {
		at := func(i int) float64 {
			return (1-v)*of(simulated[i][j]) + v*of(simulated[i][j+1])
		}
		return more * ((1-u)*at(i) + u*at(i+1))
	}
	return Shortfall{
		mix(func(s Shortfall) float64 { return s.AreaPercent }),
		mix(func(s Shortfall) float64 { return s.PerimeterPercent }),
	}
}

// between returns the interval of a rising list that holds x, and where in it, 0
// to 1, on the given scale.
func between(list []float64, x float64, scale func(float64) float64) (i int, part float64) {
	for i < len(list)-2 && x > list[i+1] {
		i++
	}
	x = min(max(x, list[i]), list[i+1])
	return i, (scale(x) - scale(list[i])) / (scale(list[i+1]) - scale(list[i]))
}
