// Tablets for a page of a real browser: the app's own database, writer and sync,
// several of them side by side, each in a database of its own. A test from
// outside says what happens to them.

import { Database } from "../db";
import { Held } from "../held";
import { Poll } from "../poll";
import { Clock, newID } from "../record";
import { Known } from "../store";
import { type Socket, Sync, type Told, type World } from "../sync";
import type { Stored } from "../types";
import { type Part, Writer } from "../writer";

const SPEED = 10; // seconds that pass for a tablet in one of ours: waiting for a retry is most of its life
const begun = Date.now();

/** What of a program's life a test decides. */
interface Life {
	left: number; // transactions until it dies
}

// Each open connection belongs to one program; the next transaction after its
// last is refused like everything a dead program would do.
const lives = new WeakMap<IDBDatabase, Life>();
const transaction = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	const life = lives.get(this);
	if (life && life.left <= 0) throw new DOMException("killed", "QuotaExceededError");
	if (life && mode === "readwrite") life.left--;
	return transaction.call(this, stores, mode, options);
};

/** factoryOf opens databases under names of their own and gives each connection its life. */
function factoryOf(name: string, life: Life): IDBFactory {
	const open = (db: string, version?: number) => {
		const opening = indexedDB.open(`${name} ${db}`, version);
		opening.addEventListener("success", () => lives.set(opening.result, life));
		return opening;
	};
	return { open } as IDBFactory;
}

const database = (name: string) => `${name} tubewright`;

class Tablet {
	life: Life = { left: Number.POSITIVE_INFINITY };
	skew = 0;
	polls = false; // frames go over plain requests
	isRunning = false;
	private isBusy = false;
	private saved: string[] = [];
	private failed = 0;
	dev = "";
	store!: Database;
	private looker: Database; // lives on when the program dies
	private held!: Held;
	private writer!: Writer;
	private sync!: Sync;

	constructor(readonly name: string) {
		this.looker = new Database(
			() => factoryOf(name, { left: Number.POSITIVE_INFINITY }),
			() => {},
		);
	}

	now = (): number => begun + SPEED * (Date.now() - begun) + this.skew;

	/** begin starts the program on what is on the disk; the one before it is dead. */
	async begin(dev: string): Promise<void> {
		this.die();
		const life = { left: Number.POSITIVE_INFINITY };
		this.life = life;
		this.store = new Database(
			() => factoryOf(this.name, life),
			() => {},
		);
		const meta = await this.store.meta();
		this.dev = typeof meta.dev === "string" ? meta.dev : dev;
		if (meta.dev === undefined) await this.store.putMeta({ dev });
		const clock = new Clock(this.dev, this.now);
		if (typeof meta.hlc === "string") clock.restore(meta.hlc);
		this.held = new Held();
		for (const r of await this.store.records()) this.held.put(r);
		this.writer = new Writer(this.store, this.held, clock, this.now, typeof meta.n === "number" ? meta.n : 0);
		this.sync = new Sync(this.world(life), this.store, this.who, this.told(clock));
		this.isRunning = true;
	}

	die(): void {
		this.life.left = 0;
		if (this.isRunning) this.sync.stop();
		this.isRunning = false;
	}

	connect(): void {
		this.sync.start();
	}

	/** act keeps one record and returns its text; it rejects when nothing was kept. */
	async act(part: Part): Promise<string> {
		const keep = async (p: Part) => {
			const made = await this.writer.make([p]);
			await this.writer.keep(made);
			return (made[0] as Stored).raw;
		};
		let raw: string;
		try {
			raw = await keep(part);
		} catch (err) {
			if (!(err instanceof Known)) throw err;
			raw = await keep({ ...part, id: newID() });
		}
		this.sync.grown();
		return raw;
	}

	private who = () => ({ dev: this.dev, name: this.name, build: "test", unsent: 0, token: "" });

	private world(life: Life): World {
		return {
			socket: () => {
				if (life.left <= 0) throw new Error("killed");
				const who = `?t=${this.name}`;
				if (this.polls) return new Poll((path, init) => fetch(path + who, init));
				return new WebSocket(`ws://${location.host}/sync${who}`) as unknown as Socket;
			},
			now: this.now,
			random: Math.random,
			after: (ms, act) => {
				const timer = setTimeout(act, ms / SPEED);
				return () => clearTimeout(timer);
			},
		};
	}

	// What the app does when the sync tells it something, as far as records go.
	private told(clock: Clock): Told {
		const told: Partial<Told> = {
			fed: (records, own, echoed) => {
				for (const r of [...records, ...own]) this.held.put(r);
				for (const r of records) clock.meet(r.hlc, this.now());
				for (const { id, pos } of echoed) {
					const known = this.held.get(id);
					if (known) known.pos = pos;
				}
			},
			reread: async (ids) => {
				for (const r of await this.store.some(ids)) this.held.put(r);
			},
			reoffered: async () => this.held.forgetPlaces(),
		};
		return new Proxy(told, { get: (t, key) => t[key as keyof Told] ?? (() => {}) }) as Told;
	}

