// Reads in what the tablet holds, and takes what the world around tells: pages
// of the shop's log, records of other windows, the backup's position.

import { batch, effect } from "@preact/signals";
import { Answers } from "./answers";
import {
	begin,
	calc,
	came,
	count,
	deviceName,
	type Env,
	jobs,
	kept,
	openJob,
	person,
	ready,
	route,
	running,
	setStatus,
	status,
	storageFails,
	units,
	view,
} from "./core";
import { Drafts } from "./draft";
import { Forms } from "./forms";
import { Held } from "./held";
import { photoIntent, restore } from "./intent";
import { found } from "./loss";
import { recall, tokenNow } from "./pairing";
import { Clock, newID } from "./record";
import { HOME, hashOf, isRoute, routeOf } from "./route";
import type { Stored } from "./types";
import { Writer } from "./writer";

/** What the world around tells state. */
export interface Wires {
	who(): { dev: string; name: string; build: string; unsent: number; token: string };
	fed(records: Stored[], own: Stored[], echoed: { id: string; pos: number }[]): void;
	reoffered(): Promise<void>;
	reread(ids: string[]): Promise<void>;
	arrive(hash: string): void;
	storage(err: unknown): void;
	backed(pos: number): void;
	ids(): string[]; // of all records held
}

/** start reads in what the tablet holds. It rejects when the storage does not open; it can be called again. */
export async function start(env: Env): Promise<Wires> {
	const meta = await env.store.meta().catch(fail);
	const [records, waiting] = await Promise.all([env.store.records(), env.store.outbox()]).catch(fail);
	const unsent = isWhole(records, waiting) ? waiting : await env.store.mend(env.now()).catch(fail);
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
	begin({
		env,
		held,
		clock,
		drafts,
		forms: new Forms(held, drafts, kept),
		answers,
		outbox: new Map(unsent.map((u) => [u.id, u.at])),
		writer: new Writer(env.store, held, clock, env.now, n),
		backedPos: 0,
	});
	batch(() => {
		recall(meta);
		person.value = text("person");
		deviceName.value = text("name");
		units.value = text("units") === "in" ? "in" : "mm";
		restore(meta.intent);
		const before = routeOf(env.hash()) ?? (isRoute(meta.route) ? meta.route : HOME);
		route.value = photoIntent.peek()?.route ?? before;
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
	return { who, fed, reoffered, reread, arrive, storage: storageFails, backed, ids: () => held.ids() };
}

// isWhole tells whether exactly the records that the shop has not yet shown are in the outbox.
function isWhole(records: Stored[], outbox: { id: string }[]): boolean {
	const waiting = new Set(outbox.map((u) => u.id));
	return records.every((r) => (r.pos === null) === waiting.delete(r.id)) && waiting.size === 0;
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

function arrive(hash: string): void {
	const to = routeOf(hash);
	if (to && hashOf(to) !== hashOf(route.peek())) route.value = to;
}

function who() {
	const { clock, env, outbox } = running();
	return {
		dev: clock.dev,
		name: deviceName.peek(),
		build: env.build,
		unsent: outbox.size,
		token: tokenNow(),
	};
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
	found(records);
	came([...records, ...own]);
	const fresh = [...records, ...own].map((r) => r.id);
	env.noted(fresh);
	env.tell([...fresh, ...echoed.map((e) => e.id)]);
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
