// Asks the calculation again whenever records came in, and shows its answers.
// Entry never waits for it: where it fails, jobs are listed from their records.

import { Superseded } from "./calc";
import { type Held, SHOP } from "./held";
import { byClock, isLiveIn } from "./table";
import type { NoteBody } from "./types";
import type { JobSummary, JobView } from "./typesapp";

const PAUSE_MS = 150;
const AGAIN_MS = [2_000, 10_000, 60_000]; // a busy tablet answers the second time; what never answers is not asked for ever

/** Ask sends one question to the calculation and resolves with its answer, as JSON text. */
export type Ask = (kind: string, question: object) => Promise<string>;

export interface Shown {
	jobs(list: JobSummary[]): void;
	view(v: JobView | null): void;
	calc(c: { busy: boolean; error: string }): void;
}

export class Answers {
	private open = "";
	private last: JobView | null = null;
	private summaries = new Map<string, JobSummary>();
	private dirty = new Set<string>();
	private timer: ReturnType<typeof setTimeout> | null = null;
	private running = 0;
	private errors = { jobs: "", view: "" };
	private failures = 0; // since records came in, or another job was opened
	private again: ReturnType<typeof setTimeout> | undefined;

	constructor(
		private held: Held,
		private ask: Ask,
		private show: Shown,
	) {}

	/** job sets which job is open, "" for none. */
	job(id: string): void {
		if (id === this.open) return;
		this.open = id;
		this.showView(null);
		if (id !== "") this.later();
	}

	/** changed takes note that records of these jobs came in. Those of the shop are no job, and part of what every job is. */
	changed(jobs: Iterable<string>): void {
		for (const job of jobs) {
			if ((job === this.open || job === SHOP) && this.last) this.showView({ ...this.last, stale: true });
			if (job === SHOP) continue;
			this.dirty.add(job);
			const counted = this.summaries.get(job);
			this.summaries.set(job, counted ? { ...counted, ...this.named(job) } : this.plain(job));
		}
		this.showJobs();
		this.later();
	}

	private later(): void {
		this.failures = 0;
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = setTimeout(() => {
			this.timer = null;
			this.askBoth();
		}, PAUSE_MS);
		this.showCalc();
	}

	private askBoth(): void {
		clearTimeout(this.again);
		this.again = undefined;
		void this.run("view", () => this.askView());
		void this.run("jobs", () => this.askJobs());
	}

	private failed(): void {
		if (this.again !== undefined) return; // view and jobs failed together
		const ms = AGAIN_MS[this.failures++];
		if (ms !== undefined) this.again = setTimeout(() => this.askBoth(), ms);
	}

	private async run(kind: "jobs" | "view", question: () => Promise<void>): Promise<void> {
		this.running++;
		this.showCalc();
		try {
			await question();
			this.errors[kind] = "";
		} catch (err) {
			if (!(err instanceof Superseded)) {
				this.errors[kind] = err instanceof Error ? err.message : String(err);
				this.failed();
			}
		}
		this.running--;
		this.showCalc();
	}

	private async askView(): Promise<void> {
		const job = this.open;
		if (job === "") return;
		const revision = this.revision(job);
		const records = this.held.texts(job);
		const answer = parse<Partial<JobView>>(await this.ask("view", { op: "view", job, records }));
		if (job !== this.open) return;
		const empty = { hash: "", slots: {}, notes: {}, lists: {}, todo: [], faults: [], plan: {} };
		this.showView({ ...empty, ...withoutNull(answer), job, stale: revision !== this.revision(job) });
	}

	// revision counts the records that the view of a job is made from.
	private revision(job: string): number {
		return this.held.revision(job) + this.held.revision(SHOP);
	}

	// Only jobs with new records are asked for; the others keep their summary.
	private async askJobs(): Promise<void> {
		const asked = [...this.dirty];
		if (asked.length === 0) return;
		const revisions = new Map(asked.map((job) => [job, this.held.revision(job)]));
		const records = asked.flatMap((job) => this.held.job(job).map((r) => r.raw));
		const list = parse<JobSummary[]>(await this.ask("jobs", { op: "jobs", records })) ?? [];
		for (const job of list) {
			if (revisions.get(job.id) !== this.held.revision(job.id)) continue;
			this.dirty.delete(job.id);
			this.summaries.set(job.id, { ...this.plain(job.id), ...withoutNull(job) });
		}
		this.showJobs();
	}

	// plain is what a job's own notes say, before anything is counted.
	private plain(job: string): JobSummary {
		const counts = { disputed: null, missing: null, stops: null, warnings: null };
		return { id: job, ...this.named(job), ...counts };
	}

	private named(job: string): Pick<JobSummary, "name" | "stage" | "blocked" | "due" | "changed"> {
		const note = (field: string) => noteOf(this.held, job, `job/self/${field}`);
		const changed =
			this.held
				.job(job)
				.map((r) => r.hlc)
				.sort()
				.at(-1) ?? "";
		return { name: note("name"), stage: note("stage"), blocked: note("blocked"), due: note("due"), changed };
	}

	private showJobs(): void {
		const latest = (a: JobSummary, b: JobSummary) => (a.changed < b.changed ? 1 : -1);
		this.show.jobs([...this.summaries.values()].sort(latest));
	}

	private showView(v: JobView | null): void {
		this.last = v;
		this.show.view(v);
	}

	private showCalc(): void {
		const error = this.errors.view || this.errors.jobs;
		this.show.calc({ busy: this.running > 0 || this.timer !== null, error });
	}
}

/** noteOf returns the text of the latest note of a slot, "" when there is none; of how far a piece has come likewise. */
export function noteOf(held: Held, job: string, slot: string, kind: "note" | "piece" = "note"): string {
	const records = held.slot(job, slot).map((r) => r.env);
	const notes = records.filter((r) => r.kind === kind && isLiveIn(records, r.id));
	const latest = notes.sort(byClock).at(-1);
	return (latest?.body as Partial<NoteBody> | null | undefined)?.text ?? "";
}

/** parse reads an answer: it is either what was asked for or {"error": "one sentence"}. */
export function parse<T>(text: string): T {
	const answer = JSON.parse(text) as T & { error?: unknown };
	if (answer && typeof answer === "object" && !Array.isArray(answer) && answer.error)
		throw new Error(typeof answer.error === "string" ? answer.error : JSON.stringify(answer.error));
	return answer;
}

// Go writes an empty list as null; what is null counts as left out.
function withoutNull<T extends object>(v: T): T {
	return Object.fromEntries(Object.entries(v).filter(([, x]) => x !== null)) as T;
}
