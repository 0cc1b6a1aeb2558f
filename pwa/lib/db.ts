// What the tablet's database holds and in which transactions it changes. The
// connection and its troubles are in connection.ts.

import { Connection, isNamed, type Kind, type Tell, type Work } from "./connection";
import {
	type Keep,
	type Meta,
	Moved,
	NoRoom,
	type Page,
	type PhotoRow,
	type Place,
	START,
	type Store,
	type Unsent,
} from "./store";
import type { Stored } from "./types";
import type { Draft } from "./typesapp";

const SPARE_BYTES = 5_000_000; // some thousands of readings
const SPARE = "room";

export class Database implements Store {
	private connection: Connection;

	/** tight is called when what was set aside had to make way: the disk is full. */
	constructor(
		factory: () => IDBFactory,
		tell: Tell,
		private tight = () => {},
	) {
		this.connection = new Connection(factory, tell);
	}

	records = (): Promise<Stored[]> =>
		this.connection.look(["records"], (s) => {
			const all = s("records").getAll();
			return () => all.result as Stored[];
		});

	some = (ids: string[]): Promise<Stored[]> =>
		this.connection.look(["records"], (s) => {
			const found = ids.map((id) => s("records").get(id));
			return () => found.flatMap((r) => (r.result as Stored | undefined) ?? []);
		});

	meta = (): Promise<Meta> =>
		this.connection.look(["meta"], (s) => {
			const all = s("meta").getAll();
			return () =>
				Object.fromEntries((all.result as { key: string; value: unknown }[]).map((m) => [m.key, m.value]));
		});

	drafts = (): Promise<Draft[]> =>
		this.connection.look(["drafts"], (s) => {
			const all = s("drafts").getAll();
			return () => all.result as Draft[];
		});

	outbox = (): Promise<{ id: string; at: number }[]> =>
		this.connection.look(["outbox"], (s) => {
			const all = s("outbox").getAll();
			return () => (all.result as { id: string; at: number }[]).sort((a, b) => a.at - b.at);
		});

	async unsent(max: number, maxBytes: number, skip: ReadonlySet<string>): Promise<Unsent[]> {
		const waiting = (await this.outbox()).filter((u) => !skip.has(u.id)).slice(0, max);
		if (waiting.length === 0) return [];
		return fitting(await this.some(waiting.map((u) => u.id)), maxBytes);
	}

	place = (): Promise<Place> =>
		this.connection.look(["meta"], (s) => {
			const at = placeIn(s("meta"));
			return () => at();
		});

	keep(k: Keep): Promise<void> {
		const photos = k.photos ?? [];
		const add = (s: (kind: Kind) => IDBObjectStore) => {
			for (const r of k.records) {
				s("records").add(r);
				s("outbox").put({ id: r.id, at: k.at });
			}
			for (const key of k.drop) s("drafts").delete(key);
			putMeta(s("meta"), k.meta);
			for (const { row, chunks } of photos) putPicture(s, row, chunks);
			return () => {};
		};
		if (photos.length === 0) return this.write(["records", "outbox", "drafts", "meta"], add);
		return this.beside(["records", "outbox", "drafts", "meta", "photos", "chunks"], add);
	}

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

	async mend(at: number): Promise<{ id: string; at: number }[]> {
		await this.write(["records", "outbox"], (s) => {
			const records = s("records").getAll();
			const outbox = s("outbox").getAllKeys();
			outbox.onsuccess = () => {
				const gone = new Set(outbox.result as string[]);
				for (const r of records.result as Stored[]) {
					const isWaiting = gone.delete(r.id);
					if (r.pos === null && !isWaiting) s("outbox").put({ id: r.id, at });
					if (r.pos !== null && isWaiting) s("outbox").delete(r.id);
				}
				for (const id of gone) s("outbox").delete(id);
			};
			return () => {};
		});
		return this.outbox();
	}

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

	photoRows = (): Promise<PhotoRow[]> =>
		this.connection.look(["photos"], (s) => {
			const all = s("photos").getAll();
			return () => all.result as PhotoRow[];
		});

	chunk = (sha: string, i: number): Promise<ArrayBuffer | null> =>
		this.connection.look(["chunks"], (s) => {
			const one = s("chunks").get([sha, i]);
			return () => (one.result?.bytes as ArrayBuffer | undefined) ?? null;
		});

	putPhoto(row: PhotoRow, chunks: ArrayBuffer[]): Promise<void> {
		return roomy(
			this.connection.cache(["photos", "chunks"], (s) => {
				putPicture(s, row, chunks);
				return () => {};
			}),
		);
	}

	setPhoto = (row: PhotoRow): Promise<void> =>
		this.write(["photos"], (s) => {
			s("photos").put(row);
			return () => {};
		});

	async dropChunks(sha: string): Promise<void> {
		await this.write(["chunks"], (s) => {
			s("chunks").delete(IDBKeyRange.bound([sha], [sha, []]));
			return () => {};
		});
		await this.spare();
	}

	async spare(): Promise<boolean> {
		try {
			await this.beside([], () => () => {});
			return true;
		} catch (err) {
			if (err instanceof NoRoom) return false;
			throw err;
		}
	}

	// write keeps what a person measured or what tells of it. Where the disk is
	// full the spare makes room for it, once.
	private async write(kinds: Kind[], work: Work<void>): Promise<void> {
		try {
			await this.connection.write(kinds, work);
		} catch (err) {
			if (!isFull(err)) throw err;
			await this.connection.write(["spare"], (s) => {
				s("spare").delete(SPARE);
				return () => {};
			});
			this.tight();
			await this.connection.write(kinds, work);
		}
	}

	// beside keeps photos only where the spare has its place beside them: it is put
	// back first, in the same transaction.
	private beside(kinds: Kind[], work: Work<void>): Promise<void> {
		return roomy(
			this.connection.write([...kinds, "spare"], (s, refuse) => {
				const there = s("spare").count(SPARE);
				there.onsuccess = () => {
					try {
						if (there.result === 0) s("spare").put(filler(), SPARE);
						work(s, refuse);
					} catch (err) {
						refuse(err as Error);
					}
				};
				return () => {};
			}),
		);
	}
}

const isFull = (err: unknown) => isNamed(err, "QuotaExceededError");

async function roomy(done: Promise<void>): Promise<void> {
	try {
		await done;
	} catch (err) {
		throw isFull(err) ? new NoRoom() : err;
	}
}

// filler cannot be packed, so that it takes the room it is there for.
function filler(): ArrayBuffer {
	const bytes = new Uint8Array(SPARE_BYTES);
	for (let i = 0; i < bytes.length; i += 65_536) crypto.getRandomValues(bytes.subarray(i, i + 65_536));
	return bytes.buffer;
}

function putPicture(s: (kind: Kind) => IDBObjectStore, row: PhotoRow, chunks: ArrayBuffer[]): void {
	s("photos").put(row);
	chunks.forEach((bytes, i) => {
		s("chunks").put({ sha: row.sha, i, bytes });
	});
}

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
