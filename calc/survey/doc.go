// Package survey turns what was measured into where things are, and says how
// well each is then known: the centreline of a mock-up from points on its
// straights, a path from clamp to clamp closed onto its collector, one frame
// onto another by points measured in both, and a point from tape distances.
//
// # Sigmas
//
// A sigma is one standard deviation: two readings of three are nearer than it,
// 95 of 100 nearer than 1.96 of it. The sigma of a point is that of each of its
// coordinates, not of its distance. What comes out has its sigma by linear
// propagation, which Monte Carlo tests hold against the scatter of a thousand
// fits.
//
// # Tests of a fit
//
// The sum of the squared residuals, each in its sigma, is about as large as the
// number of redundant readings (dof), give or take √(2·dof). It counts as too
// large above dof + 3√(2·dof).
//
// Points are in mm in whatever right-handed frame the caller says.
package survey
