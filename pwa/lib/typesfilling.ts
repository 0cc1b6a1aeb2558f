// What fills a part of a tube from stock, as the program's filling command prints it, in mm and
// degrees. Nothing here runs.

import type { PlanGap } from "./typesaround";
import type { Sure } from "./typescorrection";
import type { CutStock } from "./typescuts";

/** A part of a tube from one joint to another; joint 0 is at the flange, the last at the end, which is −1 too. */
export interface Span {
	tube: string;
	from: number;
	to: number;
}

export interface Filling extends Span {
	held: "socket" | "plan" | "joint";
	replaces: string[]; // ids of pieces
	apart: number; // from one joint to the other
	aside: number; // how their directions differ
	plans: FillPlan[]; // that close, fewest welds first
	best: FillPlan | null; // comes nearest where none closes
	rejected: string[]; // what ways that close touch
	clr: number | null; // the largest below those on hand that would do
	length_open: boolean; // none has the length that is wanted
	why: string; // there is none
}

/** One way to fill it; what comes of it is of the whole tube. */
export interface FillPlan {
	pieces: FillPiece[];
	next: { bend: string; clock: number; clock_arc: number } | null; // the bend behind it
	welds: number;
	closes: boolean;
	miss: number;
	aim: number;
	length: number;
	longer: number; // than the tube is now
	gaps: PlanGap[]; // that are below what is wanted
	sure: Sure; // joints are counted with the new pieces
	cost: number; // of what has to be bought
	stock: CutStock[];
	buy: { stock: string; name: string; count: number; cost: number }[];
	out: { piece: string; why: string }[];
}

export interface FillPiece {
	id: string; // new-1
	kind: "straight" | "bend";
	length: number;
	angle?: number;
	clr?: number;
	rotation?: number;
	clock_arc?: number;
	outside?: number;
	inside?: number;
	on_leg: boolean; // a leg of the bend beside it that stays on
}
