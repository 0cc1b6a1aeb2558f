// Package units holds quantities and reads what a person typed: "1 5/8 in" to
// 41.275 mm, exactly, or a sentence that says why not.
//
// # What can be typed
//
// The whole text is read or none of it; no sign is passed over. Spaces (also the
// non-breaking, thin and figure space of pasted text) may stand at either end,
// before a unit, between a whole number and its fraction, and between feet and
// inches. pwa/lib/typed.ts reads and says the same; change both or neither.
//
//	text    = [ "-" | "−" ] ( number [ unit ] | feet-and-inches )
//	number  = digits | [ digits ] ( "." | "," ) digits | fraction | digits [ "-" ] fraction
//	fraction = digits ( "/" | "⁄" ) digits | "½" | "¼" | "¾" | "⅛" | "⅜" | "⅝" | "⅞"
//	unit    = "mm" | "cm" | "m" | "in" | "inch" | `"` | "″" | "”" | "ft" | "'" | "′" | "’" | "°" | "deg"
//	feet-and-inches = digits foot-mark [ "-" ] number inch-mark
//
// Refused on purpose, each with a sentence: a zero before other figures (065 is
// more often .065 than 65), a zero before a fraction, figures with a space
// between them (1 625), inches after feet that start with the decimal mark, powers of ten, fractions of a millimetre or of a degree,
// inches of 12 and more after feet, feet that are not whole before inches, and
// fractions whose lower number is not a power of two up to 128: no rule is
// divided into thirds or tenths of an inch, and tenths have a decimal form.
//
// Readable, but a person must confirm (Typed.Ask):
//   - a comma before exactly three figures, 1,625: decimal mark or thousands
//   - an improper fraction, 11/4: perhaps 1 1/4 with its space lost
//   - a fraction without a unit where the default is metric: read in inches
//
// # How exact it is
//
// Nothing is calculated in floating point. Decimals of mm, cm and m, inches and
// feet with up to five decimals, and fractions down to 1/64 are exact; what lies
// between nanometres (further decimals of an inch or foot, 1/128 in) is rounded
// to the nearest, half away from zero. More decimals than change the nanometre or
// the millionth are refused, and so are numbers of more than six figures before
// the point (nine for plain numbers), so that every value stays below 2^53.
package units
