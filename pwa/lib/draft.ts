// Half-typed texts. They are in memory at once and in the database 300 ms after
// the last key, or when the page is about to be hidden.

import type { Store } from "./store";
import type { Draft } from "./typesapp";

const PAUSE_MS = 300;

export class Drafts {
	private held = new Map<string, Draft>();
	private dirty = new Set<string>();
	private timer: ReturnType<typeof setTimeout> | null = null;
	private line: Promise<unknown> = Promise.resolve(); // one write after the other

	/** trouble is told when the database did not take the drafts; they stay in memory and go with the next write. */
	constructor(
		private store: Store,
		private now: () => number,
		private trouble: (err: unknown) => void,
	) {}

	async load(): Promise<void> {
		for (const d of await this.store.drafts()) if (!this.held.has(d.key)) this.held.set(d.key, d);
	}

	get(key: string): Draft | undefined {
		return this.held.get(key);
	}

	all(): Draft[] {
		return [...this.held.values()];
	}

	/** set keeps text under key; id is that of the form it is typed into. An empty text takes the draft away. */
	set(key: string, text: string, id: string): void {
		if (text === "") this.held.delete(key);
		else this.held.set(key, { key, text, id, at: this.now() });
		this.dirty.add(key);
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = setTimeout(() => void this.flush(), PAUSE_MS);
	}

	/**
	 * leaving runs act, whose transaction makes records of these drafts and takes them
	 * out of the database. No draft is written meanwhile: it would come back after its
	 * record. A text typed meanwhile stays.
	 */
	leaving<T>(drafts: Draft[], act: () => Promise<T>): Promise<T> {
		return this.inLine(async () => {
			const result = await act();
			for (const d of drafts) {
				if (this.held.get(d.key) === d) {
					this.held.delete(d.key);
					this.dirty.delete(d.key);
				} else if (this.held.has(d.key)) {
					this.dirty.add(d.key);
					void this.flush();
				}
			}
			return result;
		});
	}

	/** flush writes what is not yet in the database, without waiting for the pause to end. */
	flush(): Promise<void> {
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = null;
		return this.inLine(() => this.write());
	}

	private async write(): Promise<void> {
		const keys = [...this.dirty];
		if (keys.length === 0) return;
		this.dirty.clear();
		const put = keys.flatMap((k) => this.held.get(k) ?? []);
		try {
			await this.store.putDrafts(
				put,
				keys.filter((k) => !this.held.has(k)),
			);
		} catch (err) {
			for (const k of keys) this.dirty.add(k);
			this.trouble(err);
		}
	}

	private inLine<T>(act: () => Promise<T>): Promise<T> {
		const done = this.line.then(act);
		this.line = done.catch(() => {}); // who called act is told
		return done;
	}
}
