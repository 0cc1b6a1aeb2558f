// The plan as the program's plan command prints it, in mm and degrees: tubes, and what was
// found. Nothing here runs.

import type { Point } from "./types";
import type { Access, PlanCollector, PlanFrame, PlanGap, PlanNeighbour, PlanPoint } from "./typesaround";
import type { PlanFlange } from "./typesflange";

/**
 * Keys are those that the program's plan command prints: mm and degrees. disputed
 * names the slots in dispute on which figures rest.
 */
export interface PlanPiece {
	id: string;
	kind: "straight" | "bend";
	length: number;
	angle?: number;
	clr?: number;
	outside?: number;
	inside?: number;
	rotation?: number; // as entered
	clock_arc?: number;
	wall_left?: number; // at the outside of a bend, by a rule of thumb
	disputed: string[];
	name: string; // chalked on it: the numbers of its tube and its own
	element: string; // with which it begins, and which bears what was made of it
	joint_before: number; // 0 is at the flange
	joint_after: number | null; // null behind the last
	stage: string; // "" while it is a drawing
	stage_by?: string;
	stage_at?: string;
	as_cut: AsCut | null;
	as_clocked: number | null; // °
	clock_off: number | null; // ° beyond what was planned
	clock_arc_off: number | null; // the same along the OD
}

/** A piece as it was cut; off is measured less planned. */
export interface AsCut {
	angle: number | null;
	clr: number | null;
	length: number | null; // of a straight as measured, of a bend what its angle and CLR come to
	angle_off: number | null;
	clr_off: number | null;
	length_off: number | null;
}

/** Where a tube ends with its pieces as they were cut and tacked, and the others as planned. */
export interface PlanMade {
	centreline: number;
	longer: number; // than planned
	to: "socket" | "plan"; // what the end is held against
	miss: number; // beyond the socket's slip
	aim_off: number; // °
	closes: boolean;
	free_end: FreeEnd | null;
}

/** The measured free end that a tube goes on from. */
export interface FreeEnd {
	tack: string;
	piece: string; // behind which it was measured
	off: number; // from where the pieces say
	aim_off: number | null; // °
}

export interface PlanTube {
	id: string;
	disputed: string[];
	length: number;
	centreline?: number | null; // from the port face
	from?: string;
	target?: number | null;
	od?: number | null;
	wall?: number | null;
	tolerance?: number | null;
	deviation?: number | null;
	sigma?: number | null;
	low?: number; // lowest and highest length over what is disputed
	high?: number;
	end?: { at: Point; dir: Point; disputed: string[] };
	lra?: { length: number; rotation: number; angle: number; clr: number; disputed: string[] }[];
	last?: number;
	last_disputed: string[];
	xyz?: Point[];
	pieces?: PlanPiece[];
	path?: PathPiece[] | null; // null: the tube has no place yet
	survey?: PlanSurvey | null; // null: it was not picked off a mock-up
	levers?: Lever[] | null;
	socket?: PlanSocket | null;
	closing?: PlanClosing | null;
	made?: PlanMade | null; // null while nothing is cut
}

/** How far the end of a tube moves when a joint is off, the largest first. */
export interface Lever {
	joint: number; // counted from the port
	element?: string;
	piece?: string; // the one that is clocked against the one before
	end_per_mm_of_mark?: number | null; // mm, for 1 mm of clock mark on the OD
	end_per_degree?: number | null; // mm
	end_per_degree_of_bend?: number | null; // of a bend that is bent too far
}

/** How the last straight meets its socket. */
export interface PlanSocket {
	collector: string;
	n: number;
	offset?: number | null; // between its axis and the socket's, in the plane of the mouths
	aim_off?: number | null; // °
	insert?: number | null; // how deep it sits
}

/** A path that was taken off piece by piece, adjusted to its socket; miss and aim are those before. */
export interface PlanClosing {
	why?: string; // what keeps it from being worked out
	miss?: number | null;
	miss_at?: Point | null;
	aim?: number | null; // °
	chi2?: number | null;
	dof?: number;
	too_far?: boolean; // figures had to move farther than their uncertainties allow
	lra?: MeasuredRow[] | null;
	last?: number | null;
	sigma_last?: number | null;
	length?: number | null;
	sigma_length?: number | null;
}

/** A row of bender data with one standard deviation of each figure. */
export interface MeasuredRow {
	length: number;
	rotation: number;
	angle: number;
	clr: number;
	sigma_length?: number | null;
	sigma_rotation?: number | null;
	sigma_angle?: number | null;
}

/** A piece of a path where it lies, in the frame of the first bank; an arc turns right-handed about its normal. */
export type PathPiece =
	| { kind: "line"; from: Point; to: Point }
	| { kind: "arc"; from: Point; to: Point; centre: Point; normal: Point; angle: number };

/** What was picked off a mock-up, in the frame of the first bank. */
export interface PlanSurvey {
	straights?: { n: number; points: Point[]; residuals?: number[] }[];
	misses?: { after: number; miss: number; sigma?: number; too_much?: boolean }[];
	suspect?: Suspect | null;
	why?: string; // what keeps it from being worked out
	chi2?: number | null;
	chi_limit?: number | null; // more than that is too much
	dof?: number | null;
	length?: number | null; // centreline
	sigma_length?: number | null;
	lra?: MeasuredRow[] | null;
	last?: number | null;
	sigma_last?: number | null;
	crowns?:
		| { after: number; clr?: number | null; sigma?: number | null; given?: number; why?: string }[]
		| null;
}

/** The point of a mock-up that does not go with the others, and by which tests. */
export interface Suspect {
	straight: number;
	point: number;
	mark?: string;
	off: number;
	tests?: string[];
	also?: { mark: string }[]; // those that explain it nearly as well
}

export interface Finding {
	severity: "stop" | "warn" | "note";
	rule: string;
	where?: string[];
	slots?: string[];
	value?: number;
	limit?: number;
	unit?: string; // of value and limit
	grade?: string;
	help?: string;
	text: string;
}

export interface Plan {
	tubes?: PlanTube[];
	spread?: number | null;
	flanges?: PlanFlange[];
	collectors?: PlanCollector[];
	points?: PlanPoint[];
	neighbours?: PlanNeighbour[];
	gaps?: PlanGap[];
	frames?: PlanFrame[];
	access?: Access[];
	stock?: { id: string; left: number; true_clr: number | null }[];
	decided?: { od: number; wall: number; id: number; length: number; from: string; style: string } | null;
	findings?: Finding[];
	[more: string]: unknown;
}
