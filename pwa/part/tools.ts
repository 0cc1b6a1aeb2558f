import type { Asked } from "../lib/fields";
import { measure } from "../lib/textmeasure";
import type { Typed } from "../lib/typed";

export interface Tool {
	name: string;
	label: string;
	res: number; // nm or millionths of a degree; 0: as the figure was written
}

// What a hand can read off each tool. Common practice, no source; the caliper's is
// one step of its display, the angle gauge's one step of its display.
const LENGTH: Tool[] = [
	{ name: "caliper", label: measure.tools.caliper, res: 10_000 },
	{ name: "tape", label: measure.tools.tape, res: 500_000 },
	{ name: "rule", label: measure.tools.rule, res: 500_000 },
	{ name: "", label: measure.tools.typed, res: 0 },
];
// Leaves of a feeler gauge come in steps of 0.01 mm; rods as thick as they are sold.
const FLAT: Tool[] = [
	{ name: "", label: measure.tools.typed, res: 0 },
	{ name: "feeler gauge", label: measure.tools.feeler, res: 10_000 },
];
const ROD: Tool[] = [{ name: "rod", label: measure.tools.rod, res: 1000 }];
const ANGLE: Tool[] = [
	{ name: "angle gauge", label: measure.tools.gauge, res: 100_000 },
	{ name: "", label: measure.tools.typed, res: 0 },
];

// What is decided or copied from a data sheet was read with no tool: its figure
// says by itself how finely it is meant.
const DECIDED = new Set(["engine", "target", "shop", "element"]);

/** toolsFor lists what a slot is read with; empty where there is nothing to choose. */
export function toolsFor(ask: Asked): Tool[] {
	const isDecided = DECIDED.has(ask.kind) || /^(?:trust_|survey_|sigma$|gap$|clr$)/.test(ask.field.name);
	if (isDecided && ask.field.name !== "valve_to_face") return [];
	if (ask.kind === "gauge") return ROD;
	if (/^flat_/.test(ask.field.name)) return FLAT;
	if (ask.field.quantity === "length") return LENGTH;
	return ask.field.quantity === "angle" ? ANGLE : [];
}

/**
 * resolutionOf is how finely a value was read: by its tool or as it was written,
 * whichever is coarser. Without any tool it was decided, and is meant exactly.
 */
export const resolutionOf = (tool: Tool | undefined, typed: Typed) =>
	tool ? Math.max(tool.res, typed.res) : 0;
