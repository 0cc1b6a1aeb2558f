// The frames of the sync over plain requests, for a network that lets no
// websocket through. To sync.ts it looks like a socket: a request that fails is
// a socket that closed, and nothing is repeated here.

import { within } from "./request";
import type { Socket } from "./sync";

const LIMIT_MS = { open: 8_000, up: 15_000, down: 30_000, close: 5_000 }; // the shop answers down within 20 s
const UP_BYTES = 1_000_000; // of frames in one request; the shop takes 1 MiB

type Fetch = (path: string, init: RequestInit) => Promise<Response>;

/** Poll opens its link with the first frame sent, the hello. */
export class Poll implements Socket {
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	private link = "";
	private waiting: string[] = []; // frames on their way up, oldest first
	private isSending = false;
	private ended = new AbortController();

	constructor(private fetch: Fetch) {
		setTimeout(() => this.onopen?.(), 0);
	}

	send(text: string): void {
		if (this.ended.signal.aborted) throw new Error("send on a link that has ended");
		this.waiting.push(text);
		void this.up();
	}

	close(): void {
		if (this.ended.signal.aborted) return;
		this.ended.abort();
		if (this.link === "") return;
		const said = within(LIMIT_MS.close, null, (signal) => this.ask("close", "", signal, true));
		said.catch(() => {}); // the shop ends a silent link by itself
	}

	private async up(): Promise<void> {
		if (this.isSending) return;
		this.isSending = true;
		try {
			while (this.waiting.length > 0) {
				if (this.link === "") await this.open(this.waiting.shift() ?? "");
				else await this.post("up", batch(this.waiting));
			}
		} catch {
			this.lost();
		}
		this.isSending = false;
	}

	private async open(hello: string): Promise<void> {
		const answer = JSON.parse(await this.post("open", hello)) as { link?: unknown };
		if (typeof answer.link !== "string" || answer.link === "") throw new Error("the shop named no link");
		this.link = answer.link;
		void this.down();
	}

	private async down(): Promise<void> {
		try {
			while (!this.ended.signal.aborted) {
				const frames = await this.post("down", "");
				for (const data of frames.split("\n")) {
					if (data !== "" && !this.ended.signal.aborted) this.onmessage?.({ data });
				}
			}
		} catch {
			this.lost();
		}
	}

	private post(what: "open" | "up" | "down", body: string): Promise<string> {
		return within(LIMIT_MS[what], this.ended.signal, (signal) => this.ask(what, body, signal, false));
	}

	private async ask(what: string, body: string, signal: AbortSignal, keepalive: boolean): Promise<string> {
		const headers: Record<string, string> = this.link === "" ? {} : { "Tubewright-Link": this.link };
		const init: RequestInit = { method: "POST", headers, body, signal, cache: "no-store", keepalive };
		const got = await this.fetch(`/sync/${what}`, init);
		const text = await got.text();
		if (!got.ok) throw new Error(`/sync/${what}: ${got.status} ${text}`);
		return text;
	}

	private lost(): void {
		if (this.ended.signal.aborted) return;
		this.ended.abort();
		this.onclose?.();
	}
}

// batch takes frames from the front, one a line, as many as one request holds; the first always.
function batch(waiting: string[]): string {
	const encoder = new TextEncoder();
	let bytes = 0;
	let n = 0;
	for (const frame of waiting) {
		bytes += encoder.encode(frame).length + 1;
		if (n > 0 && bytes > UP_BYTES) break;
		n++;
	}
	return waiting.splice(0, n).join("\n");
}
