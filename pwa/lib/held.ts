// The records this tablet holds, in memory, by job and slot. The database is
// the truth; this is what screens read without waiting for it.

import { decode } from "./record";
import type { Envelope, Stored } from "./types";

/** The job that holds what is the same for all jobs, stock and saw. It is in no list of jobs. */
export const SHOP = "shop";

export interface HeldRecord extends Stored {
	env: Envelope;
}

export class Held {
	private byID = new Map<string, HeldRecord>();
	private byJob = new Map<string, Map<string, HeldRecord[]>>();
	private revisions = new Map<string, number>();

	/** put takes a record in, or a newer state of one that is in. It returns false for one it cannot read. */
	put(s: Stored): boolean {
		const known = this.byID.get(s.id);
		if (known && known.raw === s.raw) {
			known.pos = s.pos ?? known.pos;
			return true;
		}
		let env: Envelope;
		try {
			env = decode(s.raw);
		} catch {
			return false;
		}
		if (known) this.take(known);
		const record = { ...s, env };
		this.byID.set(s.id, record);
		const slots = this.byJob.get(s.job) ?? new Map<string, HeldRecord[]>();
		this.byJob.set(s.job, slots);
		const list = slots.get(s.slot) ?? [];
		slots.set(s.slot, list);
		list.push(record);
		this.revisions.set(s.job, this.revision(s.job) + 1);
		return true;
	}

	private take(r: HeldRecord): void {
		const list = this.byJob.get(r.job)?.get(r.slot) ?? [];
		list.splice(list.indexOf(r), 1);
	}

	/** forgetPlaces is for a shop whose log no longer holds what it held. */
	forgetPlaces(): void {
		for (const r of this.byID.values()) r.pos = null;
	}

	get(id: string): HeldRecord | undefined {
		return this.byID.get(id);
	}

	all(): HeldRecord[] {
		return [...this.byID.values()];
	}

	ids(): string[] {
		return [...this.byID.keys()];
	}

	jobs(): string[] {
		return [...this.byJob.keys()];
	}

	/** texts are the records that a job is worked out from, as their devices wrote them: its own and the shop's. */
	texts(job: string): string[] {
		const shop = job === SHOP ? [] : this.job(SHOP);
		return [...this.job(job), ...shop].map((r) => r.raw);
	}

	/** revision counts the records of a job that came in; an answer belongs to one revision. */
	revision(job: string): number {
		return this.revisions.get(job) ?? 0;
	}

	slot(job: string, slot: string): HeldRecord[] {
		return this.byJob.get(job)?.get(slot) ?? [];
	}

	slots(job: string): string[] {
		return [...(this.byJob.get(job)?.keys() ?? [])];
	}

	job(job: string): HeldRecord[] {
		return [...(this.byJob.get(job)?.values() ?? [])].flat();
	}
}
