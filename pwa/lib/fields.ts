// What can be entered: the field table (schema.json, written by the calculation)
// with the few questions that screens ask of it.

import schema from "./schema.json";
import type { Head, SlotView } from "./types";

export interface Field {
	name: string;
	label: string;
	quantity: "length" | "angle" | "number" | "word" | "text" | "date";
	unit?: string;
	low: number; // mm, degrees or plain
	high: number;
	likely?: [number, number]; // where most values lie
	required?: boolean;
	whole?: boolean;
	words?: string[];
	open?: boolean; // other words are allowed too
	refs?: string[]; // kinds of entities of which one's id is meant, or one of words
	when?: When; // asked only then
	event?: boolean; // said of a piece at the bench, by a tap of its own
	group?: string; // asked for together, apart from the rest
	help?: string;
}

/** A condition on a word in the same entity, of which "" stands for open, and another one that holds too. */
export interface When {
	field: string;
	is: string[];
	and?: When;
}

export interface Kind {
	name: string;
	label: string;
	plural?: string;
	single?: boolean;
	parent?: string;
	fields: Field[];
}

/** A slot with what it asks for: "port/p1/width". */
export interface Asked {
	slot: string;
	kind: string;
	id: string;
	field: Field;
}

export const kinds: Record<string, Kind | undefined> = Object.fromEntries(
	(schema.kinds as unknown as Kind[]).map((k) => [k.name, k]),
);

const slotOf = (kind: string, id: string, field: string) => `${kind}/${id}/${field}`;

/** isNote tells whether a field is text of low stakes, of which the latest is shown; the others are read. */
export const isNote = (f: Field): boolean => f.quantity === "text" || f.quantity === "date";

/** notesOf lists the fields of a kind that are notes. */
export const notesOf = (kind: string): Field[] =>
	(kinds[kind]?.fields ?? []).filter((f) => isNote(f) && !f.event);

/** isNumbered tells whether an entry bears a number of its own, chalked on the part. */
export const isNumbered = (kind: string): boolean =>
	kinds[kind]?.fields.some((f) => f.name === "number") === true;

/** parentOf names the field, and so the kind, that an entry belongs to one of; "" for a list of the job. A tube's is its port. */
export const parentOf = (kind: string): string => kinds[kind]?.parent ?? (kind === "tube" ? "port" : "");

/** asked reads a slot; null when the table does not know it. */
export function asked(slot: string): Asked | null {
	const [kind = "", id = "", name = ""] = slot.split("/");
	const field = kinds[kind]?.fields.find((f) => f.name === name);
	return field ? { slot, kind, id, field } : null;
}

/** jobField is a field of the job itself: its stages, its uses. */
export const jobField = (name: string): Field | undefined => kinds.job?.fields.find((f) => f.name === name);

/** used is the reading that stands for a slot. */
export function used(slot: SlotView | undefined): Head | undefined {
	if (!slot || slot.state === "missing") return undefined;
	return slot.heads.find((h) => h.id === slot.value) ?? slot.heads[0];
}

/**
 * asksFor lists the fields of an entity that are asked and read, given the words
 * entered so far: a round port has a diameter and no width. Those of a group of their
 * own, such as how a flange is made, are asked by its name.
 */
export function asksFor(kind: string, id: string, word: (slot: string) => string, group = ""): Asked[] {
	const asks: Asked[] = [];
	for (const field of kinds[kind]?.fields ?? []) {
		if ((field.group ?? "") !== group || isNote(field)) continue;
		if (holds(field.when, (name) => word(slotOf(kind, id, name))))
			asks.push({ slot: slotOf(kind, id, field.name), kind, id, field });
	}
	return asks;
}

function holds(when: When | undefined, word: (field: string) => string): boolean {
	for (let w = when; w; w = w.and) if (!w.is.includes(word(w.field))) return false;
	return true;
}

/** What is asked after a field though it may stay open: the two make sense together only. */
const PAIR: Record<string, string> = { "tube/collector": "socket" };

/** Fields that are read in one go: x, y, z of one place, the two ends of a range. "" where there are none. */
function groupOf(name: string): string {
	const axis = /^(.*?)_?[xyz]$/.exec(name);
	if (axis) return `${axis[1]}_`;
	const at = name.lastIndexOf("_");
	return at < 0 ? "" : name.slice(0, at + 1);
}

