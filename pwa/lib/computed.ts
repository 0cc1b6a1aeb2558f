// Figures that were worked out, as readings that a person took over; the tool says from what.

import { mm } from "./typed";
import type { ReadingInput } from "./types";

/** lengthReading is a length in mm, to 0.01 mm: a person can read what was kept. */
export function lengthReading(v: number, tool: string): ReadingInput {
	const nm = Math.round(v * 100) * 10_000;
	return { text: mm(nm, 2), unit: "mm", v: nm, res: 10_000, quantity: "length", tool };
}

/** angleReading is an angle in degrees, to as many decimals as it is worth. */
export function angleReading(v: number, tool: string, decimals = 1): ReadingInput {
	const res = 10 ** (6 - decimals);
	const udeg = Math.round((v * 1e6) / res) * res;
	return { text: (udeg / 1e6).toFixed(decimals), unit: "deg", v: udeg, res, quantity: "angle", tool };
}
