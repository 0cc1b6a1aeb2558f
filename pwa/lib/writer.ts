// From an act to a record that is on the tablet's disk.

import type { Held } from "./held";
import { type Clock, encode, hold, newID } from "./record";
import { Known, NoRoom, type PhotoBytes, type Store } from "./store";
import type { Envelope, Stored } from "./types";
import type { Draft } from "./typesapp";

const BODY_VERSION = 1;
const RECORD_BYTES = 65_536; // the shop takes no longer ones

/** What an act says; the writer adds who, when and in which order. */
export type Part = Pick<Envelope, "kind" | "job" | "slot" | "body"> &
	Partial<Pick<Envelope, "id" | "over" | "seen" | "chosen" | "target">>;

/** What was to be kept cannot be, whatever the storage does; the person can shorten it. */
export class TooLong extends Error {}

export class Writer {
	/** Records that were made and are not known to be on the disk. */
	readonly unkept = new Map<string, Stored>();

	constructor(
		private store: Store,
		private held: Held,
		private clock: Clock,
		private now: () => number,
		private n: number, // of the last record made here
	) {}

	/** make turns parts into records, in that order. Nothing is kept yet. */
	async make(parts: Part[]): Promise<Stored[]> {
		const raws = parts.map((p) => {
			const { kind, job, slot, body, id, ...links } = p;
			const head = { id: id ?? newID(), dev: this.clock.dev, n: ++this.n, hlc: this.clock.tick() };
			return encode({ ...head, kind, job, slot, ...links, sv: BODY_VERSION, body });
		});
		for (const raw of raws) {
			const { length } = new TextEncoder().encode(raw);
			if (length > RECORD_BYTES)
				throw new TooLong(`text too long: ${length} bytes; allowed up to ${RECORD_BYTES}`);
		}
		return Promise.all(raws.map((raw) => hold(raw, null)));
	}

	/**
	 * keep resolves when the records are on the disk, all of them and the pictures
	 * they tell of, and the drafts they came from are gone. It rejects with Known
	 * when another record has one of their ids, with NoRoom when pictures do not fit.
	 */
	async keep(records: Stored[], drafts: Draft[] = [], photos: PhotoBytes[] = []): Promise<void> {
		const hlc = records[records.length - 1]?.hlc ?? "";
		const drop = drafts.map((d) => d.key);
		const settle = () => {
			for (const r of records) this.unkept.delete(r.id);
		};
		for (const r of records) this.unkept.set(r.id, r);
		try {
			await this.store.keep({ records, photos, at: this.now(), drop, meta: { n: this.n, hlc } });
		} catch (err) {
			const isRefused = err instanceof Known || err instanceof NoRoom; // others may yet be kept
			if (isRefused) settle();
			if (!(err instanceof Known) || !(await this.isThere(records))) throw err;
		}
		settle();
		for (const r of records) this.held.put(r);
	}

	// An earlier try may have been kept although the database reported trouble.
	private async isThere(records: Stored[]): Promise<boolean> {
		const there = new Map((await this.store.some(records.map((r) => r.id))).map((r) => [r.id, r.raw]));
		return records.every((r) => there.get(r.id) === r.raw);
	}
}
