// Calculations that take long: asked for while a screen wants their answer, and kept by
// what they were made from, so that going back shows it at once. An older answer stays
// in sight, as one of what was entered before, until the newer one is there.

import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { parse } from "./answers";
import { NotHere, Stopped, Superseded } from "./calc";
import { changes, running } from "./core";
import { type Held, SHOP } from "./held";
import { byClock, isLiveIn, tableOf } from "./table";
import type { Envelope } from "./types";

export type LongKind =
	| "cuts"
	| "corrections"
	| "filling"
	| "sizing"
	| "group"
	| "fixture"
	| "weld"
	| "inspection";

const PAUSE_MS = 150; // what comes in together is asked for once
const KEPT = 12; // answers

/** What there is of an answer. */
export interface Worked<T> {
	/** away: the calculation is not on this tablet yet; stopped: by the person. */
	state: "none" | "running" | "done" | "stopped" | "away" | "failed";
	done: number; // share of the work, 0 to 1, while running
	answer: T | null; // the latest there is
	isStale: boolean; // the answer is of what was entered before
	why: string; // failed: a sentence
}

/** An answer, for what only tells of it. */
export interface Answered<T> {
	answer: T;
	isOfNow: boolean; // nothing was entered since that it rests on
}

/** What asks; see Calc. */
export interface Messenger {
	ask(kind: string, question: object, told: (done: number) => void): Promise<string>;
	stop(kind: string): void;
}

interface Want {
	kind: LongKind;
	sign: string; // of what the answer is wanted for
	question: () => object;
	shown: Signal<Worked<unknown>>;
}

const NOTHING: Worked<unknown> = { state: "none", done: 0, answer: null, isStale: false, why: "" };

export class Long {
	private wants = new Map<string, Want>(); // by kind and job
	private kept = new Map<string, unknown>(); // by kind and sign, the one used last at the end
	private timers = new Map<LongKind, ReturnType<typeof setTimeout>>();

	constructor(
		private messenger: Messenger,
		private pause = PAUSE_MS,
	) {}

	/** shown is what there is for a job; want makes it come. */
	shown<T>(kind: LongKind, job: string): ReadonlySignal<Worked<T>> {
		return this.at(kind, job).shown as Signal<Worked<T>>;
	}

	/** answered is the answer that there is for a job, and whether sign stands for what it was made from; null without one. */
	answered<T>(kind: LongKind, job: string, sign: () => string): Answered<T> | null {
		const w = this.at(kind, job);
		const { answer } = w.shown.value;
		return answer === null
			? null
			: { answer: answer as T, isOfNow: this.kept.get(`${kind} ${sign()}`) === answer };
	}

	/**
	 * want asks for the answer from what sign stands for, unless it is there or on its way. What was asked for of
	 * this kind before is given up.
	 */
	want(kind: LongKind, job: string, sign: string, question: () => object): void {
		const w = this.at(kind, job);
		if (w.sign === sign && w.shown.peek().state !== "none") return;
		w.sign = sign;
		w.question = question;
		this.begin(w);
	}

	/** again asks once more for what was stopped, failed or away. */
	again(kind: LongKind, job: string): void {
		const w = this.at(kind, job);
		if (w.sign !== "") this.begin(w);
	}

	/** stop gives up what is being worked out of a kind. */
	stop(kind: LongKind): void {
		const timer = this.timers.get(kind);
		this.messenger.stop(kind);
		if (timer === undefined) return;
		this.forget(kind);
		for (const w of this.wants.values())
			if (w.kind === kind && w.shown.peek().state === "running") this.show(w, { state: "stopped" });
	}

	/** lookAgain asks for what was away: there may be a connection now. */
	lookAgain(): void {
		for (const w of this.wants.values()) if (w.shown.peek().state === "away") this.begin(w);
	}

	private at(kind: LongKind, job: string): Want {
		const key = `${kind} ${job}`;
		const known = this.wants.get(key);
		if (known) return known;
		const made = { kind, sign: "", question: () => ({}), shown: signal(NOTHING) };
		this.wants.set(key, made);
		return made;
	}

	private begin(w: Want): void {
		for (const other of this.wants.values())
			if (other !== w && other.kind === w.kind && other.shown.peek().state === "running")
				this.show(other, { state: "none" });
		this.forget(w.kind);
		const key = `${w.kind} ${w.sign}`;
		if (this.kept.has(key)) {
			this.messenger.stop(w.kind);
			this.keep(key, this.kept.get(key));
			w.shown.value = { ...NOTHING, state: "done", answer: this.kept.get(key) };
			return;
		}
		this.show(w, { state: "running" });
		this.timers.set(
			w.kind,
			setTimeout(() => {
				this.timers.delete(w.kind);
				void this.ask(w, w.sign);
			}, this.pause),
		);
	}

