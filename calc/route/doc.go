// Package route brings the end of a tube to where it has to be.
//
// Close takes a chain of pieces as they really are, some tacked, some cut, some
// not begun, and finds the smallest sets of changes to what is not fixed after
// which the end meets its socket in position and aim. ClosingPiece plans, before
// anything is cut, bends and straights for a gap.
//
// # What counts as closing
//
// An answer closes when tube.Walk of its rounded figures, as they are printed,
// ends within the tolerances. Nothing that was not walked is said to close. The
// end is round, so that its roll about its own axis is free.
//
// # What may be changed
//
//	state   joint before it    straight                      bend
//	Fixed   stays              stays                         stays
//	Cut     can be turned      shorter, to its least         less angle, to 8°
//	                           another one, longer           another one, of more angle
//	Uncut   can be turned      its least to its most         8° to what its stock gives
//
// Turning a joint turns everything behind it about the tube's axis there. A joint
// between straights, or next to one, turns the next bend like the joint at that
// bend, so that each bend has one turn: at its own joint where that is free,
// otherwise at the last free joint of the straights before it.
//
// # Method
//
// Every change to a chain is a number with bounds and a weight. Sets of up to six
// are tried in the order of the least effort that they can cost; each is solved by
// damped Gauss-Newton steps (Levenberg and Marquardt; from memory) on the misses
// over their tolerances, with the exact levers of the chain, bounds held by an
// active set, and a slight pull towards no change that settles what the misses
// leave open. A set that cannot be cheaper than what is found already is left out.
// A piece that is cut anew stands in sets of up to four. Where all that was found is
// turned down, the chain that closes as it is among it, each change in turn is set to
// some sizes, and what the others then come to is found.
// The same question gives the same answer: nothing is drawn but from fixed seeds.
package route
