// What the drawing of a bank shows, in mm, taken from what was measured. Whatever
// is missing stands at a likely place and is marked as a guess, so that the drawing
// can show the very dimension that is asked before it is known.

import { used } from "../lib/fields";
import { listOf } from "../lib/state";
import { known, word } from "./known";
import { extent, type Size } from "./outline";

export interface BoltSpot {
	id: string;
	n: number;
	x: number;
	y: number;
	hole: number;
	guess: boolean;
	doubt: boolean; // something that is drawn of it is in dispute
}

export interface PortSpot {
	id: string;
	n: number;
	x: number;
	y: number;
	size: Size;
	guess: boolean;
	doubt: boolean;
}

export interface BankLayout {
	datum: string;
	along: string;
	bolts: BoltSpot[];
	ports: PortSpot[];
}

/** A value being typed stands in for what is not kept yet. */
export interface Trial {
	slot: string;
	mm: number | null;
}

const BOLT = ["x", "y", "hole"];
const PORT = ["x", "y", "shape", "width", "height", "corner", "diameter", "radius", "flat"];

export function bankLayout(job: string, bank: string, trial: Trial | null): BankLayout {
	const mm = (slot: string): number | null => {
		if (trial?.slot === slot && trial.mm !== null) return trial.mm;
		const nm = used(known(job, slot))?.nm;
		return nm === undefined ? null : nm / 1e6;
	};
	const doubt = (kind: string, id: string, fields: string[]) =>
		fields.some((f) => known(job, `${kind}/${id}/${f}`).state === "disputed");
	// What is asked for stays on the drawing though its place is not known.
	const wanted = (kind: string, id: string) => trial?.slot.startsWith(`${kind}/${id}/`) === true;
	const layout: BankLayout = {
		datum: word(job, `bank/${bank}/datum`),
		along: word(job, `bank/${bank}/along`),
		bolts: [],
		ports: [],
	};
	listOf(job, "bolt", bank).forEach((e, i) => {
		const [x, y, hole] = ["x", "y", "hole"].map((f) => mm(`bolt/${e.id}/${f}`)) as (number | null)[];
		const guess = !isKnown(x) || !isKnown(y);
		if (guess && !wanted("bolt", e.id)) return;
		const last = layout.bolts.at(-1)?.x ?? -70;
		layout.bolts.push({
			id: e.id,
			n: i + 1,
			x: x ?? last + 70,
			y: y ?? 0,
			hole: hole ?? 10,
			guess,
			doubt: doubt("bolt", e.id, BOLT),
		});
	});
	listOf(job, "port", bank).forEach((e, i) => {
		const of = (f: string) => mm(`port/${e.id}/${f}`);
		const [x, y] = [of("x"), of("y")];
		const shape = word(job, `port/${e.id}/shape`);
		const guess = x === null || y === null || shape === "";
		if (guess && !wanted("port", e.id)) return;
		const last = layout.ports.at(-1)?.x ?? -40;
		const radius = of("radius") ?? 19;
		layout.ports.push({
			id: e.id,
			n: i + 1,
			x: x ?? last + 80,
			y: y ?? 30,
			guess,
			doubt: doubt("port", e.id, PORT),
			size: {
				shape: shape || "round",
				width: of("width") ?? 40,
				height: of("height") ?? 34,
				corner: of("corner") ?? 6,
				diameter: of("diameter") ?? 38,
				radius,
				flat: of("flat") ?? radius * 0.5,
			},
		});
	});
	return layout;
}

/** bounds is the box around all of it, the origin included, in mm. */
export function bounds(l: BankLayout): { x0: number; x1: number; y0: number; y1: number } {
	const xs = [0];
	const ys = [0];
	for (const b of l.bolts) {
		xs.push(b.x - b.hole, b.x + b.hole);
		ys.push(b.y - b.hole, b.y + b.hole);
	}
	for (const p of l.ports) {
		const e = extent(p.size);
		xs.push(p.x - e.left, p.x + e.right);
		ys.push(p.y - e.half, p.y + e.half);
	}
	return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys) };
}

const isKnown = (v: number | null | undefined): v is number => typeof v === "number";
