// A plan of cuts as the program's plan command prints it under "cuts", in mm, degrees and the
// shop's money. Nothing here runs.

import type { Finding } from "./typesplan";

export interface PlanCuts {
	cost: number; // of what has to be bought
	bound: number; // no plan costs less
	optimal: boolean;
	welds: number;
	fewest_welds: boolean; // of all plans that are as cheap
	stopped: boolean; // before all was tried
	stock: CutStock[];
	buy: { stock: string; name: string; count: number; cost: number }[];
	out: { piece: string; sets: number; why: string }[]; // not planned
	splits: { piece: string; parts: string[]; angles: number[] }[];
	done: string[]; // cut already
	findings: Finding[];
}

/** One piece of stock and what is cut from it. */
export interface CutStock {
	stock: string;
	name: string;
	n: number; // counts those of one item, from 1
	on_hand: boolean;
	price: number;
	true_clr: number | null;
	pieces: string[];
	cuts: LaidPiece[];
	left: LeftPart | null; // the largest part of what is left
	rest: LeftPart[];
}

/** A piece where it lies in its stock: of a bend from the tangent line at end A, of a straight from that end. */
export interface LaidPiece {
	piece: string;
	set: number;
	flipped: boolean; // its end towards the collector is nearer to end A
	from?: Face;
	to?: Face;
	start?: number;
	end?: number;
	leg_a?: { piece: string; length: number };
	leg_b?: { piece: string; length: number };
}

/** Where a cut face of a bend lies, with the marks for it. */
export interface Face {
	angle: number;
	outside: number;
	inside: number;
	centreline: number;
}

export interface LeftPart {
	angle?: number;
	length?: number;
	leg_a: number;
	leg_b: number;
	kept: boolean; // goes back to stock
}
