// What a list of points makes of a tube, for the page on which a person looks at it
// before any of it is kept. The calculation reads the text and does the numbers.

import { type Ask, parse } from "./answers";
import { running } from "./core";
import type { Held } from "./held";
import type { Point, ReadingInput } from "./types";
import type { MeasuredRow } from "./typesplan";

/** A piece of the path; keys are those of the calculation, mm and degrees. */
export interface ListedElement {
	type: "straight" | "bend";
	length?: number;
	turn?: number;
	clr?: number;
	rotation?: number;
}

export interface Listed {
	points: Point[]; // as read
	elements: ListedElement[];
	length: number;
	xyz: Point[]; // of the path put to its port
	start_off: number | null; // null: the port has no place
	aim_off: number | null;
}

/** What is asked about: the list as text, a CLR as typed for where it has none, and the unit of bare figures. */
export interface List {
	text: string;
	clr: string;
	unit: "mm" | "in";
}

/** askPoints asks the calculation; it rejects with a sentence a fault, each on its own line. */
export async function askPoints(
	ask: Ask,
	held: Held,
	job: string,
	tube: string,
	list: List,
): Promise<Listed> {
	const records = held.job(job).map((r) => r.raw);
	const { text: file, clr, unit } = list;
	return parse<Listed>(await ask("points", { op: "points", job, tube, records, file, clr, unit }));
}

/** pointsOf is askPoints of the records on this tablet. */
export function pointsOf(job: string, tube: string, list: List): Promise<Listed> {
	const { env, held } = running();
	return askPoints(env.ask, held, job, tube, list);
}

// What comes out of a list is kept to 0.001 mm and 0.0001°: over a metre that is 0.002 mm.
const STEP = { length: 1_000, angle: 100 };

/** fieldsOf is a piece as it is kept: what it is, and its figures as readings. */
export function fieldsOf(e: ListedElement): Record<string, string | ReadingInput> {
	const fields: Record<string, string | ReadingInput> = { type: e.type };
	const add = (name: string, v: number | undefined, quantity: "length" | "angle") => {
		if (v === undefined) return;
		const step = STEP[quantity];
		const steps = Math.round((v * 1e6) / step);
		const places = quantity === "length" ? 3 : 4;
		fields[name] = {
			text: (steps === 0 ? 0 : (steps * step) / 1e6).toFixed(places),
			unit: quantity === "length" ? "mm" : "deg",
			v: steps * step || 0,
			res: step,
			quantity,
			tool: "",
		};
	};
	add("length", e.length, "length");
	add("turn", e.turn, "angle");
	add("clr", e.clr, "length");
	add("rotation", e.rotation, "angle");
	return fields;
}

/** piecesOf are rows of bender data and the straight behind them as pieces of a path; straights of nothing are left out. */
export function piecesOf(rows: MeasuredRow[], last: number): ListedElement[] {
	const straight = (length: number): ListedElement[] => (length > 0 ? [{ type: "straight", length }] : []);
	return [
		...rows.flatMap((r): ListedElement[] => [
			...straight(r.length),
			{ type: "bend", turn: r.angle, clr: r.clr, rotation: r.rotation },
		]),
		...straight(last),
	];
}
