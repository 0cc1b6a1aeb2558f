// What lies on the table for one slot, from the records alone: enough to name
// in a new record what stood there, before and without the calculation. Which
// reading is used and whether readings agree is for the calculation to say.

import type { Envelope, Head, ReadingBody } from "./types";

export interface Table {
	heads: Envelope[]; // readings, by hlc then id
	aside: Envelope[]; // readings that a standing choice passed over
	replaced: Envelope[];
	retracted: Envelope[]; // readings
	choices: Envelope[]; // standing
}

/** tableOf sorts the records of one slot of one job. The order they come in does not matter. */
export function tableOf(records: Envelope[]): Table {
	const live = liveOf(records);
	const readings = records.filter((r) => r.kind === "reading").sort(byClock);
	const liveReadings = readings.filter((r) => live.has(r.id));
	const covered = coveredBy(liveReadings);
	const onTable = liveReadings.filter((r) => !covered.has(r.id));
	const liveChoices = records.filter((r) => r.kind === "choice" && live.has(r.id)).sort(byClock);
	const coveredChoices = coveredBy(liveChoices);
	const choices = liveChoices.filter((r) => !coveredChoices.has(r.id));
	const seen = new Set(choices.flatMap((c) => c.seen ?? []));
	const chosen = new Set(choices.map((c) => c.chosen));
	const isAside = (r: Envelope) => seen.has(r.id) && !chosen.has(r.id);
	return {
		heads: onTable.filter((r) => !isAside(r)),
		aside: onTable.filter(isAside),
		replaced: liveReadings.filter((r) => covered.has(r.id)),
		retracted: readings.filter((r) => !live.has(r.id)),
		choices,
	};
}

/** byClock orders records by hybrid clock, then id. */
export function byClock(a: Envelope, b: Envelope): number {
	if (a.hlc !== b.hlc) return a.hlc < b.hlc ? -1 : 1;
	if (a.id !== b.id) return a.id < b.id ? -1 : 1;
	return 0;
}

/** isLiveIn tells whether a record of the slot's records is not taken back. */
export const isLiveIn = (records: Envelope[], id: string): boolean => liveOf(records).has(id);

// liveOf: a record is live unless a live retract targets it. Retracts that
// target each other in a ring have no effect.
function liveOf(records: Envelope[]): Set<string> {
	const byID = new Map(records.map((r) => [r.id, r]));
	const against = new Map<string, Envelope[]>();
	for (const r of records) {
		if (r.kind !== "retract" || !r.target || inRing(r, byID)) continue;
		against.set(r.target, [...(against.get(r.target) ?? []), r]);
	}
	const known = new Map<string, boolean>();
	const isLive = (id: string): boolean => {
		const before = known.get(id);
		if (before !== undefined) return before;
		const live = !(against.get(id) ?? []).some((r) => isLive(r.id));
		known.set(id, live);
		return live;
	};
	return new Set(records.filter((r) => isLive(r.id)).map((r) => r.id));
}

function inRing(start: Envelope, byID: Map<string, Envelope>): boolean {
	const passed = new Set<string>();
	let at = start.target;
	while (at && !passed.has(at)) {
		if (at === start.id) return true;
		passed.add(at);
		const next = byID.get(at);
		at = next?.kind === "retract" ? next.target : undefined;
	}
	return false;
}

// coveredBy returns the ids that records of one kind name in over. Records
// that name each other in a ring cover nothing of the ring.
function coveredBy(records: Envelope[]): Set<string> {
	const over = new Map(records.map((r) => [r.id, r.over ?? []]));
	const reaches = (from: string, to: string): boolean => {
		const passed = new Set<string>();
		const rest = [from];
		for (let at = rest.pop(); at !== undefined; at = rest.pop()) {
			if (at === to) return true;
			if (passed.has(at)) continue;
			passed.add(at);
			rest.push(...(over.get(at) ?? []));
		}
		return false;
	};
	const covered = new Set<string>();
	for (const [id, below] of over) {
		for (const b of below) {
			if (over.has(b) && !reaches(b, id)) covered.add(b);
		}
	}
	return covered;
}

/** headOf shows a reading's record; a body of an unknown shape is shown empty rather than left out. */
export function headOf(r: Envelope): Head {
	const body = (typeof r.body === "object" && r.body !== null ? r.body : {}) as Partial<ReadingBody>;
	const head: Head = {
		id: r.id,
		dev: r.dev,
		hlc: r.hlc,
		text: body.text ?? "",
		unit: body.unit ?? "",
		tool: body.tool ?? "",
		person: body.person ?? "",
		at: body.at ?? "",
	};
	for (const key of ["nm", "udeg", "micro", "res"] as const) {
		const n = body[key];
		if (typeof n === "number") head[key] = n;
	}
	return head;
}
