// What is known of a slot right now. The calculation's answer is used where it is
// up to date; until then the tablet's own records say the same, so that a value is
// on screen as soon as it is kept, with or without the calculation.

import { kinds, parentOf } from "../lib/fields";
import {
	choicesOf,
	type ListItem,
	listOf,
	noteText,
	type RawReading,
	readingsOf,
	type SlotView,
	view,
} from "../lib/state";
import { bank as bankWords } from "../lib/textbank";
import { tubes as tubesWords } from "../lib/texttube";

/** known is the state of a slot and the readings on the table. */
export function known(job: string, slot: string): SlotView {
	const v = view.value;
	if (v && v.job === job && !v.stale) {
		return v.slots[slot] ?? { state: "missing", value: "", heads: [] };
	}
	const readings = readingsOf(job, slot);
	const heads = readings.filter((r) => r.standing === "head");
	const aside = readings.filter((r) => r.standing === "aside");
	const first = heads[0];
	if (!first) return { state: "missing", value: "", heads };
	const agree = heads.every((a) => heads.every((b) => agrees(a, b)));
	const chosen = new Set(choicesOf(job, slot).map((c) => c.chosen));
	const split = heads.filter((h) => chosen.has(h.id)).length > 1;
	const state = !agree || split ? "disputed" : aside.length > 0 ? "chosen" : "agreed";
	return { state, value: first.id, heads, aside };
}

/** word is the text in use of a slot, "" when there is none. */
export function word(job: string, slot: string): string {
	const s = known(job, slot);
	return (s.heads.find((h) => h.id === s.value) ?? s.heads[0])?.text ?? "";
}

/** siblings is the list that an entry is moved in: tubes of all ports make one list, points of one straight each their own. */
export function siblings(job: string, kind: string, id: string): ListItem[] {
	const all = listOf(job, kind);
	if (kind === "tube") return all;
	const parent = all.find((e) => e.id === id)?.parent;
	const own = all.filter((e) => e.parent === parent);
	return kind === "mark" ? own.filter((e) => straightOf(job, e.id) === straightOf(job, id)) : own;
}

/** straightOf is the straight, as entered, that a point of a mock-up lies on. */
export const straightOf = (job: string, id: string): string => word(job, `mark/${id}/straight`);

/** numberOf is the number that an entry bears, or else its place in its list; 0 when it is in none. */
export function numberOf(job: string, kind: string, id: string): number {
	const place = siblings(job, kind, id).findIndex((e) => e.id === id) + 1;
	return place === 0 ? 0 : Number(word(job, `${kind}/${id}/number`)) || place;
}

/** titleOf names an entry as people do: by its number. */
export function titleOf(job: string, kind: string, id: string): string {
	const n = numberOf(job, kind, id);
	return kind !== "bank" && n === 0 ? id : titleAs(job, kind, id, n);
}

/** titleAs names an entry that bears the number n, also one that is in no list any more. */
export function titleAs(job: string, kind: string, id: string, n: number): string {
	switch (kind) {
		case "bank":
			return bankWords.title(id);
		case "bolt":
			return bankWords.bolt(n);
		case "port": {
			const cylinder = word(job, `port/${id}/cylinder`);
			return cylinder ? `${bankWords.port(n)}, ${bankWords.cylinder(cylinder)}` : bankWords.port(n);
		}
		case "tube":
			return tubesWords.tube(n);
		case "element":
			return word(job, `element/${id}/type`) === "bend" ? tubesWords.bend(n) : tubesWords.straight(n);
		default: {
			const { label = "", single } = kinds[kind] ?? {};
			if (single) return label;
			return [label, n > 0 ? ` ${n}` : "", called(job, kind, id)].join("");
		}
	}
}

// called is what tells an entry from others beside its number: its name, what it is, its shape, where it was taped from.
function called(job: string, kind: string, id: string): string {
	const slot = (field: string) => `${kind}/${id}/${field}`;
	const from = kind === "tape" ? word(job, slot("from")) : "";
	if (from !== "") return `, ${nameOf(job, from)}`;
	const name =
		noteText(job, slot("name")) ||
		noteText(job, slot("what")) ||
		word(job, slot(kind === "part" ? "shape" : "what"));
	return name === "" ? "" : ` (${name})`;
}

/** nameOf names the entry that an id alone stands for, as the plan gives it. */
export function nameOf(job: string, id: string): string {
	const kind = NAMED.find((k) => listOf(job, k).some((e) => e.id === id));
	return kind ? titleOf(job, kind, id) : id;
}

const NAMED = ["tube", "neighbour", "collector", "bolt", "port", "point", "plug", "tool", "bank", "tie"];

/** ownerTitle names what a slot belongs to: "Port 2, cylinder 3", "Engine", "Tube 1, 2 bend". */
export function ownerTitle(job: string, slot: string): string {
	const [kind = "", id = ""] = slot.split("/");
	if (kinds[kind]?.single) return kinds[kind]?.label ?? kind;
	const own = titleOf(job, kind, id);
	const parent = kind === "tube" ? "" : parentOf(kind);
	if (parent === "" || parent === "bank") return own;
	const of = listOf(job, kind).find((e) => e.id === id)?.parent ?? "";
	return `${ownerTitle(job, `${parent}/${of}`)}, ${own}`;
}

/** bankOf is the bank that an entry belongs to, the first one where it names none. */
export function bankOf(job: string, kind: string, id: string): string {
	if (kind === "bank") return id;
	const own = parentOf(kind) === "bank" && listOf(job, kind).find((e) => e.id === id)?.parent;
	return own || listOf(job, "bank")[0]?.id || "";
}

// Within each other's stated resolutions: not farther apart than the smaller one.
function agrees(a: RawReading, b: RawReading): boolean {
	const [x, y] = [a, b].map((r) => r.nm ?? r.udeg ?? r.micro);
	if (x === undefined || y === undefined) return a.text === b.text;
	return Math.abs(x - y) <= Math.min(a.res ?? 0, b.res ?? 0);
}