/** What few jobs need, by kind; it is asked for behind "more" until it has a value, the number given to it ever. */
const RARE: Record<string, string[] | undefined> = {
	tube: ["transition", "survey_sigma", "survey_clr", "trust_length", "trust_turn", "trust_rotation"],
	collector: ["pitch", "roll", "number"],
	point: ["sigma", "x", "y", "z", "number"],
	neighbour: ["fixed_to", "number"],
	tie: ["number"],
	tool: ["number"],
	part: ["up_x", "up_y", "up_z"],
	crook: ["crown_x", "crown_y", "crown_z"],
	pattern: ["path", "number"],
	hole: ["number"],
	opening: ["number"],
	element: ["number"],
	stock: ["number"],
};

/** Whose outline the points of a kind are. */
const OUTLINED: Record<string, string | undefined> = { rim: "port", spot: "opening" };

/** outlinedBy is the kind of what an outline point belongs to, "" for other kinds. */
export const outlinedBy = (kind: string): string => OUTLINED[kind] ?? "";

/** isRare tells whether a field is asked for behind "more" while it is open. */
export const isRare = (kind: string, name: string): boolean => RARE[kind]?.includes(name) === true;

/**
 * nextSlot is the slot to go to after one was kept, or "" when the person should
 * go back. It needs no answer of the calculation for the fields of the same
 * entity, so that entry flows while that is still at work. A required field leads
 * on to required ones; one that may stay open to the rest of its group, x to y to
 * z, and then to what is required; in what a job has once, such as the engine, to
 * all that is left. Beyond the entity it goes forward through what is to be
 * measured; an entry of a list leads no farther than its page, where the next one
 * is added.
 * left tells whether nothing was read for a slot yet; word is the text of a slot;
 * near whether a slot stands on the same page.
 */
export function nextSlot(
	todo: { slot: string }[],
	slot: string,
	left: (slot: string) => boolean,
	word: (slot: string) => string,
	near: (slot: string) => boolean,
): string {
	const here = asked(slot);
	if (!here) return "";
	const { kind, id, field } = here;
	const asks = asksFor(kind, id, word, field.group);
	const later = asks.slice(asks.findIndex((a) => a.slot === slot) + 1).filter((a) => left(a.slot));
	const isSingle = kinds[kind]?.single === true;
	const required = field.required === true;
	const group = groupOf(field.name);
	const isNext = (a: Asked) =>
		required ? a.field.required : isSingle || (group !== "" && groupOf(a.field.name) === group);
	const after =
		later.find((a) => a.field.name === PAIR[`${kind}/${field.name}`]) ??
		later.find(isNext) ??
		later.find((a) => a.field.required);
	if (after) return after.slot;
	if (!required) return "";
	const rest = todo.slice(todo.findIndex((t) => t.slot === slot) + 1);
	const isEntry = !isSingle && kind !== "bank";
	return rest.find((t) => asked(t.slot) && left(t.slot) && (!isEntry || near(t.slot)))?.slot ?? "";
}

/** Step is one of the steps in which a job is entered. */
export type Step =
	| "intake"
	| "size"
	| "measure"
	| "around"
	| "layout"
	| "bench"
	| "fixture"
	| "weld"
	| "inspect";

const STEPS: Record<string, Step> = {
	...{ job: "intake", engine: "intake", target: "intake", shop: "intake" },
	...{ sizing: "size", slip: "size", sensor: "size" },
	...{ bank: "measure", bolt: "measure", port: "measure", rim: "measure", plug: "measure" },
	...{ pattern: "measure", hole: "measure", opening: "measure", spot: "measure", print: "measure" },
	...{ tube: "layout", element: "layout", mark: "layout", crook: "layout" },
	...{ fixture: "fixture", station: "fixture" },
	...{ weld: "weld", hold: "weld" },
	...{ gauge: "inspect" },
	...{ tack: "bench", stock: "bench", use: "bench" },
};

/** stepOf returns the step in which a slot, or an entry of a kind, is entered: what is in no other are collectors, neighbours and how their places were found. */
export const stepOf = (slot: string): Step => STEPS[slot.split("/")[0] ?? ""] ?? "around";
