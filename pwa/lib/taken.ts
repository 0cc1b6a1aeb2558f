// A correction on its way into the path of a tube: the planned figures of what is turned
// and cut change, what was measured of it stays until it is measured again.

import { angleReading, lengthReading } from "./computed";
import type { ReadingInput } from "./types";
import type { Change } from "./typescorrection";
import type { PlanPiece } from "./typesplan";

/** CORRECTION is the tool of readings that came out of a correction. */
export const CORRECTION = "correction";

/** DECIMALS of an angle: an answer that closes by hundredths only must not be rounded open again. */
const DECIMALS = 2;

/**
 * takenFields are the readings that put changes into the path, by slot; null where a change adds a piece, which is
 * laid out by hand, or where a straight to be cut is made of several elements.
 */
export function takenFields(
	changes: Change[],
	pieces: PlanPiece[],
	elements: (piece: PlanPiece) => number,
): Record<string, ReadingInput> | null {
	const fields: Record<string, ReadingInput> = {};
	const put = (id: string | undefined, field: string, r: ReadingInput): boolean => {
		const piece = pieces.find((p) => p.id === id);
		if (!piece || (field === "length" && elements(piece) > 1)) return false;
		fields[`element/${piece.element}/${field}`] = r;
		return true;
	};
	for (const c of changes) {
		const cut = c.kind === "straight" || c.kind === "trim" || c.kind === "straight anew";
		const bent = c.kind === "bend" || c.kind === "recut" || c.kind === "bend anew";
		const done =
			c.kind === "turn" && c.clock !== undefined
				? put(c.bend, "rotation", angleReading(c.clock, CORRECTION, DECIMALS))
				: cut && c.length !== undefined
					? put(c.piece, "length", lengthReading(c.length, CORRECTION))
					: bent && c.bent !== undefined
						? put(c.piece, "turn", angleReading(c.bent, CORRECTION, DECIMALS))
						: false;
		if (!done) return null;
	}
	return fields;
}

/** anewOf are the pieces of which another one is cut. */
export const anewOf = (changes: Change[], pieces: PlanPiece[]): PlanPiece[] =>
	pieces.filter((p) => changes.some((c) => c.kind.endsWith(" anew") && c.piece === p.id));
