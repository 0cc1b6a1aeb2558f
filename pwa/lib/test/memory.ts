// A store in memory, with the promises of the real one, that can be made to
// refuse and to die between any two transactions.

import {
	type Keep,
	Known,
	type Meta,
	Moved,
	NoRoom,
	type Page,
	type PhotoBytes,
	type PhotoRow,
	type Place,
	START,
	type Store,
	type Unsent,
} from "../store";
import type { Stored } from "../types";
import type { Draft } from "../typesapp";

/** Disk is what survives the program. */
export class Disk {
	records = new Map<string, Stored>();
	outbox = new Map<string, number>();
	meta: Meta = {};
	drafts = new Map<string, Draft>();
	photos = new Map<string, PhotoBytes>();

	get place(): Place {
		return { ...START, ...(this.meta as Partial<Place>) };
	}

	copy(): Disk {
		const d = new Disk();
		for (const [id, r] of this.records) d.records.set(id, { ...r });
		d.outbox = new Map(this.outbox);
		d.meta = { ...this.meta };
		d.drafts = new Map(this.drafts);
		d.photos = new Map(this.photos);
		return d;
	}
}

export class Memory implements Store {
	/** Writes until the program dies: from then on every call is refused. */
	writesLeft = Number.POSITIVE_INFINITY;
	/** Error that the next writes are refused with. */
	broken: Error | null = null;
	writes = 0;
	/** Whether there is room for photos. */
	isRoomy = true;

	constructor(
		readonly disk: Disk,
		private shuffle: <T>(list: T[]) => T[] = (list) => list,
	) {}

	records = () => this.look(() => [...this.disk.records.values()].map((r) => ({ ...r })));
	some = (ids: string[]) =>
		this.look(() => ids.flatMap((id) => this.disk.records.get(id) ?? []).map((r) => ({ ...r })));
	meta = () => this.look(() => ({ ...this.disk.meta }));
	drafts = () => this.look(() => [...this.disk.drafts.values()]);
	outbox = () => this.look(() => [...this.disk.outbox].map(([id, at]) => ({ id, at })));
	place = () => this.look(() => this.disk.place);

	unsent = (max: number, _bytes: number, skip: ReadonlySet<string>): Promise<Unsent[]> =>
		this.look(() => {
			const ids = this.shuffle([...this.disk.outbox.keys()].filter((id) => !skip.has(id)));
			return ids.slice(0, max).map((id) => ({ id, raw: this.disk.records.get(id)?.raw ?? "" }));
		});

	keep = (k: Keep): Promise<void> =>
		this.write((d) => {
			if (k.records.some((r) => d.records.has(r.id))) throw new Known("held already");
			if ((k.photos ?? []).length > 0 && !this.isRoomy) throw new NoRoom();
			for (const p of k.photos ?? []) d.photos.set(p.row.sha, p);
			for (const r of k.records) {
				d.records.set(r.id, { ...r });
				d.outbox.set(r.id, k.at);
			}
			for (const key of k.drop) d.drafts.delete(key);
			Object.assign(d.meta, k.meta);
		});

	page = (p: Page): Promise<void> =>
		this.write((d) => {
			if (d.place.cursor !== p.from.cursor || d.place.chain !== p.from.chain) throw new Moved("elsewhere");
			for (const r of p.records) d.records.set(r.id, { ...r });
			for (const { id, pos } of p.echoed) {
				d.outbox.delete(id);
				const r = d.records.get(id);
				if (r) r.pos = pos;
			}
			for (const r of p.own) {
				d.records.set(r.id, { ...r });
				d.outbox.set(r.id, 0);
			}
			Object.assign(d.meta, p.to);
		});

	reoffer = (at: number): Promise<void> =>
		this.write((d) => {
			for (const r of d.records.values()) {
				r.pos = null;
				d.outbox.set(r.id, at);
			}
			Object.assign(d.meta, START);
		});

	mend = async (at: number): Promise<{ id: string; at: number }[]> => {
		await this.write((d) => {
			for (const id of d.outbox.keys()) if (d.records.get(id)?.pos !== null) d.outbox.delete(id);
			for (const r of d.records.values()) if (r.pos === null && !d.outbox.has(r.id)) d.outbox.set(r.id, at);
		});
		return this.outbox();
	};

	putMeta = (m: Meta): Promise<void> => this.write((d) => void Object.assign(d.meta, m));

	putDrafts = (put: Draft[], drop: string[]): Promise<void> =>
		this.write((d) => {
			for (const x of put) d.drafts.set(x.key, x);
			for (const key of drop) d.drafts.delete(key);
		});

	photoRows = (): Promise<PhotoRow[]> =>
		this.look(() => [...this.disk.photos.values()].map((p) => ({ ...p.row })));
	chunk = (sha: string, i: number): Promise<ArrayBuffer | null> =>
		this.look(() => this.disk.photos.get(sha)?.chunks[i] ?? null);
	spare = (): Promise<boolean> => this.look(() => this.isRoomy);

	putPhoto = (row: PhotoRow, chunks: ArrayBuffer[]): Promise<void> =>
		this.write((d) => {
			if (!this.isRoomy) throw new NoRoom();
			d.photos.set(row.sha, { row, chunks });
		});

	setPhoto = (row: PhotoRow): Promise<void> =>
		this.write((d) => void d.photos.set(row.sha, { row, chunks: d.photos.get(row.sha)?.chunks ?? [] }));

	dropChunks = (sha: string): Promise<void> =>
		this.write((d) => {
			const held = d.photos.get(sha);
			if (held) held.chunks = [];
		});

	/** forget takes records out of the outbox; only a broken sync does so. */
	forget = (ids: string[]): Promise<void> =>
		this.write((d) => {
			for (const id of ids) d.outbox.delete(id);
		});

	private async look<T>(act: () => T): Promise<T> {
		await null;
		if (this.writesLeft <= 0) throw new Error("killed");
		return act();
	}

	private async write(act: (d: Disk) => void): Promise<void> {
		await null;
		if (this.writesLeft <= 0) throw new Error("killed");
		this.writesLeft--;
		if (this.broken) throw this.broken;
		act(this.disk);
		this.writes++;
	}
}
