// What the app holds while it runs: the job that is open, forms, routes, and how it stands
// with the shop. Nothing here runs.

import type { Fault, ListItem, NoteView, SlotView, Todo } from "./types";
import type { Plan } from "./typesplan";

/** The calculation's answer for the open job. */
export interface JobView {
	job: string;
	hash: string; // of the records it was worked out from
	stale: boolean; // a record came after it was asked for: show it as being worked out again
	slots: Record<string, SlotView>;
	notes: Record<string, NoteView>;
	lists: Record<string, ListItem[]>;
	todo: Todo[];
	faults: Fault[];
	plan: Plan;
}

/** A line of the job list. The counts are null while they are not worked out. */
export interface JobSummary {
	id: string;
	name: string;
	stage: string;
	blocked: string;
	due: string;
	disputed: number | null;
	missing: number | null;
	stops: number | null;
	warnings: number | null;
	changed: string; // hlc of the latest record
}

export interface Route {
	screen: string; // jobs, job, intake, bank, tube, result, measure, choose, saved, list…
	job?: string;
	slot?: string;
	id?: string;
}

/** An open form. Its record id is made when it opens, so that any number of taps makes one record. */
export interface Form {
	id: string; // of the reading that keeping this form makes
	name: string; // to which photos taken for it hang; the id, but for a form that is gone on with
	choice: string; // of the choice that choosing on this form makes
	key: string; // draft key
	job: string;
	slot: string;
	over: string[]; // heads shown when it opened
	seen: string[]; // everything on the table then, put aside or not
	choices: string[]; // choices standing then
	draft: string; // half-typed text of an earlier opening, "" when there is none
}

export interface Status {
	link: "live" | "sync" | "offline" | "other"; // other: another window of this tablet sends
	unsent: number;
	oldestUnsent: number | null; // ms since 1970
	shopHeard: number | null; // ms since 1970
	clockOffsetMs: number | null; // shop minus tablet
	persisted: boolean | null; // null: the browser does not say
	storage: "ok" | "failing" | "waiting"; // waiting: for another window, which storageError names
	storageError: string;
	isPlainTab: boolean; // a tablet's browser shows the app in a tab, which it clears after seven days
	room: { usage: number; quota: number } | null; // bytes; null: the browser does not say
	hasSpare: boolean; // there is room set aside for readings; without it no photo is taken
	lost: Lost | null; // records that this tablet held and found gone
	aside: Aside[]; // records that the shop did not take
	notice: string; // one sentence about the link, "" when there is nothing to say
	build: string;
	update: boolean;
}

/** Records that were gone when the app was opened. */
export interface Lost {
	gone: number; // of them not back
	back: number; // of them came back from the shop
	isLooking: boolean; // the shop's log is being read again
}

/** A record that the shop set aside or refused; it stays on this tablet. */
export interface Aside {
	id: string;
	why: string; // "" when the shop holds another record under the same id
}

export type Where = "tablet" | "shop" | "backed";

/** A half-typed text, with the name of the form it is typed into. */
export interface Draft {
	key: string;
	text: string;
	id: string; // name of its form; "" for a text that is no form's
	at: number; // ms since 1970
}
