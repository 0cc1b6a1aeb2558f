// A weld plan as the program's plan command prints it under "weld": mm, degrees, litres, L/min, minutes.
// Nothing here runs.

import type { Finding } from "./typesplan";
import type { Growth } from "./typessizing";

export interface Source {
	text: string;
	grade: string;
}

/** What one source says, a figure or a range. */
export interface Says {
	name: string;
	low: number;
	high: number;
	source: Source;
}

export interface WeldPlan {
	template: Template;
	about: Source;
	how: string[];
	joints: Joint[]; // in order
	torch: { room: number; source: Source };
	changes: number;
	flow: number;
	while: Says;
	oxygen: Says[]; // ppm
	purge: Purge[];
	port_pull: number;
	pull: Pull[];
	growth: Growth[];
	between: Apart[];
	slips: Travel[];
	holds: Hold[];
	cautions: string[];
	disputed: string[]; // slots
	findings: Finding[];
}

export type Template = "tack-all" | "tube-by-tube" | "own";

export interface Joint {
	id: string; // t2/port, t2/3-4, t2/socket
	order: number; // from 1
	tube: string;
	number: number; // along the tube
	name: string;
	kind: "port" | "butt" | "socket" | "slip"; // a slip is not welded
	element: string;
	pieces: string[];
	materials: string[];
	wall: number;
	amps: { low: number | null; high: number | null; rule: number; says: Says[] } | null;
	tungsten: string[]; // in
	rod: string[]; // in
	filler: { class: string; source: Source }[];
	argon: [number, number] | null; // L/min
	grade: string;
	source: string;
	room: { to: string; gap: number } | null;
	bench: boolean;
	tacked: boolean;
	welded: boolean;
}

export interface Purge {
	tube: string;
	name: string;
	volume_l: number;
	flow: number;
	changes: number;
	minutes: number;
	feed: string;
	vent: string;
	also: PurgeRule[];
}

export interface PurgeRule {
	name: string;
	changes: [number, number];
	flow: [number, number];
	minutes: [number, number];
	source: Source;
}

export interface Pull {
	tube: string;
	name: string;
	port_pull: number;
	tilt: number;
	lever: number;
	socket_move: number;
	sideways: number;
	slip_clearance: number | null;
	goes: boolean | null;
}

export interface Apart {
	a: string;
	b: string;
	difference: number;
	hotter: number;
	by: number; // K
	source: Source;
}

export interface Travel {
	tube: string;
	collector: string;
	depth: number;
	insert: number | null;
	growth: number;
	tolerance: number;
	needs: number;
	left: number;
	enough: boolean;
}

export interface Hold {
	what: string;
	name: string;
	slot: string;
	state: "" | "passed" | "failed";
	by: string;
	at: string;
	photos: number;
	text: string;
}
