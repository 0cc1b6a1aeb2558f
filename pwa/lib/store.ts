// What the rest of lib asks of the tablet's storage. db.ts is the real one;
// tests use one in memory. Every promise resolves after the transaction is
// complete, and rejects when nothing of it was kept.

import type { Draft, Stored } from "./types";

/** Small named values: dev, name, person, n, hlc, units, route, cursor, chain, heard. */
export type Meta = Record<string, unknown>;

export interface Place {
	cursor: number; // position in the shop's log up to which everything is held
	chain: string; // hash chain there, hex
}

export const START: Place = { cursor: 0, chain: "0".repeat(64) };

export interface Unsent {
	id: string;
	raw: string;
}

export interface Keep {
	records: Stored[]; // own, new; they go into the outbox too
	at: number; // ms since 1970, when they were kept
	drop: string[]; // keys of drafts that have become records
	meta: Meta;
}

export interface Page {
	from: Place; // refused unless the store stands exactly here
	to: Place;
	records: Stored[]; // with their position; what is already held is kept as it is
	own: Stored[]; // records made again under a new id; they go into the outbox
	echoed: { id: string; pos: number }[]; // read back from the shop: leave the outbox
}

/** The store stands elsewhere than the page starts: another window was quicker. */
export class Moved extends Error {}

/** A record with this id is already held. */
export class Known extends Error {}

export interface Store {
	records(): Promise<Stored[]>;
	some(ids: string[]): Promise<Stored[]>;
	meta(): Promise<Meta>;
	drafts(): Promise<Draft[]>;
	/** outbox lists what is unsent, oldest first. */
	outbox(): Promise<{ id: string; at: number }[]>;
	/** unsent returns the oldest records of the outbox that are not in skip, within both limits. */
	unsent(max: number, maxBytes: number, skip: ReadonlySet<string>): Promise<Unsent[]>;
	place(): Promise<Place>;
	keep(k: Keep): Promise<void>;
	page(p: Page): Promise<void>;
	/** reoffer sets the place to the start and puts every held record into the outbox. */
	reoffer(at: number): Promise<void>;
	putMeta(m: Meta): Promise<void>;
	putDrafts(put: Draft[], drop: string[]): Promise<void>;
}
