package units

// The sentences below stand beside the field in which something was typed. Each
// says what is wrong and what a good entry looks like.
const (
	whyNothing       = "nothing was typed"
	whyMinus         = "the minus goes right before the number, like -1.5"
	whyDecimals      = "a figure has to follow the decimal mark, like 41.3"
	whyTwoMarks      = "there is more than one decimal mark; write 1625.5 without marks between thousands"
	whyAfterDecimals = "after decimals only a unit can follow, like 41.3 mm; a fraction goes after a whole number, like 1 5/8"
	whySpace         = "there is a space between figures; write them together, or a fraction like 1 5/8"
	whyHyphen        = "after a hyphen comes a fraction, like 1-5/8"
	whyMixed         = "the fraction after a whole number must be less than 1, like 1 5/8"
	whyZeroWhole     = "leave out the 0 before a fraction, like 5/8"
	whyAbove         = "a fraction needs a number above the slash, like 5/8"
	whyBelow         = "a fraction needs a number below the slash, like 5/8"
	whyZeroBelow     = "the number below the slash cannot be 0; write a fraction like 5/8"
	whyDenominator   = "the number below the slash must be 2, 4, 8, 16, 32, 64 or 128, like 5/8; write others as decimals"
	whyManyAbove     = "there are too many figures above the slash; write a fraction like 5/8"
	whyLeadingZero   = "a number cannot start with 0 unless a decimal mark follows, like 0.5"
	whyPower         = "powers of ten cannot be used; write the number in full, like 1000"
	whyFractionUnit  = "fractions are for inches and feet, like 1 5/8 in; write decimals here, like 41.3"
	whyTwoPrimes     = "two ' are not an inch mark; write \" or in, like 1.625 in"
	whyFeetWhole     = "feet with inches after them must be whole, like 1' 3 1/2\""
	whyInchMark      = "the inches after feet need their mark, like 1' 3 1/2\""
	whyTwelve        = "inches after feet must be less than 12, like 1' 3 1/2\""
)

// whyManyWhole and whyManyDecimals say how many figures can be kept.
func whyManyWhole(most string) string {
	return "there are too many figures; at most " + most + " can stand before the decimal mark"
}

func whyManyDecimals(most string) string {
	return "there are too many decimals; at most " + most + " can be kept in this unit"
}
