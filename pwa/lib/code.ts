// A pairing code: how it is read from a link or from what a person typed, and how
// the shop takes it. Tablets and wall boards do this alike.

import { within } from "./request";
import type { Checks } from "./selftest";
import { pair } from "./textpair";

/** NotPaired says in a sentence why a code was not taken. */
export class NotPaired extends Error {
	constructor(readonly why: string) {
		super(pair.refused[why] ?? why);
	}
}

const CLAIM_MS = 15_000;
const SIGNS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789";

/** CODE_SIGNS are what a typed code is made of: nothing that is taken for another sign. */
export const CODE_SIGNS = [...SIGNS];
export const CODE_LENGTH = 8;

/** Fetch is the browser's, so that a test can be the shop. */
export type Fetch = (path: string, init: RequestInit) => Promise<Response>;

/** What the shop gives for a code. */
export interface Paired {
	token: string;
	role: string;
	name: string;
}

/** isLoopback tells whether an address is that of the shop machine as seen from itself. There no pairing is needed. */
export function isLoopback(host: string): boolean {
	return host === "localhost" || host === "[::1]" || /^127(\.\d{1,3}){3}$/.test(host);
}

/** typedCode reads what a person typed: gaps, hyphens and small letters do not matter; no holds signs that are in no code. */
export function typedCode(typed: string): { code: string; not: string } {
	const all = [...typed.toUpperCase()].filter((c) => !/[\s·-]/.test(c));
	const code = all.filter((c) => SIGNS.includes(c)).slice(0, CODE_LENGTH);
	return { code: code.join(""), not: all.filter((c) => !SIGNS.includes(c)).join("") };
}

/**
 * afterRefusal reads a code field that showed was, whose code was refused, and now
 * holds now: what was typed or pasted into it, wherever it landed, starts a new
 * code; where only something was deleted, the old one is being mended.
 */
export function afterRefusal(was: string, now: string): string {
	let head = 0;
	while (head < was.length && head < now.length && was[head] === now[head]) head++;
	let tail = 0;
	const most = Math.min(was.length, now.length) - head;
	while (tail < most && was[was.length - 1 - tail] === now[now.length - 1 - tail]) tail++;
	return now.slice(head, now.length - tail) || now;
}

/** groups shows a code as it stands on the shop machine: "ABCD EFGH". */
export const groups = (code: string): string =>
	code.length > 4 ? `${code.slice(0, 4)} ${code.slice(4)}` : code;

/** offeredIn returns the code that an address brings, "" when it brings none: "#/pair?code=…" or, on the wall, "#code=…". */
export function offeredIn(hash: string): string {
	const m = /^#(?:\/pair\?|)(?:.*&)?code=([A-Za-z0-9]{8,40})(?:&|$)/.exec(hash);
	return m?.[1] ?? "";
}

/** ask sends a code to the shop, with what it was typed into, and returns what the shop answers. */
export async function ask(
	fetch: Fetch,
	question: { code: string; dev: string; for: "app" | "wall"; checks: Checks },
): Promise<Paired> {
	const init = {
		method: "POST",
		headers: { "Content-Type": "application/json" },
		body: JSON.stringify(question),
		cache: "no-store" as const,
	};
	let res: Response;
	let said: Record<string, unknown>;
	try {
		[res, said] = await within(CLAIM_MS, null, async (signal) => {
			const got = await fetch("/pair/claim", { ...init, signal });
			return [got, (await got.json().catch(() => ({}))) as Record<string, unknown>];
		});
	} catch {
		throw new NotPaired("silent");
	}
	const word = (key: string) => (typeof said[key] === "string" ? (said[key] as string) : "");
	if (res.ok && word("token") !== "") return { token: word("token"), role: word("role"), name: word("name") };
	const why = word("why");
	throw new NotPaired(why in pair.refused ? why : word("text") || pair.answered(res.status));
}
