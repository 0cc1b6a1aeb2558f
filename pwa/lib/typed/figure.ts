// A number as it was written, before it has a unit; the twin of
// calc/units/figure.go.

import { type Kind, Stop } from "./kind";
import { isDigit, type Scan } from "./scan";
import * as why from "./why";

/** Figure has decimals or a fraction or neither, never both. */
export interface Figure {
	whole: string; // figures before the mark; "" for ".5" and for a bare fraction
	decimals: string; // figures after the mark
	comma: boolean; // the mark was a comma
	num: number;
	den: number; // 0 when there is no fraction
}

const POINT = ".,";
const SLASH = "/\u2044";
const MAX_NUM = 6; // figures above a slash
const GLYPHS = new Map<string, readonly [number, number]>([
	["½", [1, 2]],
	["¼", [1, 4]],
	["¾", [3, 4]],
	["⅛", [1, 8]],
	["⅜", [3, 8]],
	["⅝", [5, 8]],
	["⅞", [7, 8]],
]);
const OTHER_GLYPHS = "⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅟↉";

/** isFraction reports whether a character starts a fraction or belongs to one. */
export const isFraction = (c: string) =>
	c !== "" && (GLYPHS.has(c) || OTHER_GLYPHS.includes(c) || SLASH.includes(c));

/** readFigure reads one number or stops. */
export function readFigure(s: Scan, k: Kind): Figure {
	const f: Figure = { whole: s.digits(), decimals: "", comma: false, num: 0, den: 0 };
	const mark = s.peek();
	if (s.take(POINT)) {
		f.comma = mark === ",";
		readDecimals(s, k, f);
	} else if (f.whole === "") {
		readFraction(s, k, f, "");
	} else if (s.take(SLASH)) {
		const num = f.whole;
		f.whole = "";
		readBelow(s, f, num);
	} else {
		checkWhole(k, f.whole);
		const hyphen = s.take("-");
		if (!hyphen) s.spaces();
		readMixed(s, k, f, hyphen);
	}
	return f;
}

function readDecimals(s: Scan, k: Kind, f: Figure): void {
	f.decimals = s.digits();
	if (f.decimals === "") throw new Stop(why.decimals);
	if (s.take(POINT)) throw new Stop(why.twoMarks);
	s.spaces();
	if (isDigit(s.peek()) || isFraction(s.peek())) throw new Stop(why.afterDecimals);
	if (f.whole !== "") checkWhole(k, f.whole);
}

function readMixed(s: Scan, k: Kind, f: Figure, hyphen: boolean): void {
	const num = s.digits();
	const next = s.peek();
	if (num === "" && !isFraction(next)) {
		if (hyphen) throw new Stop(why.hyphen);
		return;
	}
	if (num !== "" && (next === "" || !SLASH.includes(next))) throw new Stop(hyphen ? why.hyphen : why.space);
	readFraction(s, k, f, num);
	if (f.whole === "0") throw new Stop(why.zeroWhole);
	if (f.num >= f.den) throw new Stop(why.mixed);
}

function readFraction(s: Scan, k: Kind, f: Figure, num: string): void {
	if (s.take(SLASH)) {
		readBelow(s, f, num);
		return;
	}
	const c = s.peek();
	const glyph = GLYPHS.get(c);
	if (glyph) {
		s.take(c);
		[f.num, f.den] = glyph;
		return;
	}
	throw new Stop(isFraction(c) ? why.denominator : `a number has to come first; ${k.good}`);
}

function readBelow(s: Scan, f: Figure, num: string): void {
	const den = s.digits();
	if (num === "" || num === "0") throw new Stop(why.above);
	if (den === "") throw new Stop(why.below);
	if (num[0] === "0" || (den[0] === "0" && den !== "0")) throw new Stop(why.leadingZero);
	if (den === "0") throw new Stop(why.zeroBelow);
	if (num.length > MAX_NUM) throw new Stop(why.manyAbove);
	if (den.length > 3) throw new Stop(why.denominator);
	f.num = Number(num);
	f.den = Number(den);
	if (f.den < 2 || f.den > 128 || (f.den & (f.den - 1)) !== 0) throw new Stop(why.denominator);
}

function checkWhole(k: Kind, digits: string): void {
	if (digits.length > 1 && digits[0] === "0") throw new Stop(why.leadingZero);
	if (digits.length > k.maxWhole) throw new Stop(why.manyWhole(k.maxWhole));
}
