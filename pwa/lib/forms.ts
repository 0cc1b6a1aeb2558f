// Open forms: the id of the record a form makes belongs to the form, not to the
// tap, so that any number of taps on "keep" makes one record.

import type { Drafts } from "./draft";
import type { Held } from "./held";
import { newID } from "./record";
import { Known } from "./store";
import { tableOf } from "./table";
import type { Stored } from "./types";
import type { Form } from "./typesapp";
import type { Part, Writer } from "./writer";

interface Attempt {
	what: string; // the value being kept
	records: Stored[]; // made once; a second try sends the same bytes
	state: "running" | "kept" | "failed";
	done: Promise<"saved">;
}

/** draftKey names the draft of a slot's form. */
export const draftKey = (job: string, slot: string) => `${job} ${slot}`;

export class Forms {
	private readings = new WeakMap<Form, Attempt>();
	private choices = new WeakMap<Form, Attempt>();

	constructor(
		private held: Held,
		private drafts: Drafts,
		private kept: (records: Stored[]) => void,
	) {}

	/**
	 * open notes what lies on the table now. A half-typed text comes back under the
	 * name its form had, to which its photos hang; pending is the name that a photo
	 * was taken for, "" when there is none. The record's id is new each time: on a
	 * tablet that was copied with a half-typed text both copies go on with it, and
	 * two records of one id would be taken for one wherever a link names it.
	 */
	open(job: string, slot: string, pending: string): Form {
		const key = draftKey(job, slot);
		const draft = this.drafts.get(key);
		const id = newID();
		const form = {
			id,
			name: draft?.id || pending || id,
			choice: newID(),
			key,
			job,
			slot,
			draft: draft?.text ?? "",
		};
		return { ...form, ...this.links(job, slot) };
	}

	private links(job: string, slot: string): Pick<Form, "over" | "seen" | "choices"> {
		const ids = (list: { id: string }[]) => list.map((r) => r.id);
		const table = tableOf(this.held.slot(job, slot).map((r) => r.env));
		return {
			over: ids(table.heads),
			seen: ids([...table.heads, ...table.aside]),
			choices: ids(table.choices),
		};
	}

	/** keepReading makes the form's reading. Another value on the same form is a new reading over the first. */
	keepReading(form: Form, what: string, body: () => unknown, w: Writer): Promise<"saved"> {
		const part = (): Part => {
			const { id, job, slot, over } = form;
			return { id, kind: "reading", job, slot, ...(over.length > 0 && { over }), body: body() };
		};
		const cover = () => {
			form.over = [form.id];
			form.seen = [...form.seen, form.id];
		};
		const rename = () => {
			form.id = newID();
		};
		return this.keep(this.readings, form, what, part, w, cover, rename);
	}

	/** choose makes the form's choice: head is to be used, all else that was shown is put aside. */
	choose(form: Form, head: string, body: () => unknown, w: Writer): Promise<"saved"> {
		const part = (): Part => {
			const { choice: id, job, slot, choices: over } = form;
			const seen = form.seen.includes(head) ? form.seen : [...form.seen, head];
			return {
				id,
				kind: "choice",
				job,
				slot,
				...(over.length > 0 && { over }),
				seen,
				chosen: head,
				body: body(),
			};
		};
		const cover = () => {
			form.choices = [form.choice];
		};
		const rename = () => {
			form.choice = newID();
		};
		return this.keep(this.choices, form, head, part, w, cover, rename);
	}

	private keep(
		attempts: WeakMap<Form, Attempt>,
		form: Form,
		what: string,
		part: () => Part,
		w: Writer,
		cover: () => void, // the next record goes over the one kept
		rename: () => void, // the next record has an id of its own
	): Promise<"saved"> {
		const before = attempts.get(form);
		if (before && before.what === what && before.state !== "failed") return before.done;
		const run = async (): Promise<"saved"> => {
			await before?.done.catch(() => {});
			if (before?.state === "kept") {
				cover();
				rename();
			}
			const isSame = before?.what === what && before.state === "failed";
			if (isSame) attempt.records = before.records;
			const draft = this.drafts.get(form.key);
			const drop = draft ? [draft] : [];
			const keep = () => this.drafts.leaving(drop, () => w.keep(attempt.records, drop));
			try {
				if (attempt.records.length === 0) attempt.records = await w.make([part()]);
				await keep();
			} catch (err) {
				if (!(err instanceof Known)) throw err;
				// Another window made a record of this form's draft, with another value. It
				// was not on the table here: ours stands beside it, not over it.
				rename();
				attempt.records = await w.make([part()]);
				await keep();
			}
			this.kept(attempt.records);
			return "saved";
		};
		const attempt: Attempt = { what, records: [], state: "running", done: Promise.resolve("saved") };
		attempt.done = run().then(
			(saved) => {
				attempt.state = "kept";
				return saved;
			},
			(err) => {
				attempt.state = "failed";
				throw err;
			},
		);
		attempts.set(form, attempt);
		return attempt.done;
	}
}
