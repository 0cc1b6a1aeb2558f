// The tablet's end of the sync: one websocket to the shop, given up and opened
// again as the network comes and goes. Frames are handled one after the other;
// a record leaves the outbox when it is read back from the shop, in the same
// transaction that moves the cursor past it, and not before.

import { type Feed, idsOf, read } from "./feed";
import { Moved, type Place, START, type Store } from "./store";
import type { Stored } from "./types";
import type { Aside } from "./typesapp";

/** What is used of a WebSocket. */
export interface Socket {
	send(text: string): void;
	close(): void;
	onopen: (() => void) | null;
	onmessage: ((e: { data: unknown }) => void) | null;
	onclose: (() => void) | null;
	onerror: (() => void) | null;
	pack?: string[] | undefined; // what it can unpack, for the hello
}

/** Clock, chance and network, so that a test can be all three. */
export interface World {
	socket(): Socket;
	now(): number; // ms since 1970
	random(): number; // 0 ≤ r < 1
	after(ms: number, act: () => void): () => void; // returns what calls it off
}

/** What the sync tells the rest of the tablet. */
export interface Told {
	link(link: "live" | "sync" | "offline"): void;
	heard(now: number): void;
	offset(ms: number): void; // the shop's clock minus the tablet's
	build(build: string): void; // the shop's
	backed(pos: number): void;
	notice(text: string): void; // one sentence for the person; "" takes it back
	met(m: Met): void; // at each welcome
	barred(why: Barred): void; // the shop does not let this tablet in, or no longer
	/** of this revoked tablet: what lies in the shop for a person to look at, what does not, and why it does not. */
	putAside(records: number, left: number, why: string): void;
	aside(records: Aside[]): void; // all that the shop did not take on this socket
	fed(records: Stored[], own: Stored[], echoed: { id: string; pos: number }[]): void;
	photos(done: string[]): void; // the shop has the bytes of these now
	reread(ids: string[]): Promise<void>; // these are in the store, put there by another window or by a try that seemed lost
	reoffered(): Promise<void>;
}

/** Who this tablet is, asked for at each hello. */
export interface Who {
	dev: string;
	name: string;
	build: string;
	unsent: number;
	token: string; // of the pairing, "" where there is none
}

/** What the shop says of this tablet. */
export interface Met {
	role: string;
	name: string;
	isRevoked: boolean;
}

/** token: the shop does not know it. revoked: it was taken off the list. */
export type Barred = "token" | "revoked";

interface Welcome {
	t: "welcome" | "reset";
	build: string;
	now_ms: number;
	high: number;
	backup_pos: number;
	limits?: { push_records: number; push_bytes: number };
	role?: string;
	name?: string;
	revoked?: boolean;
}

/** A record of a push that the shop does not take; a text that is no record may have no id. */
interface Refused {
	rec?: number; // place in the push
	id: string;
	text: string;
}

type Frame =
	| Welcome
	| Feed
	| { t: "ack"; quarantined?: string[]; refused?: Refused[] }
	| { t: "hb"; backup_pos?: number }
	| { t: "photos"; done?: string[] }
	| { t: "bye"; why: string; text?: string };

const OPEN_MS = 8_000; // from opening to the welcome
const BEAT_MS = 10_000;
const SILENT_MS = 25_000; // without any frame: dead, whatever the socket says of itself
const STUCK_MS = 30_000; // records on their way and nothing read back
const HIDDEN_MS = 30_000;
const RENAMED_MS = 2_000;
const RETRY_MS = { least: 500, first: 1_000, most: 20_000 };
const BARRED_MS = 60_000; // at least, before the next try: only a person can change it
const PUSHES = 2; // on their way at once
const SLOW_TRIES = 5; // from this many on, retries come at the longest pace

