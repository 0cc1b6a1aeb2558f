// Kinds of quantity and what can be written for each; the twin of the tables in
// calc/units/parse.go.

/** Unit in which a value was given: lengths, then angles, then plain numbers. */
export type Unit = "mm" | "cm" | "m" | "in" | "ft" | "deg" | "1";

/**
 * Scale is how a unit counts: how many of the smallest steps it has, how many
 * decimals of it can be kept, what a figure without decimals is meant to, in
 * steps, and what stands behind a number in a sentence.
 */
export interface Scale {
	steps: number;
	decimals: number;
	coarsest: number;
	label: string;
}

/** Kind is a kind of quantity and what can be written for it. */
export interface Kind {
	good: string; // what a good entry looks like
	notUnit: string; // what to say of a unit that is none of these
	scales: Map<string, Scale>;
	maxWhole: number; // figures before the decimal mark
}

export const INCH = 25_400_000; // nm, exact
export const SIXTYFOURTH = INCH / 64; // 396,875 nm, exact

const METRIC = 500_000; // nm
const DEGREE = 100_000; // millionths

export const length: Kind = {
	good: `a length reads like 41.3 mm, 1 5/8 in or 1' 3 1/2"`,
	notUnit: "is not a unit of length; use mm, cm, m, in or ft",
	scales: new Map([
		["mm", { steps: 1_000_000, decimals: 6, coarsest: METRIC, label: " mm" }],
		["cm", { steps: 10_000_000, decimals: 7, coarsest: METRIC, label: " cm" }],
		["m", { steps: 1_000_000_000, decimals: 9, coarsest: METRIC, label: " m" }],
		["in", { steps: INCH, decimals: 7, coarsest: SIXTYFOURTH, label: " in" }],
		["ft", { steps: 12 * INCH, decimals: 8, coarsest: SIXTYFOURTH, label: " ft" }],
	]),
	maxWhole: 6,
};
export const angle: Kind = {
	good: "an angle reads like 72.5 or 72.5°",
	notUnit: "is not a unit of angle; use ° or deg",
	scales: new Map([["deg", { steps: 1_000_000, decimals: 6, coarsest: DEGREE, label: "°" }]]),
	maxWhole: 6,
};
export const number: Kind = {
	good: "a number reads like 4 or 146.5",
	notUnit: "does not belong here; a number reads like 4 or 146.5",
	scales: new Map([["1", { steps: 1_000_000, decimals: 6, coarsest: 0, label: "" }]]),
	maxWhole: 9,
};

/** WORDS and MARKS are the ways to write a unit. */
export const WORDS = new Map<string, Unit>([
	["mm", "mm"],
	["cm", "cm"],
	["m", "m"],
	["in", "in"],
	["inch", "in"],
	["ft", "ft"],
	["deg", "deg"],
]);
export const MARKS = new Map<string, Unit>([
	['"', "in"],
	["″", "in"],
	["”", "in"],
	["'", "ft"],
	["′", "ft"],
	["’", "ft"],
	["°", "deg"],
]);

/** Stop carries the sentence of a refusal out of the grammar. */
export class Stop {
	constructor(readonly why: string) {}
}
