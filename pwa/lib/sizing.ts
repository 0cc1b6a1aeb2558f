// How what published rules say is written: in the unit that is looked at, with the book's
// beside it; and what a decision is kept as.

import { draftKey } from "./forms";
import { length, plain, type Units } from "./say";
import { inches, mm } from "./typed";
import type { ReadingInput } from "./types";
import type { Given, Input, Spread } from "./typessizing";

/** engineGroups are the engine's data in the order in which they are read off a data sheet. */
export const engineGroups: Record<string, string[]> = {
	what: ["cylinders", "bore", "stroke", "rod", "compression", "fuel"],
	order: ["firing_order", "numbering", "firing_intervals"],
	valves: ["exhaust_opens_bbdc", "exhaust_closes_atdc", "valve_to_face", "throat", "exhaust_valves"],
	speed: ["peak_torque_rpm", "peak_power_rpm"],
};

// What rarely is another one than left open stands for.
const SELDOM = ["fuel", "firing_intervals", "exhaust_valves"];

/** nextOfEngine is the slot to go to after one of the engine was kept, "" behind the last; left tells whether nothing was read for one yet. */
export function nextOfEngine(slot: string, left: (slot: string) => boolean): string {
	const slots = Object.values(engineGroups)
		.flat()
		.filter((n) => !SELDOM.includes(n))
		.map((n) => `engine/self/${n}`);
	const at = slots.indexOf(slot);
	return at < 0 ? "" : (slots.slice(at + 1).find(left) ?? "");
}

/** wanting are the slots that an input of rules waits for: of what was decided all that it takes. */
export function wanting(i: Input, word: (slot: string) => string): string[] {
	const left = (slots: string[]) => slots.filter((s) => word(s) === "");
	if (i.key === "primary_id") return left(["target/self/od", "target/self/wall"]);
	if (i.key === "length_from_valve") {
		const port = word("target/self/from") === "valve" ? [] : ["engine/self/valve_to_face"];
		return left(["target/self/length", "target/self/from", ...port]);
	}
	return i.slot === "" ? [] : [i.slot];
}

/** decidedBy are the fields that name the rule on which a size rests, with the field of what that gave. */
export const decidedBy = {
	length: { by: "target/self/length_by", gave: "target/self/length_rule_gave", what: "primary length" },
	bore: { by: "target/self/bore_by", gave: "target/self/bore_rule_gave", what: "primary bore" },
} as const;

export const REASON = "target/self/reason";

/** What rests on no rule. */
export const OWN = "own";

/** draftOf is where a pick or a text of the decision is kept until it is decided. */
export const draftOf = (job: string, slot: string): string => draftKey(job, slot);

/** gives is what a rule says to a question, counted from start as the spread has it; null where it says nothing. */
export function gives(spreads: Spread[], what: string, start: string, rule: string): number | null {
	const spread = spreads.find((s) => s.what === what && (s.start === start || s.start === ""));
	return spread?.marks.find((m) => m.rule === rule)?.value ?? null;
}

// 1 in = 25.4 mm, 1 ft = 0.3048 m by definition.
const INCH: Record<string, { unit: string; by: number } | undefined> = {
	"mm²": { unit: "in²", by: 1 / 645.16 },
	"cm³": { unit: "in³", by: 1 / 16.387064 },
	"m/s": { unit: "ft/s", by: 1 / 0.3048 },
};

/** worked writes a figure of a rule in the unit that is looked at: 4 significant digits, lengths as everywhere. */
export function worked(v: number, unit: string, units: Units): string {
	if (unit === "mm") return length(v, units);
	const other = units === "in" ? INCH[unit] : undefined;
	return withUnit(digits(v * (other?.by ?? 1)), other?.unit ?? unit);
}

/** speedIn is a speed in the unit that is looked at, to a tenth, the unit apart. */
export function speedIn(v: number, units: Units): { figure: string; unit: string } {
	const other = units === "in" ? INCH["m/s"] : undefined;
	return { figure: (v * (other?.by ?? 1)).toFixed(1), unit: other?.unit ?? "m/s" };
}

/** book writes what the formula itself gives, "" where that says nothing new. */
export function book(g: Given, units: Units): string {
	const said = withUnit(digits(g.book), g.book_unit);
	const shown = g.unit === "mm" ? units : units === "in" ? (INCH[g.unit]?.unit ?? g.unit) : g.unit;
	return shown === g.book_unit ? "" : said;
}

/** band writes where most values lie, to 3 significant digits, its unit once. */
export function band([low, high]: [number, number], unit: string, units: Units): string {
	const by = unit === "mm" && units === "in" ? 25.4 : 1;
	const figure = (v: number) => plain(Number((v / by).toPrecision(3)));
	return withUnit(`${figure(low)} to ${figure(high)}`, unit === "mm" ? units : unit);
}

/** withUnit puts a unit behind a figure; degrees stand close to it. */
export const withUnit = (figure: string, unit: string): string =>
	unit === "" ? figure : unit === "°" ? `${figure}°` : `${figure} ${unit}`;

/** digits writes a number to 4 significant digits, all of its whole ones. */
export const digits = (v: number): string =>
	plain(Math.abs(v) >= 1000 ? Math.round(v) : Number(v.toPrecision(4)));

/** steps are where a scale from one value to another has its marks: 3 to 8 of them, 1, 2 or 5 of a power of ten apart. */
export function steps(from: number, to: number): number[] {
	const wide = to - from;
	if (!(wide > 0)) return [from];
	const ten = 10 ** Math.floor(Math.log10(wide / 4));
	const marks = (step: number) => {
		const list: number[] = [];
		for (let n = Math.ceil(from / step - 1e-9); n * step <= to + step * 1e-9; n++)
			list.push(Number((n * step).toPrecision(12)));
		return list;
	};
	return [10, 5, 2].map((n) => marks(n * ten)).find((list) => list.length >= 3) ?? marks(ten);
}

/** sizeReading is a size of tube as a reading: as it is sold, in inches where it is looked at so and that says it exactly. */
export function sizeReading(v: number, units: Units, tool: string): ReadingInput {
	const nm = Math.round(v * 1e4) * 100;
	const inch = inches(nm);
	const isInch = units === "in" && Math.round(Number(inch) * 25_400_000) === nm;
	const [text, unit] = isInch ? [inch, "in"] : [mm(nm, 4).replace(/\.?0+$/, ""), "mm"];
	return { text, unit, v: nm, res: 0, quantity: "length", tool };
}

/** ruleReading is a length that a rule gives as a reading, in the unit that is looked at, to a hundredth of an inch or a tenth of a millimetre: no rule is finer. */
export function ruleReading(v: number, units: Units, tool: string): ReadingInput {
	const [steps, step, places] = units === "in" ? [v / 0.254, 254_000, 2] : [v * 10, 100_000, 1];
	const n = Math.round(steps);
	const text = (n / 10 ** places).toFixed(places);
	return { text, unit: units, v: n * step, res: step, quantity: "length", tool };
}
