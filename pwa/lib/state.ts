// What the screens know and what they can do. A person acts; one function here
// makes a record of it; the record is written to the tablet's disk; only then
// does a signal change. Screens use this file and nothing else of lib.

import { batch, computed, effect, signal, untracked } from "@preact/signals";
import { Answers, type Ask, noteOf } from "./answers";
import { Drafts } from "./draft";
import { addParts, listIn, nextNumber, removals, removedIn, retractable } from "./entity";
import { draftKey, Forms } from "./forms";
import { Held } from "./held";
import { Clock, localTime, newID, shortID } from "./record";
import { HOME, hashOf, isRoute, routeOf } from "./route";
import type { Store } from "./store";
import { headOf, tableOf } from "./table";
import type {
	Form,
	JobSummary,
	JobView,
	ListItem,
	RawReading,
	ReadingBody,
	ReadingInput,
	Route,
	Status,
	Stored,
	Where,
} from "./types";
import { type Part, TooLong, Writer } from "./writer";

export * from "./types";

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

/** What state needs of the world around it. */
export interface Env {
	store: Store;
	ask: Ask;
	now(): number;
	hash(): string; // of the address now: a tap may come before the records are read in
	setHash(hash: string): void;
	grown(): void; // the outbox has more to send
	tell(ids: string[]): void; // other windows: these records are in the database now
	build: string;
}

/** What the world around tells state. */
export interface Wires {
	who(): { dev: string; name: string; build: string; unsent: number };
	fed(records: Stored[], own: Stored[], echoed: { id: string; pos: number }[]): void;
	reoffered(): Promise<void>;
	reread(ids: string[]): Promise<void>;
	arrive(hash: string): void;
	storage(err: unknown): void;
	backed(pos: number): void;
}

