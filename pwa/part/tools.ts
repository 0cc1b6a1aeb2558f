import { text } from "../lib/text";
import type { Typed } from "../lib/typed";

export interface Tool {
	name: string;
	label: string;
	res: number; // nm or millionths of a degree; 0: as the figure was written
}

// What a hand can read off each tool. Common practice, no source; the caliper's is
// one step of its display, the angle gauge's one step of its display.
const LENGTH: Tool[] = [
	{ name: "caliper", label: text.measure.tools.caliper, res: 10_000 },
	{ name: "tape", label: text.measure.tools.tape, res: 500_000 },
	{ name: "rule", label: text.measure.tools.rule, res: 500_000 },
	{ name: "", label: text.measure.tools.typed, res: 0 },
];
const ANGLE: Tool[] = [
	{ name: "angle gauge", label: text.measure.tools.gauge, res: 100_000 },
	{ name: "", label: text.measure.tools.typed, res: 0 },
];

/** toolsFor lists what a quantity is read with; empty where there is nothing to choose. */
export function toolsFor(quantity: string): Tool[] {
	if (quantity === "length") return LENGTH;
	return quantity === "angle" ? ANGLE : [];
}

/** resolutionOf is how finely a value was read: by its tool, or as it was written. */
export const resolutionOf = (tool: Tool | undefined, typed: Typed) => (tool?.res ? tool.res : typed.res);