/** Sync runs from start to stop. Events of a socket that was given up are dropped. */
export class Sync {
	private generation = 0;
	private socket: Socket | null = null;
	private isOpen = false; // welcomed
	private tries = 0; // since the shop's log was last read on with success
	private isWanted = false;
	private isHidden = false;
	private queue: Promise<void> = Promise.resolve();
	private place: Place = START;
	private high = 0;
	private backedPos = -1;
	private limits = { push_records: 200, push_bytes: 524_288 };
	private pushes: Set<string>[] = []; // ids of each push not yet read back
	private unanswered: string[][] = []; // ids of each push without an ack, in their order
	private aside = new Map<string, string>(); // the shop did not take these on this socket, and why; pushing again changes nothing
	private isPulling = false;
	private isRevoked = false; // welcomed to send only
	private isToldWhy = false; // the shop ended the link and said why; it holds until the next try
	private helloAt = 0;
	private beats = 0;
	private progressAt = 0;
	private timers = new Map<string, () => void>();

	constructor(
		private world: World,
		private store: Store,
		private who: () => Who,
		private told: Told,
	) {}

	start(): void {
		this.isWanted = true;
		if (!this.isHidden) this.connect();
	}

	/** renew opens another socket now: there is a better way to the shop. */
	renew(): void {
		if (this.isWanted && !this.isHidden) this.connect();
	}

	stop(): void {
		this.isWanted = false;
		this.drop();
	}

	/** grown: there is more in the outbox. */
	grown(): void {
		if (this.isOpen) this.inTurn(() => this.push());
	}

	/** visible: the page was shown or hidden. A shown page opens a new socket, since the old one may be dead unnoticed. */
	visible(isShown: boolean): void {
		this.isHidden = !isShown;
		this.cancel("hidden");
		if (!this.isWanted) return;
		if (isShown) this.connect();
		else this.timer("hidden", HIDDEN_MS, () => this.drop());
	}

	/** online: the browser believes there is a network; a hint to try now. */
	online(): void {
		if (this.isWanted && !this.isHidden && !this.isOpen) this.connect();
	}

	/** renamed: the shop is told the tablet's new name, in a new hello once the typing has ended. */
	renamed(): void {
		if (this.isOpen) this.timer("renamed", RENAMED_MS, () => this.isOpen && this.connect());
	}

	private connect(): void {
		this.drop();
		const generation = ++this.generation;
		const mine = (act: () => void) => () => {
			if (generation === this.generation) act();
		};
		this.timer("open", OPEN_MS, () => this.lost());
		let socket: Socket;
		try {
			socket = this.world.socket();
		} catch {
			this.lost();
			return;
		}
		this.socket = socket;
		socket.onopen = mine(() => this.inTurn(() => this.hello()));
		socket.onclose = mine(() => this.lost());
		socket.onerror = mine(() => this.lost());
		socket.onmessage = (e) => mine(() => this.heard(String(e.data)))();
	}

	// inTurn puts act behind what is being handled; it is dropped when the socket
	// is given up before its turn. An error gives the socket up.
	private inTurn(act: () => Promise<void>): void {
		const { generation } = this;
		this.queue = this.queue.then(async () => {
			if (generation !== this.generation) return;
			try {
				await act();
			} catch {
				if (generation === this.generation) this.lost();
			}
		});
	}

	private async hello(): Promise<void> {
		const { generation } = this;
		this.place = await this.store.place();
		if (generation !== this.generation) return;
		const { dev, name, build, unsent, token } = this.who();
		this.helloAt = this.world.now();
		const { cursor, chain } = this.place;
		const self = { build, sv: 1, role: "bench", dev, name: name.slice(0, 80) };
		const pack = this.socket?.pack;
		const able = pack ? { pack } : {};
		const key = token === "" ? {} : { token };
		const told = { cursor, chain, unsent, clock_ms: this.helloAt };
		this.send({ t: "hello", proto: [1, 1], ...self, ...key, ...told, ...able });
	}

	private heard(text: string): void {
		this.timer("silent", SILENT_MS, () => this.lost());
		this.told.heard(this.world.now());
		this.inTurn(() => this.handle(JSON.parse(text) as Frame));
	}

