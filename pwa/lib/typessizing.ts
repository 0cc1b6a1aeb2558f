// What published rules say to the size of a header, as the calculation answers: lengths in
// mm, areas in mm², angles in degrees, shares in percent. Nothing here runs.

import type { Finding } from "./typesplan";

export interface Sizing {
	cautions: string[];
	fuel: string;
	inputs: Input[];
	rules: Rule[];
	spreads: Spread[];
	sizes: Size[];
	pairing: Pairing;
	ports: PortTube[];
	slips: Slip[];
	growth: Growth[];
	sensors: Sensor[];
	decision: Decision;
	disputed: string[]; // slots
	findings: Finding[];
}

export interface Source {
	text: string;
	grade: string;
}

/** An input of rules, in the unit of the job. */
export interface Input {
	key: string;
	label: string;
	unit: string;
	value: number | null;
	from: string; // entered, usual, derived, or the id of a rule; "" while it is open
	grade: string; // of what is usual and likely
	source: string;
	likely: [number, number] | null;
	slot: string;
}

export interface Rule {
	id: string;
	name: string;
	question: string;
	formula: string;
	sources: Source[];
	grade: string;
	start: string; // valve, flange, joint, or "" where it gives no length
	holds: string;
	note: string;
	symbols: Letter[];
	values: Given[];
	open: string[]; // labels of inputs that are missing
	outside: string[]; // letters
}

/** A letter of a formula, in the unit of the formula. */
export interface Letter {
	letter: string;
	text: string;
	unit: string;
	value: number | null;
	key: string;
	slot: string;
	rests: string[]; // keys of inputs
	from: string;
	grade: string;
	low: number | null; // for which values the rule is meant
	high: number | null;
	limits: string;
	outside: boolean;
}

export interface Given {
	what: string;
	name: string;
	value: number;
	low: number;
	high: number;
	unit: string;
	book: number;
	book_unit: string;
	start: string;
}

export interface Spread {
	what: string;
	question: string;
	start: string;
	unit: string;
	from: number; // with all bands
	to: number;
	marks: SpreadMark[];
	open: string; // why some are not in it
	chosen: number | null;
}

export interface SpreadMark {
	rule: string;
	name: string;
	value: number;
	low: number;
	high: number;
	grade: string;
	moved: boolean; // it counts from elsewhere by itself
	outside: boolean; // it is not meant for this engine
}

export interface Size {
	od: number;
	wall: number;
	id: number;
	speed_at_torque: number | null;
	speed_at_power: number | null;
	peak: number | null;
	peak_low: number | null;
	peak_high: number | null;
	against: { rule: string; off: number; percent: number }[];
	within: boolean;
	in_stock: boolean;
	chosen: boolean;
}

export interface Pairing {
	why: string;
	order: number[];
	numbering: string;
	banks: { name: string; cylinders: number[] }[];
	spots: Spot[];
	styles: Style[];
	crossover: Crossover | null;
}

/** Where a cylinder fires: cycle is of 720°. */
export interface Spot {
	cylinder: number;
	bank: string;
	place: number;
	cycle: number;
	crank: number;
	turn: number;
}

export interface Style {
	style: string;
	bank: string; // "" of all banks
	best: Grouping[];
	ties: number;
	next: Grouping[]; // those that come after them, best first
	worst: Grouping;
	inner: Grouping[][];
	inner_next: Grouping[][];
	source: Source;
}

export interface Grouping {
	groups: Group[];
	least: number;
	even: boolean;
}

/** Cylinders that share a tube or a collector, in the order round it. */
export interface Group {
	cylinders: number[];
	gaps: number[];
	least: number;
	even: boolean;
}

export interface Crossover {
	sides: { bank: string; group: Group }[];
	cross: number[];
	even: boolean;
	ties: number;
}

export interface PortTube {
	port: string;
	tube: string;
	perimeter: number;
	area: number;
	tube_perimeter: number;
	tube_area: number;
	by_perimeter: number;
	by_area: number;
	perimeter_percent: number;
	area_percent: number;
	stretch: number;
	disagree: boolean;
	choices: { text: string; id: number; stretch: number; area_percent: number }[];
	source: Source;
}

export interface Slip {
	id: string;
	what: string;
	outer_id: number;
	inner_od: number;
	gap: number;
	goes: boolean;
	in: Band[];
	not_in: Band[];
	hot_least: number | null;
	hot_most: number | null;
}

/** A gap that somebody calls a slip fit. */
export interface Band {
	name: string;
	low: number;
	high: number;
	source: Source;
}

export interface Growth {
	what: string;
	tube: string;
	material: string;
	length: number;
	hot: number; // °C
	by: { source: Source; alpha: number; by: number; beyond: boolean }[];
}

export interface Sensor {
	id: string;
	what: string;
	rules: SensorRule[];
}

export interface SensorRule {
	rule: string;
	text: string;
	value: number | null;
	low: number;
	high: number | null;
	unit: string;
	source: Source;
	ok: boolean;
	open: boolean;
}

export interface Decision {
	decided: boolean;
	missing: string[];
	od: number | null;
	wall: number | null;
	id: number | null;
	length: number | null;
	from: string;
	length_by: string;
	bore_by: string;
	length_rule_gave: number | null;
	bore_rule_gave: number | null;
	length_rule_gives: number | null;
	bore_rule_gives: number | null;
	reason: string;
	by: string;
	at: string;
}
