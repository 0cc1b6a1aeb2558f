// The sentences beside a field in which something was typed, word for word those
// of calc/units/why.go. Each says what is wrong and what a good entry looks like.

export const nothing = "nothing was typed";
export const minus = "the minus goes right before the number, like -1.5";
export const decimals = "a figure has to follow the decimal mark, like 41.3";
export const twoMarks = "there is more than one decimal mark; write 1625.5 without marks between thousands";
export const afterDecimals =
	"after decimals only a unit can follow, like 41.3 mm; a fraction goes after a whole number, like 1 5/8";
export const space = "there is a space between figures; write them together, or a fraction like 1 5/8";
export const hyphen = "after a hyphen comes a fraction, like 1-5/8";
export const mixed = "the fraction after a whole number must be less than 1, like 1 5/8";
export const zeroWhole = "leave out the 0 before a fraction, like 5/8";
export const above = "a fraction needs a number above the slash, like 5/8";
export const below = "a fraction needs a number below the slash, like 5/8";
export const zeroBelow = "the number below the slash cannot be 0; write a fraction like 5/8";
export const denominator =
	"the number below the slash must be 2, 4, 8, 16, 32, 64 or 128, like 5/8; write others as decimals";
export const manyAbove = "there are too many figures above the slash; write a fraction like 5/8";
export const leadingZero = "a number cannot start with 0 unless a decimal mark follows, like 0.5";
export const power = "powers of ten cannot be used; write the number in full, like 1000";
export const fractionUnit =
	"fractions are for inches and feet, like 1 5/8 in; write decimals here, like 41.3";
export const twoPrimes = `two ' are not an inch mark; write " or in, like 1.625 in`;
export const feetWhole = `feet with inches after them must be whole, like 1' 3 1/2"`;
export const inchMark = `the inches after feet need their mark, like 1' 3 1/2"`;
export const twelve = `inches after feet must be less than 12, like 1' 3 1/2"`;

export const manyWhole = (most: number) =>
	`there are too many figures; at most ${most} can stand before the decimal mark`;

export const manyDecimals = (most: number) =>
	`there are too many decimals; at most ${most} can be kept in this unit`;
