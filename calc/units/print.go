package units

import (
	"strconv"
	"strings"
)

// MM prints nanometres as mm with a fixed number of decimals, 0 to 6 (fewer or
// more count as these), half away from zero: 41275000 with 3 is "41.275". With 6
// decimals nothing is rounded, and ParseLength reads the same value back.
func MM(nm int64, places int) string {
	return fixed(nm, nmPerMM, min(max(places, 0), 6))
}

// Inches prints nanometres as inches with three decimals, half away from zero:
// 41275000 is "1.625".
func Inches(nm int64) string { return fixed(nm, inchNM, 3) }

// Sixtyfourths prints nanometres as the nearest 1/64 in, in lowest terms and
// without a mark: 41275000 is "1 5/8". The remainder is nm less what is printed,
// at most 198,437 nm either way; it is never halfway, since 1/64 in is an odd
// number of nanometres.
func Sixtyfourths(nm int64) (text string, remainderNM int64) {
	n, remainderNM := nm/sixtyfourthNM, nm%sixtyfourthNM
	if remainderNM > sixtyfourthNM/2 {
		n, remainderNM = n+1, remainderNM-sixtyfourthNM
	} else if remainderNM < -(sixtyfourthNM / 2) {
		n, remainderNM = n-1, remainderNM+sixtyfourthNM
	}
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	f := figure{whole: strconv.FormatInt(n/64, 10), num: n % 64, den: 64}
	for f.num%2 == 0 && f.den > 1 {
		f.num, f.den = f.num/2, f.den/2
	}
	return sign + f.mixed(), remainderNM
}

// fixed prints v/unit with so many decimals. It splits v before it scales it, so
// that no int64 overflows.
func fixed(v, unit int64, places int) string {
	step := int64(1)
	for range places {
		step *= 10
	}
	whole, rest := v/unit, v%unit
	sign := ""
	if v < 0 {
		sign, whole, rest = "-", -whole, -rest
	}
	part := nearest(rest*step, unit)
	if part == step {
		whole, part = whole+1, 0
	}
	if whole == 0 && part == 0 {
		sign = "" // no -0.000
	}
	text := sign + strconv.FormatInt(whole, 10)
	if places == 0 {
		return text
	}
	digits := strconv.FormatInt(part, 10)
	return text + "." + strings.Repeat("0", places-len(digits)) + digits
}

func trimZeros(decimals string) string { return strings.TrimRight(decimals, "0") }
