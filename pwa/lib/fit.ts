// A shape that was fitted to measured points, on its way into the fields of a port.

import { angleReading, lengthReading } from "./computed";
import type { ReadingInput } from "./types";
import type { OnFace, PlanFit } from "./typesflange";

/** FIT is the tool of readings that a fit to measured points made. */
export const FIT = "fit to points";

const DIMENSIONS = ["width", "height", "corner", "diameter", "radius", "flat"] as const;

/** MOVED is how far, in mm, the fitted centre lies off before the port's place follows it. */
const MOVED = 0.05;

/** shiftOf is how far the centre of the port moves with the shape, in mm; null where it stays. */
export const shiftOf = (fit: PlanFit): OnFace | null => (Math.hypot(...fit.shift) > MOVED ? fit.shift : null);

/** fittedFields are the readings that put a fitted shape in the place of a port's outline, by slot. */
export function fittedFields(port: string, at: OnFace | null, fit: PlanFit): Record<string, ReadingInput> {
	const slot = (field: string) => `port/${port}/${field}`;
	const fields: Record<string, ReadingInput> = {
		[slot("shape")]: { text: fit.shape, unit: "word", v: 0, res: 0, quantity: "word", tool: FIT },
	};
	for (const name of DIMENSIONS) {
		const v = fit[name];
		if (typeof v === "number") fields[slot(name)] = lengthReading(v, FIT);
	}
	if (fit.shape !== "round") fields[slot("turn")] = angleReading(fit.turn, FIT);
	const shift = shiftOf(fit);
	if (shift && at) {
		fields[slot("x")] = lengthReading(at[0] + shift[0], FIT);
		fields[slot("y")] = lengthReading(at[1] + shift[1], FIT);
	}
	return fields;
}
