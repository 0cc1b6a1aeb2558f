// The part of the plan that is about what stands round the tubes: collectors, taped points,
// frames, neighbours and the gaps to them. Nothing here runs.

import type { Point } from "./types";

/** A frame seen from the first bank's: its origin, its z and its x. */
export interface Placed {
	at: Point;
	dir: Point;
	ref: Point;
}

export interface PlanCollector {
	id: string;
	placed?: Placed | null;
	socket_id?: number | null;
	socket_depth?: number | null;
	outlet_od?: number | null;
	sockets?: { n: number; at: Point; dir: Point; tube?: string }[];
}

export interface PlanPoint {
	id: string;
	at: Point | null;
	sigma?: Point | null; // half axes of one standard deviation, largest first
	axes?: [Point, Point, Point] | null;
	residuals?: { tape: string; off: number }[] | null;
	suspect?: string; // id of the tape that does not go with the others
	off?: number | null; // by how much that one is too long
	mirror?: Point | null; // the other place that fits
	entered?: Entered | null; // where it has coordinates beside its tapes
	why?: string; // what keeps it from being found
}

/** Where the coordinates of a point lie that is taped too; off, sigma and most are null where the tapes give no place. */
export interface Entered {
	at: Point;
	off?: number | null; // from the taped place
	sigma?: number | null; // what off may be at one sigma of both
	most?: number | null; // and at the most
	used?: boolean; // in place of the tapes
	why?: string; // what keeps the tapes from giving a place
}

/** Two frames that are tied together by points measured in both. */
export interface PlanFrame {
	frame: string;
	in: string;
	rms?: number | null;
	residuals?: { tie: string; off: number }[] | null;
	too_far?: boolean; // the points do not fit as well as they should
	targets?: { collector: string; sigma?: number | null; with_one_more?: number | null }[] | null;
	advice?: string;
}

/** Whether a tool reaches what it is for. */
export interface Access {
	what: string; // id of the bolt or plug
	tool?: string; // id of the one that has most room; a plug brings its own
	gap: number;
	wanted?: number | null;
	against?: string;
	at?: Point | null;
}

export type PlanShape =
	| { kind: "sphere"; at: Point; radius: number }
	| { kind: "rod"; from: Point; to: Point; radius: number }
	| { kind: "box"; at: Point; size: Point; x: Point; y: Point; z: Point }
	| { kind: "plane"; at: Point; normal: Point }
	| { kind: "sleeve"; points: Point[]; radius: number };

export interface PlanNeighbour {
	id: string;
	name?: string;
	what?: string;
	shapes?: PlanShape[];
}

/** The gap between two surfaces, where it is least over all that moves. A tube against itself has a = b. */
export interface PlanGap {
	a: string;
	b: string;
	gap: number;
	sigma?: number | null;
	least?: number | null; // below it nothing is cut
	wanted?: number | null;
	grade?: string;
	at_a?: Point;
	at_b?: Point;
	worst_case?: string;
	too_close_to_call?: boolean;
	disputed?: string[];
}
