// What the plan becomes with each reading of a slot, for the screen on which a
// person chooses between them. It is asked for when that screen opens; choosing
// never waits for it.

import { type Ask, parse } from "./answers";
import { loaded, running } from "./core";
import type { Held } from "./held";
import type { Point, Todo } from "./types";
import type { Finding } from "./typesplan";

/** A tube of which the readings make different things. What differs and is null cannot be worked out with this one. */
export interface HeadTube {
	id: string;
	differs: ("length" | "deviation" | "end" | "bore" | "pieces")[];
	length: number | null; // mm, as all lengths here
	deviation: number | null; // length less target
	within: boolean | null; // of the tolerance
	end: Point | null; // where it ends
	bore: number | null;
}

/** A port of which the readings make different outlines; null when this one makes none. */
export interface HeadPort {
	id: string;
	perimeter: number | null;
	area: number | null; // mm²
	equal_area: number | null; // bore of the round tube of equal area
}

type HeadFinding = Pick<Finding, "severity" | "rule" | "text">;

/** What is not the same with every reading on the table; keys are those of the calculation. */
export interface HeadPlan {
	id: string; // of the reading
	in_use: boolean;
	rests: boolean; // something of the plan rests on the slot; the same for all
	tubes: HeadTube[];
	ports: HeadPort[];
	swept_cc: number | null;
	spread: number | null;
	findings: HeadFinding[]; // stand with this reading
	gone: HeadFinding[]; // stand with another and not with this one
	todo: Todo[];
}

/** askWith asks the calculation for the plan with each reading of a slot. */
export async function askWith(ask: Ask, held: Held, job: string, slot: string): Promise<HeadPlan[]> {
	const records = held.texts(job);
	return parse<HeadPlan[] | null>(await ask("with", { op: "with", job, slot, records })) ?? [];
}

/**
 * withEach is askWith of the records on this tablet. It rejects with Superseded
 * when it was asked again meanwhile, else with a sentence.
 */
export function withEach(job: string, slot: string): Promise<HeadPlan[]> {
	const { env, held } = running();
	return askWith(env.ask, held, job, slot);
}

/** isOwn tells whether a record was made on this tablet. */
export const isOwn = (dev: string): boolean => loaded()?.clock.dev === dev;
