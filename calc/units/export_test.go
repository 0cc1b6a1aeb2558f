package units

// Whys lists the sentences of the grammar that have no figures or signs in them.
func Whys() []string {
	return []string{
		whyNothing, whyMinus, whyDecimals, whyTwoMarks, whyAfterDecimals, whySpace, whyHyphen, whyMixed,
		whyZeroWhole, whyAbove, whyBelow, whyZeroBelow, whyDenominator, whyManyAbove, whyLeadingZero,
		whyPower, whyFractionUnit, whyTwoPrimes, whyFeetWhole, whyInchMark, whyTwelve,
	}
}
