// The only owner of the tablet's database. Browsers let the connection die
// without saying so, forget writes that were not asked to be strict, and wait
// for ever when another window is in the way; all of that is dealt with here.

import {
	type Keep,
	Known,
	type Meta,
	Moved,
	type Page,
	type Place,
	START,
	type Store,
	type Unsent,
} from "./store";
import type { Draft, Stored } from "./types";

const NAME = "tubewright";
const VERSION = 1;
const ANSWER_MS = 20_000; // no answer by then: the storage is taken for dead

/** What the database tells besides its answers: one sentence for the person. */
export type Tell = (sentence: string) => void;

type Kind = "records" | "outbox" | "meta" | "drafts";
type Work<T> = (store: (kind: Kind) => IDBObjectStore, refuse: (err: Error) => void) => () => T;

export class Database implements Store {
	private handle: Promise<IDBDatabase> | null = null;

	constructor(
		private factory: () => IDBFactory,
		private tell: Tell,
	) {}

	records = (): Promise<Stored[]> =>
		this.look(["records"], (s) => {
			const all = s("records").getAll();
			return () => all.result as Stored[];
		});

	some = (ids: string[]): Promise<Stored[]> =>
		this.look(["records"], (s) => {
			const found = ids.map((id) => s("records").get(id));
			return () => found.flatMap((r) => (r.result as Stored | undefined) ?? []);
		});

	meta = (): Promise<Meta> =>
		this.look(["meta"], (s) => {
			const all = s("meta").getAll();
			return () =>
				Object.fromEntries((all.result as { key: string; value: unknown }[]).map((m) => [m.key, m.value]));
		});

	drafts = (): Promise<Draft[]> =>
		this.look(["drafts"], (s) => {
			const all = s("drafts").getAll();
			return () => all.result as Draft[];
		});

	outbox = (): Promise<{ id: string; at: number }[]> =>
		this.look(["outbox"], (s) => {
			const all = s("outbox").getAll();
			return () => (all.result as { id: string; at: number }[]).sort((a, b) => a.at - b.at);
		});

	async unsent(max: number, maxBytes: number, skip: ReadonlySet<string>): Promise<Unsent[]> {
		const waiting = (await this.outbox()).filter((u) => !skip.has(u.id)).slice(0, max);
		if (waiting.length === 0) return [];
		return fitting(await this.some(waiting.map((u) => u.id)), maxBytes);
	}

	place = (): Promise<Place> =>
		this.look(["meta"], (s) => {
			const at = placeIn(s("meta"));
			return () => at();
		});

	keep = (k: Keep): Promise<void> =>
		this.write(["records", "outbox", "drafts", "meta"], (s) => {
			for (const r of k.records) {
				s("records").add(r);
				s("outbox").put({ id: r.id, at: k.at });
			}
			for (const key of k.drop) s("drafts").delete(key);
			putMeta(s("meta"), k.meta);
			return () => {};
		});

	page = (p: Page): Promise<void> =>
		this.write(["records", "outbox", "meta"], (s, refuse) => {
			const at = placeIn(s("meta"), () => {
				const { cursor, chain } = at();
				if (cursor !== p.from.cursor || chain !== p.from.chain) {
					refuse(new Moved(`the cursor stands at ${cursor}, the page starts at ${p.from.cursor}`));
					return;
				}
				for (const r of p.records) s("records").put(r);
				for (const { id, pos } of p.echoed) {
					s("outbox").delete(id);
					setPos(s("records"), id, pos);
				}
				for (const r of p.own) {
					s("records").put(r);
					s("outbox").put({ id: r.id, at: Date.now() });
				}
				putMeta(s("meta"), { ...p.to });
			});
			return () => {};
		});

	reoffer = (at: number): Promise<void> =>
		this.write(["records", "outbox", "meta"], (s) => {
			const all = s("records").getAll();
			all.onsuccess = () => {
				for (const r of all.result as Stored[]) {
					if (r.pos === null) continue; // waits in the outbox already
					s("records").put({ ...r, pos: null });
					s("outbox").put({ id: r.id, at });
				}
				putMeta(s("meta"), { ...START });
			};
			return () => {};
		});

	putMeta = (m: Meta): Promise<void> =>
		this.write(["meta"], (s) => {
			putMeta(s("meta"), m);
			return () => {};
		});

	putDrafts = (put: Draft[], drop: string[]): Promise<void> =>
		this.write(["drafts"], (s) => {
			for (const d of put) s("drafts").put(d);
			for (const key of drop) s("drafts").delete(key);
			return () => {};
		});

	private look<T>(kinds: Kind[], work: Work<T>): Promise<T> {
		return this.twice((db) => run(db.transaction(kinds, "readonly"), work));
	}

	// strict: complete then means on the disk, not only handed to the system.
	private write<T>(kinds: Kind[], work: Work<T>): Promise<T> {
		return this.twice((db) => run(db.transaction(kinds, "readwrite", { durability: "strict" }), work));
	}

