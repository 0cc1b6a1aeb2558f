// What the drawing of a bank shows, in mm, taken from what was measured. Whatever
// is missing stands at a likely place and is marked as a guess, so that the drawing
// can show the very dimension that is asked before it is known.

import { used } from "../lib/fields";
import { listOf, view } from "../lib/state";
import type { Corner } from "../lib/typesflange";
import { known, word } from "./known";
import { box, type Size } from "./outline";

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
	loop: Corner[]; // where the plan has it, in the bank's frame; none while something of it is being typed
	guess: boolean;
	doubt: boolean;
}

export interface BankLayout {
	datum: string;
	along: string;
	bolts: BoltSpot[];
	ports: PortSpot[];
}

/** A value being typed, in mm or degrees, stands in for what is not kept yet. */
export interface Trial {
	slot: string;
	mm: number | null;
}

const BOLT = ["x", "y", "hole"];
const PORT = ["x", "y", "shape", "width", "height", "corner", "diameter", "radius", "flat", "turn"];

export function bankLayout(job: string, bank: string, trial: Trial | null): BankLayout {
	const mm = (slot: string): number | null => {
		if (trial?.slot === slot && trial.mm !== null) return trial.mm;
		const head = used(known(job, slot));
		const v = head?.nm ?? head?.udeg;
		return v === undefined ? null : v / 1e6;
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
	const planned = view.value?.job === job && !view.value.stale ? view.value.plan.flanges : [];
	const plans = planned?.find((f) => f.bank === bank)?.ports ?? [];
	listOf(job, "port", bank).forEach((e, i) => {
		const of = (f: string) => mm(`port/${e.id}/${f}`);
		const [x, y] = [of("x"), of("y")];
		const shape = word(job, `port/${e.id}/shape`);
		const guess = x === null || y === null || shape === "";
		if (guess && !wanted("port", e.id)) return;
		const last = layout.ports.at(-1)?.x ?? -40;
		const radius = of("radius") ?? 19;
		const points = shape === "points" ? listOf(job, "rim", e.id) : [];
		layout.ports.push({
			id: e.id,
			n: i + 1,
			x: x ?? last + 80,
			y: y ?? 30,
			guess,
			doubt: doubt("port", e.id, PORT),
			loop: wanted("port", e.id) ? [] : (plans.find((p) => p.id === e.id)?.loop ?? []),
			size: {
				shape: shape || "round",
				width: of("width") ?? 40,
				height: of("height") ?? 34,
				corner: of("corner") ?? 6,
				diameter: of("diameter") ?? 38,
				radius,
				flat: of("flat") ?? radius * 0.5,
				turn: of("turn") ?? 0,
				points: points.flatMap(({ id }): [number, number][] => {
					const [px, py] = [mm(`rim/${id}/x`), mm(`rim/${id}/y`)];
					return isKnown(px) && isKnown(py) ? [[px, py]] : [];
				}),
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
		for (const [x, y] of box(p.size)) {
			xs.push(p.x + x);
			ys.push(p.y + y);
		}
	}
	return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys) };
}

const isKnown = (v: number | null | undefined): v is number => typeof v === "number";
