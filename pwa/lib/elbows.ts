// Weld elbows by the standards, as stock: a person picks one, and every figure of it is a
// reading that can be changed.

import { once, running, signed, write } from "./core";
import table from "./elbows.json";
import { addParts, nextNumber } from "./entity";
import { type Fields, numbered, partsOf, retract } from "./state";
import { stock } from "./textstock";
import { parseLength } from "./typed";
import type { ReadingInput } from "./types";
import type { Part } from "./writer";

/** An elbow of the table; sizes in inches as printed, across and beyond in mm. */
export interface WeldElbow {
	nps: string; // nominal pipe size
	form: string; // "90 LR"
	angle: number; // °
	od: string;
	clr: string;
	across: number; // centre to end, of a 180 centre to centre
	beyond?: number; // by which a 45 is longer than its CLR comes to
}

export const weldElbows: WeldElbow[] = table.elbows;

/** A schedule of pipe; the wall in inches as printed. */
export const pipeWalls: { nps: string; schedule: string; wall: string }[] = table.walls;

/** What the standard lets an elbow differ by, in mm; the wall as a share. */
export const elbowWithin = table.within;

/** pipeSizes are the nominal sizes that there are, smallest first. */
export const pipeSizes = [...new Set(weldElbows.map((e) => e.nps))];

/** Who says how large an elbow is, and how thick a pipe of a schedule. */
const B169 = "ASME B16.9";
export const wallSource = (schedule: string) => (schedule.endsWith("S") ? "ASME B36.19M" : "ASME B36.10M");

const FORMS: Record<number, string | undefined> = { 45: "45", 90: "90", 180: "U" };

/** addElbow puts an elbow into a job's stock as one act, and returns its id and what takes it back. */
export async function addElbow(
	job: string,
	e: WeldElbow,
	schedule: string,
	material: string,
): Promise<{ id: string; undo: () => Promise<void> }> {
	const { held } = running();
	return once(`elbow ${job} ${e.nps} ${e.form} ${schedule} ${material}`, async () => {
		const { id, words } = addParts(held, job, "stock", "", {});
		const wall = pipeWalls.find((w) => w.nps === e.nps && w.schedule === schedule)?.wall ?? "";
		const fields: Fields = {
			...words,
			...numbered(nextNumber(held, job, "stock", "")),
			type: "elbow",
			form: FORMS[e.angle] ?? "other",
			od: inchReading(e.od, B169),
			wall: inchReading(wall, wallSource(schedule)),
			clr: inchReading(e.clr, B169),
			angle: { text: `${e.angle}`, unit: "deg", v: e.angle * 1e6, res: 0, quantity: "angle", tool: B169 },
			...(material !== "" && { material }),
		};
		const name: Part = {
			kind: "note",
			job,
			slot: `stock/${id}/name`,
			body: { text: stock.elbow.name(e.nps, schedule, e.form), ...signed() },
		};
		const records = await write([...partsOf(job, "stock", id, fields), name]);
		const undo = async () => {
			await retract(
				job,
				records.map((r) => r.id),
			);
		};
		return { id, undo };
	});
}

function inchReading(text: string, tool: string): ReadingInput {
	const read = parseLength(text, "in");
	if ("error" in read) throw new Error(`${text}: ${read.error.why}`);
	return { text, unit: "in", v: read.v, res: read.res, quantity: "length", tool };
}
