// A model of the shop's end and of the network, for random histories: frames are
// delivered one at a time, links are cut between any two of them, the shop
// crashes and comes back from older copies of its log.

import { chain } from "../record";
import type { Socket } from "../sync";

interface Line {
	id: string;
	raw: string;
	h: string;
	chain: string; // up to and with this one
}

const ZERO = "0".repeat(64);

/** Link is one socket: frames on their way up and down. */
export class Link implements Socket {
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	up: string[] = [];
	down: string[] = [];
	state: "opening" | "open" | "cut" = "opening";
	sent = -1; // position the feed has gone out to; -1 before the hello
	own = new Set<string>();

	send(text: string): void {
		if (this.state !== "open") throw new Error("send on a socket that is not open");
		this.up.push(text);
	}

	close(): void {
		this.state = "cut";
	}

	/** cut ends the link; what was on its way is lost. The client may never be told. */
	cut(isTold: boolean): void {
		if (this.state === "cut") return;
		this.state = "cut";
		if (isTold) this.onclose?.();
	}
}

export class Shop {
	log: Line[] = [];
	links: Link[] = [];
	quarantine: string[] = [];

	constructor(private hash: (raw: string) => Promise<string>) {}

	high = () => this.log.length;
	chainAt = (pos: number) => (pos === 0 ? ZERO : this.log[pos - 1]?.chain);

	async take(link: Link, text: string): Promise<void> {
		const f = JSON.parse(text);
		if (f.t === "hello") this.follow(link, f.cursor, f.chain, "welcome");
		if (link.sent < 0) return;
		if (f.t === "pull") this.follow(link, f.cursor, f.chain, "");
		if (f.t === "hb") link.down.push(JSON.stringify({ t: "hb", n: f.n, now_ms: 0 }));
		if (f.t === "push") await this.append(link, f.recs);
	}

	private follow(link: Link, cursor: number, at: string, t: string): void {
		const isOurs = this.chainAt(cursor) === at;
		link.sent = isOurs ? cursor : 0;
		const opening = isOurs ? t : "reset";
		if (opening) {
			const limits = { push_records: 3, push_bytes: 524_288 };
			link.down.push(
				JSON.stringify({ t: opening, build: "b", now_ms: 0, high: this.high(), backup_pos: 0, limits }),
			);
		}
	}

	private async append(link: Link, recs: string[]): Promise<void> {
		const ids: string[] = [];
		const quarantined: string[] = [];
		for (const raw of recs) {
			const { id } = JSON.parse(raw);
			const h = await this.hash(raw);
			const known = this.log.find((l) => l.id === id);
			if (!known) this.log.push({ id, raw, h, chain: await chain(this.chainAt(this.high()) ?? ZERO, id, h) });
			else if (known.raw !== raw) this.quarantine.push(raw);
			if (known && known.raw !== raw) quarantined.push(id);
			else {
				ids.push(id);
				link.own.add(id);
			}
		}
		link.down.push(JSON.stringify({ t: "ack", ids, pos: this.high(), quarantined }));
	}

	/** feed puts the next page of each link on its way, of at most most records. */
	feed(most: number): void {
		for (const link of this.links) {
			if (link.state !== "open" || link.sent < 0 || link.sent >= this.high()) continue;
			const from = link.sent;
			const lines = this.log.slice(from, from + most);
			const recs = lines.map((l) => (link.own.delete(l.id) ? { id: l.id, h: l.h } : l.raw));
			link.sent = from + lines.length;
			link.down.push(
				JSON.stringify({ t: "feed", from, recs, to: link.sent, chain: this.chainAt(link.sent) }),
			);
		}
	}

	/** crash ends all links and puts the log back to an older copy of itself. */
	crash(keep: number, isTold: boolean): void {
		for (const link of this.links) link.cut(isTold);
		this.links = [];
		this.log = this.log.slice(0, keep);
	}
}
