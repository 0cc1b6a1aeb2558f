// What brings a tube back to its end, as the program's plan command prints it under
// "corrections": mm and degrees. Nothing here runs.

import type { Point } from "./types";
import type { PlanGap } from "./typesaround";
import type { Finding } from "./typesplan";

/** One thing to do, with the new marks for it; what does not belong to its kind is left out. */
export interface Change {
	kind:
		| "turn"
		| "straight"
		| "bend"
		| "recut"
		| "trim"
		| "straight anew"
		| "bend anew"
		| "new straight"
		| "new bend";
	joint?: number;
	between?: string[]; // pieces before and behind the joint; "" for flange and socket
	piece?: string;
	turn?: number; // right-hand about travel, more than now
	turn_arc?: number;
	bend?: string; // the one that turns with the joint, and its clock then
	clock?: number;
	clock_arc?: number;
	trim?: number; // shorter by; below 0 longer by
	length?: number; // it has then
	angle?: number; // of a bend: more, below 0 less
	bent?: number; // through which it turns then
	clr?: number;
	outside?: number;
	inside?: number;
	next?: { bend: string; clock: number; clock_arc: number }; // behind a new bend: the next one's clock counts from it
	effort: number;
}

/** A set of changes and what comes of it. */
export interface CorrectionAnswer {
	changes: Change[]; // in order from the port
	closes: boolean;
	miss: number; // beyond the slip of the socket
	aim: number;
	length: number; // centreline from the port face
	longer: number; // than it is now
	welds: number; // more than now
	effort: number; // in turns of a joint
	gaps: PlanGap[]; // of this tube that are below what is wanted
	sure: Sure;
}

/** How far off the end may come out from where an answer puts it, by what is still to be cut and tacked. */
export interface Sure {
	miss: number; // one sigma, likewise the others
	aim: number;
	length: number;
	likely: number; // that it comes within tolerance, 0 to 1
	fixture: { joint: number; likely: number }[];
}

export interface Correction extends CorrectionAnswer {
	tube: string;
	to: "socket" | "plan";
	as_is: { miss: number; aim: number; length: number };
	touches: string; // why it cannot stay as it is though it closes; "" where it does not
	around: boolean; // what asks for little was turned down: the answers lie farther from the tube as it is
	others: CorrectionAnswer[]; // that close too, by effort
	rejected: { why: string; changes: Change[] }[];
	socket: { by: Point; tilt: number; changes: Change[] } | null;
	radii: { piece: string; clr: number; changes: Change[] }[];
	complete: boolean;
	why: string; // there is no answer
	findings: Finding[];
}
