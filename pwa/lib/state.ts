// What the screens know and what they can do. Screens use this file and nothing
// else of lib.

import { noteOf } from "./answers";
import { changes, guarded, loaded, once, route, running, signed, write } from "./core";
import { addParts, listIn, nextNumber, removals, removedIn, retractable } from "./entity";
import { draftKey } from "./forms";
import { SHOP } from "./held";
import { begunFor } from "./intent";
import { between } from "./order";
import { pendingForm } from "./pictures";
import { shortID } from "./record";
import { headOf, tableOf } from "./table";
import type { Choice, ListItem, RawReading, ReadingBody, ReadingInput } from "./types";
import type { Form, Route, Where } from "./typesapp";
import type { Part } from "./writer";

export { calc, deviceName, jobs, person, ready, route, setStatus, status, units, view } from "./core";
export { type Listed, pointsOf } from "./listed";
export { seenLoss } from "./loss";
export { type SavedFile, saveFile } from "./savefile";
export type * from "./types";
export type * from "./typesapp";
export type * from "./typesaround";
export type * from "./typesflange";
export type * from "./typesplan";
export { start, type Wires } from "./wires";
export { type HeadPlan, isOwn, withEach } from "./withheads";
export { SHOP };

/** go shows another screen. */
export function go(to: Route): void {
	route.value = to;
}

/** openForm makes the id of the record that the form will make, and brings back a half-typed text and the name of its form. */
export async function openForm(job: string, slot: string): Promise<Form> {
	const { forms, held, clock } = running();
	return forms.open(job, slot, begunFor(job, slot) || pendingForm(held, clock.dev, job, slot));
}

/**
 * keepReading resolves when the reading is on the tablet's disk. It rejects when
 * the disk did not take it: the screen then says NOT SAVED and leaves the text
 * where it is; keeping again tries again. Repeated taps make one record.
 */
export async function keepReading(form: Form, r: ReadingInput): Promise<"saved"> {
	const { forms, writer } = running();
	const body = bodyOf(r);
	return guarded(() =>
		forms.keepReading(form, JSON.stringify(r), () => ({ ...body, ...named(form), ...signed() }), writer),
	);
}

// The photos of a form that was gone on with hang to its first name.
const named = (form: Form) => (form.name === form.id ? {} : { form: form.name });

/** choose keeps the person's choice among the readings that the form showed. */
export async function choose(form: Form, head: string): Promise<"saved"> {
	const { forms, writer } = running();
	return guarded(() => forms.choose(form, head, signed, writer));
}

/** keepNote keeps a text of low stakes (name, customer, stage); the latest is shown, earlier ones stay. */
export async function keepNote(job: string, slot: string, text: string): Promise<"saved"> {
	const { held, drafts } = running();
	const draft = drafts.get(draftKey(job, slot));
	await once(`note ${job} ${slot} ${text}`, async () => {
		const isNew = noteOf(held, job, slot) !== text || !held.slot(job, slot).some((r) => r.kind === "note");
		if (isNew) await write([{ kind: "note", job, slot, body: { text, ...signed() } }], draft ? [draft] : []);
	});
	return "saved";
}

/** keepStage keeps how far a piece of a path has come; the latest is shown. It returns what takes it back. */
export async function keepStage(job: string, element: string, stage: string): Promise<() => Promise<void>> {
	const records = await once(`stage ${job} ${element} ${stage}`, () =>
		write([{ kind: "piece", job, slot: stageSlot(element), body: { text: stage, ...signed() } }]),
	);
	return async () => {
		await retract(
			job,
			records.map((r) => r.id),
		);
	};
}

/** retract takes records back and returns the ids of the retracts; retracting those brings the records back. */
export async function retract(job: string, ids: string[]): Promise<string[]> {
	return once(`retract ${job} ${ids.join(" ")}`, async () => {
		const parts = retracts(job, ids);
		return parts.length === 0 ? [] : (await write(parts)).map((r) => r.id);
	});
}

const retracts = (job: string, ids: string[]): Part[] =>
	retractable(running().held, job, ids).map(({ id, slot }) => ({
		kind: "retract",
		job,
		slot,
		target: id,
		body: signed(),
	}));

/** newJob resolves with the job's id when its name is on the tablet's disk. */
export async function newJob(name: string): Promise<string> {
	return once(`job ${name}`, async () => {
		const job = shortID("j", 12);
		await write([{ kind: "note", job, slot: "job/self/name", body: { text: name, ...signed() } }]);
		return job;
	});
}

/**
 * addEntity puts an entry into a list: a bank, bolt, port, tube or element. The
 * fields are words or readings; parent is the entry it belongs to ("" for a
 * bank). It comes last, or behind the entry named after. All or nothing is kept.
 */
export async function addEntity(
	job: string,
	kind: string,
	parent: string,
	fields: Fields,
	where: { id?: string; after?: string } = {},
): Promise<string> {
	return once(`add ${job} ${JSON.stringify([kind, parent, fields, where])}`, async () => {
		const { id, words } = addParts(running().held, job, kind, parent, where);
		const n = nextNumber(running().held, job, kind, parent);
		await write(partsOf(job, kind, id, { ...words, ...numbered(n), ...fields }));
		return id;
	});
}

