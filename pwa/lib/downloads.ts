// Fetches from the shop the pictures that other tablets took: previews by
// themselves, to be kept here, and whole photos when somebody wants to see one.

import { sha256 } from "./record";
import { within } from "./request";
import type { PhotoRow, Store } from "./store";
import { type BlobState, CHUNK_BYTES, type UploadWorld } from "./uploads";

export interface Wanted {
	sha: string; // of the preview
	of: string; // of its photo
	job: string;
	size: number;
	w: number;
	h: number;
}

export interface DownloadTold {
	kept(row: PhotoRow): void; // this preview is on the tablet now
	trouble(err: unknown): void; // of the tablet's storage
}

const LIMIT_MS = 60_000;
const RETRY_MS = 20_000; // at most, and at random

/** The shop does not have the picture, or had it taken out for good. */
export class Away extends Error {
	constructor(readonly isGone: boolean) {
		super("the shop does not have it");
	}
}

type Net = Pick<UploadWorld, "fetch" | "now" | "random" | "after" | "isLinked">;

export class Downloads {
	private isRunning = false;
	private isHidden = false;
	private away = new Set<string>();
	private control = new AbortController();

	constructor(
		private net: Net,
		private store: Pick<Store, "putPhoto">,
		private wanted: () => Wanted[], // what is not on the tablet, in the order of need
		private told: DownloadTold,
	) {}

	/** wake fetches what is wanted, one after the other. */
	wake(): void {
		if (!this.isRunning) void this.run();
	}

	visible(isShown: boolean): void {
		this.isHidden = !isShown;
		if (isShown) this.wake();
		else {
			this.control.abort();
			this.control = new AbortController();
		}
	}

	/** came: the shop has these now. */
	came(shas: string[]): void {
		for (const sha of shas) this.away.delete(sha);
		this.wake();
	}

	/** anew: another connection; what the shop did not have it may have by now. */
	anew(): void {
		this.away.clear();
		this.wake();
	}

	/** whole resolves with the bytes of a picture. It rejects with Away where the shop has none. */
	async whole(sha: string): Promise<ArrayBuffer> {
		const res = await this.get(`/blob/${sha}`, "default");
		if (res.status === 404 || res.status === 410) throw new Away(res.status === 410);
		if (!res.ok) throw new Error(`the shop answered ${res.status}`);
		if ((await sha256(res.bytes)) !== sha) throw new Error("the shop sent other bytes than were asked for");
		return res.bytes;
	}

	/** standing asks what the shop holds of a picture. */
	async standing(sha: string): Promise<BlobState> {
		const res = await this.get(`/blob/${sha}/have`, "no-store");
		if (!res.ok) throw new Error(`the shop answered ${res.status}`);
		return JSON.parse(new TextDecoder().decode(res.bytes)) as BlobState;
	}

	private async run(): Promise<void> {
		this.isRunning = true;
		try {
			for (let want = this.next(); want; want = this.next()) await this.one(want);
		} catch {
			this.net.after(this.net.random() * RETRY_MS, () => this.wake());
		} finally {
			this.isRunning = false;
		}
	}

	private next(): Wanted | undefined {
		if (this.isHidden || !this.net.isLinked()) return undefined;
		return this.wanted().find((w) => !this.away.has(w.sha));
	}

	private async one(want: Wanted): Promise<void> {
		const { sha, of, job, w, h } = want;
		let bytes: ArrayBuffer;
		try {
			bytes = await this.whole(sha);
		} catch (err) {
			if (!(err instanceof Away)) throw err;
			this.away.add(sha);
			return;
		}
		const chunks: ArrayBuffer[] = [];
		for (let i = 0; i < bytes.byteLength; i += CHUNK_BYTES) chunks.push(bytes.slice(i, i + CHUNK_BYTES));
		const names = await Promise.all(chunks.map(sha256));
		const size = bytes.byteLength;
		const row: PhotoRow = {
			...{ sha, of, job, size, w, h, chunks: names, at: this.net.now() },
			...{ type: "image/jpeg", state: "sent" },
		};
		try {
			await this.store.putPhoto(row, chunks);
		} catch (err) {
			this.away.add(sha); // no room: it is fetched again at the next connection
			this.told.trouble(err);
			return;
		}
		this.told.kept(row);
	}

	private get(path: string, cache: RequestCache) {
		return within(LIMIT_MS, this.control.signal, async (signal) => {
			const res = await this.net.fetch(path, { signal, cache });
			return { ok: res.ok, status: res.status, bytes: await res.arrayBuffer() };
		});
	}
}
