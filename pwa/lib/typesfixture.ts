// A fixture as the program's plan command prints it under "fixture": mm and degrees, places and
// directions in the frame of the first bank, those with two figures on a plate. Nothing here runs.

import type { Point } from "./types";
import type { Finding } from "./typesplan";

export interface FixturePlan {
	base: FixtureBase | null; // null while no tube has a place
	upright: FixtureBase | null; // that holds the flange of a header that lies
	mock_up_od: number | null;
	stations: FixtureStation[];
	no_room: NoRoom[];
	ends: HeldEnd[];
	release: { header: WayOut | null; mock_up: WayOut | null };
	earth: EarthPath | null;
	stopped: boolean; // before all was tried
	disputed: string[]; // slots
	findings: Finding[];
}

export type OnPlate = [number, number];

/** A plate that things stand on. Places on it are counted along x and y from at. */
export interface FixtureBase {
	choice: "standing" | "lying";
	at: Point;
	normal: Point; // out of the face on which things stand
	x: Point;
	y: Point;
	thickness: number;
	outline: OnPlate[];
	holes: PlateHole[];
	feet: PlateHole[]; // of posts
	flange: OnPlate[]; // where the flange lies on it
}

export interface PlateHole {
	what: string; // id of the bolt, or of the station
	name: string;
	kind: "tapped" | "through" | "foot";
	at: OnPlate;
	diameter: number;
	rule: string;
}

/** A place where a tube or a collector is held. */
export interface FixtureStation {
	id: string;
	name: string; // the mark that stands on sheet, post and tube
	tube: string;
	collector: string;
	element: string;
	straight: number; // counted from the port; 0 on a bend or a collector
	along: number; // centreline from the port face, or from the socket mouths
	to_bend_before: number | null; // from the middle of the clamp to the middle of the bend
	to_bend_after: number | null;
	at: Point;
	dir: Point;
	opening: Point;
	opening_turn: number;
	post: number; // along it from the plate to the wall of the tube
	axis_height: number; // of the tube's centreline over the plate
	foot: OnPlate;
	foot_at: Point;
	top: Point; // of the post
	arm: number; // 0 where the post stands straight below
	arm_turn: number | null;
	arm_to: Point | null; // behind the cradle
	cradle_angle: number;
	cradle_turn: number;
	wrap: number;
	od: number;
	spacer: number | null; // below 0 the mock-up is larger than the tube
	clearance: number | null;
	nearest: string;
	joint: string; // whose torch room it stands in
	suggested: boolean; // nobody has kept it
	removable: boolean; // it comes off before the header does
	removable_mock_up: boolean;
	said: boolean; // a person said whether it comes off
	clamped_at: number | null;
	clamped_off: number | null;
	checked: boolean;
}

/** A straight without a station, and why. */
export interface NoRoom {
	tube: string;
	straight: number;
	element: string;
	length: number;
	needed: number;
	nearest: string;
	gap: number | null;
	text: string;
}

/** What holds an end of a tube, or a collector. */
export interface HeldEnd {
	tube: string;
	collector: string;
	end: "" | "port" | "outlet";
	by: string[];
}

/** The way out for which the fewest stations come off that was found. */
export interface WayOut {
	free: boolean; // there is one
	dir: Point; // of the last step
	name: string;
	steps: { dir: Point; name: string; travel: number }[];
	remove: string[]; // stations that come off first
	fixed: string[]; // said to stay, and in the way
	travel: number;
	tried: number; // directions
	nearest: number | null;
}

/** How the earth clamp reaches what is tacked, in the order of tacking. */
export interface EarthPath {
	clamp: string; // where it sits at first
	order: { joint: string; name: string; reached: boolean; clamp: string }[];
	unreached: string[];
	single: string[]; // in words
}
