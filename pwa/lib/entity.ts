// Entries of lists (banks, bolts, tubes, neighbours …): each has an id, an order
// slot that puts it in the list, and a slot that names its parent.

import { isNumbered, parentOf } from "./fields";
import type { Held } from "./held";
import { between, compare } from "./order";
import { shortID } from "./record";
import { isLiveIn, tableOf } from "./table";
import type { ListItem, ReadingBody } from "./types";

/** Ids of the kinds that are chalked on parts are short; the others bear their kind's name. */
const PREFIX: Record<string, string> = { bank: "k", bolt: "b", port: "p", tube: "t", element: "e" };

/** listIn returns the entries of a list in order; parent undefined: those of all parents. */
export function listIn(held: Held, job: string, kind: string, parent?: string): ListItem[] {
	const all = wholeList(held, job, kind);
	return parent === undefined ? all : all.filter((e) => e.parent === parent);
}

interface Whole {
	revision: number;
	list: ListItem[];
}

// Pages ask for the same lists many times over, and each is read from all slots of
// the job: they are kept until a record of the job comes in.
const wholes = new WeakMap<Held, Map<string, Whole>>();

function wholeList(held: Held, job: string, kind: string): ListItem[] {
	const lists = wholes.get(held) ?? new Map<string, Whole>();
	wholes.set(held, lists);
	const key = `${job} ${kind}`;
	const revision = held.revision(job);
	const known = lists.get(key);
	if (known?.revision === revision) return known.list;
	const list = readList(held, job, kind);
	lists.set(key, { revision, list });
	return list;
}

function readList(held: Held, job: string, kind: string): ListItem[] {
	const items: { id: string; parent: string; order: string }[] = [];
	for (const slot of held.slots(job)) {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || field !== "order") continue;
		const order = wordIn(held, job, slot);
		if (order !== null) items.push({ id, parent: parentIn(held, job, kind, id), order });
	}
	return items.sort(compare);
}

/** removedIn returns the ids of entries that were taken out of the list of a parent. */
export function removedIn(held: Held, job: string, kind: string, parent: string): string[] {
	return held.slots(job).flatMap((slot) => {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || field !== "order" || wordIn(held, job, slot) !== null) return [];
		return parentIn(held, job, kind, id) === parent ? [id] : [];
	});
}

// parentIn is the entry that another belongs to, "" where it belongs to none.
function parentIn(held: Held, job: string, kind: string, id: string): string {
	const of = parentOf(kind);
	return of === "" ? "" : (wordIn(held, job, `${kind}/${id}/${of}`) ?? "");
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
	const of = parentOf(kind);
	const id = where.id ?? unused(held, job, kind);
	return { id, words: { order, ...(of !== "" && { [of]: parent }) } };
}

/** nextNumber is the number of a new entry, which outlives moves and removals, 0 for kinds without: behind all that were ever given, removed ones too. */
export function nextNumber(held: Held, job: string, kind: string, parent: string): number {
	if (!isNumbered(kind)) return 0;
	let entries = 0;
	let highest = 0;
	for (const slot of held.slots(job)) {
		const [k, id, field] = slot.split("/");
		if (k !== kind || !id || (field !== "order" && field !== "number")) continue;
		// tubes of all ports make one list
		if (kind !== "tube" && parentIn(held, job, kind, id) !== parent) continue;
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
