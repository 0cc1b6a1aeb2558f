// Sends photos to the shop: over HTTP beside the sync, in chunks that each have
// their own hash, so that whatever breaks off goes on where it stopped. Readings
// come first, previews come before photos, and a photo counts as sent only when
// one of its chunks was read back and is the same.

import { sha256 } from "./record";
import { within } from "./request";
import type { PhotoRow, Store } from "./store";
import { photo as photoWords } from "./textphoto";

/** Clock, chance and network, so that a test can be all three. */
export interface UploadWorld {
	fetch(path: string, init: RequestInit): Promise<Response>;
	now(): number; // ms since 1970
	random(): number; // 0 ≤ r < 1
	after(ms: number, act: () => void): () => void; // returns what calls it off
	isLinked(): boolean; // the shop answers
	unsent(): number; // readings and other records that wait; they go first
}

export interface UploadTold {
	/** progress is told whenever it may have changed: how many wait, and one sentence or "". */
	progress(waiting: number, sentence: string): void;
	/** sent: the shop has proved that it holds these bytes. */
	sent(sha: string): void;
	trouble(err: unknown): void; // of the tablet's storage
}

/** What the shop holds of a picture. */
export interface BlobState {
	known: boolean;
	done: boolean;
	backed: boolean;
	denied: boolean;
	have: string; // one digit a chunk, "" when unknown or done
}

export const CHUNK_BYTES = 262_144;
const LANES = 2; // requests on their way at once
const LIMIT_MS = 30_000; // for one request
const STILL_MS = 20_000; // records that have not moved for so long no longer hold photos up
const LOOK_MS = 1_000;
const FULL_MS = 60_000;
const RETRY_MS = { least: 500, first: 1_000, most: 20_000 };
const ROOM_BYTES = 200_000_000; // of photos that the shop has backed up, kept here to look at

type Keeper = Pick<Store, "photoRows" | "chunk" | "setPhoto" | "dropChunks">;

// What was said no to; why as in the protocol, or one of our own.
class Refused extends Error {
	constructor(
		readonly why: string,
		text: string,
	) {
		super(text);
	}
}

export class Uploads {
	private inHand = new Map<string, AbortController>(); // sha → of its request
	private aside = new Set<string>(); // not to be offered again before the next welcome
	private isHidden = false;
	private isStopped = false;
	private tries = 0;
	private notBefore = 0;
	private waits = { n: -1, since: 0 };
	private off: () => void = () => {};
	private sentence = "";

	constructor(
		private world: UploadWorld,
		private store: Keeper,
		private told: UploadTold,
		private isDenied: (sha: string) => boolean,
	) {}

	/** wake looks whether something can be sent; call it whenever that may have changed. */
	wake(): void {
		if (this.isStopped || this.isHidden) return;
		for (let lane = this.inHand.size; lane < LANES; lane++) void this.lane();
	}

	/** visible: a hidden page sends nothing. */
	visible(isShown: boolean): void {
		this.isHidden = !isShown;
		if (isShown) this.wake();
		else this.abort();
	}

	/** welcomed: the shop may take now what it refused before. */
	welcomed(): void {
		this.aside.clear();
		this.tries = 0;
		this.notBefore = 0;
		this.wake();
	}

	/** reset: the shop's log is another one, so that it may lack any photo that was sent. */
	async reset(): Promise<void> {
		for (const row of await this.store.photoRows()) {
			if (row.state !== "sent" || (await this.store.chunk(row.sha, 0)) === null) continue;
			await this.store.setPhoto({ ...row, state: "held" });
		}
		this.welcomed();
	}

	stop(): void {
		this.isStopped = true;
		this.abort();
	}

	/**
	 * makeRoom lets go of photos that the shop has, oldest first, until so many bytes
	 * are free; previews stay. Only what is backed up is let go, unless isNeeded says
	 * that there is no other way.
	 */
	async makeRoom(bytes: number, isNeeded: boolean): Promise<void> {
		let left = bytes;
		const rows = (await this.store.photoRows()).filter((r) => r.of === "" && r.state === "sent");
		for (const row of rows.sort((a, b) => a.at - b.at)) {
			if (left <= 0) return;
			if ((await this.store.chunk(row.sha, 0)) === null) continue;
			if (!isNeeded && !(await this.ask(row.sha, "GET", "/have")).backed) continue;
			await this.store.dropChunks(row.sha);
			left -= row.size;
		}
	}

	/** tidy lets the oldest backed-up photos go once more than ROOM_BYTES of them are kept to look at. */
	async tidy(): Promise<void> {
		let kept = 0;
		for (const r of await this.store.photoRows()) {
			const isHere = r.of === "" && r.state === "sent" && (await this.store.chunk(r.sha, 0)) !== null;
			if (isHere) kept += r.size;
		}
		await this.makeRoom(kept - ROOM_BYTES, false);
	}

	private abort(): void {
		this.off();
		for (const c of this.inHand.values()) c.abort();
	}

	// lane sends one photo after the other until there is none, or something is in the way.
	private async lane(): Promise<void> {
		for (let row = await this.next(); row; row = await this.next()) {
			try {
				await this.send(row);
				this.tries = 0;
				this.sentence = "";
			} catch (err) {
				await this.failed(row, err);
			} finally {
				this.inHand.delete(row.sha);
			}
		}
		await this.report();
	}

	// isFree tells whether a request may be made now, and looks again later where not.
	private isFree(): boolean {
		const { now, unsent, isLinked } = this.world;
		if (this.isStopped || this.isHidden || !isLinked()) return false;
		const n = unsent();
		if (n !== this.waits.n) this.waits = { n, since: now() };
		if (n > 0 && now() - this.waits.since < STILL_MS) return this.later(LOOK_MS);
		if (now() < this.notBefore) return this.later(this.notBefore - now());
		return true;
	}

