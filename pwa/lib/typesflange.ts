// The part of the plan that lies on the port face: ports, patterns, the flange that is made,
// the ends of tubes. Nothing here runs.

import type { Placed } from "./typesaround";

/** A place on the port face, in the bank's frame. */
export type OnFace = [number, number];

/** A corner of a closed path: x, y and the bulge of the side that starts there. */
export type Corner = [number, number, number];

/** A port, and the round tubes that it is like. */
export interface PlanPort {
	id: string;
	shape?: string;
	at?: OnFace | null;
	loop?: Corner[]; // in the bank's frame; none until it has its place
	points?: number | null; // measured round it
	uncertain?: { area_percent: number; perimeter_percent: number } | null;
	fit?: PlanFit | null;
	perimeter: number;
	area: number;
	hydraulic_diameter: number;
	equal_area?: number;
	equal_perimeter?: number;
	disputed: string[];
	at_disputed?: string[];
}

/** A shape of few dimensions that measured points may be. Turn and shift are those of the port's axes. */
export interface PlanFit {
	shape: string;
	width?: number;
	height?: number;
	corner?: number;
	diameter?: number;
	radius?: number;
	flat?: number;
	turn: number; // °
	shift: OnFace; // of its centre
	worst: number; // of the points
	worst_at: number; // counted from 1
	sigma: number;
}

/** How a flange or a pattern is laid on the head: turned over (x becomes −x), turned, moved. */
export interface Laid {
	how: string;
	angle: number;
	mirrored: boolean;
	move: OnFace;
}

/** How well holes lie on bolts. room and bolts_go_in are null while the bolt size is not known. */
export interface Fits {
	rms: number;
	minimax: number; // play on each side with which all go in
	room?: number | null;
	bolts_go_in?: boolean | null;
	worst: string;
	worst_off: number;
	certain?: boolean;
}

export interface SelfMatch extends Laid, Fits {
	mate: string;
	ports: { id: string; onto: string; off: number }[];
	ports_off: number;
}

export interface PlanOpening {
	id: string;
	port: string;
	off?: number | null;
	shadow?: number; // how far it stands into the port
	shadow_at?: OnFace | null;
	shadow_area?: number;
	clear?: number;
	beyond?: number;
	loop: Corner[];
}

/** A bought or drawn flange or a gasket, laid on the head; how is missing where it cannot be. */
export interface PlanPattern extends Partial<Laid>, Partial<Fits> {
	id: string;
	what: string;
	name: string;
	worst_bolt?: string;
	loop: Corner[];
	holes: {
		id: string;
		at: OnFace;
		diameter: number;
		bolt: string;
		miss?: number | null;
		off?: OnFace | null;
		room?: number | null;
	}[];
	openings: PlanOpening[];
	unmatched: string[];
	why: string;
	disputed: string[];
}

/** Where least metal or room is left, of one or between two. */
export interface Least {
	value: number;
	at?: string;
	between?: string[];
	place: OnFace;
}

/** The flange that is made. */
export interface PlanDesign {
	revision: string;
	pieces: { loop: Corner[]; ports: string[]; bolts: string[] }[];
	overlaps: { ports: [string, string]; by: number }[];
	openings: { port: string; loop: Corner[]; from: string }[];
	holes: {
		bolt: string;
		at: OnFace;
		diameter: number;
		slot: number;
		dir: OnFace;
		growth: number;
		rule: string;
	}[];
	cuts: { from: OnFace; to: OnFace; between: [string, string]; bridge: number; web: number }[];
	edge_least: Least | null;
	web_least: Least | null;
	washer_least: Least | null;
	socket_least: Least | null;
	thickness: number;
	area: number;
	mass_kg: number | null;
	density: number | null;
	growth_mm: number;
	disputed: string[];
}

/** The end of a tube, formed to its port. */
export interface PlanEnd {
	tube: string;
	port: string;
	perimeter_port: number;
	perimeter_tube: number;
	stretch_percent: number;
	strain_percent: number;
	die: { loop: Corner[]; perimeter: number; clearance: number } | null;
	loft: {
		length: number;
		areas: [number, number][];
		least: number;
		greatest: number;
		wall_angle: number;
		wall_at: OnFace;
		volume: number;
	} | null;
	template: { exact: boolean; error: number; good: boolean } | null;
	why: string;
	disputed: string[];
}

export interface PlanFlange {
	bank: string;
	placed?: Placed | null;
	ports: PlanPort[];
	self_match?: SelfMatch[];
	suspect?: { bolt: string; off: number } | null;
	self_disputed?: string[];
	patterns?: PlanPattern[];
	design?: PlanDesign | null; // null until thickness, bolts and ports are there
	ends?: PlanEnd[];
}
