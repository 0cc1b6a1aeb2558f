// Making records: ids, the hybrid clock, hashes. A record becomes text once;
// that text is what is stored, sent and hashed.

import type { Envelope, Stored } from "./types";

const BASE32 = "abcdefghijklmnopqrstuvwxyz234567";
const AHEAD_MS = 60_000; // a stamp further ahead of the shop than this does not move our clock
const COUNTER_MAX = 0xffff;

/** newID returns 128 random bits as 26 characters of lower-case base32. */
export function newID(): string {
	return base32(crypto.getRandomValues(new Uint8Array(16)));
}

/** idOf returns an id made of a record's hash (hex): the same on every tablet that holds the record. */
export const idOf = (h: string): string => base32(new Uint8Array(unhex(h).slice(0, 16)));

/** shortID returns a name for something inside one job, e.g. "b-k3f9q2". */
export function shortID(prefix: string, length = 6): string {
	const bytes = crypto.getRandomValues(new Uint8Array(length));
	return `${prefix}-${Array.from(bytes, (b) => BASE32.charAt(b & 31)).join("")}`;
}

function base32(bytes: Uint8Array): string {
	let out = "";
	let buffer = 0;
	let bits = 0;
	for (const b of bytes) {
		buffer = ((buffer << 8) | b) & 0xfff;
		bits += 8;
		while (bits >= 5) {
			bits -= 5;
			out += BASE32.charAt((buffer >> bits) & 31);
		}
	}
	return bits > 0 ? out + BASE32.charAt((buffer << (5 - bits)) & 31) : out;
}

/** isID tells whether s can be a record's id. */
export const isID = (s: unknown): s is string => typeof s === "string" && /^[a-z2-7]{26}$/.test(s);

/**
 * Clock is a hybrid logical clock: it never goes back, whatever the tablet's
 * clock does, and stands after every stamp it was shown, unless that stamp is
 * more than a minute ahead of the shop.
 */
export class Clock {
	private ms = 0;
	private counter = 0;

	constructor(
		readonly dev: string,
		private now: () => number,
	) {}

	/** tick returns the stamp of a new record. */
	tick(): string {
		this.raise(this.now(), -1);
		this.counter++;
		if (this.counter > COUNTER_MAX) {
			this.ms++;
			this.counter = 0;
		}
		return this.text();
	}

	/** meet takes note of a stamp made elsewhere. shopNow is the shop's time, ms since 1970. */
	meet(stamp: string, shopNow: number): void {
		const m = /^(\d{13})-([0-9a-f]{4})-/.exec(stamp);
		if (!m) return;
		const ms = Number(m[1]);
		if (ms <= shopNow + AHEAD_MS) this.raise(ms, Number.parseInt(m[2] as string, 16));
	}

	/** restore takes up where an earlier run of this tablet stopped. */
	restore(stamp: string): void {
		this.meet(stamp, Number.POSITIVE_INFINITY);
	}

	private raise(ms: number, counter: number): void {
		if (ms > this.ms) {
			this.ms = Math.floor(ms);
			this.counter = counter;
		} else if (ms === this.ms && counter > this.counter) {
			this.counter = counter;
		}
	}

	private text(): string {
		const ms = String(this.ms).padStart(13, "0");
		return `${ms}-${this.counter.toString(16).padStart(4, "0")}-${this.dev}`;
	}
}

/** sha256 returns the hash of bytes, or of the UTF-8 bytes of text, hex. */
export async function sha256(of: string | BufferSource): Promise<string> {
	const bytes = typeof of === "string" ? new TextEncoder().encode(of) : of;
	return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
}

/** chain returns sha256(prev ‖ id ‖ h): the hash over the shop's log up to this record. prev and h are hex. */
export async function chain(prev: string, id: string, h: string): Promise<string> {
	const bytes = new Uint8Array([...unhex(prev), ...new TextEncoder().encode(id), ...unhex(h)]);
	return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
}

const hex = (bytes: Uint8Array) => Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");

function unhex(text: string): number[] {
	const pairs = text.match(/[0-9a-f]{2}/g) ?? [];
	return pairs.map((p) => Number.parseInt(p, 16));
}

/** encode turns a record into its text. It is called once in a record's life. */
export const encode = (r: Envelope): string => JSON.stringify(r);

/** decode reads a record's text; an error says what is wrong with it. */
export function decode(raw: string): Envelope {
	const r = JSON.parse(raw) as Partial<Envelope> | null;
	if (typeof r !== "object" || r === null || !isID(r.id)) throw new Error("record without an id");
	for (const key of ["kind", "job"] as const) {
		if (typeof r[key] !== "string" || r[key] === "") throw new Error(`record ${r.id} without ${key}`);
	}
	return { dev: "", n: 0, hlc: "", slot: "", sv: 0, body: null, ...r } as Envelope;
}

/** hold makes the stored form of a record's text. */
export async function hold(raw: string, pos: number | null): Promise<Stored> {
	const { id, job, slot, kind, hlc } = decode(raw);
	return { id, raw, h: await sha256(raw), job, slot, kind, hlc, pos };
}

/** localTime writes a moment as RFC 3339 with the tablet's offset. */
export function localTime(ms: number): string {
	const d = new Date(ms);
	const offset = -d.getTimezoneOffset();
	const two = (n: number) => String(Math.floor(n)).padStart(2, "0");
	const zone = `${offset < 0 ? "-" : "+"}${two(Math.abs(offset) / 60)}:${two(Math.abs(offset) % 60)}`;
	return new Date(ms + offset * 60_000).toISOString().replace("Z", zone);
}
