// Package sizing says what published rules make of an engine before any tube is bought:
// how wide and how long, which cylinders share a tube, whether the tube suits the port,
// whether one tube goes into another, and how much it all grows. It never picks. Rules
// start from different points and disagree; all of them are shown, each with its source,
// and a person decides and says why.
//
// # Rules side by side
//
// Enter what is known and work all rules out:
//
//	var in sizing.Inputs
//	in.SetLength(sizing.Bore, 84.5*units.Millimetre)
//	in.SetAngle(sizing.Opens, 62*units.Degree)
//	in.Set(sizing.TorqueRPM, 5500)
//	results, err := sizing.Work(in)
//
// A Result has its Rule (a stable id, formula, sources with a grade each, what it holds
// for, where its length is counted from), its Symbols with their values in the formula's
// own units, and its Values in ours and as the formula gives them. Screen, sheet and JSON
// print all of it from there. A symbol has the Key of the input that it is edited by; what
// nobody entered has a usual value, graded, or the result of a rule before, named in From.
// What is missing is in Open; symbols for which the rule is not meant are in Outside, and
// the value is there all the same. err names what cannot be used; the rest is worked out
// as if that had not been entered.
//
//	gas-speed, gas-speed-peak           bore and rpm of peak torque by the mean gas speed
//	gas-speed-tube, -port, -throat      that speed in a passage
//	piston-speed
//	length-850-valve, length-850,       primary length: the same law three times, from the
//	length-13000, length-wave           valve, from the flange, in cm, and by this gas
//	bore-850, bore-secondary,           bores that go with the length
//	bore-tail
//	split-15, split-two-thirds          the two parts of a 4-2-1
//	cone, collector-street,             collector
//	collector-open, collector-volume
//	wave-return, quarter-wave,          waves in the primary that was chosen
//	half-wave, choking
//
// Spreads puts the values of all rules for one question on one scale with their bands;
// lengths from the valve and from the flange meet only where the port's length is known.
// Near holds the sizes of tube that can be bought against the rules. Sane looks at what was
// entered of the engine.
//
// The gas is burnt fuel (calc/gas); its temperature is what nobody knows, and ten per cent
// of length hang on it. Only four-stroke engines without charging are meant.
//
// # Who shares a tube
//
// Firing is when each cylinder fires, by order and, where it is uneven, by crank angles.
// Layout is which cylinder stands where: the same order under another maker's numbering is
// another answer. Firing.Group gives the gaps between some cylinders, Firing.Best deals
// cylinders out in every way that there is, up to twelve at once, and Pair does so for a
// style of header, bank by bank. Crossover finds the tubes that go to the other bank so that
// both collectors have even pulses. Group.Cylinders is the order round a collector,
// Firing.Rotates whether sockets keep to it, Firing.Circle what is drawn on the crank's
// circle.
//
// # Tube, port and joint
//
// Fit holds a tube against a port by perimeter and by area. A round tube and a port that
// is not round disagree; then PortFit.Choices has what can be done, and nothing is chosen.
// Slip is whether one tube goes into another by its real wall, NextUp the next size,
// SlipFit.Hot what heat leaves of the gap. Growth is by every coefficient that is known of a
// material, since they disagree by up to a quarter. SensorPlace.Judge and JudgeThermocouples
// hold sensors against the rules for them. Cautions stand wherever parts are chosen.
//
// # How exact it is
//
// Every formula is closed form or an exact search; rounding is the only error of the
// method, and what the rule leaves out the far larger one. The same bits come out on every
// machine but for cotangents (bits_test.go). Lengths are mm, areas mm², speeds m/s,
// frequencies Hz, angles at the border units.Angle and in formulas degrees; what is open is
// NaN inside and never given out as a value.
//
// # Grades
//
// A rule has a grade, and each of its sources and usual values has its own: Published was read in the source that is
// named, Practice is what builders say, Memory is a book that is not at hand, Computed is
// arithmetic, Study our own calculation that nobody measured, Own our choice. All of the
// book's rules are from memory until somebody holds them to a copy.
//
// # To add a rule
//
// Its published figures go into published_test.go first. Then a Rule in the file of its
// kind: need puts an input on the bench as a symbol, or one with another default, derived a
// figure that follows, holds the range it is meant for, gives a value.
package sizing
