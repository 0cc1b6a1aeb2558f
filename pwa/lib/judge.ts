// Whether a typed text can be kept: readable, within the range of its field, and
// of a size that such a dimension has. Doubt is a question to the person, never a
// change of the value. Runs before and without the calculation.

import type { Field } from "./fields";
import { asRead, plain, value } from "./say";
import { measure } from "./textmeasure";
import { inches, parseAngle, parseLength, parseNumber, type Typed } from "./typed";

export type Verdict =
	| { is: "empty" }
	| { is: "fault"; why: string }
	| { is: "ask"; question: string; typed: Typed }
	| { is: "good"; typed: Typed };

/** judge reads what was typed for a field; unit is the length unit where the text has none. */
export function judge(field: Field, raw: string, unit: "mm" | "in"): Verdict {
	if (raw.trim() === "") return { is: "empty" };
	const typed =
		field.quantity === "length"
			? parseLength(raw, unit)
			: field.quantity === "angle"
				? parseAngle(raw)
				: parseNumber(raw);
	if ("error" in typed) {
		return {
			is: "fault",
			why: measure.cannotRead(field.label, raw, typed.error.why, allowed(field)),
		};
	}
	const v = typed.v / 1e6; // mm, degrees or plain
	if (!(v >= field.low && v <= field.high)) {
		const other = swapped(field, v);
		const hint = other === null ? "" : ` ${measure.maybeUnit(say(field, other))}`;
		return { is: "fault", why: measure.outside(field.label, say(field, v), allowed(field)) + hint };
	}
	if (field.whole && typed.v % 1e6 !== 0) {
		return { is: "fault", why: measure.whole(field.label, say(field, v), allowed(field)) };
	}
	const question = typed.ask || doubt(field, v);
	return question ? { is: "ask", question, typed } : { is: "good", typed };
}

/** allowed is the range of a field in words. */
export function allowed(field: Field): string {
	const range = measure.allowed(plain(field.low), value(field.high, field.quantity, field.unit));
	if (field.quantity !== "length") return range;
	return `${range} (${measure.range(inchesOf(field.low), inchesOf(field.high))} in)`;
}

// A millimetre figure taken for inches is out by 25.4: what is unlikely as it
// stands and likely with that factor was probably typed in the other unit.
function swapped(field: Field, v: number): number | null {
	if (!field.likely || v === 0) return null;
	const [low, high] = field.likely;
	return [v * 25.4, v / 25.4].find((o) => Math.abs(o) >= low && Math.abs(o) <= high) ?? null;
}

function doubt(field: Field, v: number): string {
	if (!field.likely || v === 0) return "";
	const [low, high] = field.likely;
	const size = Math.abs(v);
	if (size >= low && size <= high) return "";
	const other = swapped(field, v);
	if (other !== null) return measure.otherUnit(say(field, v), say(field, other));
	return measure.unusual(say(field, v), `${plain(low)} to ${value(high, field.quantity, field.unit)}`);
}

function say(field: Field, v: number): string {
	if (field.quantity !== "length") return value(v, field.quantity, field.unit);
	return `${asRead(v, "mm")} (${asRead(v, "in")})`;
}

const inchesOf = (v: number) => inches(Math.round(v * 1e6)).replace("-", "−");