	private later(ms: number): false {
		this.off();
		this.off = this.world.after(ms, () => this.wake());
		return false;
	}

	// next takes the photo to send into hand: previews before photos, oldest first.
	private async next(): Promise<PhotoRow | undefined> {
		try {
			if (!this.isFree()) return undefined;
			const rows = (await this.waiting()).filter((r) => !this.inHand.has(r.sha) && !this.aside.has(r.sha));
			const [row] = rows.sort((a, b) => Number(a.of === "") - Number(b.of === "") || a.at - b.at);
			if (!row || this.inHand.size >= LANES || !this.isFree()) return undefined;
			this.inHand.set(row.sha, new AbortController());
			return row;
		} catch (err) {
			this.told.trouble(err);
			return undefined;
		}
	}

	private async waiting(): Promise<PhotoRow[]> {
		return (await this.store.photoRows()).filter((r) => r.state === "held" && !this.isDenied(r.sha));
	}

	private async send(row: PhotoRow): Promise<void> {
		const { sha, size, type, chunks, w, h } = row;
		const manifest = JSON.stringify({ sha, size, type, chunk: CHUNK_BYTES, chunks, w, h });
		let state = await this.ask(sha, "PUT", "/manifest", manifest);
		for (let i = 0; i < chunks.length && !state.done; i++) {
			if (state.denied) throw new Refused("denied", "");
			if (state.have[i] === "1") continue;
			const bytes = await this.store.chunk(sha, i);
			if (bytes === null || (await sha256(bytes)) !== chunks[i])
				throw new Refused("gone", photoWords.damaged);
			state = await this.ask(sha, "PUT", `/${i}`, bytes);
		}
		if (!state.done) throw new Error("all chunks are sent and the shop does not have the photo");
		await this.prove(row);
		if (this.isDenied(sha)) return;
		await this.store.setPhoto({ ...row, state: "sent" });
		this.told.sent(sha);
	}

	// prove reads one chunk back, any of them: what the shop calls done must be there.
	private async prove(row: PhotoRow): Promise<void> {
		const i = Math.floor(this.world.random() * row.chunks.length);
		const [theirs, ours] = [await this.read(row.sha, i), await this.store.chunk(row.sha, i)];
		if (ours === null || !isSame(theirs, ours)) throw new Refused("proof", photoWords.otherBytes);
	}

	private async ask(sha: string, method: string, path: string, body?: BodyInit): Promise<BlobState> {
		const said = await this.request(sha, method, path, body);
		return JSON.parse(new TextDecoder().decode(said)) as BlobState;
	}

	private read = (sha: string, i: number): Promise<ArrayBuffer> => this.request(sha, "GET", `/${i}`);

	// request resolves with the whole body of a good answer, within its time.
	private request(sha: string, method: string, path: string, body?: BodyInit): Promise<ArrayBuffer> {
		const ended = this.inHand.get(sha)?.signal ?? null;
		return within(LIMIT_MS, ended, async (signal) => {
			const init: RequestInit = { method, signal, cache: "no-store", ...(body !== undefined && { body }) };
			const res = await this.world.fetch(`/blob/${sha}${path}`, init);
			const bytes = await res.arrayBuffer();
			if (res.ok) return bytes;
			const { why = "", text: said = "" } = reasonIn(bytes);
			throw new Refused(why, said || photoWords.answered(res.status));
		});
	}

	// failed sorts what came instead of success: some things will not be better the next time.
	private async failed(row: PhotoRow, err: unknown): Promise<void> {
		if (this.isHidden || this.isStopped) return;
		const { why, message } = err instanceof Refused ? err : { why: "", message: "" };
		if (why === "denied") {
			this.aside.add(row.sha);
			await this.store.dropChunks(row.sha).catch(this.told.trouble);
		} else if (FINAL.has(why)) {
			this.aside.add(row.sha);
			this.sentence = photoWords.notTaken(message);
		} else if (why === "full") {
			this.sentence = message;
			this.notBefore = this.world.now() + FULL_MS;
		} else if (BARRED.has(why)) {
			this.notBefore = this.world.now() + FULL_MS; // what a pairing lacks is said elsewhere
		} else {
			// a random wait, so that tablets that lost the shop together do not all come back together
			const longest = Math.min(RETRY_MS.most, RETRY_MS.first * 2 ** this.tries++);
			this.notBefore = this.world.now() + Math.max(RETRY_MS.least, this.world.random() * longest);
		}
	}

	private async report(): Promise<void> {
		try {
			const waiting = (await this.waiting()).filter((r) => r.of === "").length;
			this.told.progress(waiting, this.sentence);
		} catch (err) {
			this.told.trouble(err);
		}
	}
}

// Nothing that the tablet can do again would change these answers.
const FINAL = new Set(["type", "place", "size", "manifest", "gone", "proof"]);

// Only a person in the shop can change these.
const BARRED = new Set(["token", "revoked", "role"]);

function reasonIn(bytes: ArrayBuffer): { why?: string; text?: string } {
	try {
		return JSON.parse(new TextDecoder().decode(bytes)) as { why?: string; text?: string };
	} catch {
		return {};
	}
}

function isSame(a: ArrayBuffer, b: ArrayBuffer): boolean {
	const [x, y] = [new Uint8Array(a), new Uint8Array(b)];
	return x.length === y.length && x.every((v, i) => v === y[i]);
}
