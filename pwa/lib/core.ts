// What all acts of the tablet share: the signals that screens read, the records in
// memory, and the one way in which an act becomes a record. A person acts; a
// record is made of it and written to the tablet's disk; only then does a
// signal change.

import { batch, computed, signal, untracked } from "@preact/signals";
import type { Answers, Ask } from "./answers";
import type { Drafts } from "./draft";
import type { Forms } from "./forms";
import type { Held } from "./held";
import { type Clock, localTime } from "./record";
import { HOME } from "./route";
import { NoRoom, type PhotoBytes, type Store } from "./store";
import type { Stored } from "./types";
import type { Draft, JobSummary, JobView, Route, Status } from "./typesapp";
import { type Part, TooLong, type Writer } from "./writer";

/** Jobs of this tablet, the one changed last first. */
export const jobs = signal<JobSummary[]>([]);
/** Answer of the calculation for the open job; null before the first. */
export const view = signal<JobView | null>(null);
/** Whether the calculation is working, and what it could not do. Entry goes on in any case. */
export const calc = signal({ busy: false, error: "" });
export const status = signal<Status>({
	link: "offline",
	unsent: 0,
	oldestUnsent: null,
	shopHeard: null,
	clockOffsetMs: null,
	persisted: null,
	storage: "ok",
	storageError: "",
	isPlainTab: false,
	room: null,
	hasSpare: true,
	lost: null,
	aside: [],
	notice: "",
	build: "",
	update: false,
});
/** Where the person is. Only go changes it. */
export const route = signal<Route>(HOME);
/** Who measures; goes into each record. Setting it stores it. */
export const person = signal("");
/** What this tablet is called in the shop. Setting it stores it. */
export const deviceName = signal("");
/** The unit that lengths are shown and expected in. Setting it stores it. */
export const units = signal<"mm" | "in">("mm");
/** False until the tablet's records are read in. */
export const ready = signal(false);
/** Counts the changes of records and of their places. */
export const changes = signal(0);
export const openJob = computed(() => route.value.job ?? "");

/** What state needs of the world around it. */
export interface Env {
	store: Store;
	ask: Ask;
	now(): number;
	hash(): string; // of the address now: a tap may come before the records are read in
	setHash(hash: string): void;
	grown(): void; // the outbox has more to send
	tell(ids: string[]): void; // other windows: these records are in the database now
	noted(ids: string[]): void; // these records are on the disk: for the roll
	struck(ids: string[]): Promise<void>; // these are gone and the person knows
	build: string;
}

export interface Core {
	env: Env;
	held: Held;
	clock: Clock;
	drafts: Drafts;
	forms: Forms;
	answers: Answers;
	outbox: Map<string, number>; // id → when it was kept
	writer: Writer;
	backedPos: number;
}

let core: Core | null = null;

/** begin puts the records that were read in to work. */
export function begin(c: Core): void {
	core = c;
}

/** loaded is null until the records are read in. */
export const loaded = (): Core | null => core;

export function running(): Core {
	if (!core) throw new Error("the tablet's records are not read in yet");
	return core;
}

/** setStatus changes part of the status; for what runs beside the screens. */
export function setStatus(part: Partial<Status>): void {
	status.value = { ...status.peek(), ...part };
}

export function storageFails(err: unknown): void {
	setStatus({ storage: "failing", storageError: err instanceof Error ? err.message : String(err) });
}

/** guarded runs an act that writes, and says in the status whether the storage took it. */
export async function guarded<T>(act: () => Promise<T>): Promise<T> {
	try {
		const result = await act();
		if (status.peek().storage !== "ok") setStatus({ storage: "ok", storageError: "" });
		return result;
	} catch (err) {
		if (err instanceof NoRoom) setStatus({ hasSpare: false });
		else if (!(err instanceof TooLong)) storageFails(err);
		throw err;
	}
}

export const signed = () => ({ person: person.peek(), at: localTime(running().env.now()) });

/** write makes records of parts and resolves when all of them are on the disk, and the pictures they tell of. */
export async function write(
	parts: Part[],
	drafts: Draft[] = [],
	photos: PhotoBytes[] = [],
): Promise<Stored[]> {
	const { writer, drafts: held } = running();
	return guarded(async () => {
		const records = await writer.make(parts);
		await held.leaving(drafts, () => writer.keep(records, drafts, photos));
		kept(records);
		return records;
	});
}

// once makes quick repeated taps one act: the same act is not begun again
// before it has ended.
const inHand = new Map<string, Promise<unknown>>();
export function once<T>(what: string, act: () => Promise<T>): Promise<T> {
	const before = inHand.get(what) as Promise<T> | undefined;
	if (before) return before;
	const now = act().finally(() => inHand.delete(what));
	inHand.set(what, now);
	return now;
}

/** kept is called when records made here are on the disk. */
export function kept(records: Stored[]): void {
	const { env, held, outbox } = running();
	for (const r of records) {
		// a try that seemed lost may have been read back from the shop meanwhile
		if (held.get(r.id)?.pos == null) outbox.set(r.id, env.now());
	}
	came(records);
	const ids = records.map((r) => r.id);
	env.noted(ids);
	env.tell(ids);
	env.grown();
}

/** came tells screens and calculation that records, or their places, are others now. */
export function came(records: Stored[]): void {
	batch(() => {
		changes.value = untracked(() => changes.value) + 1;
		count();
		const touched = new Set(records.map((r) => r.job));
		if (touched.size > 0) running().answers.changed(touched);
	});
}

export function count(): void {
	const { outbox } = running();
	const oldest = [...outbox.values()].reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
	setStatus({ unsent: outbox.size, oldestUnsent: outbox.size > 0 ? oldest : null });
}
