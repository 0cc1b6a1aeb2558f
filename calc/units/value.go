package units

import "strconv"

// whole says why digits cannot stand before a decimal mark; empty when they can.
func (k *kind) whole(digits string) string {
	if len(digits) > 1 && digits[0] == '0' {
		return whyLeadingZero
	}
	if len(digits) > k.maxWhole {
		return whyManyWhole(strconv.Itoa(k.maxWhole))
	}
	return ""
}

// typed gives a number its unit: the one that was typed or, when that is empty,
// def. The sign is only for the question in Ask; V is without it.
func (k *kind) typed(f figure, unit, def Unit, sign string) (t Typed, why string) {
	t.Unit = def
	if unit != "" {
		t.Unit = unit
	}
	if f.den != 0 {
		return k.fractional(f, t.Unit, unit != "", sign)
	}
	sc := k.scales[t.Unit]
	if len(f.decimals) > sc.decimals {
		return t, whyManyDecimals(strconv.Itoa(sc.decimals))
	}
	parts := int64(1) // of the unit that one step of the last decimal is
	for range f.decimals {
		parts *= 10
	}
	t.V = atoi(f.whole)*sc.steps + nearest(atoi(f.decimals)*sc.steps, parts)
	t.Res = min(nearest(sc.steps, parts), sc.coarsest)
	t.Ask = f.askComma(sign, sc.label)
	return t, ""
}

// fractional is typed for a fraction. Fractions belong to inches and feet; where
// the default is metric and no unit was typed, they are read in inches.
func (k *kind) fractional(f figure, unit Unit, given bool, sign string) (t Typed, why string) {
	metric := unit != "in" && unit != "ft"
	if _, ok := k.scales["in"]; !ok || metric && given {
		return t, whyFractionUnit
	}
	t.Unit = unit
	if metric {
		t.Unit = "in"
	}
	steps := k.scales[t.Unit].steps
	t.V = atoi(f.whole)*steps + nearest(f.num*steps, f.den)
	t.Res = sixtyfourthNM
	t.Ask = f.askImproper(sign)
	if metric {
		if t.Ask != "" {
			t.Ask += " "
		}
		t.Ask += f.askInches(sign, t.V, unit)
	}
	return t, ""
}

// nearest returns n/d to the nearest whole number, half up, for n ≥ 0 and d
// either 1 or even.
func nearest(n, d int64) int64 { return (n + d/2) / d }

// askComma asks about a comma that may stand between thousands: 1,625.
func (f figure) askComma(sign, label string) string {
	if !f.comma || len(f.decimals) != 3 || len(f.whole) > 3 || f.whole == "" || f.whole == "0" {
		return ""
	}
	read := sign + f.whole
	if d := trimZeros(f.decimals); d != "" {
		read += "." + d
	}
	return "the comma is read as a decimal point, " + read + label +
		"; was " + sign + f.whole + f.decimals + label + " meant?"
}

// askImproper asks about a fraction of 1 and more, from which a space may be
// missing: 11/4 for 1 1/4.
func (f figure) askImproper(sign string) string {
	if f.num < f.den {
		return ""
	}
	num, den := strconv.FormatInt(f.num, 10), strconv.FormatInt(f.den, 10)
	meant := ""
	for i := 1; i < len(num); i++ {
		if num[i] == '0' || atoi(num[i:]) >= f.den {
			continue
		}
		if meant != "" {
			meant += " or "
		}
		meant += sign + num[:i] + " " + num[i:] + "/" + den
	}
	ask := sign + num + "/" + den + " = " + sign + f.mixed() + "; "
	if meant == "" {
		return ask + "is that meant?"
	}
	return ask + "was " + meant + " meant?"
}

// askInches asks whether inches are meant where mm are usual.
func (f figure) askInches(sign string, nm int64, def Unit) string {
	return "a fraction is read in inches, " + sign + f.mixed() + " in = " + sign + MM(nm, 3) +
		" mm; was " + string(def) + " meant?"
}

// mixed prints a fraction with its whole number in front, over the lower number
// that was typed.
func (f figure) mixed() string {
	whole, num := atoi(f.whole)+f.num/f.den, f.num%f.den
	if num == 0 {
		return strconv.FormatInt(whole, 10)
	}
	fraction := strconv.FormatInt(num, 10) + "/" + strconv.FormatInt(f.den, 10)
	if whole == 0 {
		return fraction
	}
	return strconv.FormatInt(whole, 10) + " " + fraction
}
