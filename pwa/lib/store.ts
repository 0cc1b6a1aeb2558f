// What the rest of lib asks of the tablet's storage. db.ts is the real one;
// tests use one in memory. Every promise resolves after the transaction is
// complete, and rejects when nothing of it was kept.

import type { Stored } from "./types";
import type { Draft } from "./typesapp";

/** Small named values: dev, name, person, n, hlc, units, route, cursor, chain, heard, token, role, lookup. */
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

/** A picture that this tablet knows: a photo, or the preview of one. */
export interface PhotoRow {
	sha: string; // of its bytes, hex
	of: string; // sha of the photo that this is the preview of; "" for a photo
	job: string;
	type: string; // "image/jpeg", "image/png", "image/webp"
	size: number; // bytes
	w: number; // pixels, upright
	h: number;
	chunks: string[]; // sha256 of each chunk, hex
	state: "held" | "sent"; // sent: the shop has proved that it holds the bytes
	at: number; // ms since 1970
}

export interface PhotoBytes {
	row: PhotoRow;
	chunks: ArrayBuffer[]; // of at most 262,144 bytes each; a Blob is not safe in a database (some browsers store nothing)
}

export interface Keep {
	records: Stored[]; // own, new; they go into the outbox too
	photos?: PhotoBytes[]; // the pictures that the records tell of: all is kept or nothing
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

/** The tablet has no room for photos. Readings go on. */
export class NoRoom extends Error {
	constructor() {
		super(
			"this tablet has no room for more photos; readings are still saved. Send what is unsent to the shop, or take files off the tablet",
		);
	}
}

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
	/** keep refuses photos with NoRoom while readings would have to make way for them. */
	keep(k: Keep): Promise<void>;
	page(p: Page): Promise<void>;
	/** reoffer sets the place to the start and puts every held record into the outbox. */
	reoffer(at: number): Promise<void>;
	/**
	 * mend puts into the outbox what the shop has not yet shown, takes out what is
	 * no longer held, and returns what is then unsent. Only a storage that lost
	 * something needs it.
	 */
	mend(at: number): Promise<{ id: string; at: number }[]>;
	putMeta(m: Meta): Promise<void>;
	putDrafts(put: Draft[], drop: string[]): Promise<void>;
	photoRows(): Promise<PhotoRow[]>;
	/** chunk returns the bytes of one chunk, null when they are not held. */
	chunk(sha: string, i: number): Promise<ArrayBuffer | null>;
	/** putPhoto is for a picture fetched from the shop: it can be fetched again. */
	putPhoto(row: PhotoRow, chunks: ArrayBuffer[]): Promise<void>;
	setPhoto(row: PhotoRow): Promise<void>;
	/** dropChunks lets the bytes of a picture go; its row stays. */
	dropChunks(sha: string): Promise<void>;
	/** spare sees that there is room set aside for readings, and tells whether there is. */
	spare(): Promise<boolean>;
}