	private async handle(f: Frame): Promise<void> {
		switch (f.t) {
			case "welcome":
			case "reset":
				return this.welcome(f);
			case "feed":
				return this.feed(f);
			case "ack":
				return this.ack(f.quarantined ?? [], f.refused ?? []);
			case "hb":
				return this.backed(f.backup_pos ?? 0);
			case "photos":
				return this.told.photos(f.done ?? []);
			case "bye":
				return this.bye(f.why, f.text ?? "");
			default: // frames of later versions, and those for others, are passed over
		}
	}

	private async welcome(f: Welcome): Promise<void> {
		const now = this.world.now();
		this.cancel("open");
		// A reset that comes later answers a pull and tells nothing of the clocks.
		if (!this.isOpen) this.told.offset(f.now_ms - (this.helloAt + now) / 2);
		this.isOpen = true;
		this.isPulling = false;
		this.high = f.high;
		this.progressAt = now;
		this.limits = { ...this.limits, ...f.limits };
		this.told.notice("");
		this.isToldWhy = false;
		this.aside.clear();
		this.told.aside([]);
		this.told.build(f.build);
		this.isRevoked = f.revoked === true;
		this.told.met({ role: f.role ?? "", name: f.name ?? "", isRevoked: this.isRevoked });
		this.backedPos = -1; // of another log, perhaps
		await this.backed(f.backup_pos ?? 0);
		this.beat();
		if (f.t === "reset" && !this.isRevoked) {
			// The shop's log is not the one this tablet has read: it may lack anything.
			await this.store.reoffer(now);
			this.place = START;
			await this.told.reoffered();
		}
		await this.push();
	}

	private async backed(pos: number): Promise<void> {
		if (pos === this.backedPos) return;
		this.backedPos = pos;
		this.told.backed(pos);
	}

	private async feed(f: Feed): Promise<void> {
		if (f.to <= this.place.cursor) {
			await this.passed(idsOf(f)); // another window has read it
			return this.push();
		}
		if (f.from !== this.place.cursor) {
			this.pull();
			return;
		}
		const { generation } = this;
		const page = await read(f, this.place, (ids) => this.store.some(ids));
		if (generation !== this.generation) return;
		if (page.doubtful.length > 0) {
			for (const id of page.doubtful) this.aside.set(id, "");
			throw new Error(`the shop read back other bytes for ${page.doubtful.join(", ")}`);
		}
		try {
			await this.store.page(page);
			this.place = page.to;
			this.told.fed(page.records, page.own, page.echoed);
		} catch (err) {
			if (!(err instanceof Moved)) throw err;
			this.place = await this.store.place();
			await this.passed(page.echoed.map((e) => e.id));
		}
		if (generation !== this.generation) return; // kept, but the socket it came by is gone
		this.isPulling = false;
		this.tries = 0;
		this.progressAt = this.world.now();
		this.high = Math.max(this.high, f.to);
		this.settle(page.echoed.map((e) => e.id));
		if (this.place.cursor < f.to) this.pull(); // another window stands elsewhere
		await this.push();
	}

	// passed: these are in the store, put there by another window.
	private async passed(ids: string[]): Promise<void> {
		this.isPulling = false;
		this.progressAt = this.world.now();
		this.settle(ids);
		await this.told.reread(ids);
	}

	private pull(): void {
		if (this.isPulling) return;
		this.isPulling = true;
		this.send({ t: "pull", ...this.place });
	}

	// An ack changes nothing but this: what was not taken no longer holds up the rest.
	private async ack(quarantined: string[], refused: Refused[]): Promise<void> {
		const pushed = this.unanswered.shift() ?? []; // acks come in the order of the pushes
		const named = refused.map((r) => ({ ...r, id: r.id || (pushed[r.rec ?? -1] ?? "") }));
		if (this.isRevoked) return this.setAside(pushed, named);
		for (const id of quarantined) this.aside.set(id, "");
		for (const r of named) if (r.id) this.aside.set(r.id, r.text);
		const ids = [...quarantined, ...named.flatMap((r) => r.id || [])];
		if (ids.length === 0) return;
		this.settle(ids);
		this.told.aside([...this.aside].map(([id, why]) => ({ id, why })));
		const why = refused[0]?.text ?? "the shop holds another record under the same id";
		this.told.notice(`${ids.length} not taken by the shop: ${why}. Kept on this tablet.`);
		await this.push();
	}

