// What is read of a header and when, and how a rod that was tried is kept. It needs no answer of the calculation.

import { kinds } from "./fields";
import { addEntity, keepTogether, listOf, removeEntity } from "./state";
import { parseLength } from "./typed";
import type { ReadingInput } from "./types";

export const MOMENTS = ["tacked", "welded", "fitted"] as const;

/** When a header is read. */
export type Moment = (typeof MOMENTS)[number];

/** asMoment is the word as one of the moments, the first where it is none. */
export const asMoment = (word: string): Moment => MOMENTS.find((m) => m === word) ?? "tacked";

/** atOf is how the plan calls it. */
export const atOf = (m: Moment) => (m === "fitted" ? "fitted" : (`as-${m}` as const));

/** inspects tells whether a slot is read where a header is inspected. */
export function inspects(slot: string): boolean {
	const [kind = "", , name] = slot.split("/");
	return kinds[kind]?.fields.find((f) => f.name === name)?.group === "inspect";
}

/** momentOf is when a slot is read; a gap says so itself, in a word. */
export function momentOf(slot: string, word: (slot: string) => string): Moment {
	const [kind, id, name = ""] = slot.split("/");
	if (kind === "gauge") return asMoment(word(`gauge/${id}/at`));
	return MOMENTS.find((m) => name.includes(m)) ?? "fitted";
}

/** readSlots are what is read at a moment, in the order in which a hand would. Gaps are not among them. */
export function readSlots(job: string, at: Moment): string[] {
	const ids = (kind: string) => listOf(job, kind).map((e) => e.id);
	if (at === "fitted") return ids("bolt").map((id) => `bolt/${id}/starts`);
	const axes = (id: string, of: string) => ["x", "y", "z"].map((axis) => `collector/${id}/${of}_${axis}`);
	return [
		...ids("tube").map((id) => `tube/${id}/length_${at}`),
		...ids("collector").flatMap((id) => [...axes(id, at), ...axes(id, `${at}_tip`)]),
		...ids("bank").flatMap((id) => [
			`bank/${id}/flat_${at}`,
			...(listOf(job, "port", id).length > 1 ? [`bank/${id}/flat_pair_${at}`] : []),
		]),
	];
}

/** nextRead is what is read after a slot at the same moment and was not read yet; "" when that is all. */
export function nextRead(
	job: string,
	slot: string,
	left: (slot: string) => boolean,
	word: (slot: string) => string,
): string {
	if (slot.startsWith("gauge/") || slot.startsWith("bolt/")) return "";
	const all = readSlots(job, momentOf(slot, word));
	return all.slice(all.indexOf(slot) + 1).find(left) ?? "";
}

/** RODS are those that lie in every shop, in inches. Common practice, no source. */
export const RODS = ["1/4", "3/8", "1/2", "3/4", "1"] as const;

/** rodReading is a rod as it is kept; "" where none went. */
export function rodReading(rod: string): ReadingInput {
	const text = rod === "" ? "0" : rod;
	const typed = parseLength(text, "in");
	if ("error" in typed) throw new Error(`rod ${text}: ${typed.error.why}`);
	// a rod is as thick as it is sold
	return { text, unit: "in", v: typed.v, res: 1000, quantity: "length", tool: "rod" };
}

/** A gap: between what, and when it is tried. */
export interface Pair {
	a: string;
	b: string;
	at: Moment;
}

/** pairKey and pairOf write a gap as a part of an address. */
export const pairKey = (p: Pair) => [p.a, p.b, p.at].join("/");
export function pairOf(key: string): Pair {
	const [a = "", b = "", at = ""] = key.split("/");
	return { a, b, at: asMoment(at) };
}

/** gaugesOf are the ids under which a gap was tried, whichever side was named first. */
export function gaugesOf(job: string, p: Pair, word: (slot: string) => string): string[] {
	const of = (id: string, field: string) => word(`gauge/${id}/${field}`);
	return listOf(job, "gauge")
		.map((e) => e.id)
		.filter((id) => {
			const [a, b] = [of(id, "a"), of(id, "b")];
			return of(id, "at") === p.at && ((a === p.a && b === p.b) || (a === p.b && b === p.a));
		});
}

/** newGauge puts a gap into the list, with what was read of it. */
export const newGauge = (job: string, p: Pair, fields: Record<string, ReadingInput> = {}): Promise<string> =>
	addEntity(job, "gauge", "", { a: p.a, b: p.b, at: p.at, ...fields });

/** keepRod keeps which rod goes, or does not, and returns what takes it back. gauge is "" for a gap that is tried first. */
export async function keepRod(
	job: string,
	p: Pair,
	gauge: string,
	field: "goes" | "stops",
	rod: string,
): Promise<() => Promise<void>> {
	const reading = rodReading(rod);
	if (gauge !== "") return keepTogether(job, { [`gauge/${gauge}/${field}`]: reading });
	const id = await newGauge(job, p, { [field]: reading });
	return async () => {
		await removeEntity(job, "gauge", id);
	};
}
