// Whether the shop knows this tablet: the token that a pairing gave it, what the
// shop said of it last, and how a pairing begins and ends. Whatever the shop says,
// no record and no typed text is touched here.

import { signal } from "@preact/signals";
import { ask, type Fetch, isLoopback, NotPaired, type Paired } from "./code";
import { deviceName, guarded, running, status } from "./core";
import { type SavedFile, saveFile } from "./savefile";
import schema from "./schema.json";
import type { Checks } from "./selftest";
import type { Meta } from "./store";
import type { Barred, Met } from "./sync";
import { pair } from "./textpair";

export interface Pairing {
	hasToken: boolean;
	stand: "unknown" | "known" | "barred" | "revoked"; // what the shop said last; barred: it does not know the token, or wants one
	role: string; // "" when not known
	name: string; // under which the shop knows this tablet
	aside: number; // records of a revoked tablet that lie beside the shop's log
	left: number; // those that the shop did not put there either
	leftWhy: string;
}

/** Clock and network of a pairing, and who is told of it. */
export interface PairWorld {
	fetch: Fetch;
	host: string; // of the page's address
	changed(): void; // there is a token, another one, or none: connect anew, and tell the other windows
}

const NONE: Pairing = {
	hasToken: false,
	stand: "unknown",
	role: "",
	name: "",
	aside: 0,
	left: 0,
	leftWhy: "",
};
export const pairing = signal<Pairing>(NONE);
/** A code that a link brought, "" when none did. */
export const offered = signal("");

let world: PairWorld | null = null;
let token = "";
let claimed: Paired | null = null; // by a code that is used up, and not yet on the disk

/** startPairing is called before the records are read in. */
export function startPairing(w: PairWorld): void {
	world = w;
}

/** recall takes in what an earlier start kept. */
export function recall(meta: Meta): void {
	token = typeof meta.token === "string" ? meta.token : "";
	const kept = (key: string) => (token !== "" && typeof meta[key] === "string" ? (meta[key] as string) : "");
	pairing.value = { ...NONE, hasToken: token !== "", role: kept("role"), name: kept("name") };
}

export const tokenNow = (): string => token;

const LOWEST: Record<string, string | undefined> = schema.roles;

/**
 * may tells whether the shop takes records of a kind from this tablet: what it was paired for, or what it said itself
 * on the shop machine. Before the shop said anything all is taken, since entry never waits for it.
 */
export const may = (kind: string): boolean => pairing.value.role !== "measure" || LOWEST[kind] === "measure";

/** met takes in what the shop says of this tablet at each welcome. */
export function met({ role, name, isRevoked }: Met): void {
	const was = pairing.peek();
	const stand = isRevoked ? "revoked" : "known";
	const nothing = { aside: 0, left: 0, leftWhy: "" };
	pairing.value = { ...was, stand, role, ...(token !== "" && name !== "" && { name }), ...nothing };
	if (token === "") return; // a browser on the shop machine names itself
	if (name !== "") deviceName.value = name;
	const { store } = running().env;
	if (role !== was.role) void store.putMeta({ role }).catch(() => {}); // said again at the next welcome
}

/** barred: the shop does not let this tablet in. Entry goes on, and so does what is kept. */
export function barred(why: Barred): void {
	pairing.value = { ...pairing.peek(), stand: why === "revoked" ? "revoked" : "barred" };
}

/** putAside says how many records of this revoked tablet lie beside the shop's log, how many do not, and why. */
export function putAside(records: number, left: number, why: string): void {
	pairing.value = { ...pairing.peek(), aside: records, left, leftWhy: why };
}

/** withToken adds the token to a request for photos or figures; nothing else gets it, and no address ever does. */
export function withToken(path: string, init: RequestInit): RequestInit {
	if (token === "" || !/^\/(blob|api)\//.test(path)) return init;
	const headers = new Headers(init.headers);
	headers.set("Authorization", `Tubewright ${token}`);
	return { ...init, headers };
}

/** isExempt tells whether this browser runs on the shop machine itself. */
export const isExempt = (): boolean => isLoopback(world?.host ?? "");

/**
 * claim pairs this tablet with a code. It resolves when the token is on the
 * tablet's disk; a code that was taken while the disk failed is not lost, claiming
 * again writes again. It rejects with NotPaired when the shop did not take the code.
 */
export async function claim(code: string, checks: Checks): Promise<void> {
	const { store } = running().env;
	claimed ??= await ask(need().fetch, { code, dev: running().clock.dev, for: "app", checks });
	const got = claimed;
	if (got.role === "board") {
		// a shop of before it was told what asks; its code is used up
		claimed = null;
		throw new NotPaired("board");
	}
	await guarded(() => store.putMeta({ token: got.token, role: got.role, name: got.name }));
	claimed = null;
	token = got.token;
	offered.value = "";
	pairing.value = { ...NONE, hasToken: true, stand: "known", role: got.role, name: got.name };
	if (got.name !== "") deviceName.value = got.name;
	need().changed();
}

/** waiting counts what the shop does not have: records, and photos. */
export async function waiting(): Promise<{ records: number; photos: number }> {
	const rows = await running().env.store.photoRows();
	const photos = rows.filter((r) => r.state === "held" && r.of === "").length;
	return { records: status.peek().unsent, photos };
}

/**
 * unpair forgets the token; everything else stays on this tablet. While something
 * is unsent it asks for the typed word, and hand gets the file of everything
 * first; where no file could be made or handed over, nothing is changed.
 */
export async function unpair(typed: string, hand: (f: SavedFile) => Promise<void>): Promise<void> {
	const { records, photos } = await waiting();
	if (records + photos > 0) {
		if (!isConfirmed(typed)) throw new Error(pair.confirm(pair.confirmWord));
		await hand(await saveFile());
	}
	await guarded(() => running().env.store.putMeta({ token: "", role: "" }));
	token = "";
	pairing.value = NONE;
	need().changed();
}

/** isConfirmed tells whether the word was typed that unpairing with unsent records asks for. */
export const isConfirmed = (typed: string): boolean => typed.trim().toLowerCase() === pair.confirmWord;

/** reread takes in what another window changed. */
export async function reread(): Promise<void> {
	recall(await running().env.store.meta());
}

function need(): PairWorld {
	if (!world) throw new Error("the network of the pairing is not known yet");
	return world;
}
