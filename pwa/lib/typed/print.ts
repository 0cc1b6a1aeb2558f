// Lengths in whole nanometres as text; the twin of calc/units/print.go. Every v is
// a whole number below 2^53 either way, as the parser gives it.

import { INCH, SIXTYFOURTH } from "./kind";

/**
 * mm prints nanometres as mm with a fixed number of decimals, 0 to 6 (fewer or
 * more count as these), half away from zero: 41275000 with 3 is "41.275".
 */
export const mm = (v: number, places: number): string =>
	fixed(v, 1_000_000, Math.min(Math.max(places, 0), 6));

/** inches prints nanometres as inches with three decimals: 41275000 is "1.625". */
export const inches = (v: number): string => fixed(v, INCH, 3);

/**
 * sixtyfourths prints nanometres as the nearest 1/64 in, in lowest terms and
 * without a mark: 41275000 is "1 5/8". The remainder is v less what is printed.
 */
export function sixtyfourths(v: number): { text: string; remainder: number } {
	let n = Math.trunc(v / SIXTYFOURTH);
	let remainder = v - n * SIXTYFOURTH;
	if (2 * Math.abs(remainder) > SIXTYFOURTH) {
		n += Math.sign(v);
		remainder -= Math.sign(v) * SIXTYFOURTH;
	}
	const size = Math.abs(n);
	let [num, den] = [size % 64, 64];
	while (num % 2 === 0 && den > 1) [num, den] = [num / 2, den / 2];
	return { text: (n < 0 ? "-" : "") + mixed(String(Math.floor(size / 64)), num, den), remainder };
}

/** mixed prints a fraction with its whole number in front. */
export function mixed(wholeDigits: string, num: number, den: number): string {
	const whole = Number(wholeDigits) + Math.floor(num / den);
	const rest = num % den;
	if (rest === 0) return String(whole);
	return whole === 0 ? `${rest}/${den}` : `${whole} ${rest}/${den}`;
}

function fixed(v: number, unit: number, places: number): string {
	const step = 10n ** BigInt(places);
	const per = BigInt(unit); // even, so that half of it is whole
	const size = (BigInt(Math.abs(v)) * step + per / 2n) / per;
	const sign = v < 0 && size !== 0n ? "-" : "";
	const whole = `${sign}${size / step}`;
	return places === 0 ? whole : `${whole}.${String(size % step).padStart(places, "0")}`;
}
