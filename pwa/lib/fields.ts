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
 * asksFor lists the fields of an entity that are asked, given the words entered
 * so far: a round port has a diameter and no width.
 */
export function asksFor(kind: string, id: string, word: (slot: string) => string): Asked[] {
	const asks: Asked[] = [];
	for (const field of kinds[kind]?.fields ?? []) {
		if (holds(field.when, (name) => word(slotOf(kind, id, name))))
			asks.push({ slot: slotOf(kind, id, field.name), kind, id, field });
	}
	return asks;
}

function holds(when: When | undefined, word: (field: string) => string): boolean {
	for (let w = when; w; w = w.and) if (!w.is.includes(word(w.field))) return false;
	return true;
}

/**
 * nextSlot is the slot to go to after one was kept, or "" when the person should
 * go back. It needs no answer of the calculation for the fields of the same
 * entity, so that entry flows while that is still at work. Beyond the entity it
 * goes forward through what is to be measured; an entry of a list leads no
 * farther than its page, where the next one is added.
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
	const asks = asksFor(here.kind, here.id, word);
	const at = asks.findIndex((a) => a.slot === slot);
	const required = here.field.required === true;
	const after = asks.slice(at + 1).find((a) => left(a.slot) && (!required || a.field.required));
	if (after) return after.slot;
	if (!required) return "";
	const rest = todo.slice(todo.findIndex((t) => t.slot === slot) + 1);
	const isEntry = kinds[here.kind]?.parent !== undefined || here.kind === "tube";
	return rest.find((t) => asked(t.slot) && left(t.slot) && (!isEntry || near(t.slot)))?.slot ?? "";
}