	private async ask(w: Want, sign: string): Promise<void> {
		const isWanted = () => w.sign === sign && w.shown.peek().state === "running";
		try {
			const text = await this.messenger.ask(w.kind, w.question(), (done) => {
				if (isWanted()) w.shown.value = { ...w.shown.peek(), done };
			});
			const answer = parse<unknown>(text);
			this.keep(`${w.kind} ${sign}`, answer);
			if (isWanted()) w.shown.value = { ...NOTHING, state: "done", answer };
		} catch (err) {
			if (err instanceof Superseded || !isWanted()) return;
			if (err instanceof Stopped) this.show(w, { state: "stopped" });
			else if (err instanceof NotHere) this.show(w, { state: "away" });
			else this.show(w, { state: "failed", why: err instanceof Error ? err.message : String(err) });
		}
	}

	// show leaves the answer that there is in sight, as one of before.
	private show(w: Want, part: Pick<Worked<unknown>, "state"> & { why?: string }): void {
		const { answer } = w.shown.peek();
		w.shown.value = { ...NOTHING, answer, isStale: answer !== null, ...part };
	}

	private keep(key: string, answer: unknown): void {
		this.kept.delete(key);
		this.kept.set(key, answer);
		for (const oldest of this.kept.keys()) {
			if (this.kept.size <= KEPT) break;
			this.kept.delete(oldest);
		}
	}

	private forget(kind: LongKind): void {
		clearTimeout(this.timers.get(kind));
		this.timers.delete(kind);
	}
}

const BESIDE = ["retract", "photo", "mark", "deny"];

/**
 * signOf tells sets of records apart by what they say: what lies on the table of each slot. Records that were taken
 * back leave the sign as it was before them. Names and stages of the job are not in it, nor what was measured on prints.
 */
export function signOf(held: Held, jobs: string[]): string {
	const lines: string[] = [];
	for (const job of jobs)
		for (const slot of held.slots(job).sort()) {
			if (slot.startsWith("print/") || slot.startsWith("job/self/")) continue;
			const said = saidIn(held.slot(job, slot).map((r) => r.env));
			if (said.length > 0) lines.push(`${job} ${slot} ${said.join(" ")}`);
		}
	return lines.join("\n");
}

function saidIn(records: Envelope[]): string[] {
	const { heads, choices } = tableOf(records);
	const isText = (r: Envelope) => r.kind !== "reading" && r.kind !== "choice" && !BESIDE.includes(r.kind);
	const texts = records.filter((r) => isText(r) && isLiveIn(records, r.id)).sort(byClock);
	return [...heads, ...choices, ...texts.slice(-1)].map((r) => r.id);
}

let long: Long | null = null;

/** startLong puts the messenger to work, once. */
export function startLong(messenger: Messenger): void {
	long ??= new Long(messenger);
}

function started(): Long {
	if (!long) throw new Error("the calculations that take long are not started");
	return long;
}

let last = { of: "", sign: "" };

/** signNow is the sign of a job as it is now, with the shop's own; read in a screen it is read again when that changes. */
export function signNow(job: string): string {
	changes.value;
	const { held } = running();
	const of = `${job} ${held.revision(job)} ${held.revision(SHOP)}`;
	if (last.of !== of) last = { of, sign: signOf(held, [job, SHOP]) };
	return last.sign;
}

/** want makes the answer for a job come; ask for it with the sign of now, and as JSON what is asked beside the job. */
export function want(kind: LongKind, job: string, sign: string, beside: string): void {
	const question = () => ({
		op: kind,
		job,
		records: running().held.texts(job),
		...(JSON.parse(beside) as object),
	});
	started().want(kind, job, wholeSign(sign, beside), question);
}

// wholeSign is the sign of a job with what is asked beside it, as JSON.
const wholeSign = (sign: string, beside = "{}") => `${sign}\n${beside}`;

/** workedOut is what there is of the answer for a job. */
export const workedOut = <T>(kind: LongKind, job: string) => started().shown<T>(kind, job);

/** answered is the answer for a job that was worked out before, null where none was. Nothing is asked for by it. */
export const answered = <T>(kind: LongKind, job: string): Answered<T> | null =>
	long?.answered<T>(kind, job, () => wholeSign(signNow(job))) ?? null;

export const stop = (kind: LongKind) => started().stop(kind);
export const again = (kind: LongKind, job: string) => started().again(kind, job);
export const lookAgain = () => long?.lookAgain();