/** Fields of an entry by name: words or readings. */
export type Fields = Record<string, string | ReadingInput>;

/** numbered is the number that an entry bears, nothing for 0. */
export const numbered = (n: number): Fields =>
	n > 0 ? { number: { text: `${n}`, unit: "1", v: n * 1e6, res: 0, quantity: "number", tool: "" } } : {};

/** partsOf are the records of an entry's fields. */
export function partsOf(job: string, kind: string, id: string, fields: Fields): Part[] {
	return Object.entries(fields).map(([field, value]) => {
		const body = { ...bodyOf(typeof value === "string" ? wordOf(value) : value), ...signed() };
		return { kind: "reading", job, slot: `${kind}/${id}/${field}`, body };
	});
}

/**
 * replaceList puts new entries in the place of all that stand in the list of a parent. Where they bear numbers these
 * go on behind all that were ever given, so that no number means two parts. It is one act: all of it is kept, or
 * none. It returns what takes it back.
 */
export async function replaceList(
	job: string,
	kind: string,
	parent: string,
	entries: Fields[],
): Promise<() => Promise<void>> {
	const { held } = running();
	const gone = listIn(held, job, kind, parent).flatMap((e) => everIn(job, `${kind}/${e.id}/order`));
	const first = nextNumber(held, job, kind, parent);
	let order = "";
	const added = entries.flatMap((fields, i) => {
		order = between(order, "");
		const { id, words } = addParts(held, job, kind, parent, {});
		return partsOf(job, kind, id, { ...words, order, ...numbered(first && first + i), ...fields });
	});
	const records = await write([...retracts(job, gone), ...added]);
	return async () => {
		await retract(
			job,
			records.map((r) => r.id),
		);
	};
}

/**
 * addFamily puts an entry, and entries that belong to it in their order, into their lists. It is one act: all of it
 * is kept, or none. It returns the entry's id and what takes it all back. Fields bear the numbers of the entries.
 */
export async function addFamily(
	job: string,
	kind: string,
	parent: string,
	fields: Fields,
	children: Record<string, Fields[]>,
	notes: Record<string, string>,
): Promise<{ id: string; undo: () => Promise<void> }> {
	const { held } = running();
	return once(`family ${job} ${JSON.stringify([kind, parent, fields, children, notes])}`, async () => {
		const { id, words } = addParts(held, job, kind, parent, {});
		const parts = partsOf(job, kind, id, { ...words, ...fields });
		for (const [field, said] of Object.entries(notes))
			if (said !== "")
				parts.push({ kind: "note", job, slot: `${kind}/${id}/${field}`, body: { text: said, ...signed() } });
		for (const [child, entries] of Object.entries(children)) {
			let order = "";
			for (const own of entries) {
				order = between(order, "");
				const made = addParts(held, job, child, id, {});
				parts.push(...partsOf(job, child, made.id, { ...made.words, order, ...own }));
			}
		}
		const records = await write(parts);
		const undo = async () => {
			await retract(
				job,
				records.map((r) => r.id),
			);
		};
		return { id, undo };
	});
}

/**
 * keepTogether keeps readings of several slots as one act, each over what lies on the table of its slot, and notes
 * with them: all of it is kept, or none, and half-typed texts of these slots are gone. It returns what takes it back.
 */
export async function keepTogether(
	job: string,
	readings: Fields,
	notes: Record<string, string> = {},
): Promise<() => Promise<void>> {
	const records = await once(`together ${job} ${JSON.stringify([readings, notes])}`, async () => {
		const { held, drafts } = running();
		const parts = Object.entries(readings).map(([slot, r]): Part => {
			const over = tableOf(held.slot(job, slot).map((x) => x.env)).heads.map((h) => h.id);
			const body = { ...bodyOf(typeof r === "string" ? wordOf(r) : r), ...signed() };
			return { kind: "reading", job, slot, ...(over.length > 0 && { over }), body };
		});
		for (const [slot, said] of Object.entries(notes))
			parts.push({ kind: "note", job, slot, body: { text: said, ...signed() } });
		const typed = parts.flatMap((p) => drafts.get(draftKey(job, p.slot)) ?? []);
		return write(parts, typed);
	});
	return async () => {
		await retract(
			job,
			records.map((r) => r.id),
		);
	};
}

/**
 * removeEntity takes an entry out of its list and returns what brings it back. Its
 * values stay. Every place the entry ever had is taken back, not only the latest:
 * without the last move the one before it would hold again.
 */
export async function removeEntity(job: string, kind: string, id: string): Promise<() => Promise<void>> {
	return takeOut(job, [`${kind}/${id}/order`]);
}

/** takeOut takes back every reading of some slots, as one act, and returns what brings them back. */
export async function takeOut(job: string, slots: string[]): Promise<() => Promise<void>> {
	const taken = await retract(
		job,
		slots.flatMap((slot) => everIn(job, slot)),
	);
	return async () => {
		await retract(job, taken);
	};
}

