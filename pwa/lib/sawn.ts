// What was sawn from one piece of stock, as one act: its pieces are cut, the count on the
// rack is one less, and what is left of it goes back to stock.

import { angleReading, lengthReading } from "./computed";
import { once, running, signed, write } from "./core";
import { addParts, nextNumber } from "./entity";
import { type Fields, numbered, partsOf, retract, stageSlot, stockJob } from "./state";
import { tableOf } from "./table";
import type { ReadingBody, ReadingInput } from "./types";
import type { CutStock, LeftPart } from "./typescuts";
import type { Part } from "./writer";

/** SAWN is the tool of readings that came out of a plan of cuts. */
export const SAWN = "plan of cuts";

/**
 * sawn keeps that a piece of stock was cut as planned; elements are those that the pieces begin with. A count that was
 * typed is not changed: what was taken says from which count it goes off, so that two tablets can saw without the
 * shop. It returns what takes it all back.
 */
export async function sawn(job: string, bar: CutStock, elements: string[]): Promise<() => Promise<void>> {
	const { held } = running();
	return once(`sawn ${job} ${bar.stock} ${bar.n} ${elements.join(" ")}`, async () => {
		const of = stockJob(job, bar.stock);
		const parts: Part[] = elements.map((e) => ({
			kind: "piece",
			job,
			slot: stageSlot(e),
			body: { text: "cut", ...signed() },
		}));
		const counted = headOf(of, bar.stock, "on_hand");
		if (bar.on_hand && counted !== null) {
			const { id, words } = addParts(held, of, "use", bar.stock, {});
			parts.push(...partsOf(of, "use", id, { ...words, job, count: count(1), counted: counted.id }));
		}
		let number = nextNumber(held, of, "stock", "");
		for (const left of bar.rest.filter((l) => l.kept)) {
			const { id, words } = addParts(held, of, "stock", "", {});
			const fields = { ...words, ...numbered(number && number++), ...offcut(of, bar, left) };
			parts.push(...partsOf(of, "stock", id, fields));
		}
		const records = await write(parts);
		return async () => {
			for (const at of new Set([job, of]))
				await retract(
					at,
					records.filter((r) => r.job === at).map((r) => r.id),
				);
		};
	});
}

// What is left of an item: its size, with the angle and legs that it has now.
function offcut(of: string, bar: CutStock, left: LeftPart): Fields {
	const isBend = typeof left.angle === "number";
	const fields: Fields = { type: isBend ? "bend" : "length", offcut: "yes", on_hand: count(1) };
	for (const name of isBend ? ["od", "wall", "material", "clr"] : ["od", "wall", "material"]) {
		const r = headOf(of, bar.stock, name);
		if (r) fields[name] = r.reading;
	}
	if (isBend) {
		fields.form = "other";
		fields.angle = angleReading(left.angle ?? 0, SAWN);
		if (left.leg_a > 0) fields.leg_a = lengthReading(left.leg_a, SAWN);
		if (left.leg_b > 0) fields.leg_b = lengthReading(left.leg_b, SAWN);
	} else {
		fields.length = lengthReading(left.length ?? 0, SAWN);
	}
	return fields;
}

const count = (n: number): ReadingInput => ({
	text: `${n}`,
	unit: "1",
	v: n * 1e6,
	res: 0,
	quantity: "number",
	tool: SAWN,
});

// What is said of a field of a stock item, and the reading as it can be said of another one.
function headOf(
	job: string,
	stock: string,
	field: string,
): { id: string; reading: string | ReadingInput } | null {
	const { heads } = tableOf(
		running()
			.held.slot(job, `stock/${stock}/${field}`)
			.map((r) => r.env),
	);
	const head = heads.sort((a, b) => (a.id < b.id ? -1 : 1))[0];
	if (!head) return null;
	const b = head.body as ReadingBody;
	const base = { text: b.text, unit: b.unit, res: b.res ?? 0, tool: SAWN };
	if (b.nm !== undefined) return { id: head.id, reading: { ...base, v: b.nm, quantity: "length" } };
	if (b.udeg !== undefined) return { id: head.id, reading: { ...base, v: b.udeg, quantity: "angle" } };
	if (b.micro !== undefined) return { id: head.id, reading: { ...base, v: b.micro, quantity: "number" } };
	return { id: head.id, reading: b.text };
}
