// What the pages of the weld plan reckon themselves: order by hand, and the count of a purge.

import type { Joint } from "./typesweld";

export const TEMPLATE = "weld/self/template";
export const ORDER = "weld/self/order";

/** ordered puts joints in an own order at once, before it is worked out anew: what it does not name stays behind. */
export function ordered(joints: Joint[], own: string): Joint[] {
	const ids = own.split(/[\s,;]+/);
	const rank = (j: Joint) => {
		const at = ids.indexOf(j.id);
		return at < 0 ? ids.length : at;
	};
	return joints
		.map((joint, i) => ({ joint, i }))
		.sort((a, b) => rank(a.joint) - rank(b.joint) || a.i - b.i)
		.map(({ joint }) => joint);
}

/** moved is an order with one joint a place earlier (by −1) or later (by 1). */
export function moved(joints: Joint[], id: string, by: -1 | 1): string {
	const ids = joints.map((j) => j.id);
	const at = ids.indexOf(id);
	const to = at + by;
	const other = ids[to];
	if (at < 0 || other === undefined) return ids.join(" ");
	ids[to] = id;
	ids[at] = other;
	return ids.join(" ");
}

/** cfh is a flow in L/min in cubic feet an hour. */
export const cfh = (flow: number): string => ((flow * 60) / 28.316846592).toFixed(1);

/** range is a figure, or two with a dash between them. */
export function range(low: number, high: number, digits: number): string {
	const say = (v: number) => String(Number(v.toFixed(digits)));
	return say(low) === say(high) ? say(low) : `${say(low)}–${say(high)}`;
}

/** minutesAndSeconds writes a time in ms, "1:09"; seconds that have begun count. */
export function minutesAndSeconds(ms: number): string {
	const s = Math.max(0, Math.ceil(ms / 1000));
	return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
}