	/** storm keeps one record after the other, ms apart, until calm. */
	async storm(ms: number): Promise<void> {
		this.isBusy = true;
		for (let i = 0; this.isBusy; i++) {
			const at = new Date(this.now()).toISOString();
			const body = { text: `${i}`, unit: "mm", nm: i * 1000, tool: "", person: "Rowan", at };
			const slot = `bolt/${this.name}-${Math.floor(i / 20)}/x`;
			await this.act({ kind: "reading", job: "j1", slot, body }).then(
				(raw) => this.saved.push(raw),
				() => this.failed++,
			);
			await new Promise((done) => setTimeout(done, ms));
		}
	}

	/** calm ends the storm and returns what was shown as saved, and how often it was not. */
	calm(): { saved: string[]; failed: number } {
		this.isBusy = false;
		return { saved: this.saved, failed: this.failed };
	}

	/** slot returns the texts of one slot's records, as the screens know them. */
	slot(slot: string): string[] {
		return this.held.slot("j1", slot).map((r) => r.raw);
	}

	/** disk returns what is on the disk. */
	async disk(): Promise<object> {
		const records = (await this.looker.records()).map(({ id, raw, pos }) => ({ id, raw, pos: pos ?? 0 }));
		const outbox = (await this.looker.outbox()).map((u) => u.id);
		return { dev: this.dev, records, outbox, ...(await this.looker.place()) };
	}

	/** place returns where the tablet stands and how much waits in its outbox. */
	async place(): Promise<object> {
		return { ...(await this.looker.place()), unsent: (await this.looker.outbox()).length };
	}
}

const tablets = new Map<string, Tablet>();
const of = (name: string) => {
	const t = tablets.get(name);
	if (!t) throw new Error(`no tablet ${name}`);
	return t;
};

const done = <T>(r: IDBRequest<T>): Promise<T> =>
	new Promise((resolve, reject) => {
		r.onsuccess = () => resolve(r.result);
		r.onerror = () => reject(r.error);
	});

/** read takes everything out of a tablet's database in one transaction: a copy of its disk. */
async function read(name: string): Promise<Map<string, { keys: IDBValidKey[]; values: unknown[] }>> {
	await of(name).disk(); // makes the database where there is none
	const db = await done(indexedDB.open(database(name)));
	try {
		const tx = db.transaction([...db.objectStoreNames]);
		const all = [...db.objectStoreNames].map(async (kind) => {
			const [keys, values] = await Promise.all([
				done(tx.objectStore(kind).getAllKeys()),
				done(tx.objectStore(kind).getAll()),
			]);
			return [kind, { keys, values }] as const;
		});
		return new Map(await Promise.all(all));
	} finally {
		db.close();
	}
}

/** write puts a copy in the place of everything in a tablet's database. */
async function write(name: string, copy: Awaited<ReturnType<typeof read>>): Promise<void> {
	await of(name).disk();
	const db = await done(indexedDB.open(database(name)));
	try {
		const tx = db.transaction([...copy.keys()], "readwrite");
		for (const [kind, { keys, values }] of copy) {
			const store = tx.objectStore(kind);
			store.clear();
			values.forEach((value, i) => {
				store.put(value, store.keyPath === null ? keys[i] : undefined);
			});
		}
		await new Promise((resolve, reject) => {
			tx.oncomplete = resolve;
			tx.onabort = () => reject(tx.error);
		});
	} finally {
		db.close();
	}
}

const copies = new Map<string, Awaited<ReturnType<typeof read>>>();

/** What a test can do. Everything takes the tablet's name first. */
const real = {
	async begin(name: string, dev: string): Promise<void> {
		const t = tablets.get(name) ?? new Tablet(name);
		tablets.set(name, t);
		await t.begin(dev);
	},
	isAlive: (name: string) => of(name).isRunning && of(name).life.left > 0,
	/** connect opens a new socket; there may be one. */
	connect: (name: string) => of(name).connect(),
	die: (name: string) => of(name).die(),
	dieAfter(name: string, transactions: number): void {
		of(name).life.left = transactions;
	},
	skew(name: string, ms: number): void {
		of(name).skew = ms;
	},
	poll(name: string): void {
		of(name).polls = true;
	},
	act: (name: string, part: Part) => of(name).act(part),
	slot: (name: string, slot: string) => of(name).slot(slot),
	disk: (name: string) => of(name).disk(),
	place: (name: string) => of(name).place(),
	storm: (name: string, ms: number): void => void of(name).storm(ms),
	calm: (name: string) => of(name).calm(),
	async copy(name: string): Promise<void> {
		copies.set(name, await read(name));
	},
	async putBack(name: string): Promise<boolean> {
		const copy = copies.get(name);
		of(name).die();
		if (copy) await write(name, copy);
		return copy !== undefined;
	},
	async wipe(name: string): Promise<void> {
		of(name).die();
		const all = await read(name);
		for (const kind of all.keys()) all.set(kind, { keys: [], values: [] });
		await write(name, all);
	},
	async clone(name: string, as: string): Promise<void> {
		tablets.set(as, new Tablet(as));
		await write(as, await read(name));
	},
};

Object.assign(globalThis, { real });
