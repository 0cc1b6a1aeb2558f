// Entries of lists (banks, bolts, ports, tubes, elements): each has an id, an
// order slot that puts it in the list, and a slot that names its parent.

import type { Held } from "./held";
import { between, compare } from "./order";
import { shortID } from "./record";
import { isLiveIn, tableOf } from "./table";
import type { ListItem, ReadingBody } from "./types";

/** The field that names the entry something belongs to. */
const PARENT: Record<string, string> = { bolt: "bank", port: "bank", tube: "port", element: "tube" };
const PREFIX: Record<string, string> = { bank: "k", bolt: "b", port: "p", tube: "t", element: "e" };

/** listIn returns the entries of a list in order; parent undefined: those of all parents. */
export function listIn(held: Held, job: string, kind: string, parent?: string): ListItem[] {
	const items: { id: string; parent: string; order: string }[] = [];
	for (const slot of held.slots(job)) {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || field !== "order") continue;
		const order = wordIn(held, job, slot);
		if (order === null) continue;
		const of = PARENT[kind] ? (wordIn(held, job, `${kind}/${id}/${PARENT[kind]}`) ?? "") : "";
		if (parent === undefined || of === parent) items.push({ id, parent: of, order });
	}
	return items.sort(compare);
}

/** removedIn returns the ids of entries that were taken out of the list of a parent. */
export function removedIn(held: Held, job: string, kind: string, parent: string): string[] {
	return held.slots(job).flatMap((slot) => {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || field !== "order" || wordIn(held, job, slot) !== null) return [];
		return PARENT[kind] === undefined || wordIn(held, job, `${kind}/${id}/${PARENT[kind]}`) === parent
			? [id]
			: [];
	});
}

/** removals returns the ids of the retracts that took an entry out of its list. */
export function removals(held: Held, job: string, kind: string, id: string): string[] {
	const placed = held.slot(job, `${kind}/${id}/order`);
	const readings = new Set(placed.filter((r) => r.kind === "reading").map((r) => r.id));
	return placed.filter((r) => r.kind === "retract" && readings.has(r.env.target ?? "")).map((r) => r.id);
}

// wordIn returns the text of a slot's head; of several, that with the lowest id.
function wordIn(held: Held, job: string, slot: string): string | null {
	const heads = tableOf(held.slot(job, slot).map((r) => r.env)).heads;
	const first = heads.sort((a, b) => (a.id < b.id ? -1 : 1))[0];
	if (!first) return null;
	return (first.body as Partial<ReadingBody> | null)?.text ?? "";
}

/** addParts returns the id of a new entry and the words that put it in its place. */
export function addParts(
	held: Held,
	job: string,
	kind: string,
	parent: string,
	where: { id?: string; after?: string },
): { id: string; words: Record<string, string> } {
	const siblings = listIn(held, job, kind, parent);
	const at =
		where.after === undefined ? siblings.length - 1 : siblings.findIndex((s) => s.id === where.after);
	const order = between(siblings[at]?.order ?? "", siblings[at + 1]?.order ?? "");
	const of = PARENT[kind];
	const id = where.id ?? unused(held, job, kind);
	return { id, words: { order, ...(of && { [of]: parent }) } };
}

/** Entries that bear a number of their own, chalked on the part; it outlives moves and removals. */
const NUMBERED = new Set(["bolt", "port", "tube"]);

/** nextNumber is the number of a new entry, 0 for kinds without: behind all that were ever given, removed ones too. */
export function nextNumber(held: Held, job: string, kind: string, parent: string): number {
	if (!NUMBERED.has(kind)) return 0;
	let entries = 0;
	let highest = 0;
	for (const slot of held.slots(job)) {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || (field !== "order" && field !== "number")) continue;
		// tubes of all ports make one list
		if (kind !== "tube" && wordIn(held, job, `${kind}/${id}/${PARENT[kind]}`) !== parent) continue;
		if (field === "order") entries++;
		for (const r of field === "number" ? held.slot(job, slot) : [])
			highest = Math.max(highest, Number((r.env.body as Partial<ReadingBody> | null)?.text) || 0);
	}
	return Math.max(entries, highest) + 1;
}

function unused(held: Held, job: string, kind: string): string {
	for (;;) {
		const id = shortID(PREFIX[kind] ?? kind);
		if (held.slot(job, `${kind}/${id}/order`).length === 0) return id;
	}
}

/** retractable keeps those of ids that the job holds and that are not taken back already. */
export function retractable(held: Held, job: string, ids: string[]): { id: string; slot: string }[] {
	return ids.flatMap((id) => {
		const r = held.get(id);
		if (r?.job !== job) return [];
		const around = held.slot(job, r.slot).map((x) => x.env);
		return isLiveIn(around, id) ? [{ id, slot: r.slot }] : [];
	});
}
