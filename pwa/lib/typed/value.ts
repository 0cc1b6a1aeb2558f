// A number with its unit, and the questions about it; the twin of
// calc/units/value.go.

import type { Figure } from "./figure";
import { type Kind, type Scale, SIXTYFOURTH, Stop, type Unit } from "./kind";
import { mixed, mm } from "./print";
import * as why from "./why";

/** Value is what was read, without the text. */
export interface Value {
	unit: Unit;
	v: number;
	res: number;
	ask: string;
}

/**
 * withUnit gives a number its unit: the one that was typed or, when that is "",
 * def. The sign is only for the question in ask; v is without it.
 */
export function withUnit(k: Kind, f: Figure, given: Unit | "", def: Unit, sign: string): Value {
	const unit = given || def;
	if (f.den !== 0) return fractional(k, f, unit, given !== "", sign);
	const { steps, decimals, coarsest, label } = scaleOf(k, unit);
	if (f.decimals.length > decimals) throw new Stop(why.manyDecimals(decimals));
	const parts = 10n ** BigInt(f.decimals.length);
	const v = BigInt(f.whole) * BigInt(steps) + nearest(BigInt(f.decimals) * BigInt(steps), parts);
	const res = Math.min(Number(nearest(BigInt(steps), parts)), coarsest);
	return { unit, v: Number(v), res, ask: askComma(f, sign, label) };
}

// Fractions belong to inches and feet; where the default is metric and no unit
// was typed, they are read in inches.
function fractional(k: Kind, f: Figure, unit: Unit, given: boolean, sign: string): Value {
	const metric = unit !== "in" && unit !== "ft";
	if (!k.scales.has("in") || (metric && given)) throw new Stop(why.fractionUnit);
	const inUnit = metric ? "in" : unit;
	const { steps } = scaleOf(k, inUnit);
	const v = Number(BigInt(f.whole) * BigInt(steps) + nearest(BigInt(f.num) * BigInt(steps), BigInt(f.den)));
	const asks = [askImproper(f, sign)];
	if (metric) asks.push(askInches(f, sign, v, unit));
	return { unit: inUnit, v, res: SIXTYFOURTH, ask: asks.filter((a) => a !== "").join(" ") };
}

function scaleOf(k: Kind, unit: Unit): Scale {
	const scale = k.scales.get(unit);
	if (!scale) throw new Error(`typed: bug: unit ${unit} was not checked`);
	return scale;
}

// nearest returns n/d to the nearest whole number, half up, for n ≥ 0 and d
// either 1 or even.
const nearest = (n: bigint, d: bigint): bigint => (n + d / 2n) / d;

// A comma may stand between thousands: 1,625.
function askComma(f: Figure, sign: string, label: string): string {
	if (!f.comma || f.decimals.length !== 3 || f.whole.length > 3 || f.whole === "" || f.whole === "0")
		return "";
	const kept = f.decimals.replace(/0+$/, "");
	const read = sign + f.whole + (kept === "" ? "" : `.${kept}`);
	return `the comma is read as a decimal point, ${read}${label}; was ${sign}${f.whole}${f.decimals}${label} meant?`;
}

// From a fraction of 1 and more a space may be missing: 11/4 for 1 1/4.
function askImproper(f: Figure, sign: string): string {
	if (f.num < f.den) return "";
	const num = String(f.num);
	const meant: string[] = [];
	for (let i = 1; i < num.length; i++) {
		if (num[i] === "0" || Number(num.slice(i)) >= f.den) continue;
		meant.push(`${sign}${num.slice(0, i)} ${num.slice(i)}/${f.den}`);
	}
	const question = meant.length === 0 ? "is that meant?" : `was ${meant.join(" or ")} meant?`;
	return `${sign}${num}/${f.den} = ${sign}${mixed(f.whole, f.num, f.den)}; ${question}`;
}

// Are inches meant where mm are usual?
function askInches(f: Figure, sign: string, nm: number, def: Unit): string {
	const inches = sign + mixed(f.whole, f.num, f.den);
	return `a fraction is read in inches, ${inches} in = ${sign}${mm(nm, 3)} mm; was ${def} meant?`;
}
