// The only owner of the connection to the tablet's database. Browsers let it die
// without saying so, forget writes that were not asked to be strict, and wait
// for ever when another window is in the way; all of that is dealt with here.

import { Known } from "./store";

const NAME = "tubewright";
const VERSION = 2;
const ANSWER_MS = 20_000; // no answer by then: the storage is taken for dead

/** What the database tells besides its answers: one sentence for the person. */
export type Tell = (sentence: string) => void;

export type Kind = "records" | "outbox" | "meta" | "drafts" | "photos" | "chunks" | "spare";
type Hand = (kind: Kind) => IDBObjectStore;
/** Work issues its requests at once and returns what reads their results. It gets finished data only: a transaction that waits for anything else ends by itself. */
export type Work<T> = (store: Hand, refuse: (err: Error) => void) => () => T;

export class Connection {
	private handle: Promise<IDBDatabase> | null = null;

	constructor(
		private factory: () => IDBFactory,
		private tell: Tell,
	) {}

	look<T>(kinds: Kind[], work: Work<T>): Promise<T> {
		return this.twice((db) => run(db.transaction(kinds, "readonly"), work));
	}

	/** write resolves when what work wrote is on the disk: strict says that complete means so, and not only handed to the system. */
	write<T>(kinds: Kind[], work: Work<T>): Promise<T> {
		return this.twice((db) => run(db.transaction(kinds, "readwrite", { durability: "strict" }), work));
	}

	/** cache is for what can be fetched again. */
	cache<T>(kinds: Kind[], work: Work<T>): Promise<T> {
		return this.twice((db) => run(db.transaction(kinds, "readwrite", { durability: "relaxed" }), work));
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
		opening.onupgradeneeded = (e) => upgrade(opening.result, e.oldVersion);
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

// upgrade only adds: what an older version of the app kept stays as it is.
function upgrade(db: IDBDatabase, from: number): void {
	if (from < 1) {
		db.createObjectStore("records", { keyPath: "id" }).createIndex("job", "job");
		db.createObjectStore("outbox", { keyPath: "id" });
		db.createObjectStore("meta", { keyPath: "key" });
		db.createObjectStore("drafts", { keyPath: "key" });
	}
	if (from < 2) {
		db.createObjectStore("photos", { keyPath: "sha" });
		db.createObjectStore("chunks", { keyPath: ["sha", "i"] });
		db.createObjectStore("spare"); // one value under one key: room for readings when the disk is full
	}
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

export const isNamed = (err: unknown, ...names: string[]) =>
	err instanceof DOMException && names.includes(err.name);
