// Bender data as comma-separated text, for machines and other programs: mm and
// degrees with a decimal point, whatever the screen shows them in.

import type { PlanTube } from "./typesplan";

const END = "\r\n"; // RFC 4180, section 2

/** lraCSV is a row a bend, and a last one, without a bend, for the straight behind it. */
export function lraCSV(t: PlanTube): string {
	const rows = (t.lra ?? []).map((r, i) => [
		`${i + 1}`,
		fixed(r.length),
		fixed(r.rotation),
		fixed(r.angle),
		fixed(r.clr),
	]);
	if (typeof t.last === "number") rows.push(["last", fixed(t.last), "", "", ""]);
	return lines(["bend", "length_mm", "rotation_deg", "angle_deg", "clr_mm"], rows);
}

/** xyzCSV is a row a point, from the port on. */
export const xyzCSV = (t: PlanTube): string =>
	lines(
		["point", "x_mm", "y_mm", "z_mm"],
		(t.xyz ?? []).map((p, i) => [`${i + 1}`, ...p.map(fixed)]),
	);

const lines = (head: string[], rows: string[][]) => [head, ...rows].map((r) => r.join(",") + END).join("");

// A thousandth, which is what the plan is rounded to; no negative zero.
function fixed(v: number): string {
	const s = v.toFixed(3);
	return Number(s) === 0 ? "0.000" : s;
}
