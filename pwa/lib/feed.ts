// Reads one page of the shop's log: checks the hash chain over it, and says what
// of it is new here. All hashing is done before the database is touched.

import { chain, decode, encode, hold, idOf, sha256 } from "./record";
import type { Page, Place } from "./store";
import type { Stored } from "./types";

/** A record comes whole, or as id and hash when this very socket pushed it. */
export interface Feed {
	t: "feed";
	from: number;
	recs: (string | { id: string; h: string })[];
	to: number;
	chain: string;
}

export interface Read extends Page {
	/** Records that were pushed from here and came back with another hash. */
	doubtful: string[];
}

interface Line {
	id: string;
	h: string;
	raw: string | null; // null: own, read back by its hash
	pos: number;
}

/** read rejects when the page does not continue the log at from. held looks records up on this tablet. */
export async function read(f: Feed, from: Place, held: (ids: string[]) => Promise<Stored[]>): Promise<Read> {
	const lines = await Promise.all(f.recs.map((r, i) => lineOf(r, posOf(f, i))));
	let end = from.chain;
	for (const l of lines) end = await chain(end, l.id, l.h);
	if (end !== f.chain)
		throw new Error(`the shop's log from ${f.from} to ${f.to} does not continue what is held`);
	const page: Read = {
		from,
		to: { cursor: f.to, chain: end },
		records: [],
		own: [],
		echoed: lines.map(({ id, pos }) => ({ id, pos })),
		doubtful: [],
	};
	const here = new Map((await held(lines.map((l) => l.id))).map((r) => [r.id, r]));
	const ousted = new Map<string, Stored>(); // by the id under which it goes on
	for (const l of lines) {
		const mine = here.get(l.id);
		if (mine?.h === l.h) continue;
		if (l.raw === null) {
			page.doubtful.push(l.id);
			continue;
		}
		page.records.push(await hold(l.raw, l.pos));
		if (mine) ousted.set(idOf(mine.h), mine);
	}
	// Two tablets made different records under one id: one of them is a copy of the
	// other. The shop's stands; ours goes on under an id of its own, once, however
	// many tablets hold it.
	const there = new Set(lines.map((l) => l.id));
	for (const r of ousted.size > 0 ? await held([...ousted.keys()]) : []) there.add(r.id);
	for (const [id, mine] of ousted)
		if (!there.has(id)) page.own.push(await hold(encode({ ...decode(mine.raw), id }), null));
	return page;
}

/** idsOf lists the records of a page that is not read again. */
export const idsOf = (f: Feed): string[] => f.recs.map((r) => (typeof r === "string" ? decode(r).id : r.id));

async function lineOf(r: string | { id: string; h: string }, pos: number): Promise<Line> {
	if (typeof r !== "string") return { id: r.id, h: r.h, raw: null, pos };
	return { id: decode(r).id, h: await sha256(r), raw: r, pos };
}

// Positions are consecutive; should a page have gaps, each record counts as
// standing at its end, which never calls a record backed up too early.
const posOf = (f: Feed, i: number) => (f.recs.length === f.to - f.from ? f.from + i + 1 : f.to);
