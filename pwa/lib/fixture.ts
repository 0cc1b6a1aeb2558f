// What a person decides of a fixture: which stations stand, where, and of what the mock-up is.

import { lengthReading } from "./computed";
import { once, running, write } from "./core";
import { listIn, nextNumber } from "./entity";
import { draftKey } from "./forms";
import { between } from "./order";
import table from "./pipes.json";
import { type Fields, numbered, partsOf, retract } from "./state";
import { tableOf } from "./table";
import { parseLength } from "./typed";
import type { ReadingInput } from "./types";
import type { FixtureStation } from "./typesfixture";
import type { PlanPiece } from "./typesplan";
import type { Part } from "./writer";

/** A pipe that mock-ups are made of; its OD in inches as printed in ASTM D1785, table 1. */
export interface Pipe {
	nps: string;
	od: string;
}

export const pipes: Pipe[] = table.pipes;

/** pipeReading is the OD of a pipe as it is kept. */
export function pipeReading(p: Pipe): ReadingInput {
	const text = `${p.od} in`;
	const typed = parseLength(text, "in");
	if ("error" in typed) throw new Error(`${text}: ${typed.error.why}`);
	return {
		text,
		unit: typed.unit,
		v: typed.v,
		res: typed.res,
		quantity: "length",
		tool: `ASTM D1785, NPS ${p.nps}`,
	};
}

/** odOf is the OD of a pipe in mm. */
export const odOf = (p: Pipe): number => Number(p.od) * 25.4;

/** straightAt is where the straight that a place on a tube lies on begins and ends, along the centreline from the port face; null on a bend. */
export function straightAt(pieces: PlanPiece[], along: number): { from: number; to: number } | null {
	let from = 0;
	for (const p of pieces) {
		const to = from + p.length;
		if (p.kind === "straight" && along >= from - SAME_MM && along <= to + SAME_MM) return { from, to };
		from = to;
	}
	return null;
}

const SAME_MM = 0.01; // figures of the plan are rounded

/** movedKey is where steps are kept by which a station was moved and that nobody has kept yet. */
export const movedKey = (job: string, station: string): string => draftKey(job, `station/${station}/moved`);

/**
 * keepStations keeps stations as a person's own, as one act: a suggested one with what it holds and where, each with
 * what else is said of it. It returns what takes it back.
 */
export async function keepStations(
	job: string,
	stations: FixtureStation[],
	said: Fields = {},
): Promise<() => Promise<void>> {
	const what = `stations ${job} ${JSON.stringify([stations.map((s) => s.id), said])}`;
	const records = await once(what, async () => {
		const { held } = running();
		const all = listIn(held, job, "station");
		let order = all.at(-1)?.order ?? "";
		let number = nextNumber(held, job, "station", "");
		const parts = stations.flatMap((s): Part[] => {
			if (all.some((e) => e.id === s.id)) return partsOf(job, "station", s.id, said);
			order = between(order, "");
			const on = s.tube || s.collector;
			const along = lengthReading(s.along, SUGGESTED);
			return partsOf(job, "station", s.id, { order, ...numbered(number++), on, along, ...said });
		});
		return write(parts.map((p) => ({ ...p, ...over(job, p.slot) })));
	});
	return async () => {
		await retract(
			job,
			records.map((r) => r.id),
		);
	};
}

const SUGGESTED = "suggested by the fixture"; // the tool of a place that was worked out

// over names the readings that a new one stands over.
function over(job: string, slot: string): { over?: string[] } {
	const heads = tableOf(
		running()
			.held.slot(job, slot)
			.map((r) => r.env),
	).heads.map((h) => h.id);
	return heads.length > 0 ? { over: heads } : {};
}
