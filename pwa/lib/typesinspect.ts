// An inspection as the program's plan command prints it under "inspection": mm and degrees. Nothing here runs.

import type { Point } from "./types";
import type { Finding } from "./typesplan";

/** When a header is read. As cut each piece is read by itself, at the bench. */
export type ReadAt = "as-cut" | "as-tacked" | "as-welded" | "fitted";

export interface InspectionPlan {
	cautions: Partial<Record<ReadAt, string>>;
	rows: CheckRow[];
	spread: CheckSpread;
	gauges: GaugeCheck[];
	leak: LeakCheck;
	open: OpenCheck[];
	findings: Finding[];
}

interface Said {
	by: string;
	when: string;
	with: string;
	slot: string;
}

interface Dispute {
	disputed: string[];
	low: number | null; // least and greatest that it is off, with each of the readings
	high: number | null;
	readings: { text: string; slot: string }[];
}

export interface CheckRow extends Said, Dispute {
	what: "length" | "angle" | "clr" | "clock" | "position" | "aim" | "flatness" | "flatness-pair" | "bolt";
	on: string;
	name: string;
	at: ReadAt;
	unit: string;
	planned: number | null;
	read: number | null;
	off: number | null;
	tolerance: number | null;
	grade: string;
	places: { planned: Point; read: Point; off: Point } | null; // of a position and an aim
	ok: boolean | null; // null: nobody can tell
}

export interface CheckSpread {
	planned: number | null;
	tacked: number | null;
	welded: number | null;
	limit: number | null;
	tacked_low: number | null;
	tacked_high: number | null;
	welded_low: number | null;
	welded_high: number | null;
}

export interface GaugeCheck extends Said, Dispute {
	id: string;
	a: string;
	b: string;
	name: string;
	at: ReadAt;
	goes: number | null;
	stops: number | null;
	planned: number | null;
	worst_case: string;
	off: number | null;
	least: number;
	wanted: number;
	grade: string;
	verdict: "ok" | "near" | "too near" | "undecided" | "contradiction" | "open";
	ok: boolean | null;
	take: number | null;
}

export interface LeakCheck extends Said {
	test: string;
	pressure: number | null;
	unit: string;
	method: string;
	ok: boolean | null;
}

export interface OpenCheck {
	what: string;
	on: string;
	to?: string;
	name: string;
	at: ReadAt;
	slot: string;
	label: string;
}
