// What a person typed, read exactly: the twin of calc/units, so that entry works
// before and without the calculations. The grammar is described in
// calc/units/doc.go. The two are compared, sentence for sentence, by
// typed_test.go; change both or neither.

import { type Figure, isFraction, readFigure } from "./typed/figure";
import { angle, INCH, type Kind, length, MARKS, number, Stop, type Unit, WORDS } from "./typed/kind";
import { isDigit, isLetter, Scan, show } from "./typed/scan";
import { type Value, withUnit } from "./typed/value";
import * as why from "./typed/why";

export type { Unit } from "./typed/kind";
export { inches, mm, sixtyfourths } from "./typed/print";

/** Typed is what a person typed, read exactly. */
export interface Typed {
	text: string; // as typed
	unit: Unit; // typed or, where none was typed, the default; "in" for feet with inches
	v: number; // lengths: nanometres; angles: millionths of a degree; numbers: millionths. Whole, below 2^53
	res: number; // smallest step of the way it was written: the last decimal place; for fractions 1/64 in
	ask: string; // not empty: readable, but doubtful; a person must confirm it
}

/** Refused says why a text cannot be read and what a good entry looks like. */
export interface Refused {
	error: { why: string };
}

/** parseLength reads a length; text without a unit is in def, one of the units of length. */
export const parseLength = (text: string, def: Unit): Typed | Refused => parse(length, text, def);

/** parseAngle reads an angle in degrees, with or without a mark. */
export const parseAngle = (text: string): Typed | Refused => parse(angle, text, "deg");

/** parseNumber reads a plain number. */
export const parseNumber = (text: string): Typed | Refused => parse(number, text, "1");

function parse(k: Kind, text: string, def: Unit): Typed | Refused {
	try {
		const { unit, v, res, ask } = quantity(new Scan(text), k, def);
		return { text, unit, v, res, ask };
	} catch (e) {
		if (e instanceof Stop) return { error: { why: e.why } };
		throw e;
	}
}

// quantity reads the whole text.
function quantity(s: Scan, k: Kind, def: Unit): Value {
	if (!k.scales.has(def)) throw new Stop(`"${def}" ${k.notUnit}`);
	s.spaces();
	if (s.peek() === "") throw new Stop(why.nothing);
	let sign = "";
	if (s.take("-\u2212")) {
		sign = "-";
		if (s.spaces()) throw new Stop(why.minus);
	}
	const f = readFigure(s, k);
	const unit = readUnit(s, k);
	const hyphen = unit === "ft" && s.take("-");
	s.spaces();
	const t =
		hyphen || (unit === "ft" && s.peek() !== "")
			? readInches(s, k, f, sign)
			: withUnit(k, f, unit, def, sign);
	s.spaces();
	if (s.peek() !== "") throw stray(s, k);
	if (sign !== "" && t.v !== 0) t.v = -t.v;
	return t;
}

// readUnit reads a unit and the spaces before it; without one it returns "".
function readUnit(s: Scan, k: Kind): Unit | "" {
	s.spaces();
	const c = s.peek();
	let shown = c;
	let unit: Unit | undefined;
	if (isLetter(c)) {
		shown = s.letters();
		if ((shown === "e" || shown === "E") && (isDigit(s.peek()) || s.take("+-"))) {
			throw new Stop(why.power);
		}
		unit = WORDS.get(shown);
	} else {
		unit = MARKS.get(c);
		if (!unit) return "";
		s.take(c);
		if (unit === "ft" && MARKS.get(s.peek()) === "ft") throw new Stop(why.twoPrimes);
	}
	if (!unit || !k.scales.has(unit)) throw new Stop(`"${shown.slice(0, 12)}" ${k.notUnit}`);
	return unit;
}

// readInches reads on behind feet. The value is in inches, as its last figure is.
function readInches(s: Scan, k: Kind, feet: Figure, sign: string): Value {
	const c = s.peek();
	if (!isDigit(c) && !isFraction(c)) throw stray(s, k); // not .5 either: 0'.5 is too near to 0.5
	if (feet.decimals !== "" || feet.den !== 0) throw new Stop(why.feetWhole);
	const f = readFigure(s, k);
	const unit = readUnit(s, k);
	if (unit !== "in") throw new Stop(why.inchMark);
	const t = withUnit(k, f, unit, unit, sign);
	if (t.v >= 12 * INCH) throw new Stop(why.twelve);
	t.v += Number(feet.whole) * 12 * INCH;
	return t;
}

// stray says that the next character has no place here.
function stray(s: Scan, k: Kind): Stop {
	const c = s.peek();
	if (c === "") return new Stop(`something is missing at the end; ${k.good}`);
	return new Stop(`"${show(c)}" does not belong there; ${k.good}`);
}
