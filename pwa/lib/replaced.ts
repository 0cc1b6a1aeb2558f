// Parts of a path that others take the place of: what was there is taken back, what comes
// is kept, as one act.

import { once, running, signed, write } from "./core";
import { addParts, listIn, nextNumber, retractable } from "./entity";
import { isNote, kinds } from "./fields";
import { between } from "./order";
import { type Fields, numbered, partsOf, retract, stageSlot } from "./state";
import { tableOf } from "./table";
import type { ReadingInput } from "./types";
import type { Part } from "./writer";

/**
 * keepAnew keeps readings of several slots as one act, each over what lies on the table of its slot. The elements in
 * anew are as good as not cut then: what was made of them is taken back. It returns what takes it all back.
 */
export const keepAnew = (
	job: string,
	readings: Record<string, ReadingInput>,
	anew: string[],
): Promise<() => Promise<void>> =>
	acted(job, `anew ${JSON.stringify([readings, anew])}`, () => [
		...over(job, readings),
		...anew.flatMap((id) => [
			...takenBack(
				job,
				MADE.map((f) => `element/${id}/${f}`),
			),
			{ kind: "piece", job, slot: stageSlot(id), body: { text: "", ...signed() } },
		]),
	]);

const MADE = (kinds.element?.fields ?? []).filter((f) => f.group === "made" && !isNote(f)).map((f) => f.name);

/**
 * replaceSome puts new entries in the place of some that stand in a row in the list of a parent, behind the entry
 * named after ("" for the start), and keeps readings of others beside them, as one act. It returns what takes it back.
 */
export const replaceSome = (
	job: string,
	kind: string,
	parent: string,
	row: { after: string; gone: string[] },
	entries: Fields[],
	readings: Record<string, ReadingInput>,
): Promise<() => Promise<void>> =>
	acted(job, `replace ${JSON.stringify([kind, parent, row, entries, readings])}`, () => {
		const { held } = running();
		const list = listIn(held, job, kind, parent);
		const at = list.findIndex((e) => e.id === row.after);
		const behind = list.slice(at + 1).find((e) => !row.gone.includes(e.id))?.order ?? "";
		const first = nextNumber(held, job, kind, parent);
		let order = list[at]?.order ?? "";
		const added = entries.flatMap((fields, i) => {
			order = between(order, behind);
			const { id, words } = addParts(held, job, kind, parent, {});
			return partsOf(job, kind, id, { ...words, order, ...numbered(first && first + i), ...fields });
		});
		return [
			...takenBack(
				job,
				row.gone.map((id) => `${kind}/${id}/order`),
			),
			...added,
			...over(job, readings),
		];
	});

const envelopes = (job: string, slot: string) =>
	running()
		.held.slot(job, slot)
		.map((r) => r.env);

function over(job: string, readings: Record<string, ReadingInput>): Part[] {
	return Object.entries(readings).flatMap(([slot, r]) => {
		const [kind = "", id = "", field = ""] = slot.split("/");
		const heads = tableOf(envelopes(job, slot)).heads.map((h) => h.id);
		return partsOf(job, kind, id, { [field]: r }).map((p) => (heads.length > 0 ? { ...p, over: heads } : p));
	});
}

function takenBack(job: string, slots: string[]): Part[] {
	const ids = slots.flatMap((slot) => {
		const { heads, aside, replaced } = tableOf(envelopes(job, slot));
		return [...heads, ...aside, ...replaced].map((r) => r.id);
	});
	return retractable(running().held, job, ids).map(({ id, slot }) => ({
		kind: "retract",
		job,
		slot,
		target: id,
		body: signed(),
	}));
}

// acted writes records of one job as one act, once, and returns what takes it back.
async function acted(job: string, what: string, parts: () => Part[]): Promise<() => Promise<void>> {
	const records = await once(`${what} ${job}`, () => write(parts()));
	return async () => {
		await retract(
			job,
			records.map((r) => r.id),
		);
	};
}