interface Core {
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
const changes = signal(0); // records or their places changed
const openJob = computed(() => route.value.job ?? "");

function running(): Core {
	if (!core) throw new Error("the tablet's records are not read in yet");
	return core;
}

/** start reads in what the tablet holds. It rejects when the storage does not open; it can be called again. */
export async function start(env: Env): Promise<Wires> {
	const meta = await env.store.meta().catch(fail);
	const [records, unsent] = await Promise.all([env.store.records(), env.store.outbox()]).catch(fail);
	const drafts = new Drafts(env.store, env.now, storageFails);
	await drafts.load().catch(fail);
	const text = (key: string) => (typeof meta[key] === "string" ? (meta[key] as string) : "");
	const dev = text("dev") || newID().slice(0, 16);
	if (!text("dev")) await env.store.putMeta({ dev }).catch(fail);
	const held = new Held();
	const clock = new Clock(dev, env.now);
	clock.restore(text("hlc"));
	for (const r of records) {
		held.put(r);
		clock.meet(r.hlc, env.now());
	}
	const n = typeof meta.n === "number" ? meta.n : 0;
	const answers = new Answers(held, env.ask, {
		jobs: (list) => {
			jobs.value = list;
		},
		view: (v) => {
			view.value = v;
		},
		calc: (c) => {
			calc.value = c;
		},
	});
	core = {
		env,
		held,
		clock,
		drafts,
		forms: new Forms(held, drafts, kept),
		answers,
		outbox: new Map(unsent.map((u) => [u.id, u.at])),
		writer: new Writer(env.store, held, clock, env.now, n),
		backedPos: 0,
	};
	batch(() => {
		person.value = text("person");
		deviceName.value = text("name");
		units.value = text("units") === "in" ? "in" : "mm";
		route.value = routeOf(env.hash()) ?? (isRoute(meta.route) ? meta.route : HOME);
		setStatus({ build: env.build, storage: "ok", storageError: "" });
		if (typeof meta.heard === "number") setStatus({ shopHeard: meta.heard });
		ready.value = true;
		count();
	});
	remember("person", person);
	remember("name", deviceName);
	remember("units", units);
	remember("route", route);
	effect(() => env.setHash(hashOf(route.value)));
	effect(() => answers.job(openJob.value));
	answers.changed(held.jobs());
	return { who, fed, reoffered, reread, arrive, storage: storageFails, backed };
}

function fail(err: unknown): never {
	storageFails(err);
	throw err;
}

// remember stores a signal's value whenever it changes. What is not stored
// costs nobody a measurement, so that trouble only shows in the status.
function remember(key: string, s: { value: unknown }): void {
	let isFirst = true;
	effect(() => {
		const value = s.value;
		if (!isFirst)
			void running()
				.env.store.putMeta({ [key]: value })
				.catch(storageFails);
		isFirst = false;
	});
}

/** setStatus changes part of the status; for what runs beside the screens. */
export function setStatus(part: Partial<Status>): void {
	status.value = { ...status.peek(), ...part };
}

/** go shows another screen. */
export function go(to: Route): void {
	route.value = to;
}

function arrive(hash: string): void {
	const to = routeOf(hash);
	if (to && hashOf(to) !== hashOf(route.peek())) route.value = to;
}

/** openForm makes the id of the record that the form will make, and brings back a half-typed text. */
export async function openForm(job: string, slot: string): Promise<Form> {
	return running().forms.open(job, slot);
}

/**
 * keepReading resolves when the reading is on the tablet's disk. It rejects when
 * the disk did not take it: the screen then says NOT SAVED and leaves the text
 * where it is; keeping again tries again. Repeated taps make one record.
 */
export async function keepReading(form: Form, r: ReadingInput): Promise<"saved"> {
	const { forms, writer } = running();
	const body = bodyOf(r);
	return guarded(() => forms.keepReading(form, JSON.stringify(r), () => ({ ...body, ...signed() }), writer));
}

/** choose keeps the person's choice among the readings that the form showed. */
export async function choose(form: Form, head: string): Promise<"saved"> {
	const { forms, writer } = running();
	return guarded(() => forms.choose(form, head, signed, writer));
}

/** keepNote keeps a text of low stakes (name, customer, stage); the latest is shown, earlier ones stay. */
export async function keepNote(job: string, slot: string, text: string): Promise<"saved"> {
	const { held, drafts } = running();
	const draft = drafts.get(draftKey(job, slot));
	await once(`note ${job} ${slot} ${text}`, async () => {
		const isNew = noteOf(held, job, slot) !== text || !held.slot(job, slot).some((r) => r.kind === "note");
		if (isNew) await write([{ kind: "note", job, slot, body: { text, ...signed() } }], draft ? [draft] : []);
	});
	return "saved";
}

/** retract takes records back and returns the ids of the retracts; retracting those brings the records back. */
export async function retract(job: string, ids: string[]): Promise<string[]> {
	return once(`retract ${job} ${ids.join(" ")}`, async () => {
		const targets = retractable(running().held, job, ids);
		if (targets.length === 0) return [];
		const records = await write(
			targets.map(({ id, slot }) => ({ kind: "retract", job, slot, target: id, body: signed() })),
		);
		return records.map((r) => r.id);
	});
}

/** newJob resolves with the job's id when its name is on the tablet's disk. */
export async function newJob(name: string): Promise<string> {
	return once(`job ${name}`, async () => {
		const job = shortID("j", 12);
		await write([{ kind: "note", job, slot: "job/self/name", body: { text: name, ...signed() } }]);
		return job;
	});
}

/**
 * addEntity puts an entry into a list: a bank, bolt, port, tube or element. The
 * fields are words or readings; parent is the entry it belongs to ("" for a
 * bank). It comes last, or behind the entry named after. All or nothing is kept.
 */
export async function addEntity(
	job: string,
	kind: string,
	parent: string,
	fields: Record<string, string | ReadingInput>,
	where: { id?: string; after?: string } = {},
): Promise<string> {
	return once(`add ${job} ${JSON.stringify([kind, parent, fields, where])}`, async () => {
		const { id, words } = addParts(running().held, job, kind, parent, where);
		const n = nextNumber(running().held, job, kind, parent);
		const number: Record<string, ReadingInput> =
			n > 0 ? { number: { text: `${n}`, unit: "1", v: n * 1e6, res: 0, quantity: "number", tool: "" } } : {};
		const parts = Object.entries({ ...words, ...number, ...fields }).map(([field, value]): Part => {
			const body = { ...bodyOf(typeof value === "string" ? wordOf(value) : value), ...signed() };
			return { kind: "reading", job, slot: `${kind}/${id}/${field}`, body };
		});
		await write(parts);
		return id;
	});
}

/**
 * removeEntity takes an entry out of its list and returns what brings it back. Its
 * values stay. Every place the entry ever had is taken back, not only the latest:
 * without the last move the one before it would hold again.
 */
export async function removeEntity(job: string, kind: string, id: string): Promise<() => Promise<void>> {
	const places = running()
		.held.slot(job, `${kind}/${id}/order`)
		.map((r) => r.env);
	const { heads, aside, replaced } = tableOf(places);
	const retracts = await retract(
		job,
		[...heads, ...aside, ...replaced].map((r) => r.id),
	);
	return async () => {
		await retract(job, retracts);
	};
}

/** bringBack puts a removed entry into its list again, however long ago it was removed. */
export async function bringBack(job: string, kind: string, id: string): Promise<void> {
	await retract(job, removals(running().held, job, kind, id));
}

/** removedOf returns the ids of the entries that were removed from the list of a parent. */
export function removedOf(job: string, kind: string, parent: string): string[] {
	changes.value;
	return core ? removedIn(core.held, job, kind, parent) : [];
}

/** saveDraft keeps a half-typed text: at once in memory, 300 ms later on the disk. For a form, key is form.key. */
export function saveDraft(key: string, text: string, form?: Form): void {
	const { drafts } = running();
	drafts.set(key, text, form?.id ?? drafts.get(key)?.id ?? "");
}

/** readDraft returns a half-typed text, "" when there is none. */
export const readDraft = (key: string): string => core?.drafts.get(key)?.text ?? "";

/** flushDrafts writes the drafts now; for the moment before the page is hidden. */
export async function flushDrafts(): Promise<void> {
	await core?.drafts.flush();
}

/** readingsOf returns every reading of a slot as the tablet holds it, without the calculation. */
export function readingsOf(job: string, slot: string): RawReading[] {
	changes.value;
	if (!core) return [];
	const t = tableOf(core.held.slot(job, slot).map((r) => r.env));
	const as = (standing: RawReading["standing"]) => (r: (typeof t.heads)[number]) => ({
		...headOf(r),
		standing,
	});
	return [
		...t.heads.map(as("head")),
		...t.aside.map(as("aside")),
		...t.replaced.map(as("replaced")),
		...t.retracted.map(as("retracted")),
	];
}

/** listOf returns the entries of a list in order, of one parent or of all, without the calculation. */
export function listOf(job: string, kind: string, parent?: string): ListItem[] {
	changes.value;
	return core ? listIn(core.held, job, kind, parent) : [];
}

/** noteText returns the latest text of a note's slot, "" when there is none, without the calculation. */
export function noteText(job: string, slot: string): string {
	changes.value;
	return core ? noteOf(core.held, job, slot) : "";
}

/** whereIs tells how far a record has got: on this tablet only, in the shop, in the shop's backup. */
export function whereIs(id: string): Where {
	changes.value;
	const pos = core?.held.get(id)?.pos ?? null;
	if (!core || pos === null) return "tablet";
	return pos <= core.backedPos ? "backed" : "shop";
}

const wordOf = (text: string): ReadingInput => ({
	text,
	unit: "word",
	v: 0,
	res: 0,
	quantity: "word",
	tool: "",
});

const KEYS = { length: "nm", angle: "udeg", number: "micro" } as const;

function bodyOf(r: ReadingInput): Omit<ReadingBody, "person" | "at"> {
	if (r.quantity === "word") return { text: r.text, unit: "word", tool: r.tool };
	if (!Number.isSafeInteger(r.v) || !Number.isSafeInteger(r.res))
		throw new Error(`"${r.text}": ${r.v} with resolution ${r.res} cannot be kept exactly`);
	return { text: r.text, unit: r.unit, [KEYS[r.quantity]]: r.v, res: r.res, tool: r.tool };
}

const signed = () => ({ person: person.peek(), at: localTime(running().env.now()) });

async function write(parts: Part[], drafts: Parameters<Writer["keep"]>[1] = []): Promise<Stored[]> {
	const { writer, drafts: held } = running();
	return guarded(async () => {
		const records = await writer.make(parts);
		await writer.keep(records, drafts);
		for (const d of drafts) held.forget(d);
		kept(records);
		return records;
	});
}

async function guarded<T>(act: () => Promise<T>): Promise<T> {
	try {
		const result = await act();
		if (status.peek().storage !== "ok") setStatus({ storage: "ok", storageError: "" });
		return result;
	} catch (err) {
		if (!(err instanceof TooLong)) storageFails(err);
		throw err;
	}
}

function storageFails(err: unknown): void {
	setStatus({ storage: "failing", storageError: err instanceof Error ? err.message : String(err) });
}

// once makes quick repeated taps one act: the same act is not begun again
// before it has ended.
const inHand = new Map<string, Promise<unknown>>();
function once<T>(what: string, act: () => Promise<T>): Promise<T> {
	const before = inHand.get(what) as Promise<T> | undefined;
	if (before) return before;
	const now = act().finally(() => inHand.delete(what));
	inHand.set(what, now);
	return now;
}

// kept is called when records made here are on the disk.
function kept(records: Stored[]): void {
	const { env, held, outbox } = running();
	for (const r of records) {
		// a try that seemed lost may have been read back from the shop meanwhile
		if (held.get(r.id)?.pos == null) outbox.set(r.id, env.now());
	}
	came(records);
	env.tell(records.map((r) => r.id));
	env.grown();
}

function who() {
	const { clock, env, outbox } = running();
	return { dev: clock.dev, name: deviceName.peek(), build: env.build, unsent: outbox.size };
}

function fed(records: Stored[], own: Stored[], echoed: { id: string; pos: number }[]): void {
	const { env, held, clock, outbox } = running();
	const shopNow = env.now() + (status.peek().clockOffsetMs ?? 0);
	for (const r of records) {
		held.put(r);
		clock.meet(r.hlc, shopNow);
	}
	for (const r of own) {
		held.put(r);
		outbox.set(r.id, env.now());
	}
	for (const { id, pos } of echoed) {
		outbox.delete(id);
		const r = held.get(id);
		if (r) r.pos = pos;
	}
	const unknown = echoed.map((e) => e.id).filter((id) => !held.get(id)); // kept, but this window was never told
	if (unknown.length > 0) void reread(unknown).catch(storageFails);
	came([...records, ...own]);
	env.tell([...records, ...own, ...echoed].map((r) => r.id));
}

async function reoffered(): Promise<void> {
	const { env, held, outbox } = running();
	held.forgetPlaces();
	for (const u of await env.store.outbox()) outbox.set(u.id, u.at);
	came([]);
	env.tell(held.jobs().flatMap((job) => held.job(job).map((r) => r.id)));
}

// reread takes in what another window wrote, or took back: after a reset nothing is in the shop.
async function reread(ids: string[]): Promise<void> {
	const { env, held, outbox } = running();
	const records = await env.store.some(ids);
	for (const r of records) {
		held.put(r);
		const known = held.get(r.id);
		if (known) known.pos = r.pos;
	}
	const unsent = await env.store.outbox();
	outbox.clear();
	for (const u of unsent) outbox.set(u.id, u.at);
	came(records);
	env.grown();
}

function backed(pos: number): void {
	running().backedPos = pos;
	came([]);
}

function came(records: Stored[]): void {
	batch(() => {
		changes.value = untracked(() => changes.value) + 1;
		count();
		const touched = new Set(records.map((r) => r.job));
		if (touched.size > 0) running().answers.changed(touched);
	});
}

function count(): void {
	const { outbox } = running();
	const oldest = [...outbox.values()].reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
	setStatus({ unsent: outbox.size, oldestUnsent: outbox.size > 0 ? oldest : null });
}