	// setAside: nothing of it is read back, so that it stays in the outbox, and it is sent once on a socket.
	private async setAside(ids: string[], refused: Refused[]): Promise<void> {
		for (const id of ids) this.aside.set(id, "");
		for (const r of refused) if (r.id) this.aside.set(r.id, r.text);
		this.settle(ids);
		const whys = [...this.aside.values()].filter((why) => why !== "");
		this.told.putAside(this.aside.size - whys.length, whys.length, whys[0] ?? "");
		await this.push();
	}

	private settle(ids: string[]): void {
		for (const p of this.pushes) for (const id of ids) p.delete(id);
		this.pushes = this.pushes.filter((p) => p.size > 0);
	}

	private async push(): Promise<void> {
		const { generation } = this;
		while (this.isOpen && this.pushes.length < PUSHES) {
			const skip = new Set([...this.aside.keys(), ...this.pushes.flatMap((p) => [...p])]);
			const { push_records, push_bytes } = this.limits;
			const recs = await this.store.unsent(push_records, push_bytes, skip);
			if (generation !== this.generation) return;
			if (recs.length === 0) break;
			if (this.pushes.length === 0) this.progressAt = this.world.now();
			const ids = recs.map((r) => r.id);
			this.pushes.push(new Set(ids));
			this.unanswered.push(ids);
			this.send({ t: "push", recs: recs.map((r) => r.raw) });
		}
		if (!this.isOpen) return;
		if (this.isLevel()) this.tries = 0;
		this.told.link(this.isLevel() ? "live" : "sync");
	}

	private isLevel = (): boolean => this.pushes.length === 0 && this.place.cursor >= this.high;

	private beat(): void {
		if (!this.isLevel() && this.world.now() - this.progressAt > STUCK_MS) {
			this.lost();
			return;
		}
		this.send({ t: "hb", n: ++this.beats, now_ms: this.world.now(), unsent: this.who().unsent });
		this.timer("beat", BEAT_MS, () => this.beat());
	}

	private async bye(why: string, text: string): Promise<void> {
		const wasOpen = this.isOpen;
		if (why !== "resync") this.tries = SLOW_TRIES;
		if (why !== "token" && why !== "revoked") {
			this.lost();
			if (text) {
				this.told.notice(text);
				this.isToldWhy = true;
			}
			return;
		}
		// Revoked while the link was up: it may still send what it holds.
		this.lost(why === "revoked" && wasOpen ? 0 : BARRED_MS);
		this.told.notice("");
		this.told.barred(why);
	}

	private send(frame: object): void {
		try {
			this.socket?.send(JSON.stringify(frame));
		} catch {
			this.lost(); // it has ended and nobody said so
		}
	}

	// lost gives the socket up and tries again after a while of random length, so
	// that tablets that lost the shop together do not all come back together.
	private lost(least = 0): void {
		if (this.isToldWhy && !this.isOpen) {
			this.isToldWhy = false;
			this.told.notice(""); // it may be another reason by now
		}
		this.drop();
		if (!this.isWanted || this.isHidden) return;
		const longest = Math.min(RETRY_MS.most, RETRY_MS.first * 2 ** this.tries++);
		const wait = least + RETRY_MS.least + this.world.random() * (longest - RETRY_MS.least);
		this.timer("retry", wait, () => this.connect());
	}

	private drop(): void {
		this.generation++;
		for (const name of ["open", "silent", "beat", "retry"]) this.cancel(name);
		const { socket } = this;
		this.socket = null;
		this.isOpen = false;
		this.isPulling = false;
		this.pushes = [];
		this.unanswered = [];
		if (socket) {
			socket.onopen = socket.onmessage = socket.onclose = socket.onerror = null;
			socket.close();
		}
		this.told.link("offline");
	}

	private timer(name: string, ms: number, act: () => void): void {
		this.cancel(name);
		this.timers.set(name, this.world.after(ms, act));
	}

	private cancel(name: string): void {
		this.timers.get(name)?.();
		this.timers.delete(name);
	}
}