	// twice: a connection found dead is replaced and the work done again, once.
	private async twice<T>(act: (db: IDBDatabase) => Promise<T>): Promise<T> {
		try {
			return await act(await this.open());
		} catch (err) {
			if (isNamed(err, "TimeoutError")) this.forget(); // the next try opens anew
			if (!isNamed(err, ...DEAD)) throw err;
			this.forget();
			return act(await this.open());
		}
	}

	private open(): Promise<IDBDatabase> {
		const opening = this.handle ?? connect(this.factory, this.tell, () => this.forget());
		this.handle = opening;
		opening.catch(() => {
			if (this.handle === opening) this.handle = null;
		});
		return opening;
	}

	private forget(): void {
		const old = this.handle;
		this.handle = null;
		old?.then(
			(db) => db.close(),
			() => {},
		);
	}
}

function connect(factory: () => IDBFactory, tell: Tell, gone: () => void): Promise<IDBDatabase> {
	return new Promise((resolve, reject) => {
		const opening = factory().open(NAME, VERSION);
		const late = () =>
			reject(new Error("this tablet's storage does not open; close the app and open it again"));
		const limit = setTimeout(late, ANSWER_MS);
		opening.onupgradeneeded = () => {
			const db = opening.result;
			db.createObjectStore("records", { keyPath: "id" }).createIndex("job", "job");
			db.createObjectStore("outbox", { keyPath: "id" });
			db.createObjectStore("meta", { keyPath: "key" });
			db.createObjectStore("drafts", { keyPath: "key" });
		};
		opening.onblocked = () => {
			clearTimeout(limit);
			tell("another window of this app uses an older version: close it, this one then goes on by itself");
		};
		opening.onerror = () => {
			clearTimeout(limit);
			reject(opening.error ?? new Error("this tablet's storage does not open"));
		};
		opening.onsuccess = () => {
			clearTimeout(limit);
			const db = opening.result;
			db.onversionchange = () => {
				gone();
				tell("this app was updated in another window: load this one again");
			};
			db.onclose = gone;
			resolve(db);
		};
	});
}

// run resolves when the transaction is complete. work issues all its requests
// at once, or in the success of one of them: a transaction that waits for
// anything else ends by itself.
function run<T>(tx: IDBTransaction, work: Work<T>): Promise<T> {
	return new Promise((resolve, reject) => {
		let refused: Error | null = null;
		const refuse = (err: Error) => {
			refused = err;
			tx.abort();
		};
		const limit = setTimeout(() => {
			reject(new DOMException("this tablet's storage does not answer", "TimeoutError"));
			abort(tx); // what was called not kept must not be kept later
		}, ANSWER_MS);
		let result: () => T;
		tx.oncomplete = () => {
			clearTimeout(limit);
			resolve(result());
		};
		tx.onabort = () => {
			clearTimeout(limit);
			if (refused) reject(refused);
			else if (tx.error?.name === "ConstraintError") reject(new Known(tx.error.message));
			else reject(tx.error ?? new DOMException("this tablet's storage broke off", "AbortError"));
		};
		try {
			result = work((kind) => tx.objectStore(kind), refuse);
		} catch (err) {
			clearTimeout(limit);
			tx.onabort = null;
			abort(tx);
			reject(err);
		}
	});
}

function abort(tx: IDBTransaction): void {
	try {
		tx.abort();
	} catch {
		// it has ended by itself
	}
}

const DEAD = ["UnknownError", "InvalidStateError", "AbortError", "TransactionInactiveError"];

const isNamed = (err: unknown, ...names: string[]) => err instanceof DOMException && names.includes(err.name);

function putMeta(meta: IDBObjectStore, m: Meta): void {
	for (const [key, value] of Object.entries(m)) meta.put({ key, value });
}

// placeIn reads where this tablet stands; then is called as soon as it is known.
function placeIn(meta: IDBObjectStore, then?: () => void): () => Place {
	const cursor = meta.get("cursor");
	const chain = meta.get("chain");
	if (then) chain.onsuccess = then; // requests succeed in the order they were made
	return () => ({
		cursor: (cursor.result?.value as number | undefined) ?? START.cursor,
		chain: (chain.result?.value as string | undefined) ?? START.chain,
	});
}

function setPos(records: IDBObjectStore, id: string, pos: number): void {
	const found = records.get(id);
	found.onsuccess = () => {
		if (found.result) records.put({ ...(found.result as Stored), pos });
	};
}

// fitting takes records from the front while they fit into maxBytes as they travel; the first always.
function fitting(records: Stored[], maxBytes: number): Unsent[] {
	const out: Unsent[] = [];
	let bytes = 0;
	for (const { id, raw } of records) {
		bytes += new TextEncoder().encode(JSON.stringify(raw)).length + 1;
		if (out.length > 0 && bytes > maxBytes) break;
		out.push({ id, raw });
	}
	return out;
}
