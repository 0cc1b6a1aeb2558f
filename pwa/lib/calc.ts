// Messenger to the calculation's worker: numbered questions, one in the worker
// at a time, the latest of each kind waits, 5 s for an answer.

/** The answer was not waited for: a newer question of the same kind took its place. */
export class Superseded extends Error {}

/** What is used of a Worker. */
export interface WorkerLike {
	postMessage(m: Question): void;
	terminate(): void;
	onmessage: ((e: { data: Answer }) => void) | null;
	onerror: ((e: { message?: string }) => void) | null;
}

export interface Question {
	n: number;
	text: string;
}

/** The worker first says which build of the calculation it runs, or why it cannot. */
export type Answer = { build: string } | { failed: string } | { n: number; text: string };

const ANSWER_MS = 5_000; // a longer calculation is taken for lost
const START_MS = 30_000; // fetching and compiling on a slow tablet
const IDLE_MS = 60_000; // wasm gives memory back only when its worker ends

interface Waiting extends Question {
	kind: string;
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
		private limits = { answer: ANSWER_MS, start: START_MS, idle: IDLE_MS },
	) {}

	/** ask rejects with Superseded, or with a sentence about what went wrong. */
	ask(kind: string, question: object): Promise<string> {
		return new Promise((resolve, reject) => {
			const behind = this.queue.findIndex((w) => w.kind === kind);
			if (behind >= 0) this.queue.splice(behind, 1)[0]?.reject(new Superseded(kind));
			this.queue.push({ n: ++this.n, kind, text: JSON.stringify(question), resolve, reject });
			this.next();
		});
	}

	private next(): void {
		if (this.asked || this.queue.length === 0) return;
		if (!this.worker) {
			this.open();
			return;
		}
		if (!this.ready) return;
		this.asked = this.queue.shift() as Waiting;
		this.limit(this.limits.answer, () => this.lose("the calculation took more than 5 s and was stopped"));
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
			if (this.worker === worker) this.lose(`the calculation stopped: ${e.message ?? "no reason given"}`);
		};
		this.limit(this.limits.start, () => this.lose("the calculation did not start within 30 s"));
	}

	private answer(a: Answer): void {
		if ("failed" in a) {
			this.lose(a.failed);
		} else if ("build" in a) {
			this.build = a.build;
			this.ready = true;
			clearTimeout(this.timer);
			this.next();
		} else if (this.asked?.n === a.n) {
			const { resolve } = this.asked;
			this.asked = null;
			this.limit(this.limits.idle, () => this.end());
			resolve(a.text);
			this.next();
		}
	}

	// lose throws the worker away. The question in it is answered with why; the
	// next one starts a new worker. Where none starts, all that wait are told.
	private lose(why: string): void {
		const told = this.asked ? [this.asked] : this.queue.splice(0);
		this.end();
		for (const w of told) w.reject(new Error(why));
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
		this.timer = setTimeout(act, ms);
	}
}