// everIn are the readings of a slot that were not taken back; of an order slot, of
// every place that an entry ever had in its list.
function everIn(job: string, slot: string): string[] {
	const { heads, aside, replaced } = tableOf(
		running()
			.held.slot(job, slot)
			.map((r) => r.env),
	);
	return [...heads, ...aside, ...replaced].map((r) => r.id);
}

/** bringBack puts a removed entry into its list again, however long ago it was removed. */
export async function bringBack(job: string, kind: string, id: string): Promise<void> {
	await retract(job, removals(running().held, job, kind, id));
}

/** removedOf returns the ids of the entries that were removed from the list of a parent. */
export function removedOf(job: string, kind: string, parent: string): string[] {
	changes.value;
	const core = loaded();
	return core ? removedIn(core.held, job, kind, parent) : [];
}

/** saveDraft keeps a half-typed text: at once in memory, 300 ms later on the disk. For a form, key is form.key. */
export function saveDraft(key: string, text: string, form?: Form): void {
	const { drafts } = running();
	drafts.set(key, text, form?.name ?? drafts.get(key)?.id ?? "");
}

/** readDraft returns a half-typed text, "" when there is none. */
export const readDraft = (key: string): string => loaded()?.drafts.get(key)?.text ?? "";

/** flushDrafts writes the drafts now; for the moment before the page is hidden. */
export async function flushDrafts(): Promise<void> {
	await loaded()?.drafts.flush();
}

/** readingsOf returns every reading of a slot as the tablet holds it, without the calculation. */
export function readingsOf(job: string, slot: string): RawReading[] {
	changes.value;
	const core = loaded();
	if (!core) return [];
	const t = tableOf(core.held.slot(job, slot).map((r) => r.env));
	const as = (standing: RawReading["standing"]) => (r: (typeof t.heads)[number]) => ({
		...headOf(r),
		standing,
	});
	return [
		...t.heads.map(as("head")),
		...t.aside.map(as("aside")),
		...t.replaced.map(as("replaced")),
		...t.retracted.map(as("retracted")),
	];
}

/** choicesOf returns the choices that stand for a slot, by clock, without the calculation. */
export function choicesOf(job: string, slot: string): Choice[] {
	changes.value;
	const core = loaded();
	if (!core) return [];
	return tableOf(core.held.slot(job, slot).map((r) => r.env)).choices.map((r) => {
		const { person, at } = headOf(r);
		return { id: r.id, chosen: r.chosen ?? "", person, at };
	});
}

/** listOf returns the entries of a list in order, of one parent or of all, without the calculation. */
export function listOf(job: string, kind: string, parent?: string): ListItem[] {
	changes.value;
	const core = loaded();
	return core ? listIn(core.held, job, kind, parent) : [];
}

/** stockJob is the job in which an item of stock stands: this one, or else the shop's own. */
export const stockJob = (job: string, id: string): string =>
	listOf(job, "stock").some((e) => e.id === id) ? job : SHOP;

/** noteText returns the latest text of a note's slot, "" when there is none, without the calculation. */
export function noteText(job: string, slot: string): string {
	changes.value;
	const core = loaded();
	return core ? noteOf(core.held, job, slot) : "";
}

export const stageSlot = (element: string) => `element/${element}/stage`;

/** stageOf returns how far a piece has come by the latest that was said, "" before it is cut, without the calculation. */
export function stageOf(job: string, element: string): string {
	changes.value;
	const core = loaded();
	return core ? noteOf(core.held, job, stageSlot(element), "piece") : "";
}

/** placeOf tells what a record is about; null when it is not held. */
export function placeOf(id: string): { job: string; slot: string } | null {
	const r = loaded()?.held.get(id);
	return r ? { job: r.job, slot: r.slot } : null;
}

/** whereIs tells how far a record has got: on this tablet only, in the shop, in the shop's backup. */
export function whereIs(id: string): Where {
	changes.value;
	const core = loaded();
	const pos = core?.held.get(id)?.pos ?? null;
	if (!core || pos === null) return "tablet";
	return pos <= core.backedPos ? "backed" : "shop";
}

/** writeProbe writes something small the way a reading is written; it resolves when that is on the disk. */
export const writeProbe = (): Promise<void> =>
	guarded(() => running().env.store.putMeta({ probe: running().env.now() }));

const wordOf = (text: string): ReadingInput => ({
	text,
	unit: "word",
	v: 0,
	res: 0,
	quantity: "word",
	tool: "",
});

const KEYS = { length: "nm", angle: "udeg", number: "micro" } as const;

function bodyOf(r: ReadingInput): Omit<ReadingBody, "person" | "at"> {
	if (r.quantity === "word") return { text: r.text, unit: "word", tool: r.tool };
	if (!Number.isSafeInteger(r.v) || !Number.isSafeInteger(r.res))
		throw new Error(`"${r.text}": ${r.v} with resolution ${r.res} cannot be kept exactly`);
	return { text: r.text, unit: r.unit, [KEYS[r.quantity]]: r.v, res: r.res, tool: r.tool };
}
