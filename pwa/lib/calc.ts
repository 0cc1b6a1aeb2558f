// Messenger to a worker in which a calculation runs: numbered questions, one in the
// worker at a time, the latest of each kind waits. A quick calculation has 5 s for an
// answer, a sheet a minute; one that takes long has as long as it takes, tells how far
// it is, and is ended with its worker when it is not wanted any more.

/** The answer was not waited for: a newer question of the same kind took its place. */
export class Superseded extends Error {}

/** The answer was not waited for: a person stopped it. */
export class Stopped extends Error {}

/** The calculation itself is not on this tablet yet. */
export class NotHere extends Error {}

/** What is used of a Worker. */
export interface WorkerLike {
	postMessage(m: Question): void;
	terminate(): void;
	onmessage: ((e: { data: Answer }) => void) | null;
	onerror: ((e: { message?: string }) => void) | null;
}

/** The worker is first told which calculation to load. */
export type Question = { wasm: string } | Asked;

export interface Asked {
	n: number;
	text: string;
}

/** The worker first says which build of the calculation it runs, or why it cannot. done is the share of the work. */
export type Answer =
	| { build: string }
	| { failed: string; missing?: boolean }
	| { n: number; done: number }
	| { n: number; text: string };

/** How long things may take, in ms, and whether a newer question of its kind ends the one in the worker. */
export interface Manner {
	answer: number;
	start: number; // fetching and compiling on a slow tablet
	idle: number; // wasm gives memory back only when its worker ends
	isLong: boolean;
}

const QUICK: Manner = { answer: 5_000, start: 30_000, idle: 60_000, isLong: false };
/** The plan of cuts as a sheet takes as long as its search, which ends by itself. */
export const DRAWN: Manner = { answer: 60_000, start: 60_000, idle: 20_000, isLong: false };
export const LONG: Manner = { answer: Number.POSITIVE_INFINITY, start: 60_000, idle: 20_000, isLong: true };

interface Waiting extends Asked {
	kind: string;
	told(done: number): void;
	resolve(text: string): void;
	reject(err: Error): void;
}

/** Calc starts its worker when there is something to ask and ends it when idle. */
export class Calc {
	/** Build of the calculation that answered last, "" before that. */
	build = "";
	private worker: WorkerLike | null = null;
	private ready = false;
	private queue: Waiting[] = [];
	private asked: Waiting | null = null;
	private timer: ReturnType<typeof setTimeout> | undefined;
	private n = 0;

	constructor(
		private start: () => WorkerLike,
		private manner = QUICK,
	) {}

	/** ask rejects with Superseded, Stopped, NotHere, or with a sentence about what went wrong. */
	ask(kind: string, question: object, told: (done: number) => void = () => {}): Promise<string> {
		return new Promise((resolve, reject) => {
			this.drop(kind, new Superseded(kind), this.manner.isLong);
			this.queue.push({ n: ++this.n, kind, text: JSON.stringify(question), told, resolve, reject });
			this.next();
		});
	}

	/** stop gives up what is asked for of a kind, and ends the worker if it is at it. */
	stop(kind: string): void {
		this.drop(kind, new Stopped(kind), true);
		this.next();
	}

	private drop(kind: string, why: Error, evenBegun: boolean): void {
		const behind = this.queue.findIndex((w) => w.kind === kind);
		if (behind >= 0) this.queue.splice(behind, 1)[0]?.reject(why);
		if (!evenBegun || this.asked?.kind !== kind) return;
		const { reject } = this.asked;
		this.end();
		reject(why);
	}

	private next(): void {
		if (this.asked || this.queue.length === 0) return;
		if (!this.worker) {
			this.open();
			return;
		}
		if (!this.ready) return;
		this.asked = this.queue.shift() as Waiting;
		const { answer } = this.manner;
		this.limit(answer, () => this.lose(`the calculation took more than ${answer / 1000} s and was stopped`));
		this.worker.postMessage({ n: this.asked.n, text: this.asked.text });
	}

	private open(): void {
		let worker: WorkerLike;
		try {
			worker = this.start();
		} catch (err) {
			this.lose(`the calculation cannot start: ${err instanceof Error ? err.message : String(err)}`);
			return;
		}
		this.worker = worker;
		this.ready = false;
		worker.onmessage = (e) => {
			if (this.worker === worker) this.answer(e.data);
		};
		worker.onerror = (e) => {
			if (this.worker !== worker) return;
			const why = `the calculation stopped: ${e.message ?? "no reason given"}`;
			this.lose(why, !this.ready); // nobody tells why a worker's script did not come
		};
		const { start } = this.manner;
		this.limit(start, () => this.lose(`the calculation did not start within ${start / 1000} s`));
	}

	private answer(a: Answer): void {
		if ("failed" in a) {
			this.lose(a.failed, a.missing);
		} else if ("build" in a) {
			this.build = a.build;
			this.ready = true;
			this.limit(this.manner.idle, () => this.end());
			this.next();
		} else if (this.asked?.n !== a.n) {
			return;
		} else if ("done" in a) {
			this.asked.told(a.done);
		} else {
			const { resolve } = this.asked;
			this.asked = null;
			this.limit(this.manner.idle, () => this.end());
			resolve(a.text);
			this.next();
		}
	}

	// lose throws the worker away. The question in it is answered with why; the
	// next one starts a new worker. Where none starts, all that wait are told.
	private lose(why: string, isMissing = false): void {
		const told = this.asked ? [this.asked] : this.queue.splice(0);
		this.end();
		for (const w of told) w.reject(isMissing ? new NotHere(why) : new Error(why));
		this.next();
	}

	/** end stops the worker; the next question starts another. */
	end(): void {
		clearTimeout(this.timer);
		this.worker?.terminate();
		this.worker = null;
		this.ready = false;
		this.asked = null;
	}

	private limit(ms: number, act: () => void): void {
		clearTimeout(this.timer);
		if (ms < Number.POSITIVE_INFINITY) this.timer = setTimeout(act, ms);
	}
}
