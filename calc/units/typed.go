package units

// Unit is the unit in which a person gave a value: "mm", "cm", "m", "in" and
// "ft" for lengths, "deg" for angles, "1" for plain numbers.
type Unit string

// Typed is what a person typed, read exactly.
type Typed struct {
	Text string // as typed, byte for byte
	Unit Unit   // typed or, where none was typed, the default; "in" for feet with inches
	V    int64  // lengths: nanometres; angles: millionths of a degree; numbers: millionths
	Res  int64  // how finely it is meant by the way it was written, in the unit of V: the last decimal place, at most 0.5 mm, 1/64 in or 0.1°; fractions 1/64 in; plain numbers 0, exactly
	Ask  string // not empty: readable, but doubtful. A person must confirm it; a file must not hold it
}
